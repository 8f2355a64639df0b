//! The survey of the pressed hand, and what of it is the solving of poses.
use criterion::{Criterion, criterion_group, criterion_main};
use hand::survey::{Survey, Sweep};
use hand::{Hand, Planting, planted as press};
use rig::{Document, Posed};
use std::hint::black_box;

const COUNT: usize = 61;

fn sweep(document: &Document, name: &str, from: f64, to: f64) -> Sweep {
    Sweep {
        dial: document.dial_named(name).expect("a press dial").id,
        from,
        to,
        count: COUNT,
    }
}

/// A rail's flesh is looked at segment by segment, a plane's ball by ball.
fn rail(criterion: &mut Criterion) {
    let recipe = hand::scenario("rail-lean").expect("it is shipped");
    let document = hand::document(&recipe).expect("it is sound");
    let posed = Posed::new(&document).expect("it is sound");
    let across = sweep(&document, "lift", 0.0, 35.0);
    let up = sweep(&document, "lean", -3.0, 3.0);
    criterion.bench_function("survey 61×61, lift × lean, on a rail", |bencher| {
        bencher.iter(|| Survey::run(&posed, across, up).map(|s| s.cells.len()));
    });
}

fn survey(criterion: &mut Criterion) {
    let document = press(&Hand::table(), &Planting::default()).expect("the table's hand presses");
    let posed = Posed::new(&document).expect("it is sound");
    let mut group = criterion.benchmark_group("survey 61×61, lift × lean");
    for (region, from, lift, lean) in [
        ("inside the safe region", 0.0, 35.0, 3.0),
        ("and far outside it", -10.0, 60.0, 12.0),
    ] {
        let across = sweep(&document, "lift", from, lift);
        let up = sweep(&document, "lean", -lean, lean);
        group.bench_function(format!("{region}, survey"), |bencher| {
            bencher.iter(|| Survey::run(&posed, across, up).map(|s| s.cells.len()));
        });
        group.bench_function(format!("{region}, poses alone"), |bencher| {
            let mut posed = posed.clone();
            bencher.iter(|| {
                for row in 0..COUNT {
                    posed.set_dial(up.dial, up.value(row));
                    for column in 0..COUNT {
                        posed.set_dial(across.dial, across.value(column));
                        posed.evaluate();
                        black_box(posed.outcome(document.anchors[0].id));
                    }
                }
            });
        });
    }
    group.finish();
}

criterion_group!(benches, survey, rail);
criterion_main!(benches);
