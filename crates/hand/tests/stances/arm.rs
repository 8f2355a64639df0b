//! The arm above a hand that stands.
use super::*;

/// Joints of the shown pose that belong to the hand.
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
    assert!(
        !outcome(&posed, "wrist").limited,
        "pressing bends it so far"
    );
    put(
        &document,
        &mut posed,
        &[("raw heel", 60.0), ("roll", -30.0)],
    );
    assert!(outcome(&posed, "wrist").limited);
    assert_eq!(outcome(&posed, "wrist").residual, 0.0);
}
