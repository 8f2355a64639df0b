//! The hand that holds a rail, moved: how its joints turn and how deep its flesh is. Its fingers
//! are held by the centre of their tip's round end, a point: contact rolls on planes only.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::flesh::Flesh;
use hand::{document, scenario};
use rig::{Document, Kind, NodeId, Posed};

/// Degrees a joint may turn for a degree of a dial, as on a plane.
const RATE: f64 = 12.0;

/// From where to where each dial goes. On from `roll` −18° a finger's tip comes right under its
/// knuckle, and its abduction jumps.
const WAYS: [(&str, f64, f64); 4] = [
    ("lift", -15.0, 40.0),
    ("roll", -15.0, 40.0),
    ("lean", -12.0, 12.0),
    ("twist", -8.0, 8.0),
];

fn rail() -> Document {
    document(&scenario("rail-lean").unwrap()).unwrap()
}

/// Joints of planted digits.
fn joints(document: &Document) -> Vec<NodeId> {
    let planting = document.hand.as_ref().unwrap().planting.as_ref().unwrap();
    let held = document.nodes.iter().filter(|node| {
        let digit = node.part.as_ref().and_then(|part| part.digit());
        node.kind == Kind::Joint
            && digit.is_some_and(|name| planting.digits.iter().any(|own| own == name))
    });
    held.map(|node| node.id).collect()
}

/// The fastest turn of any joint along a way, degrees for one of the dial, in steps of a size.
fn fastest(document: &Document, (name, from, to): (&str, f64, f64), size: f64) -> f64 {
    let (dial, joints) = (document.dial_named(name).unwrap().id, joints(document));
    let mut posed = Posed::new(document).unwrap();
    let mut was: Option<Vec<[f64; 3]>> = None;
    let mut fastest = 0.0f64;
    for step in 0..=((to - from) / size).round() as u32 {
        posed.set_dial(dial, from + f64::from(step) * size);
        posed.evaluate();
        let now: Vec<_> = joints.iter().map(|id| posed.turns(*id)).collect();
        for (was, now) in was.iter().flatten().flatten().zip(now.iter().flatten()) {
            fastest = fastest.max((now - was).abs() / size);
        }
        was = Some(now);
    }
    fastest
}

/// Twice, with steps of two sizes: a jump would double with the second.
#[test]
fn no_joint_jumps_on_a_rail() {
    let document = rail();
    for way in WAYS {
        let [wide, fine] = [0.1, 0.05].map(|size| fastest(&document, way, size));
        println!("{way:?}: {wide:.2} and {fine:.2} degrees for one");
        assert!(
            wide > 0.1 && wide <= RATE && fine <= RATE,
            "{way:?}: {wide}, {fine}"
        );
        assert!(fine < 1.2 * wide, "{way:?}: {wide}, {fine}");
    }
}

#[test]
fn lifted_a_hand_keeps_its_flesh_on_the_rail() {
    let document = rail();
    let (flesh, joints) = (Flesh::of(&document), joints(&document));
    let lift = document.dial_named("lift").unwrap().id;
    let mut posed = Posed::new(&document).unwrap();
    for step in 0..=40 {
        posed.set_dial(lift, 0.5 * f64::from(step));
        posed.evaluate();
        let clear = joints
            .iter()
            .filter_map(|id| flesh.clearance(&posed, *id, None));
        let all = flesh.clearances(&posed);
        let digits = all.pad.unwrap().mm;
        assert!(
            digits >= -0.3,
            "lift {}: {digits} mm",
            0.5 * f64::from(step)
        );
        // Digits and palm together: no more than the palm gives way.
        let least = clear.fold(f64::INFINITY, f64::min);
        let palm = all.palm.unwrap().mm;
        assert!(least >= -1.0 && palm >= -1.0, "{least}, {palm}");
        for plant in &document.plants {
            assert!(posed.slip(plant.node).unwrap() < 1e-9);
        }
    }
}
