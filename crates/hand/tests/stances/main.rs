//! Hands in every stance on every surface, with and without an arm.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::flesh::Flesh;
use hand::{
    Arm, Digit, Ground, GroundForm, Hand, Planting, Recipe, Rest, Side, Size, Stance, bones,
    document, read,
};
use rig::*;

mod arm;
mod dials;
mod refusals;
mod unusual;

fn recipe(stance: Stance, form: GroundForm) -> Recipe {
    Recipe {
        hand: Hand::table(),
        planting: Some(Planting {
            stance,
            surface: Ground {
                form,
                ..Ground::default()
            },
            ..Planting::default()
        }),
    }
}

fn built(recipe: &Recipe) -> (Document, Posed) {
    let document =
        document(recipe).unwrap_or_else(|fault| panic!("{:?}: {fault}", recipe.planting));
    let posed = validate::document(&document).unwrap();
    (document, posed)
}

/// All that can stand.
fn standing() -> Vec<Recipe> {
    use GroundForm::{Edge, Plane, Rail};
    let mut all = vec![
        recipe(Stance::Flat, Plane),
        recipe(Stance::Flat, Edge),
        recipe(Stance::Flat, Rail),
        recipe(Stance::Fingertips, Plane),
        recipe(Stance::Fingertips, Edge),
        recipe(Stance::Fist, Plane),
        recipe(Stance::Fist, Edge),
        recipe(Stance::Edge, Plane),
        recipe(Stance::Edge, Edge),
    ];
    let mut heel = recipe(Stance::Flat, Plane);
    heel.planting.as_mut().unwrap().heel = true;
    all.push(heel);
    for stance in [Stance::Flat, Stance::Fingertips] {
        let mut five = recipe(stance, Plane);
        let digits = &mut five.planting.as_mut().unwrap().digits;
        digits.insert(0, "thumb".to_owned());
        all.push(five);
    }
    // A pipe thick enough for the fingertips, which lie in no row.
    let mut pipe = recipe(Stance::Fingertips, Rail);
    pipe.planting.as_mut().unwrap().surface.radius = 70.0;
    all.push(pipe);
    // Tilted, raised, another thickness, another size; fewer digits; an arm.
    let mut tilted = all.clone();
    for (step, recipe) in tilted.iter_mut().enumerate() {
        let planting = recipe.planting.as_mut().unwrap();
        planting.surface.height = 90.0 - 30.0 * step as f64;
        planting.surface.tilt = 30.0 - 6.0 * step as f64;
        planting.surface.radius *= 0.9;
        recipe.hand.length = Size::Mm(170.0 + 4.0 * step as f64);
        recipe.hand.arm = Some(Arm::default());
        if step % 2 == 0 {
            planting.digits.remove(1);
        }
    }
    all.extend(tilted);
    all
}

fn id(document: &Document, name: &str) -> NodeId {
    let node = document.node_named(name);
    node.unwrap_or_else(|| panic!("no '{name}'")).id
}

fn put(document: &Document, posed: &mut Posed, dials: &[(&str, f64)]) {
    for (dial, &own) in document.dials.iter().zip(&document.setting.dials) {
        let value = dials.iter().find(|(name, _)| *name == dial.name);
        posed.set_dial(dial.id, value.map_or(own, |(_, value)| *value));
    }
    posed.evaluate();
}

fn at(document: &Document, posed: &Posed, name: &str) -> Vec3 {
    posed.point(id(document, name))
}

fn hand_nodes(document: &Document) -> impl Iterator<Item = &Node> {
    let arm = [
        "shoulder",
        "elbow swing",
        "elbow pole",
        "upper-arm",
        "lower-arm",
        "forearm",
    ];
    let nodes = document.nodes.iter().map(|node| &**node);
    nodes.filter(move |node| !arm.contains(&&node.name[..]))
}

