//! What the sketch page decides by the document alone.
use crate::moving::{Moving, grip_of};
use rig::{Dial, DialId, Document, NodeId, Solver};

/// What an empty sketch starts from.
pub fn blank() -> Document {
    let mut blank = Document::default();
    "flour-flick sketch".clone_into(&mut blank.name);
    blank.bench = Some(-12.0);
    blank
}

/// A name that no node has yet.
pub fn free_name(document: &Document, stem: &str) -> String {
    let taken = |name: &str| document.node_named(name).is_some();
    if !taken(stem) {
        return stem.into();
    }
    (2..)
        .map(|i| format!("{stem} {i}"))
        .find(|name| !taken(name))
        .unwrap_or_default()
}

/// The chain from `base` to `end` decides the solver: one bone aims, two close in closed form,
/// more are solved step by step, by reaching to and fro or else by damped least squares.
pub fn solver_for(document: &Document, base: NodeId, end: NodeId, reaching: bool) -> Solver {
    let mut bones = 0;
    let mut at = Some(end);
    while let Some(id) = at.filter(|id| *id != base) {
        bones += 1;
        at = document.node(id).and_then(|n| n.parent);
    }
    match bones {
        0 | 1 => Solver::Aim,
        2 => Solver::TwoBone {
            pole: None,
            softness: 0.0,
            bend: [0.0, 0.0, 1.0],
        },
        _ if reaching => Solver::Fabrik,
        _ => Solver::DampedLeastSquares,
    }
}

/// The dials that turn the chosen node or that it grips: a long sketch has many, and these are enough.
/// All, where there are none of those.
pub fn dials_of(document: &Document, chosen: Option<NodeId>) -> Vec<DialId> {
    let grip = chosen.and_then(|id| grip_of(document, id));
    let of_chosen = |d: &Dial| {
        (chosen.is_some() && d.drives.iter().any(|r| r.node() == chosen))
            || matches!(&grip, Some(Moving::Dials(ids)) if ids.contains(&d.id))
    };
    let all = || document.dials.iter();
    let few: Vec<_> = all().filter(|d| of_chosen(d)).map(|d| d.id).collect();
    if few.is_empty() {
        all().map(|d| d.id).collect()
    } else {
        few
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rig::{Edit, History, Kind, Posed, Vec3};

    /// A chain of joints, root first.
    fn chain(joints: u32) -> Document {
        let mut history = History::new(Posed::new(&blank()).expect("an empty one poses"));
        for at in 0..joints {
            let document = history.document();
            let edit = Edit::AddNode {
                name: free_name(document, "joint"),
                kind: Kind::Joint,
                parent: document.nodes.last().map(|n| n.id),
                at: Vec3::new(40.0 * f64::from(at), 0.0, 0.0),
                width: 20.0,
            };
            history.edit(&edit).expect("a joint more");
        }
        history.document().clone()
    }

    #[test]
    fn names_are_counted_on_from_two() {
        let names: Vec<_> = chain(3).nodes.iter().map(|n| n.name.clone()).collect();
        assert_eq!(names, ["joint", "joint 2", "joint 3"]);
        assert_eq!(free_name(&chain(1), "mount"), "mount");
    }

    #[test]
    fn the_number_of_bones_decides_the_solver() {
        let document = chain(4);
        let base = document.nodes[0].id;
        let to =
            |end: usize, reaching| solver_for(&document, base, document.nodes[end].id, reaching);
        assert!(matches!(to(1, false), Solver::Aim));
        assert!(matches!(to(2, false), Solver::TwoBone { .. }));
        assert!(matches!(to(3, false), Solver::DampedLeastSquares));
        assert!(matches!(to(3, true), Solver::Fabrik));
    }

    #[test]
    fn a_chosen_node_without_dials_shows_all() {
        let text = include_str!("../../../examples/bench-press-chain.hand.json");
        let document = hand::read(text).expect("a good example");
        let all: Vec<_> = document.dials.iter().map(|d| d.id).collect();
        assert_eq!(dials_of(&document, None), all);
        let driven = document.dials[0].drives[0].node();
        let few = dials_of(&document, driven);
        assert!(few.contains(&document.dials[0].id));
        let still = document.nodes.iter().find(|n| {
            grip_of(&document, n.id).is_none()
                && !document
                    .dials
                    .iter()
                    .any(|d| d.drives.iter().any(|r| r.node() == Some(n.id)))
        });
        let still = still.expect("an end that nothing turns");
        assert_eq!(dials_of(&document, Some(still.id)), all);
    }
}
