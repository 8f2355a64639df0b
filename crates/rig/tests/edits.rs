//! Edits: what they keep, what they refuse, and how a refusal teaches.
use rig::fault::Explain;
use rig::{edit::apply, *};

const CHAIN: &str = include_str!("../../../examples/bench-press-chain.hand.json");

fn chain() -> Document {
    read(CHAIN).expect("the example is good")
}

fn id(document: &Document, name: &str) -> NodeId {
    document.node_named(name).expect(name).id
}

fn refused(document: &mut Document, edit: Edit) -> Refusal {
    let before = document.clone();
    let refusal = apply(document, &edit).expect_err("this edit is to be refused");
    assert_eq!(*document, before, "a refused edit changes nothing");
    refusal
}

/// A wrist, knuckle and tip drawn on an empty sheet.
fn drawn() -> Document {
    let mut document = Document::default();
    let mut parent = None;
    for (name, x) in [("wrist", 0.0), ("knuckle", 90.0), ("tip", 170.0)] {
        let at = Vec3::new(x, 0.0, 0.0);
        let edit = Edit::AddNode {
            name: name.into(),
            kind: Kind::Joint,
            parent,
            at,
            width: 20.0,
        };
        apply(&mut document, &edit).unwrap();
        parent = Some(id(&document, name));
    }
    document
}

#[test]
fn a_drawn_chain_can_be_dragged() {
    let document = drawn();
    let mut posed = Posed::new(&document).unwrap();
    let tip = id(&document, "tip");
    let Grip::Dials(dials) = &document.node(tip).unwrap().grip else {
        panic!("tip has a grip")
    };
    // The knuckle, 80 mm away, turns: straight up is 80 mm above it.
    pull::pull(
        &mut posed,
        tip,
        dials,
        Vec3::new(95.0, 300.0, 0.0),
        Vec3::z(),
    );
    let up = Vec3::new(5.0, 300.0, 0.0).normalize() * 80.0 + Vec3::new(90.0, 0.0, 0.0);
    assert!(
        (posed.point(tip) - up).norm() < 1e-6,
        "{:?}",
        posed.point(tip)
    );
    let wrist = id(&document, "wrist");
    let Grip::Dials(dials) = &document.node(wrist).unwrap().grip else {
        panic!("wrist has a grip")
    };
    assert_eq!(dials.len(), 2);
    pull::pull(
        &mut posed,
        wrist,
        dials,
        Vec3::new(-30.0, 40.0, 7.0),
        Vec3::z(),
    );
    assert!((posed.point(wrist) - Vec3::new(-30.0, 40.0, 0.0)).norm() < 1e-6);
}

#[test]
fn a_node_cannot_hang_from_what_it_carries() {
    let mut document = drawn();
    let (node, parent) = (id(&document, "wrist"), Some(id(&document, "knuckle")));
    let refusal = refused(&mut document, Edit::Rehang { node, parent });
    assert_eq!(
        refusal.why(),
        "the wrist carries the knuckle, so the knuckle cannot carry the wrist"
    );
    assert_eq!(
        refusal.mend(),
        "put a mount where the knuckle is, and hang the wrist from that"
    );
    refused(
        &mut document,
        Edit::Rehang {
            node,
            parent: Some(node),
        },
    );
    // The mend mends it.
    let name = "pivot".to_owned();
    let at = Vec3::new(90.0, 0.0, 0.0);
    let mount = Edit::AddNode {
        name,
        kind: Kind::Mount,
        parent: None,
        at,
        width: 0.0,
    };
    apply(&mut document, &mount).unwrap();
    let parent = Some(id(&document, "pivot"));
    apply(&mut document, &Edit::Rehang { node, parent }).unwrap();
    assert_eq!(document.node(node).unwrap().parent, parent);
}

#[test]
fn an_anchor_cannot_hold_to_what_it_turns() {
    let mut document = chain();
    let (staple, knuckle) = (id(&document, "knuckle staple"), id(&document, "knuckle"));
    let refusal = refused(
        &mut document,
        Edit::Rehang {
            node: staple,
            parent: Some(knuckle),
        },
    );
    assert!(refusal.why().contains("'knuckle staple'"), "{refusal}");
    assert!(
        refusal.why().contains("'knuckle', which it moves"),
        "{refusal}"
    );
    assert!(refusal.mend().contains("outside 'wrist'"), "{refusal}");

    let mut document = drawn();
    let [wrist, knuckle, tip] = ["wrist", "knuckle", "tip"].map(|n| id(&document, n));
    let anchor = |base, end, under| Edit::AddAnchor {
        name: "palm".into(),
        base,
        end,
        solver: Solver::Aim,
        under,
    };
    let refusal = refused(&mut document, anchor(wrist, knuckle, Some(tip)));
    assert!(refusal.why().contains("'wrist' carries 'tip'"), "{refusal}");
    let refusal = refused(&mut document, anchor(knuckle, wrist, None));
    assert!(
        refusal
            .why()
            .contains("'wrist' does not hang below 'knuckle'"),
        "{refusal}"
    );
    let refusal = refused(&mut document, anchor(wrist, tip, None));
    assert!(refusal.why().contains("exactly one bone"), "{refusal}");
}

