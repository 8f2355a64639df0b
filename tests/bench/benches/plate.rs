//! Shapes of a whole hand, made anew as in each frame of a drag.
use criterion::{Criterion, criterion_group, criterion_main};
use figure::{Scene, Sight, View, draw, extent};
use hand::{Planting, Recipe};
use rig::{Posed, roles};
use std::hint::black_box;

fn plate(c: &mut Criterion) {
    let recipe = Recipe {
        planting: Some(Planting::default()),
        ..Recipe::default()
    };
    let document = hand::document(&recipe).expect("the table's hand is possible");
    let lift = document.dial_named("lift").expect("a press dial").id;
    let ghost = Posed::new(&document).expect("sound");
    let mut posed = ghost.clone();
    posed.set_dial(lift, 20.0);
    posed.evaluate();
    let mut group = c.benchmark_group("plate");
    for (name, sight) in [
        ("side", Sight::Side),
        (
            "oblique",
            Sight::Oblique {
                yaw: -0.6,
                pitch: 0.4,
            },
        ),
    ] {
        let view = View::fit(sight, (900.0, 600.0), &extent(&posed), 60.0);
        let scene = Scene {
            roles: roles(&document, &[lift]),
            ghost: Some(&ghost),
            ..Scene::default()
        };
        group.bench_function(name, |b| {
            b.iter(|| draw(black_box(&posed), &view, &scene));
        });
    }
    group.finish();
}

criterion_group!(benches, plate);
criterion_main!(benches);
