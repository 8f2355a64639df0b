//! What cannot stand, and the mend.
use super::*;

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
            "rests on its little finger, which is not to be planted",
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
            "its little finger does not come to the surface",
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
