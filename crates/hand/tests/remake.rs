//! A hand built anew from another recipe: what stays, what is refused, exact undo.
mod common;
use common::{Act, apply};
use hand::{Arm, Digit, Planting, Recipe, Refusal, Side, Sideways, Size, Stance, document};
use rig::*;

fn press() -> Recipe {
    Recipe {
        planting: Some(Planting::default()),
        ..Recipe::default()
    }
}

fn bits(document: &Document) -> String {
    format!("{document:?}")
}

fn remake(to: &mut Document, recipe: &Recipe) -> Result<(), Refusal> {
    let recipe = Box::new(recipe.clone());
    apply(to, &hand::Edit::Remake { recipe })
}

/// Remakes, and takes it back to the last bit and makes it again.
fn remade(to: &mut Document, recipe: &Recipe) {
    let mut history = History::new(Posed::new(to).unwrap());
    let recipe_kept = Box::new(recipe.clone());
    let remake = hand::Edit::Remake {
        recipe: recipe_kept,
    };
    let made = remake.act(&mut history);
    made.unwrap_or_else(|refusal| panic!("{refusal}"));
    let after = history.document().clone();
    history.undo();
    assert_eq!(bits(history.document()), bits(to));
    history.redo();
    assert_eq!(bits(history.document()), bits(&after));
    *to = after;
    assert_eq!(to.hand.as_deref(), Some(recipe));
}

fn recipes() -> Vec<(&'static str, Recipe)> {
    let with = |change: &dyn Fn(&mut Recipe)| {
        let mut recipe = press();
        change(&mut recipe);
        recipe
    };
    let planting =
        |change: &dyn Fn(&mut Planting)| with(&|recipe| change(recipe.planting.as_mut().unwrap()));
    vec![
        ("left", with(&|r| r.hand.side = Side::Left)),
        ("long", with(&|r| r.hand.length = Size::Mm(215.0))),
        ("arm", with(&|r| r.hand.arm = Some(Arm::default()))),
        ("thumbless", with(&|r| drop(r.hand.digits.remove(0)))),
        (
            "three fingers",
            with(&|r| {
                r.hand.digits.remove(3);
                r.planting.as_mut().unwrap().digits.remove(2);
            }),
        ),
        (
            "six digits",
            with(&|r| {
                let mut sixth: Digit = r.hand.digits[4].clone();
                sixth.name = "outer-finger".to_owned();
                sixth.base[1] -= 14.0;
                sixth.head[0] -= 20.0;
                r.hand.digits.push(sixth);
                let planting = r.planting.as_mut().unwrap();
                planting.digits.push("outer-finger".to_owned());
            }),
        ),
        ("fingertips", planting(&|p| p.stance = Stance::Fingertips)),
        ("fist", planting(&|p| p.stance = Stance::Fist)),
        ("edge", planting(&|p| p.stance = Stance::Edge)),
        ("high", planting(&|p| p.surface.height = 40.0)),
        ("unplanted", with(&|r| r.planting = None)),
    ]
}

/// Whatever is asked for after whatever, the outcome is what building it afresh gives.
#[test]
fn a_hand_remade_is_the_hand_built() {
    let mut hand = document(&press()).unwrap();
    let named = |document: &Document| {
        // Ids differ; a file has names.
        let text = write(document);
        write(&read(&text).unwrap())
    };
    for (name, recipe) in recipes() {
        remade(&mut hand, &recipe);
        let mut fresh = document(&recipe).unwrap();
        fresh.name.clone_from(&hand.name);
        assert_eq!(named(&hand), named(&fresh), "{name}");
    }
}

#[test]
fn remaking_the_same_changes_nothing() {
    let mut hand = document(&press()).unwrap();
    let before = hand.clone();
    remake(&mut hand, &press()).unwrap();
    assert_eq!(hand, before);
}

