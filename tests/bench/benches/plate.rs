//! Shapes of a whole hand, made anew as in each frame of a drag.
use criterion::{Criterion, criterion_group, criterion_main};
use figure::{Scene, Sight, View, draw, extent, thumbnail};
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
    // What a choice of gestures shows at once.
    let gestures: Vec<Posed> = (0..20).map(|k| relaxed(f64::from(k) * 3.0)).collect();
    group.bench_function("twenty thumbnails", |b| {
        let of = |posed| thumbnail(posed, Sight::Top, (84.0, 96.0));
        b.iter(|| black_box(&gestures).iter().map(of).collect::<Vec<_>>());
    });
    group.finish();
}

/// A free hand whose fingers are bent by so many degrees.
fn relaxed(by: f64) -> Posed {
    let document = hand::document(&Recipe::default()).expect("the table's hand is possible");
    let mut posed = Posed::new(&document).expect("sound");
    let dial = document
        .dial_named("rest flexion")
        .expect("a free hand's")
        .id;
    posed.set_dial(dial, by);
    posed.evaluate();
    posed
}

criterion_group!(benches, plate);
criterion_main!(benches);
