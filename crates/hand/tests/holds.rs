//! Who is down, and how fully.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::gauge::Hold;
use hand::{Gauge, Planting, Recipe, document as build};
use rig::Posed;

/// A hold is the smooth step t³(10 − 15t + 6t²) over a window of the reach that is left, told by
/// the tip's radius: docs/mathematics.md 10, 12 mm above −10.5 mm for a tip of 7.2 mm.
#[test]
fn a_hold_follows_the_reach_that_is_left() {
    let planting = Some(Planting::default());
    let document = build(&Recipe {
        planting,
        ..Recipe::default()
    })
    .unwrap();
    let mut seen = [0; 3];
    for roll in [
        -17.0, -14.0, -11.0, -9.0, -8.0, -7.0, -5.0, 0.0, 30.0, 50.0, 58.0, 62.0, 66.0,
    ] {
        let mut posed = Posed::new(&document).unwrap();
        posed.set_dial(document.dial_named("roll").unwrap().id, roll);
        posed.evaluate();
        let read = |gauge: Gauge| gauge.read(&posed).unwrap().value;
        let mut worst = 0.0;
        for finger in ["index", "middle", "ring", "pinky"] {
            let anchor = || format!("{finger}-finger");
            let found = document.anchor_named(&anchor()).unwrap();
            let size = found.solver.contact().unwrap().radius / 7.2;
            let margin = read(Gauge::ReachMargin { anchor: anchor() });
            let t = ((margin + 10.5 * size) / (12.0 * size)).clamp(0.0, 1.0);
            let step = t.powi(3) * (10.0 - t * (15.0 - 6.0 * t));
            let hold = read(Gauge::Hold { anchor: anchor() });
            assert!(
                (hold - 100.0 * step).abs() < 1e-6,
                "{finger} {roll}: {hold} {step}"
            );
            let (told, at) = match Hold::of(&posed, found.id) {
                Hold::Down => ("down".to_owned(), 0),
                Hold::LettingGo(_) => (
                    format!("letting go, {:.0} % down", hold.round().clamp(1.0, 99.0)),
                    1,
                ),
                Hold::Up => ("up".to_owned(), 2),
            };
            assert_eq!(Hold::of(&posed, found.id).to_string(), told);
            assert_eq!(at == 0, step >= rig::DOWN);
            assert_eq!(at == 2, step <= 1.0 - rig::DOWN);
            seen[at] += 1;
            if step == 1.0 {
                let node = format!("{finger}-finger-tip-contact");
                worst = f64::max(worst, read(Gauge::Slip { node }));
            }
        }
        // What lets go is dragged, by up to tens of mm, and has nothing to keep.
        assert_eq!(read(Gauge::WorstSlip {}), worst);
        assert!(worst < 1e-9, "{roll}: {worst}");
    }
    assert!(seen.iter().all(|&count| count > 3), "{seen:?}");
}

/// A fist's contacts are bones, and told as anatomy has them; a renamed one by its name.
#[test]
fn a_fists_contacts_are_told_by_bone() {
    let text = include_str!("../../../examples/fist-knead.hand.json");
    let mut document = hand::read(text).unwrap();
    let told: Vec<_> = (document.plants.iter())
        .map(|plant| hand::in_words(&document.rig, plant.node))
        .collect();
    assert_eq!(told[0], "index finger's middle phalanx");
    assert_eq!(told[1], "middle finger's proximal phalanx");
    let node = document.plants[0].node;
    rig::edit::apply(
        &mut document,
        &rig::Edit::Rename {
            node,
            name: "first knuckle".into(),
        },
    )
    .unwrap();
    assert_eq!(hand::in_words(&document.rig, node), "first knuckle");
}