#[test]
fn names_numbers_and_bones_are_refused_at_the_door() {
    let mut document = chain();
    let [wrist, knuckle, finger] = ["wrist", "knuckle", "finger"].map(|n| id(&document, n));
    let rename = |name: &str| Edit::Rename {
        node: wrist,
        name: name.into(),
    };
    assert_eq!(
        refused(&mut document, rename("tip")).why(),
        "two nodes are named 'tip'"
    );
    assert_eq!(
        refused(&mut document, rename("  ")).why(),
        "the node has no name"
    );
    let lift = document.dials[0].id;
    for bad in [f64::NAN, f64::INFINITY, 1e300] {
        refused(
            &mut document,
            Edit::SetDials {
                values: vec![(lift, bad)],
            },
        );
        refused(&mut document, Edit::SetBench { height: Some(bad) });
        refused(
            &mut document,
            Edit::SetSoftness {
                dial: lift,
                softness: bad,
            },
        );
        let to = Vec3::new(bad, 0.0, 0.0);
        refused(
            &mut document,
            Edit::Move {
                node: wrist,
                to,
                keep_children: true,
            },
        );
        let limits = Some((bad, bad));
        refused(
            &mut document,
            Edit::SetLimits {
                node: wrist,
                channel: Channel::TurnZ,
                limits,
            },
        );
    }
    refused(
        &mut document,
        Edit::SetSoftness {
            dial: lift,
            softness: -1.0,
        },
    );
    let limits = Some((5.0, -5.0));
    refused(
        &mut document,
        Edit::SetLimits {
            node: wrist,
            channel: Channel::TurnZ,
            limits,
        },
    );
    let to = Posed::new(&document).unwrap().point(knuckle);
    let onto = Edit::Move {
        node: finger,
        to,
        keep_children: true,
    };
    let why = refused(&mut document, onto).why();
    assert_eq!(why, "the bone from 'knuckle' to 'finger' has no length");
    for stale in [
        Edit::Delete { node: NodeId(999) },
        Edit::Rename {
            node: NodeId(999),
            name: "x".into(),
        },
    ] {
        assert!(
            refused(&mut document, stale)
                .why()
                .contains("no longer in the document")
        );
    }
    refused(
        &mut document,
        Edit::SetDials {
            values: vec![(DialId(999), 0.0)],
        },
    );
    refused(
        &mut document,
        Edit::SetGrip {
            node: wrist,
            grip: Grip::Dials(vec![DialId(999)]),
        },
    );
    refused(
        &mut document,
        Edit::SetGrip {
            node: wrist,
            grip: Grip::Dials(vec![]),
        },
    );
    refused(
        &mut document,
        Edit::Gather {
            anchors: vec![],
            name: "c".into(),
            at: Vec3::zeros(),
        },
    );
}

#[test]
fn a_dial_stops_at_its_limits() {
    let mut document = chain();
    let lift = document.dials[0].id;
    apply(
        &mut document,
        &Edit::SetDials {
            values: vec![(lift, -500.0)],
        },
    )
    .unwrap();
    assert_eq!(document.setting.dials[0], -15.0);
    apply(
        &mut document,
        &Edit::SetDials {
            values: vec![(lift, 500.0)],
        },
    )
    .unwrap();
    assert_eq!(document.setting.dials[0], 75.0);
}

#[test]
fn deleting_takes_along_what_would_dangle() {
    let mut document = chain();
    let before = document.clone();
    let pivot = id(&document, "knuckle pivot");
    let mut history = History::new(Posed::new(&document).unwrap());
    history.edit(&Edit::Delete { node: pivot }).unwrap();
    document = history.document().clone();
    let left: Vec<_> = document.nodes.iter().map(|n| n.name.as_str()).collect();
    assert_eq!(left, ["bench", "knuckle staple", "tip staple"]);
    assert!(document.anchors.is_empty() && document.dials.is_empty() && document.plants.is_empty());
    assert_eq!(document.next_id, before.next_id);
    history.undo();
    assert_eq!(*history.document(), before);
}

