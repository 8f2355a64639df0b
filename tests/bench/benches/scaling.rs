//! A chain and a bush of 10 to 10,000 nodes: a full evaluation, and one dial changed where
//! nothing, or everything, depends on it.
use bench::{Hinge, ours};
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use kinematics::{Channel, Mechanism};
use std::hint::black_box;
use std::time::Duration;

fn scaling(criterion: &mut Criterion) {
    for (shape, parent) in [
        ("chain", (|index| index - 1) as fn(usize) -> usize),
        ("bush", |_| 0),
    ] {
        let mut group = criterion.benchmark_group(shape);
        group
            .sample_size(20)
            .warm_up_time(Duration::from_millis(200))
            .measurement_time(Duration::from_millis(800));
        for count in [10, 100, 1_000, 10_000] {
            let hinge = |index: usize| Hinge {
                parent: (index > 0).then(|| parent(index)),
                at: [10.0, 0.0, 0.0],
                turn: [0.0, 0.0, 0.1],
            };
            let hinges: Vec<_> = (0..count).map(hinge).collect();
            let mechanism = Mechanism::new(ours(&hinges), vec![]).expect("a sound mechanism");
            let mut pose = mechanism.pose();
            mechanism.evaluate(&mut pose);
            group.bench_function(BenchmarkId::new("everything", count), |bencher| {
                bencher.iter(|| {
                    mechanism.evaluate_all(&mut pose);
                    black_box(pose.world(count - 1));
                });
            });
            let mut dial = 0.0;
            for (name, node) in [("the first dial", 0), ("the last dial", count - 1)] {
                group.bench_function(BenchmarkId::new(name, count), |bencher| {
                    bencher.iter(|| {
                        dial = 0.5 - dial;
                        pose.set_channel(node, Channel::TurnZ, dial);
                        mechanism.evaluate(&mut pose);
                        black_box(pose.world(count - 1));
                    });
                });
            }
        }
        group.finish();
    }
}

criterion_group!(benches, scaling);
criterion_main!(benches);
