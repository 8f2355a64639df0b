//! What holds of any document and any run of edits.
use proptest::prelude::*;
use rig::{edit::apply, *};
use testkit::{EditSeed, edit, random_document};

/// Equal to the bit: `Debug` prints the shortest digits that name a float, and the sign of a zero.
fn bits(document: &Document) -> String {
    format!("{document:?}")
}

fn seed() -> impl Strategy<Value = EditSeed> {
    let number = || prop_oneof![4 => -200.0..200.0, 1 => Just(0.0), 1 => Just(-0.0)];
    (
        any::<u8>(),
        any::<u32>(),
        any::<u32>(),
        [number(), number(), number()],
        any::<bool>(),
    )
}

/// A document to put in place of one: another altogether, or the same but for a field that no
/// edit reaches, or for the sign of a zero.
fn another((_, a, b, [x, ..], flag): EditSeed, document: &Document) -> Document {
    let mut other = if flag {
        random_document(u64::from(a))
    } else {
        document.clone()
    };
    match b % 6 {
        0 => other.name = format!("other {a}"),
        1 => other.bench = Some(x),
        2 => other.hand = Some(Box::default()),
        3 => other.next_id += 7,
        4 => {
            other.name += "?";
            for node in &mut other.nodes {
                node.translation = node.translation.map(|x| if x == 0.0 { -x } else { x });
            }
        }
        _ => {}
    }
    other
}

/// So that no anchor turns anything; a digit that is let go would still rest on its surface.
fn let_go(document: &mut Document) {
    document.setting.active.fill(false);
    for anchor in &mut document.anchors {
        if let Solver::Finger { contact, .. } | Solver::Thumb { contact, .. } = &mut anchor.solver {
            *contact = None;
        }
    }
}