#[test]
fn gathered_anchors_move_as_one() {
    let mut document = chain();
    let anchors = document.anchors.iter().map(|a| a.id).collect();
    let at = Vec3::new(10.0, 20.0, 0.0);
    apply(
        &mut document,
        &Edit::Gather {
            anchors,
            name: "carrier".into(),
            at,
        },
    )
    .unwrap();
    let carrier = id(&document, "carrier");
    assert_eq!(
        document.node(carrier).unwrap().parent,
        Some(id(&document, "bench"))
    );
    assert_eq!(document.children(Some(carrier)).count(), 2);
    let posed = Posed::new(&document).unwrap();
    assert_eq!(posed.point(carrier), at);
    let place = posed.point(id(&document, "tip staple"));
    assert!((place - Vec3::new(168.0, 0.0, 0.0)).norm() < 1e-12);
}

#[test]
fn an_anchor_holds_the_end_where_it_is() {
    let mut document = drawn();
    let [wrist, knuckle] = ["wrist", "knuckle"].map(|n| id(&document, n));
    let solver = Solver::Aim;
    let name = "palm".to_owned();
    let edit = Edit::AddAnchor {
        name,
        base: wrist,
        end: knuckle,
        solver,
        under: None,
    };
    apply(&mut document, &edit).unwrap();
    let mut posed = Posed::new(&document).unwrap();
    assert_eq!(posed.slip(knuckle), Some(0.0));
    // The wrist dragged along the bone: the end slips by as much (docs/mathematics.md 2).
    let across = document.dial_named("wrist across").unwrap().id;
    posed.set_dial(across, 13.0);
    posed.evaluate();
    assert!((posed.slip(knuckle).unwrap() - 13.0).abs() < 1e-12);
}

#[test]
fn every_solver_works_on_a_drawn_chain() {
    let bend = [0.0, 0.0, 1.0];
    let two_bone = Solver::TwoBone {
        pole: None,
        softness: 0.0,
        bend,
    };
    for solver in [two_bone, Solver::DampedLeastSquares, Solver::Fabrik] {
        let mut document = drawn();
        let [wrist, tip] = ["wrist", "tip"].map(|n| id(&document, n));
        let name = "chain".to_owned();
        let edit = Edit::AddAnchor {
            name,
            base: wrist,
            end: tip,
            solver,
            under: None,
        };
        apply(&mut document, &edit).unwrap();
        let target = document.anchors[0].target;
        let to = Vec3::new(120.0, 60.0, 0.0);
        apply(
            &mut document,
            &Edit::Move {
                node: target,
                to,
                keep_children: true,
            },
        )
        .unwrap();
        let posed = Posed::new(&document).unwrap();
        let reached = posed.point(tip);
        assert!(
            (reached - to).norm() < 1e-6,
            "{solver:?} reaches {reached:?}"
        );
        assert!(
            (posed.slip(tip).unwrap() - (reached - Vec3::new(170.0, 0.0, 0.0)).norm()).abs()
                < 1e-12
        );
        // It is a hinge, so it stays in its plane.
        assert_eq!(posed.point(id(&document, "knuckle")).z, 0.0);
    }
}

#[test]
fn a_pivot_moved_in_mid_turn_carries_as_if_it_had_always_been_there() {
    let mut turned = drawn();
    let wrist = id(&turned, "wrist");
    let pivot = |document: &mut Document, at: Vec3| {
        let insert = Edit::InsertPivot {
            above: wrist,
            name: "pivot".into(),
            at,
        };
        apply(document, &insert).unwrap();
        let node = id(document, "pivot");
        let drive = Drive {
            target: Target::Channel(node, Channel::TurnZ),
            gain: -1.0,
            ramp: Ramp::Whole,
        };
        let add = Edit::AddDrive {
            dial: "lift".into(),
            unit: Unit::Degrees,
            range: (0.0, 60.0),
            drive,
        };
        apply(document, &add).unwrap();
        let lift = document.dial_named("lift").unwrap().id;
        let values = vec![(lift, 40.0)];
        apply(document, &Edit::SetDials { values }).unwrap();
        node
    };
    let mut right = turned.clone();
    pivot(&mut right, Vec3::new(90.0, 0.0, 0.0));
    let node = pivot(&mut turned, Vec3::new(84.0, 2.0, 0.0));
    let to = Vec3::new(90.0, 0.0, 0.0);
    apply(&mut turned, &Edit::MovePivot { node, to }).unwrap();
    let (turned, right) = (Posed::new(&turned).unwrap(), Posed::new(&right).unwrap());
    assert!((turned.point(node) - to).norm() < 1e-12);
    let off = (turned.point(wrist) - right.point(wrist)).norm();
    assert!(off < 1e-12, "the wrist is {off} mm off");
}

