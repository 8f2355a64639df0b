//! What dials and handles move of a hand that stands.
use super::*;

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
    let end = id(&document, "thumb-tip-contact");
    let slip = |posed: &Posed| posed.slip(end).unwrap();
    put(&document, &mut posed, &[("lift", 4.0)]);
    assert!(slip(&posed) < 1e-6);
    let bare = |posed: &Posed| {
        let wrist = posed.world(id(&document, "wrist"));
        wrist
            .inverse_transform_point(&posed.point(end).into())
            .coords
    };
    // High enough it goes with the palm; lower it rests on the bench, and is not in it.
    let free = |posed: &mut Posed, lift: f64| {
        put(
            &document,
            posed,
            &[("lift", lift), ("release thumb", 100.0)],
        );
        bare(posed)
    };
    let (high, higher) = (free(&mut posed, 30.0), free(&mut posed, 40.0));
    assert!((high - higher).norm() < 1e-6, "it goes with the palm");
    free(&mut posed, -2.0);
    let radius = 0.5 * document.node(end).unwrap().width;
    assert!(posed.point(end).y > radius - 0.2);
    assert_eq!(slip(&posed), 0.0, "what is let go does not slip");
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
        // The knuckles open where the surface asks for it; the joints after them do not.
        let turned = |document: &Document, posed: &Posed| {
            let after = |node: &&Shared<Node>| {
                let joints = ["-phalanx-intermediate", "finger-phalanx-distal"];
                joints.iter().any(|joint| node.name.contains(joint))
            };
            let fingers = document.nodes.iter().filter(after);
            let turns = fingers.flat_map(|node| posed.turns(node.id));
            turns.fold(0.0f64, |most, turn| most.max(turn.abs()))
        };
        let flat = go(&mut document, Rest::Flat);
        assert!(turned(&document, &flat) < 1e-9);
        let relaxed = go(&mut document, Rest::Relaxed);
        // The little finger's middle joint is the one that is bent most.
        let [_, most, _] = bones::relaxed(bones::DIGITS[4].head[0]);
        assert!((turned(&document, &relaxed) - most).abs() < 1e-9);
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
