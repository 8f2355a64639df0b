//! Opening a document of 5 MB beside reading its JSON alone, which is the least it could take.
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use rig::{Document, Grip, Kind, Node, NodeId, Order, Rig};
use serde_json::Value;
use std::hint::black_box;
use std::time::Duration;

/// So many nodes, all their numbers given to the last digit, make 5 MB.
const NODES: u32 = 13_300;

/// A bush of chains of ten, as `handstand` writes it.
fn text() -> String {
    let node = |at: u32| {
        let part = f64::from(at) / 7.0;
        let (sin, cos) = (libm::sin(part), libm::cos(part));
        Node {
            id: NodeId(at),
            name: format!("branch {} joint {}", at / 10, at % 10),
            kind: Kind::Joint,
            parent: (!at.is_multiple_of(10)).then(|| NodeId(at - 1)),
            translation: [30.0 + sin, 10.0 * cos, part],
            rotation: [0.0, sin, 0.0, cos],
            order: Order::Zxy,
            limits: [
                Some((-part, part)),
                None,
                Some((-90.0 + sin, 90.0 + cos)),
                None,
                None,
                None,
            ],
            loaded: [None; 3],
            width: 10.0 + sin,
            grip: Grip::None,
            hidden: false,
            surface: None,
            part: None,
        }
    };
    let rig = Rig {
        name: "a bush".to_owned(),
        nodes: (0..NODES).map(|at| node(at).into()).collect(),
        next_id: NODES,
        ..Rig::default()
    };
    rig::write(&Document {
        rig: rig.into(),
        ..Document::default()
    })
}

fn opening(criterion: &mut Criterion) {
    let text = text();
    assert!(
        (4_500_000..5_500_000).contains(&text.len()),
        "{}",
        text.len()
    );
    assert!(hand::read(&text).is_ok_and(|document| rig::write(&document) == text));
    let mut group = criterion.benchmark_group("opening");
    group
        .sample_size(20)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(4))
        .throughput(Throughput::Bytes(text.len() as u64));
    group.bench_function("serde_json alone", |bencher| {
        bencher.iter(|| serde_json::from_str::<Value>(black_box(&text)));
    });
    group.bench_function("its values, no field twice", |bencher| {
        bencher.iter(|| rig::file::value(black_box(&text)));
    });
    group.bench_function("the document", |bencher| {
        bencher.iter(|| hand::read(black_box(&text)));
    });
    group.finish();
}

criterion_group!(benches, opening);
criterion_main!(benches);
