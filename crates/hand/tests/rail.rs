//! Hands on a rail and on a bench's edge, moved: how their joints turn, how deep their flesh is,
//! what slips and who lets go. Contact rolls there as it does on planes.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::flesh::{Flesh, Kind as FleshKind};
use hand::{Ground, GroundForm, Hand, Planting, Recipe, Stance, document, scenario};
use rig::{Document, Kind, NodeId, Posed};

mod held;

/// Degrees a joint may turn for a degree of a dial, as on a plane.
const RATE: f64 = 12.0;
/// How deep a held digit's flesh may be, mm: what it gives wrapped round something (`curved.rs`).
const DEEP: f64 = 1.2;
/// How far one that is down may have slipped, mm.
const SLIP: f64 = 0.5;

fn rail() -> Document {
    document(&scenario("rail-lean").unwrap()).unwrap()
}

fn edge(stance: Stance, radius: f64) -> Document {
    let surface = Ground {
        form: GroundForm::Edge,
        radius,
        ..Ground::default()
    };
    let planting = Some(Planting {
        stance,
        surface,
        ..Planting::default()
    });
    let hand = Hand::table();
    document(&Recipe { hand, planting }).unwrap()
}

/// The joints of a digit, or of all.
fn joints(document: &Document, name: Option<&str>) -> Vec<NodeId> {
    let of = |node: &&rig::Shared<rig::Node>| {
        let digit = node.part.as_ref().and_then(|part| part.digit());
        node.kind == Kind::Joint && digit.is_some() && name.is_none_or(|name| digit == Some(name))
    };
    let found = document.nodes.iter().filter(of);
    found.map(|node| node.id).collect()
}