#[test]
fn a_dial_turns_a_joint_once() {
    let mut document = drawn();
    let drive_by = |node, channel, gain| Edit::AddDrive {
        dial: "knuckle bend".into(),
        unit: Unit::Degrees,
        range: (-90.0, 90.0),
        drive: Drive {
            target: Target::Channel(node, channel),
            gain,
            ramp: Ramp::Whole,
        },
    };
    let [knuckle, tip] = ["knuckle", "tip"].map(|name| id(&document, name));
    apply(&mut document, &drive_by(knuckle, Channel::TurnZ, 1.0)).unwrap();
    for gain in [1.0, -0.5] {
        let refusal = refused(&mut document, drive_by(knuckle, Channel::TurnZ, gain));
        assert_eq!(
            refusal.to_string(),
            "the dial 'knuckle bend' already turns 'knuckle' that way; \
             use that dial, or give the new one another name."
        );
    }
    // Another channel, or another joint, is not the same.
    apply(&mut document, &drive_by(knuckle, Channel::MoveX, 1.0)).unwrap();
    let refusal = refused(&mut document, drive_by(knuckle, Channel::MoveX, 1.0));
    assert!(
        refusal.why().contains("already moves 'knuckle'"),
        "{refusal}"
    );
    apply(&mut document, &drive_by(tip, Channel::TurnZ, 1.0)).unwrap();

    let mut document = chain();
    let anchor = document.anchors[0].id;
    let hold = Edit::AddDrive {
        dial: "let go".into(),
        unit: Unit::Percent,
        range: (-100.0, 0.0),
        drive: Drive {
            target: Target::Hold(anchor),
            gain: 0.01,
            ramp: Ramp::Whole,
        },
    };
    apply(&mut document, &hold).unwrap();
    let refusal = refused(&mut document, hold);
    assert!(
        refusal.why().contains("already acts on 'palm'"),
        "{refusal}"
    );
}

#[test]
fn a_whole_setting_is_one_step_within_the_limits() {
    let document = chain();
    let mut history = History::new(Posed::new(&document).unwrap());
    let mut setting = document.setting.clone();
    setting.dials[0] = 1e6;
    setting.active.fill(false);
    let edit = Edit::Set { setting };
    history.edit(&edit).unwrap();
    let after = history.document();
    assert_eq!(after.setting.dials[0], after.dials[0].max);
    assert!(!after.setting.active.contains(&true));
    assert!(after.rig.is_same(&document.rig));
    // The same again is no step.
    history.edit(&edit).unwrap();
    assert!(history.undo().is_some() && history.undo().is_none());
    assert_eq!(*history.document(), document);

    let mut other = document.setting.clone();
    other.dials.push(0.0);
    let refusal = history.edit(&Edit::Set { setting: other }).unwrap_err();
    assert!(refusal.why().contains("another figure"), "{refusal}");
    let mut wild = document.setting.clone();
    wild.dials[0] = f64::NAN;
    assert!(history.edit(&Edit::Set { setting: wild }).is_err());
    assert_eq!(*history.document(), document);
}

#[test]
fn a_drive_is_geared_and_turned_about() {
    let mut document = chain();
    let lift = document.dials[0].clone();
    let target = lift.drives[0].target;
    let gear = |gain| Edit::SetGain {
        dial: lift.id,
        target,
        gain,
    };
    let gain = -lift.drives[0].gain;
    let mut history = History::new(Posed::new(&document).unwrap());
    history.edit(&gear(gain)).unwrap();
    assert_eq!(history.document().dials[0].drives[0].gain, gain);
    // It is kept in a file, and undone to the bit.
    let kept = read(&write(history.document())).unwrap();
    assert_eq!(kept.dials[0].drives[0].gain, gain);
    assert_eq!(history.undo(), Some("gear lift".to_owned()));
    assert_eq!(*history.document(), document);
    // What it does not drive, what is gone, and what is no number.
    let knuckle = id(&document, "finger");
    let other = Edit::SetGain {
        dial: lift.id,
        target: Target::Channel(knuckle, Channel::MoveX),
        gain,
    };
    let refusal = refused(&mut document, other);
    assert_eq!(refusal.why(), "the dial 'lift' does not drive that");
    let dial = DialId(999);
    refused(&mut document, Edit::SetGain { dial, target, gain });
    refused(&mut document, gear(f64::NAN));
}