#[test]
fn ids_values_and_the_users_own_stay() {
    let mut hand = document(&press()).unwrap();
    let id = |hand: &Document, name: &str| hand.node_named(name).unwrap().id;
    let dial = |hand: &Document, name: &str| hand.dial_named(name).unwrap().clone();
    let made = |hand: &mut Document, edit: Edit| {
        apply(hand, &edit).unwrap_or_else(|refusal| panic!("{refusal}"));
    };
    let (wrist, ring) = (id(&hand, "wrist"), id(&hand, "ring-finger-tip"));
    let (lift, lean) = (dial(&hand, "lift"), dial(&hand, "lean"));
    for edit in [
        Edit::SetDials {
            values: vec![(lift.id, 25.0), (dial(&hand, "rest flexion").id, 20.0)],
        },
        Edit::SetSoftness {
            dial: lean.id,
            softness: 1.5,
        },
        Edit::SetLimits {
            node: wrist,
            channel: Channel::TurnZ,
            limits: Some((-10.0, 10.0)),
        },
        Edit::SetOrder {
            node: wrist,
            order: Order::Zyx,
        },
        Edit::SetGrip {
            node: ring,
            grip: Grip::Dials(vec![dial(&hand, "release ring-finger").id]),
        },
        Edit::AddNode {
            name: "ribbon".to_owned(),
            kind: Kind::Joint,
            parent: Some(wrist),
            at: Vec3::new(-30.0, 40.0, 0.0),
            width: 6.0,
        },
        Edit::AddDrive {
            dial: "lift".to_owned(),
            unit: Unit::Degrees,
            range: (-30.0, 90.0),
            drive: Drive {
                target: Target::Channel(wrist, Channel::MoveX),
                gain: 0.1,
                ramp: Ramp::Whole,
            },
        },
    ] {
        made(&mut hand, edit);
    }
    let ribbon = hand.node_named("ribbon").unwrap().clone();
    let mut other = press();
    other.hand.length = Size::Mm(200.0);
    let planting = other.planting.as_mut().unwrap();
    planting.digits.retain(|name| name != "ring-finger");
    remade(&mut hand, &other);

    assert_eq!(
        (id(&hand, "wrist"), id(&hand, "ring-finger-tip")),
        (wrist, ring)
    );
    let after = dial(&hand, "lift");
    assert_eq!((after.id, hand.value(after.id)), (lift.id, Some(25.0)));
    assert_eq!(after.drives.len(), lift.drives.len() + 1);
    assert_eq!(hand.value(dial(&hand, "rest flexion").id), Some(20.0));
    assert_eq!(dial(&hand, "lean").softness, Some(1.5));
    let node = hand.node(wrist).unwrap();
    assert_eq!(node.limits[2], Some((-10.0, 10.0)));
    assert_eq!(node.order, Order::Zyx);
    assert_eq!(hand.node_named("ribbon"), Some(&ribbon));
    assert!(hand.dial_named("ribbon turn").is_some());
    // The ring finger is no longer planted: what let go of it is gone, from the grip too.
    assert!(hand.dial_named("release ring-finger").is_none());
    assert_eq!(hand.node(ring).unwrap().grip, Grip::None);
    // The user's flexion stays through a stance that has its own, as a value would that they set.
    other.planting.as_mut().unwrap().stance = Stance::Fist;
    remade(&mut hand, &other);
    assert_eq!(hand.value(dial(&hand, "rest flexion").id), Some(20.0));
    assert_eq!(hand.value(dial(&hand, "curl").id), Some(100.0));
}

#[test]
fn what_would_dangle_is_refused_by_name() {
    let mut hand = document(&press()).unwrap();
    let ring = hand.node_named("ring-finger-tip").unwrap().id;
    let own = |name: &str, parent| Edit::AddNode {
        name: name.to_owned(),
        kind: Kind::Mount,
        parent,
        at: Vec3::new(100.0, 30.0, 0.0),
        width: 0.0,
    };
    apply(&mut hand, &own("bell", Some(ring))).unwrap();
    let mut fewer = press();
    fewer.hand.digits.remove(3);
    fewer.planting.as_mut().unwrap().digits.remove(2);
    let before = bits(&hand);
    let refusal = remake(&mut hand, &fewer).unwrap_err().to_string();
    assert!(
        refusal.contains("'bell'") && refusal.contains("'ring-finger-tip'"),
        "{refusal}"
    );
    assert_eq!(bits(&hand), before);

    let mut hand = document(&press()).unwrap();
    apply(&mut hand, &own("shoulder", None)).unwrap();
    let mut arm = press();
    arm.hand.arm = Some(Arm::default());
    let refusal = remake(&mut hand, &arm).unwrap_err().to_string();
    assert!(refusal.contains("'shoulder'"), "{refusal}");

    let mut impossible = press();
    impossible.hand.breadth = Size::Mm(-1.0);
    let before = bits(&hand);
    assert!(remake(&mut hand, &impossible).is_err());
    assert_eq!(bits(&hand), before);

    let chain = include_str!("../../../examples/bench-press-chain.hand.json");
    assert!(remake(&mut read(chain).unwrap(), &press()).is_err());
}

/// Parts deleted by hand are missed by nothing, and come back when the hand is remade.
#[test]
fn a_hand_with_parts_deleted_is_sound() {
    let mut hand = document(&press()).unwrap();
    for name in [
        "index-finger-phalanx-distal",
        "twist handle",
        "thumb-metacarpal",
    ] {
        let node = hand.node_named(name).unwrap().id;
        apply(&mut hand, &Edit::Delete { node }).unwrap();
        validate::document(&hand).unwrap();
        assert_eq!(write(&read(&write(&hand)).unwrap()), write(&hand));
    }
    remade(&mut hand, &press());
    let fresh = document(&press()).unwrap();
    assert_eq!(hand.nodes.len(), fresh.nodes.len());
    assert_eq!(hand.anchors.len(), fresh.anchors.len());
}

/// A left hand's lean counted the other way: the dial reads its negative and nothing moves; made a
/// right hand, it is the image in a mirror.
#[test]
fn counted_the_other_way_nothing_moves() {
    let with = |side, sideways| {
        let mut recipe = press();
        (recipe.hand.side, recipe.hand.sideways) = (side, sideways);
        recipe
    };
    let role = DialRole::Lean;
    let mut left = document(&with(Side::Left, Sideways::Mirrored)).unwrap();
    let dial = left.role(&role).unwrap().id;
    left.set_value(dial, 9.0);
    let stands = |document: &Document| {
        let mut posed = Posed::new(document).unwrap();
        posed.evaluate();
        let at = |node: &Shared<Node>| posed.point(node.id);
        document.nodes.iter().map(at).collect::<Vec<_>>()
    };
    let before = stands(&left);
    remade(&mut left, &with(Side::Left, Sideways::SameWay));
    assert_eq!(left.value(dial), Some(-9.0));
    assert_eq!(stands(&left), before);
    remade(&mut left, &with(Side::Right, Sideways::SameWay));
    assert_eq!(left.value(dial), Some(9.0));
    let image: Vec<_> = before
        .iter()
        .map(|p| Vec3::new(p.x, p.y, 0.0 - p.z))
        .collect();
    assert_eq!(stands(&left), image);
}