fn worst_slip(document: &Document, posed: &Posed) -> f64 {
    let slips = document.plants.iter();
    slips
        .map(|plant| posed.slip(plant.node).unwrap())
        .fold(0.0, f64::max)
}

#[test]
fn what_is_planted_touches_and_nothing_is_deep_in_the_surface() {
    for recipe in standing() {
        let (document, posed) = built(&recipe);
        let flesh = Flesh::of(posed.rig());
        let surfaces = surface::surfaces(&posed);
        let [ground] = &surfaces[..] else {
            panic!("one surface")
        };
        let planting = recipe.planting.as_ref().unwrap();
        assert!(document.plants.len() >= planting.digits.len().min(2));
        for plant in &document.plants {
            let node = document.node(plant.node).unwrap();
            // A thumb lies on its side, which its last bone's flesh tells of.
            let side = node.name.starts_with("thumb").then(|| {
                let bone = id(&document, "thumb-phalanx-distal");
                flesh.clearance(&posed, bone, None).unwrap()
            });
            let round = ground.distance(&posed.point(node.id)) - node.width / 2.0;
            let off = side.unwrap_or(round);
            assert!(
                off.abs() < 1e-9,
                "{:?}: {} {off}",
                recipe.planting,
                node.name
            );
        }
        assert!(worst_slip(&document, &posed) < 1e-9);
        for anchor in &document.anchors {
            assert!(
                !posed.is_active(anchor.id) || !posed.outcome(anchor.id).limited,
                "{recipe:?}: {}",
                anchor.name
            );
        }
        // Joints stand for the flesh around them. A millimetre or two gives way under load; a
        // wrist is drawn round and is flatter than that.
        for node in hand_nodes(&document) {
            // Digits that are not planted rest on planes only: on a rail they hang into it.
            let digit = node.part.as_ref().and_then(|part| part.digit());
            let free = digit.is_some_and(|name| !planting.digits.iter().any(|own| own == name));
            if free && planting.surface.form == GroundForm::Rail {
                continue;
            }
            let depth = node.width / 2.0 - ground.distance(&posed.point(node.id));
            assert!(
                node.kind == Kind::Mount
                    || depth < 3.0
                    || node.name.ends_with("tip")
                    || node.name == "wrist",
                "{:?}: {} is {depth} mm deep",
                recipe.planting,
                node.name
            );
        }
    }
}

/// The solve gives back the bend that was found for the contact: no abduction, and the stance's
/// proximal flexion where it does not wrap.
#[test]
fn the_planted_pose_is_the_solved_one() {
    for recipe in standing() {
        let (document, posed) = built(&recipe);
        let held = document.anchors.iter();
        for anchor in held.filter(|anchor| posed.is_active(anchor.id)) {
            let name = &anchor.name;
            if let Solver::Thumb { rest, .. } = anchor.solver {
                let turns = ["metacarpal", "phalanx-proximal", "phalanx-distal"]
                    .map(|joint| posed.turns(id(&document, &format!("{name}-{joint}"))));
                let base = document.node(id(&document, &format!("{name}-metacarpal")));
                let (least, most) = base.unwrap().loaded[0].unwrap();
                assert!(turns[0][2].abs() < 1e-7, "{turns:?}");
                assert!(least < turns[0][0] && turns[0][0] < most, "{turns:?}");
                assert!(
                    (turns[1][2] - rest[0]).abs() < 1e-7 && (turns[2][2] - rest[1]).abs() < 1e-7
                );
            }
            let Solver::Finger { rest, coupling, .. } = anchor.solver else {
                continue;
            };
            let turns =
                |joint: &str| posed.turns(id(&document, &format!("{name}-phalanx-{joint}")));
            assert!(
                turns("proximal")[0].abs() < 1e-7,
                "{name} {:?}",
                turns("proximal")
            );
            assert!((turns("intermediate")[2] - rest).abs() < 1e-7);
            assert!((turns("distal")[2] - coupling * rest).abs() < 1e-7);
        }
    }
}

