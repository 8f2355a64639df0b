//! Whether something stays where it is.
use crate::measure::Run;
use crate::obstacle::Obstacle;
use hand::gauge::Hold;
use rig::{Anchor, NodeId, Rig, Vec3};
use std::fmt::{self, Display, Formatter};

/// What becomes of something that may stay.
#[derive(Clone, Debug, PartialEq)]
pub struct Stay {
    /// Which node.
    pub node: String,
    /// What a sentence calls it: a digit that is planted goes by the digit's name.
    pub called: String,
    /// How a digit that is planted is held in the end; none for any other node.
    pub hold: Option<Hold>,
    /// How far it moves, mm: of a digit what of its way is not rolling.
    pub travel: f64,
    /// Whether that is staying.
    pub stays: bool,
}

impl Stay {
    /// Of a node that stood somewhere before a run; it stays if it moves no farther than this, mm,
    /// and a digit only if it is down too.
    pub(crate) fn of(run: &Run, node: &str, before: Vec3, within: f64) -> Result<Self, Obstacle> {
        let moved = (run.point(node)? - before).norm();
        let (posed, rig) = (&run.posed, run.posed.rig());
        let found = rig.node_named(node).map(|found| found.id);
        let held = found.and_then(|found| {
            let anchor = rolling(rig, found)?;
            Some((Hold::of(posed, anchor.id), posed.slip(found)?))
        });
        let (hold, travel) = match held {
            Some((hold, slip)) => (Some(hold), slip),
            None => (None, moved),
        };
        Ok(Self {
            node: node.to_owned(),
            called: found.map_or_else(|| node.to_owned(), |found| called(rig, found)),
            stays: travel <= within && hold.is_none_or(|hold| hold == Hold::Down),
            hold,
            travel,
        })
    }
}

/// What a sentence calls a node: the end of a digit that rolls goes by the digit's name.
pub fn called(rig: &Rig, node: NodeId) -> String {
    match rolling(rig, node) {
        Some(_) => hand::in_words(rig, node),
        None => rig
            .node(node)
            .map_or_else(String::new, |node| node.name.clone()),
    }
}

/// The anchor whose end rolls on its surface with this node.
fn rolling(rig: &Rig, node: NodeId) -> Option<&Anchor> {
    let mut anchors = rig.anchors.iter().map(|anchor| &**anchor);
    anchors.find(|anchor| anchor.end == node && anchor.solver.contact().is_some())
}

impl Display for Stay {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let Self { called, travel, .. } = self;
        match self.hold {
            _ if self.stays => write!(f, "the {called} stays"),
            None => write!(f, "the {called} moves {travel:.1} mm"),
            Some(Hold::Down) => write!(f, "the {called} slips {travel:.1} mm"),
            Some(Hold::Up) => write!(f, "the {called} has let go"),
            Some(hold) => write!(f, "the {called} is {hold}"),
        }
    }
}