/// The fastest turn of any joint along a way, degrees for one of the dial, in steps of a size.
fn fastest(document: &Document, (name, from, to): (&str, f64, f64), size: f64) -> f64 {
    let (dial, joints) = (
        document.dial_named(name).unwrap().id,
        joints(document, None),
    );
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

/// Twice, with steps of two sizes: a jump would double with the second. As far as is safe and 15°
/// more, planted digits and the others alike.
fn goes_smoothly(document: &Document, ways: [(&str, f64, f64); 4]) {
    for way in ways {
        let [wide, fine] = [0.2, 0.1].map(|size| fastest(document, way, size));
        println!("{way:?}: {wide:.2} and {fine:.2} degrees for one");
        assert!(
            wide > 0.1 && wide <= RATE && fine <= RATE,
            "{way:?}: {wide}, {fine}"
        );
        assert!(fine < 1.2 * wide, "{way:?}: {wide}, {fine}");
    }
}

#[test]
fn no_joint_jumps_on_a_rail() {
    let ways = [
        ("lift", -30.0, 55.0),
        ("roll", -30.0, 60.0),
        ("lean", -25.0, 25.0),
        ("twist", -23.0, 23.0),
    ];
    goes_smoothly(&rail(), ways);
}

#[test]
fn no_joint_jumps_on_an_edge() {
    let ways = [
        ("lift", -20.0, 55.0),
        ("roll", -20.0, 60.0),
        ("lean", -25.0, 25.0),
        ("twist", -20.0, 20.0),
    ];
    goes_smoothly(&edge(Stance::Flat, 20.0), ways);
}

/// About a corner of no radius too; and on fingertips that stand on an edge's top.
#[test]
fn no_joint_jumps_about_a_corner() {
    let ways = [
        ("lift", -20.0, 55.0),
        ("roll", -20.0, 60.0),
        ("lean", -20.0, 20.0),
        ("twist", -15.0, 15.0),
    ];
    goes_smoothly(&edge(Stance::Flat, 0.0), ways);
    goes_smoothly(&edge(Stance::Fingertips, 20.0), ways);
}

/// What was met along a way.
#[derive(Debug, Default)]
struct Met {
    /// Of digits that are down, mm; and of those that are not.
    deep: f64,
    free: f64,
    slip: f64,
    down: u32,
    gone: u32,
}

fn along(document: &Document, (name, from, to): (&str, f64, f64)) -> Met {
    let flesh = Flesh::of(document);
    let dial = document.dial_named(name).unwrap().id;
    let mut posed = Posed::new(document).unwrap();
    let mut met = Met::default();
    for step in 0..=((to - from) / 0.5).round() as u32 {
        posed.set_dial(dial, from + 0.5 * f64::from(step));
        posed.evaluate();
        for anchor in document
            .anchors
            .iter()
            .filter(|anchor| anchor.solver.is_digit())
        {
            let joints = joints(document, Some(&anchor.name));
            let clear = joints
                .iter()
                .filter_map(|id| flesh.clearance(&posed, *id, Some(FleshKind::Pad)));
            let deep = -clear.fold(f64::INFINITY, f64::min);
            let down = posed.hold(anchor.id) >= held::DOWN;
            if down {
                met.deep = met.deep.max(deep);
                met.slip = met.slip.max(posed.outcome(anchor.id).residual);
                met.down += 1;
            } else {
                met.free = met.free.max(deep);
                met.gone += 1;
            }
        }
    }
    println!("{name} {from} to {to}: {met:.2?}");
    met
}

#[test]
fn digits_that_hold_a_rail_are_not_in_it() {
    let document = rail();
    for way in [
        ("lift", 0.0, 20.0),
        ("roll", -20.0, 40.0),
        ("lean", -10.0, 10.0),
        ("twist", -8.0, 8.0),
    ] {
        let met = along(&document, way);
        assert!(met.down > 100 && met.slip < SLIP, "{way:?}: {met:?}");
        assert!(met.deep <= DEEP, "{way:?}: {met:?}");
    }
}

/// What stands on the surface before it moves is what its own solve keeps there: planted as built,
/// nothing has slipped and all hold.
#[test]
fn all_hold_as_they_are_planted() {
    for document in [
        rail(),
        edge(Stance::Flat, 20.0),
        edge(Stance::Flat, 0.0),
        edge(Stance::Fingertips, 20.0),
    ] {
        let posed = Posed::new(&document).unwrap();
        assert!(document.plants.len() >= 4);
        for plant in &document.plants {
            assert!(posed.is_down(plant.node) && posed.slip(plant.node).unwrap() < 1e-9);
            let mut anchors = document.anchors.iter();
            let anchor = anchors.find(|anchor| anchor.end == plant.node).unwrap();
            assert!(anchor.solver.contact().unwrap().round.is_some());
            // Its foot is where it was planted, on the surface.
            let (foot, then) = (
                posed.foot(anchor.id).unwrap(),
                posed.planted_foot(anchor.id).unwrap(),
            );
            let ground = &rig::surface::surfaces(&posed)[0];
            assert!((foot - then).norm() < 1e-9 && ground.distance(&foot).abs() < 1e-9);
        }
    }
}

/// A digit that is let go lies on the rail, and not in it.
#[test]
fn a_digit_let_go_rests_on_what_is_round() {
    for document in [rail(), edge(Stance::Flat, 20.0), edge(Stance::Flat, 0.0)] {
        let flesh = Flesh::of(&document);
        for plant in &document.plants {
            let mut anchors = document.anchors.iter();
            let name = anchors.find(|a| a.end == plant.node).unwrap().name.clone();
            let mut posed = Posed::new(&document).unwrap();
            let release = document.dial_named(&format!("release {name}")).unwrap().id;
            for curl in [0.0, 30.0, 60.0] {
                posed.set_dial(release, 100.0);
                posed.set_dial(document.dial_named("rest flexion").unwrap().id, curl);
                posed.evaluate();
                let joints = joints(&document, Some(&name));
                let clear = joints
                    .iter()
                    .filter_map(|id| flesh.clearance(&posed, *id, Some(FleshKind::Pad)))
                    .fold(f64::INFINITY, f64::min);
                println!("{name} let go, {curl}: {clear:.2} mm");
                assert!(clear > -1.0, "{name}, {curl}: {clear}");
            }
        }
    }
}