/// Every node both documents have is where it was, to 1e-12 of the rig's size.
fn same_worlds(before: &Posed, after: &Posed, document: &Document) -> Result<(), TestCaseError> {
    let size = document
        .nodes
        .iter()
        .map(|n| before.point(n.id).norm())
        .fold(1.0, f64::max);
    for node in &document.nodes {
        let (a, b) = (before.world(node.id), after.world(node.id));
        let moved = (a.translation.vector - b.translation.vector).norm();
        prop_assert!(
            moved <= 1e-12 * size,
            "{} moved {moved} of {size}",
            node.name
        );
        let turned = (a.rotation.inverse() * b.rotation).angle();
        prop_assert!(turned <= 1e-12, "{} turned {turned}", node.name);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn undo_all_then_redo_all(start in any::<u64>(), seeds in prop::collection::vec(seed(), 1..25)) {
        let first = random_document(start);
        let mut history = History::new(Posed::new(&first).unwrap());
        let mut made = 0;
        for seed in seeds {
            let before = bits(history.document());
            let done = if seed.0 > 230 {
                let other = another(seed, history.document());
                let wanted = bits(&other);
                let equal = other == *history.document();
                let done = history.replace(other, "open");
                if done.is_ok() && !equal {
                    prop_assert_eq!(bits(history.document()), wanted);
                }
                done
            } else {
                let edit = edit(seed, history.document());
                if seed.4 { history.edit(&edit) } else { history.edit_live(&edit) }
            };
            match done {
                Ok(()) => made += 1,
                Err(_) => prop_assert_eq!(bits(history.document()), before),
            }
            prop_assert!(validate::document(history.document()).is_ok());
        }
        history.settle();
        let last = bits(history.document());
        let mut undone = 0;
        while history.undo().is_some() {
            undone += 1;
            prop_assert!(validate::document(history.document()).is_ok());
        }
        prop_assert!(undone <= made);
        prop_assert_eq!(bits(history.document()), bits(&first));
        for _ in 0..undone {
            prop_assert!(history.redo().is_some());
        }
        prop_assert!(history.redo().is_none());
        prop_assert_eq!(bits(history.document()), last);
    }

    #[test]
    fn reading_gives_back_what_was_written(seed in any::<u64>()) {
        let document = random_document(seed);
        let text = write(&document);
        let again = read(&text).map_err(|e| TestCaseError::fail(e.to_string()))?;
        prop_assert_eq!(&write(&again), &text);
        // Now its ids are in reading order, so that they survive as well.
        prop_assert_eq!(bits(&read(&text).unwrap()), bits(&again));
        let shown = |d: &Document| report::pose_json(&Posed::new(d).unwrap());
        prop_assert_eq!(shown(&again), shown(&document));
    }

    #[test]
    fn hanging_anew_keeps_the_world(start in any::<u64>(), seed in seed(), kind in 1..4u8) {
        let mut document = random_document(start);
        let_go(&mut document);
        let before = Posed::new(&document).unwrap();
        let kept = document.clone();
        let wanted = edit((kind, seed.1, seed.2, seed.3, seed.4), &document);
        if apply(&mut document, &wanted).is_ok() {
            same_worlds(&before, &Posed::new(&document).unwrap(), &kept)?;
        }
    }

    #[test]
    fn moving_keeps_the_children(start in any::<u64>(), seed in seed(), turn in any::<bool>()) {
        let mut document = random_document(start);
        let_go(&mut document);
        let before = Posed::new(&document).unwrap();
        let kind = if turn { 7 } else { 6 };
        let wanted = edit((kind, seed.1, seed.2, seed.3, true), &document);
        let (Edit::Move { node, .. } | Edit::Rotate { node, .. }) = wanted else { unreachable!() };
        let mut kept = document.clone();
        kept.nodes.retain(|n| n.id != node);
        if apply(&mut document, &wanted).is_ok() {
            let after = Posed::new(&document).unwrap();
            same_worlds(&before, &after, &kept)?;
            match wanted {
                Edit::Move { to, .. } => {
                    let size = 1.0 + to.norm() + before.point(node).norm();
                    prop_assert!((after.point(node) - to).norm() <= 1e-12 * size);
                }
                Edit::Rotate { by, .. } => {
                    let moved = (after.point(node) - before.point(node)).norm();
                    prop_assert!(moved <= 1e-12 * (1.0 + before.point(node).norm()));
                    let turned = by * before.world(node).rotation;
                    let off = (turned.inverse() * after.world(node).rotation).angle();
                    prop_assert!(off <= 1e-12);
                }
                _ => unreachable!(),
            }
        }
    }

    #[test]
    fn anchors_hold_through_hanging_anew(lift in -15.0..75.0f64, at in [-50.0..50.0f64, -50.0..50.0]) {
        let mut document = read(include_str!("../../../examples/bench-press-chain.hand.json")).unwrap();
        document.setting.dials[0] = lift;
        let before = Posed::new(&document).unwrap();
        let kept = document.clone();
        for name in ["wrist", "knuckle", "finger", "tip staple"] {
            let above = document.node_named(name).unwrap().id;
            let at = before.point(above) + Vec3::new(at[0], at[1], 0.0);
            apply(&mut document, &Edit::InsertPivot { above, name: format!("above {name}"), at }).unwrap();
        }
        let after = Posed::new(&document).unwrap();
        for node in &kept.nodes {
            prop_assert!((before.point(node.id) - after.point(node.id)).norm() < 1e-10, "{}", node.name);
        }
    }

    #[test]
    fn setting_is_compiling_anew(start in any::<u64>(), seeds in prop::collection::vec(seed(), 1..6)) {
        let mut document = random_document(start);
        let mut posed = Posed::new(&document).unwrap();
        for seed in seeds {
            let kind = if seed.4 { 14 } else { 16 };
            let (dial, anchor) = (seed.1, seed.2);
            let at = if kind == 14 { dial } else { anchor };
            let wanted = edit((kind, at, 0, seed.3, seed.1 % 2 == 0), &document);
            if apply(&mut document, &wanted).is_ok() {
                posed.set(&document.setting);
                let anew = Posed::new(&document).unwrap();
                prop_assert_eq!(report::pose_json(&posed), report::pose_json(&anew));
            }
        }
    }
}
