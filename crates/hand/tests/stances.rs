//! Hands in every stance on every surface, with and without an arm.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::{
    Arm, Digit, Ground, GroundForm, Hand, Planting, Recipe, Rest, Side, Size, Stance, bones,
    document, read,
};
use rig::*;

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
        let surfaces = surface::surfaces(&posed);
        let [ground] = &surfaces[..] else {
            panic!("one surface")
        };
        let planting = recipe.planting.as_ref().unwrap();
        assert!(document.plants.len() >= planting.digits.len().min(2));
        for plant in &document.plants {
            let node = document.node(plant.node).unwrap();
            let off = ground.distance(&posed.point(node.id)) - node.width / 2.0;
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
                !posed.outcome(anchor.id).limited,
                "{recipe:?}: {}",
                anchor.name
            );
        }
        // Joints stand for the flesh around them. A millimetre or two gives way under load; a
        // wrist is drawn round and is flatter than that.
        for node in hand_nodes(&document) {
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
        for anchor in &document.anchors {
            let name = &anchor.name;
            if let Solver::Thumb { rest } = anchor.solver {
                let turns = ["metacarpal", "phalanx-proximal", "phalanx-distal"]
                    .map(|joint| posed.turns(id(&document, &format!("{name}-{joint}"))));
                assert!(turns[0][2].abs() < 1e-7 && turns[0][0] < -2.0, "{turns:?}");
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

/// Joints of the shown pose that belong to the hand.
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

#[test]
fn an_arm_leaves_the_hand_where_it_was() {
    for stance in [Stance::Flat, Stance::Fingertips, Stance::Fist, Stance::Edge] {
        let mut recipe = recipe(stance, GroundForm::Plane);
        let (bare, mut free) = built(&recipe);
        recipe.hand.arm = Some(Arm::default());
        let (armed, mut posed) = built(&recipe);
        let arm = armed.anchor_named("arm").unwrap().id;
        for step in 0..40 {
            put(&bare, &mut free, &presses(step));
            put(&armed, &mut posed, &presses(step));
            assert!(posed.outcome(arm).residual < 1e-9, "in reach");
            for node in hand_nodes(&armed) {
                let (a, b) = (posed.world(node.id), free.world(id(&bare, &node.name)));
                assert!(
                    (a.translation.vector - b.translation.vector).norm() < 1e-9,
                    "{}",
                    node.name
                );
                assert!(a.rotation.angle_to(&b.rotation) < 1e-7, "{}", node.name);
            }
        }
    }
}

/// Believable: the shoulder above and behind, the elbow bent, out to the side and over the
/// surface, the wrist and the forearm within their ranges.
#[test]
fn the_arm_stands_as_an_arm_does() {
    for stance in [Stance::Flat, Stance::Fingertips, Stance::Fist, Stance::Edge] {
        let mut recipe = recipe(stance, GroundForm::Plane);
        recipe.hand.arm = Some(Arm::default());
        let (document, posed) = built(&recipe);
        let place = |name: &str| at(&document, &posed, name);
        let (shoulder, elbow, wrist) = (place("upper-arm"), place("lower-arm"), place("wrist"));
        let bend = (elbow - shoulder).angle(&(wrist - elbow)).to_degrees();
        assert!((50.0..100.0).contains(&bend), "{stance:?}: {bend}");
        assert!(shoulder.y > wrist.y + 200.0 && shoulder.x < wrist.x);
        assert!(
            elbow.y > 15.0 && elbow.z > wrist.z && elbow.x < wrist.x,
            "{elbow}"
        );
        assert!((elbow - shoulder).norm() - 300.0 < 1e-9 && (wrist - elbow).norm() - 260.0 < 1e-9);
        for name in ["arm", "wrist", "forearm"] {
            let outcome = posed.outcome(document.anchor_named(name).unwrap().id);
            assert!(!outcome.limited, "{stance:?}: {name}");
        }
        // A palm turned down is pronated: positive. On its edge the forearm is turned neither way.
        let [_, pronation, _] = posed.turns(id(&document, "wrist"));
        let [_, share, _] = posed.turns(id(&document, "forearm"));
        assert!(
            (share - 0.5 * pronation).abs() < 3.0,
            "{share} of {pronation}"
        );
        match stance {
            Stance::Flat | Stance::Fingertips => assert!((50.0..75.0).contains(&pronation)),
            Stance::Edge => assert!(pronation.abs() < 10.0, "{pronation}"),
            Stance::Fist => {}
        }
    }
}

#[test]
fn an_arm_says_where_its_reach_and_its_ranges_end() {
    let mut recipe = recipe(Stance::Flat, GroundForm::Plane);
    recipe.hand.arm = Some(Arm::default());
    let (document, mut posed) = built(&recipe);
    let outcome =
        |posed: &Posed, name: &str| *posed.outcome(document.anchor_named(name).unwrap().id);
    let bent = outcome(&posed, "arm").reach_margin;
    put(&document, &mut posed, &[("shoulder up", 60.0)]);
    let less = outcome(&posed, "arm").reach_margin;
    assert!(0.0 < less && less < bent, "{less} {bent}");
    put(
        &document,
        &mut posed,
        &[("shoulder up", 150.0), ("shoulder forward", -150.0)],
    );
    let gone = outcome(&posed, "arm");
    assert!(gone.reach_margin < 0.0 && gone.residual > 1.0, "{gone:?}");
    // The hand goes where it is told; that its wrist is bent too far is told.
    put(&document, &mut posed, &[("raw heel", 60.0)]);
    assert!(outcome(&posed, "wrist").limited);
    assert_eq!(outcome(&posed, "wrist").residual, 0.0);
}

/// What holds and what moves when the hand is lifted, with an arm as without.
#[test]
fn roles_are_right() {
    for arm in [None, Some(Arm::default())] {
        let mut recipe = recipe(Stance::Flat, GroundForm::Plane);
        recipe.hand.arm = arm;
        let (document, _) = built(&recipe);
        let lift = document.dial_named("lift").unwrap().id;
        let roles = roles(&document, &[lift]);
        let role = |name: &str| {
            let node = id(&document, name);
            roles.iter().find(|(id, _)| *id == node).unwrap().1
        };
        assert_eq!(role("knuckles"), Role::Mover);
        assert_eq!(role("wrist"), Role::Carried);
        assert_eq!(role("thumb-tip"), Role::Carried);
        assert_eq!(role("index-finger-pad"), Role::Anchored);
        assert_eq!(role("index-finger-plant"), Role::Still);
        assert_eq!(role("surface"), Role::Still);
        if arm.is_some() {
            assert_eq!(role("upper-arm"), Role::Carried);
            assert_eq!(role("forearm"), Role::Carried);
        }
    }
}

/// Load takes the last joint's flexion away, to straight at 100 %, and then bows it back; the pad
/// stays.
#[test]
fn a_loaded_last_joint_straightens_and_bows_back() {
    let (document, mut posed) = built(&recipe(Stance::Flat, GroundForm::Plane));
    let last = |posed: &Posed, finger: &str| {
        posed.turns(id(&document, &format!("{finger}-phalanx-distal")))[2]
    };
    let free = last(&posed, "index-finger");
    put(&document, &mut posed, &[("collapse", 50.0)]);
    let half = last(&posed, "index-finger");
    put(&document, &mut posed, &[("collapse", 100.0)]);
    assert!(last(&posed, "index-finger").abs() < 1e-9);
    assert!(0.0 < half && half < 0.7 * free, "{half} of {free}");
    assert!(worst_slip(&document, &posed) < 1e-9);
    put(&document, &mut posed, &[("collapse", 150.0)]);
    assert!(last(&posed, "index-finger") < -3.0);
    assert!(worst_slip(&document, &posed) < 1e-9);
    put(&document, &mut posed, &[("collapse middle-finger", 100.0)]);
    assert!(last(&posed, "middle-finger").abs() < 1e-9);
    assert_eq!(last(&posed, "index-finger"), free);
}

/// The thumb is planted by its pad, is let go of by its dial, and leads the dials that let go.
#[test]
fn the_thumb_is_planted_and_let_go_of() {
    let mut five = recipe(Stance::Flat, GroundForm::Plane);
    let digits = &mut five.planting.as_mut().unwrap().digits;
    digits.push("thumb".to_owned());
    let (document, mut posed) = built(&five);
    let first = document
        .dials
        .iter()
        .find(|dial| dial.name.starts_with("release"));
    assert_eq!(first.unwrap().name, "release thumb");
    let pad = id(&document, "thumb-pad");
    let slip = |posed: &Posed| posed.slip(pad).unwrap();
    put(&document, &mut posed, &[("lift", 4.0)]);
    assert!(slip(&posed) < 1e-6);
    let bare = |posed: &Posed| {
        let wrist = posed.world(id(&document, "wrist"));
        wrist
            .inverse_transform_point(&posed.point(pad).into())
            .coords
    };
    put(
        &document,
        &mut posed,
        &[("lift", 30.0), ("release thumb", 100.0)],
    );
    let free = bare(&posed);
    put(
        &document,
        &mut posed,
        &[("lift", 10.0), ("release thumb", 100.0)],
    );
    assert!((bare(&posed) - free).norm() < 1e-9, "it goes with the palm");
    assert!(slip(&posed) > 1.0);
}

/// The mobile metacarpals take their shares of the arch: the fifth twice the fourth's.
#[test]
fn the_arch_moves_the_mobile_metacarpals() {
    let (document, mut posed) = built(&recipe(Stance::Flat, GroundForm::Plane));
    put(&document, &mut posed, &[("arch", 12.0)]);
    let turn = |name: &str| posed.turns(id(&document, &format!("{name}-metacarpal")))[2];
    assert!(
        (turn("pinky-finger") - 12.0).abs() < 1e-12 && (turn("ring-finger") - 6.0).abs() < 1e-12
    );
    assert_eq!(turn("index-finger"), 0.0);
    assert!(worst_slip(&document, &posed) < 1e-9);
    // Flattened by a quarter of its range the table's row is level but for the middle finger.
    let level = |posed: &Posed| {
        let knuckle = |name: &str| at(&document, posed, &format!("{name}-phalanx-proximal")).y;
        knuckle("index-finger") - knuckle("pinky-finger")
    };
    let bowed = level(&posed);
    put(&document, &mut posed, &[("arch", -5.0)]);
    assert!(
        level(&posed).abs() < 0.5 && bowed > 10.0,
        "{} {bowed}",
        level(&posed)
    );
}

/// Flat is straight and let go, relaxed is let go, planted is as built; from anywhere.
#[test]
fn three_poses_are_one_command_away() {
    for recipe in standing() {
        let (mut document, built) = built(&recipe);
        let values: Vec<_> = document
            .dials
            .iter()
            .map(|dial| (dial.id, dial.min + 0.6 * (dial.max - dial.min)))
            .collect();
        edit::apply(&mut document, &Edit::SetDials { values }).unwrap();
        let go = |document: &mut Document, rest: Rest| {
            let setting = rest.setting(document);
            edit::apply(document, &Edit::Set { setting }).unwrap();
            Posed::new(document).unwrap()
        };
        let turned = |document: &Document, posed: &Posed| {
            let fingers = document
                .nodes
                .iter()
                .filter(|node| node.name.contains("phalanx"));
            let turns = fingers.flat_map(|node| posed.turns(node.id));
            turns.fold(0.0f64, |most, turn| most.max(turn.abs()))
        };
        let flat = go(&mut document, Rest::Flat);
        assert!(turned(&document, &flat) < 1e-9);
        let relaxed = go(&mut document, Rest::Relaxed);
        assert!((turned(&document, &relaxed) - bones::REST_FLEXION).abs() < 1e-9);
        let planted = go(&mut document, Rest::Planted);
        for node in &document.nodes {
            let off = (planted.point(node.id) - built.point(node.id)).norm();
            assert!(off < 1e-9, "{recipe:?}: {}", node.name);
        }
    }
}

/// Every press dial can be dragged by a handle that moves as the dial turns.
#[test]
fn handles_turn_their_dials() {
    let mut recipe = recipe(Stance::Flat, GroundForm::Plane);
    recipe.hand.arm = Some(Arm::default());
    let (document, posed) = built(&recipe);
    for (name, dial, value, sight) in [
        ("wrist", "lift", 21.0, Vec3::z()),
        ("roll handle", "roll", 30.0, Vec3::z()),
        ("roll handle", "roll", -12.0, Vec3::z()),
        ("lean handle", "lean", 11.0, Vec3::x()),
        ("lean handle", "lean", -9.0, Vec3::x()),
        ("twist handle", "twist", 7.0, Vec3::y()),
        ("surface", "surface travel", 40.0, Vec3::z()),
        ("shoulder", "shoulder up", 25.0, Vec3::z()),
        ("elbow pole", "elbow swing", 20.0, Vec3::x()),
    ] {
        let node = id(&document, name);
        let Grip::Dials(dials) = &document.node(node).unwrap().grip else {
            panic!("'{name}' has no grip")
        };
        let mut there = posed.clone();
        put(&document, &mut there, &[(dial, value)]);
        let moved = (there.point(node) - posed.point(node)).norm();
        assert!(moved > 4.0, "{name} moves {moved} mm");
        let mut pulled = posed.clone();
        pull::pull(&mut pulled, node, dials, there.point(node), sight);
        let found = pulled.dial(document.dial_named(dial).unwrap().id);
        assert!((found - value).abs() < 1e-4, "{name}: {found} for {value}");
    }
}

fn finger(name: &str) -> Digit {
    Digit {
        name: name.to_owned(),
        ..Hand::table().digits[2].clone()
    }
}

/// Three fingers and no thumb, one finger alone, a paw of short broad digits: all can press.
#[test]
fn characters_are_not_average_people() {
    let spread = |digits: &[&str], length: f64| {
        let count = digits.len() as f64;
        let digits = digits.iter().enumerate().map(|(k, name)| {
            let aside = 18.0 * (0.5 * (count - 1.0) - k as f64);
            let mut digit = finger(name);
            for bone in &mut digit.bones[1..] {
                *bone *= length;
            }
            digit.base[1] = 0.5 * aside;
            digit.head = [aside, 0.0];
            digit
        });
        Hand {
            digits: digits.collect(),
            ..Hand::table()
        }
    };
    for hand in [
        spread(&["one", "two", "three"], 1.0),
        spread(&["alone"], 1.0),
        spread(&["a", "b", "c", "d"], 0.6),
        spread(&["a", "b", "c", "d", "e", "f"], 1.6),
    ] {
        for stance in [Stance::Flat, Stance::Fingertips, Stance::Fist, Stance::Edge] {
            let recipe = Recipe {
                planting: Some(Planting {
                    stance,
                    digits: hand.digits.iter().map(|digit| digit.name.clone()).collect(),
                    ..Planting::default()
                }),
                hand: hand.clone(),
            };
            let Ok(document) = document(&recipe) else {
                // Short fingers are not long enough for high stances, and are told so.
                let fault = document(&recipe).unwrap_err();
                assert!(
                    fault.what().contains("does not come to the surface"),
                    "{fault}"
                );
                assert!(
                    stance == Stance::Fingertips && hand.digits.len() == 4,
                    "{fault}"
                );
                continue;
            };
            let mut posed = validate::document(&document).unwrap();
            assert!(worst_slip(&document, &posed) < 1e-9);
            put(&document, &mut posed, &[("lift", 5.0), ("lean", 3.0)]);
            for node in &document.nodes {
                assert!(posed.point(node.id).iter().all(|x| x.is_finite()));
            }
            if stance == Stance::Flat {
                assert!(worst_slip(&document, &posed) < 0.5);
            }
        }
    }
}

/// Nothing planted: the hand hovers, and all its dials still turn it.
#[test]
fn a_hand_with_nothing_planted_is_usable() {
    for stance in [Stance::Flat, Stance::Fingertips, Stance::Fist, Stance::Edge] {
        let mut recipe = recipe(stance, GroundForm::Plane);
        recipe.planting.as_mut().unwrap().digits.clear();
        let (document, mut posed) = built(&recipe);
        assert!(document.plants.is_empty());
        let rest = at(&document, &posed, "wrist");
        put(
            &document,
            &mut posed,
            &[("lift", 20.0), ("lean", 5.0), ("twist", 5.0)],
        );
        assert!((at(&document, &posed, "wrist") - rest).norm() > 5.0);
    }
}

#[test]
fn what_cannot_stand_is_told_with_its_mend() {
    let with = |change: &dyn Fn(&mut Recipe)| {
        let mut recipe = recipe(Stance::Flat, GroundForm::Plane);
        change(&mut recipe);
        recipe
    };
    let sized = |length, breadth| {
        with(&|r| (r.hand.length, r.hand.breadth) = (Size::Mm(length), Size::Mm(breadth)))
    };
    let digit = |change: &dyn Fn(&mut Digit)| with(&|r| change(&mut r.hand.digits[3]));
    let planting = |change: &dyn Fn(&mut Planting)| with(&|r| change(r.planting.as_mut().unwrap()));
    let arm = |change: &dyn Fn(&mut Arm)| {
        with(&|r| {
            let mut arm = Arm::default();
            change(&mut arm);
            r.hand.arm = Some(arm);
        })
    };
    for (recipe, words) in [
        (
            digit(&|d| d.bones[2] = 0.0),
            "a bone of its ring finger is 0 mm long",
        ),
        (
            digit(&|d| d.bones[0] = -58.0),
            "a bone of its ring finger is -58 mm long",
        ),
        (
            digit(&|d| d.bones[1] = f64::NAN),
            "a bone of its ring finger is NaN mm long",
        ),
        (digit(&|d| d.bones[1] = f64::INFINITY), "is inf mm long"),
        (
            digit(&|d| d.bones.truncate(3)),
            "its ring finger has 3 bones, and a finger has 4",
        ),
        (digit(&|d| d.thumb = true), "has 4 bones, and a thumb has 3"),
        (
            digit(&|d| d.soft_tip = -1.0),
            "soft tip of its ring finger is -1 mm",
        ),
        (
            digit(&|d| d.base[1] = f64::NAN),
            "its ring finger starts or ends at NaN mm",
        ),
        (digit(&|d| d.head[1] = 90.0), "above or below its base"),
        (
            digit(&|d| d.head[0] = 70.0),
            "would leave the wrist at more than 30°",
        ),
        (
            digit(&|d| d.mobile = f64::NAN),
            "metacarpal of its ring finger moves by NaN°",
        ),
        (digit(&|d| d.name.clear()), "one of its digits has no name"),
        (
            digit(&|d| d.name = "middle-finger".to_owned()),
            "two of its digits are named",
        ),
        (with(&|r| r.hand.digits.clear()), "it has no finger"),
        (with(&|r| r.hand.digits.truncate(1)), "it has no finger"),
        (
            with(&|r| r.hand.breadth = Size::Mm(300.0)),
            "is greater than its length",
        ),
        (
            with(&|r| {
                r.hand.length = Size::Mm(400.0);
                r.hand.breadth = Size::Mm(20.0);
            }),
            "its breadth, 20.0 mm, is less than a fifth of its length, 400.0 mm",
        ),
        (sized(19.0, 8.0), "its length would be 19.0 mm"),
        (sized(2001.0, 900.0), "its length would be 2001.0 mm"),
        (digit(&|d| d.bones[0] = 13.0), "is 13 mm long"),
        (digit(&|d| d.bones[1] = 8.0), "is 8 mm long"),
        (digit(&|d| d.bones[1] = 179.0), "is 179 mm long"),
        (digit(&|d| d.bones[2] = 4.0), "is 4 mm long"),
        (digit(&|d| d.bones[3] = 70.0), "is 70 mm long"),
        (
            with(&|r| r.hand.digits[0].bones[2] = 87.0),
            "a bone of its thumb is 87 mm long",
        ),
        (
            digit(&|d| d.soft_tip = 23.0),
            "soft tip of its ring finger is 23 mm",
        ),
        (digit(&|d| d.base[0] = 201.0), "starts or ends at 201 mm"),
        (planting(&|p| p.flexion = 61.0), "a flexion of 61°"),
        (planting(&|p| p.flexion = -1.0), "a flexion of -1°"),
        (planting(&|p| p.pivot.drop = -192.0), "lie -192 mm below"),
        (arm(&|a| a.upper = 74.0), "its upper arm is 74 mm long"),
        (arm(&|a| a.lower = 1041.0), "its forearm is 1041 mm long"),
        (
            planting(&|p| p.digits.push("toe".to_owned())),
            "'toe' is to be planted",
        ),
        (
            planting(&|p| p.digits.push("ring-finger".to_owned())),
            "planted twice",
        ),
        (planting(&|p| p.flexion = f64::NAN), "a flexion of NaN°"),
        (planting(&|p| p.flexion = 130.0), "a flexion of 130°"),
        (planting(&|p| p.pivot.offset = f64::NAN), "NaN mm towards"),
        (planting(&|p| p.pivot.yaw = 400.0), "turned by 400°"),
        (
            planting(&|p| p.surface.height = f64::INFINITY),
            "surface is inf mm high",
        ),
        (planting(&|p| p.surface.tilt = 90.0), "tilted by 90°"),
        (
            planting(&|p| {
                p.surface.form = GroundForm::Edge;
                p.surface.radius = 5000.0;
            }),
            "radius is 5000 mm",
        ),
        (
            planting(&|p| {
                p.surface.form = GroundForm::Edge;
                p.surface.radius = -4.0;
            }),
            "radius is -4 mm",
        ),
        (
            planting(&|p| p.surface.radius = f64::NAN),
            "radius is NaN mm",
        ),
        (
            planting(&|p| {
                p.surface.form = GroundForm::Rail;
                p.surface.radius = 0.0;
            }),
            "radius is 0 mm",
        ),
        (
            planting(&|p| {
                p.stance = Stance::Fist;
                p.heel = true;
            }),
            "only a flat hand can",
        ),
        (
            planting(&|p| {
                p.stance = Stance::Edge;
                p.digits.pop();
            }),
            "rests on its pinky finger, which is not to be planted",
        ),
        (
            planting(&|p| {
                p.stance = Stance::Edge;
                p.surface.form = GroundForm::Rail;
            }),
            "does not come to the surface",
        ),
        (
            planting(&|p| {
                p.surface.form = GroundForm::Rail;
                p.heel = true;
            }),
            "its heel contact does not come to the surface",
        ),
        (
            with(&|r| {
                r.planting.as_mut().unwrap().stance = Stance::Fingertips;
                r.hand.digits[4].bones[1..].fill(8.5);
            }),
            "its pinky finger does not come to the surface",
        ),
        (arm(&|a| a.upper = 0.0), "its upper arm is 0 mm long"),
        (
            Recipe {
                planting: None,
                ..arm(&|a| a.upper = f64::NAN)
            },
            "its upper arm is NaN mm long",
        ),
        (arm(&|a| a.lower = f64::NAN), "its forearm is NaN mm long"),
        (
            arm(&|a| a.twist_share = 1.5),
            "takes over 1.5 of the wrist's twist",
        ),
    ] {
        let fault = document(&recipe).expect_err(words);
        assert!(
            fault.what().contains(words),
            "'{words}' is not in '{fault}'"
        );
        assert!(!fault.mend().is_empty());
    }
}

/// At the very bounds a hand is still one: a doll's, a giant's, and hands of the shortest and
/// longest bones that are taken.
#[test]
fn hands_out_of_the_ordinary_are_built() {
    for (length, ratio) in [(20.0, 0.44), (2000.0, 0.44), (191.8, 0.2), (191.8, 0.6)] {
        let mut recipe = recipe(Stance::Flat, GroundForm::Plane);
        recipe.hand.length = Size::Mm(length);
        recipe.hand.breadth = Size::Mm(length * ratio);
        let (document, posed) = built(&recipe);
        assert!(worst_slip(&document, &posed) < 1e-9 * length);
    }
    for style in [0.25, 0.5, 2.0, 4.0] {
        let mut hand = Hand::table();
        // Phalanges alone: a metacarpal has to span the palm.
        for digit in &mut hand.digits {
            digit.bones[1..].iter_mut().for_each(|bone| *bone *= style);
        }
        let planting = None;
        document(&Recipe { hand, planting }).unwrap_or_else(|fault| panic!("{style}: {fault}"));
    }
}

/// A file that gives the recipe alone, in words.
#[test]
fn a_stance_can_be_written_by_hand() {
    let text = r#"{
        "format": "handstand/1",
        "hand": {
            "hand": {"side": "left", "length": {"percentile": {"percent": 84, "sex": "female", "survey": "ansur"}}, "arm": {}},
            "planting": {"stance": "fingertips", "digits": ["index-finger", "middle-finger"], "surface": {"form": "rail", "radius": 60, "tilt": 5}}
        },
        "set": {"lift": 4}
    }"#;
    let document = read(text).unwrap_or_else(|fault| panic!("{fault}"));
    assert_eq!(document.plants.len(), 2);
    assert_eq!(write(&read(&write(&document)).unwrap()), write(&document));
}

/// What is said to mend a radius does.
#[test]
fn the_radii_told_are_taken() {
    for (form, [least, most]) in [
        (GroundForm::Edge, [0.0, 1000.0]),
        (GroundForm::Rail, [0.5, 1000.0]),
    ] {
        for (radius, taken) in [
            (least, true),
            (most, true),
            (least - 0.1, false),
            (most + 1.0, false),
        ] {
            let mut planting = Planting::default();
            (planting.surface.form, planting.surface.radius) = (form, radius);
            let told = hand::planted(&Hand::table(), &planting).err();
            let mend = told
                .filter(|fault| fault.what().contains("radius"))
                .map(|fault| fault.mend());
            let expected = "give an edge 0 to 1000 mm, a rail 0.5 to 1000";
            assert_eq!(
                mend.as_deref(),
                (!taken).then_some(expected),
                "{form:?} {radius}"
            );
        }
    }
}

/// A plane has no radius, so whatever stands there is as good.
#[test]
fn a_planes_radius_is_not_asked_about() {
    let mut planting = Planting::default();
    assert_eq!(planting.surface.form, GroundForm::Plane);
    for radius in [-4.0, 0.0, 5000.0] {
        planting.surface.radius = radius;
        hand::planted(&Hand::table(), &planting).unwrap();
    }
}
