//! Advice on a press, each with the numbers behind it (docs/mathematics.md 13): where the knuckle
//! pivot belongs, what misplacing a pivot costs, which digit fails first and what would help.
mod axis;
mod movable;
mod remedy;
mod search;
mod sensitivity;

pub use axis::{AxisLine, Fitted, Residual, fitted, pivot_axis};
pub use remedy::{Advice, Change, Remedy, advice};
pub use search::{Placed, Search, greatest_axis};
pub use sensitivity::{Direction, Sensitivity, by_dial, sensitivities};

use crate::{Dial, DialId, Document, Fault, Node, NodeId, Solver};

/// The parts of a press that advice is about, by the names a hand's recipe gives them.
#[derive(Clone, Copy, Debug)]
struct Press<'a> {
    /// The knuckle pivot.
    knuckles: &'a Node,
    /// Turns it.
    lift: &'a Dial,
    /// What every pivot carries in the end.
    target: &'a Node,
}

/// Pivots that can be misplaced.
const PIVOTS: [&str; 6] = [
    "twist",
    "tips",
    "inner edge",
    "outer edge",
    "heel",
    "knuckles",
];

fn fault(what: &str, mend: &str) -> Fault {
    Fault {
        place: "advice".to_owned(),
        what: what.to_owned(),
        mend: mend.to_owned(),
    }
}

impl<'a> Press<'a> {
    fn of(document: &'a Document) -> Result<Self, Fault> {
        let found = (
            document.node_named("knuckles"),
            document.dial_named("lift"),
            document.node_named("wrist target"),
        );
        match found {
            (Some(knuckles), Some(lift), Some(target)) => Ok(Self {
                knuckles,
                lift,
                target,
            }),
            _ => Err(fault(
                "this document has no press: a pivot 'knuckles', a 'wrist target' and a dial 'lift'",
                "plant a hand",
            )),
        }
    }
}

/// The dials that move a press's pivots: at neutral the hand is as it was planted.
fn press_dials(document: &Document, press: Press) -> impl Iterator<Item = DialId> {
    let moves = move |dial: &&Dial| {
        let nodes = dial.drives.iter().filter_map(|drive| drive.node());
        nodes
            .filter_map(|node| document.node(node))
            .any(|node| node.surface.is_none() && document.is_below(press.target.id, node.id))
    };
    document.dials.iter().filter(moves).map(|dial| dial.id)
}

/// The knuckles of the fingers that are planted, in document order.
fn knuckles(document: &Document) -> impl Iterator<Item = NodeId> {
    let fingers = document.anchors.iter();
    fingers
        .filter(|anchor| matches!(anchor.solver, Solver::Finger { .. }))
        .map(|anchor| anchor.base)
}