#[test]
fn every_press_dial_is_zero_and_the_fist_is_curled() {
    for recipe in standing() {
        let (document, _) = built(&recipe);
        for dial in &document.dials {
            let fist = recipe.planting.as_ref().unwrap().stance == Stance::Fist;
            let expected = match &dial.name[..] {
                "rest flexion" => {
                    if fist {
                        0.0
                    } else {
                        bones::REST_FLEXION
                    }
                }
                "curl" if fist => 100.0,
                _ => 0.0,
            };
            let value = document.value(dial.id).unwrap();
            assert_eq!((value, dial.neutral), (expected, 0.0), "{}", dial.name);
        }
    }
}

fn presses(step: u32) -> Vec<(&'static str, f64)> {
    let x = f64::from(step);
    vec![
        ("lift", 8.0 * (0.9 * x).sin() + 4.0),
        ("roll", 9.0 * (0.5 * x).sin()),
        ("lean", 6.0 * (0.3 * x).sin()),
        ("twist", 4.0 * (0.7 * x).cos()),
        ("raw tips", 2.0 * (1.3 * x).sin()),
        ("surface height", 12.0 * (0.4 * x).sin()),
        ("surface travel", 10.0 * (0.6 * x).cos()),
        ("surface tilt", 5.0 * (0.2 * x).sin()),
        ("collapse", 40.0 + 40.0 * x.sin()),
        ("arch", 4.0 * (0.8 * x).sin()),
        ("release ring-finger", 50.0 + 50.0 * (1.7 * x).sin()),
        ("elbow swing", 10.0 * x.cos()),
        ("shoulder up", 8.0 * x.sin()),
    ]
}

#[test]
fn left_stands_as_the_mirror_of_right() {
    for recipe in standing() {
        let (right, mut posed) = built(&recipe);
        let mut other = recipe.clone();
        other.hand.side = Side::Left;
        let (left, mut mirrored) = built(&other);
        for step in 0..8 {
            put(&right, &mut posed, &presses(step));
            put(&left, &mut mirrored, &presses(step));
            for (a, b) in right.nodes.iter().zip(&left.nodes) {
                let (a, b) = (posed.point(a.id), mirrored.point(b.id));
                assert_eq!(
                    [a.x, a.y, -a.z].map(|x| x + 0.0),
                    [b.x, b.y, b.z].map(|x| x + 0.0),
                    "{recipe:?} step {step}"
                );
            }
        }
    }
}

/// A surface that moves takes hand, targets and pivots along as one: a partner's shoulder, a door.
#[test]
fn a_moving_surface_carries_the_press() {
    for recipe in standing().iter().filter(|recipe| recipe.hand.arm.is_none()) {
        let (document, mut posed) = built(recipe);
        let surface = id(&document, "surface");
        let still = posed.clone();
        put(&document, &mut posed, &presses(3)[5..8]);
        assert!(worst_slip(&document, &posed) < 1e-9);
        for node in &document.nodes {
            let within = |posed: &Posed| {
                let frame = posed.world(surface);
                frame.inverse_transform_point(&posed.point(node.id).into())
            };
            let moved = (within(&posed) - within(&still)).norm();
            assert!(moved < 1e-9, "{}", node.name);
        }
    }
    // Height and travel are the world's up and forwards, however the surface is tilted.
    let mut tilted = recipe(Stance::Flat, GroundForm::Plane);
    tilted.planting.as_mut().unwrap().surface.tilt = 25.0;
    let (document, mut posed) = built(&tilted);
    let rest = at(&document, &posed, "surface");
    put(
        &document,
        &mut posed,
        &[("surface height", 30.0), ("surface travel", -7.0)],
    );
    let moved = at(&document, &posed, "surface") - rest;
    assert!((moved - Vec3::new(-7.0, 30.0, 0.0)).norm() < 1e-12);
}
