//! What is being moved, and what a grab of a node would move.
use crate::desk::called;
use crate::names;
use crate::number::tenths;
use rig::{DOWN, DialId, Document, Grip, NodeId, Posed, Role, roles};

/// What is being moved, for the roles.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Moving {
    #[default]
    Nothing,
    Dials(Vec<DialId>),
    Place(NodeId),
}

/// What dragging this node would move.
pub fn grip_of(document: &Document, node: NodeId) -> Option<Moving> {
    match &document.node(node)?.grip {
        Grip::None => None,
        Grip::Dials(dials) if dials.is_empty() => None,
        Grip::Dials(dials) => Some(Moving::Dials(dials.clone())),
        Grip::Place(_) => Some(Moving::Place(node)),
    }
}

/// The first thing that can be grabbed, so that roles and the path show before any drag.
pub fn first_grip(document: &Document) -> Moving {
    let mut shown = document.nodes.iter().filter(|n| !n.hidden);
    shown
        .find_map(|n| grip_of(document, n.id))
        .unwrap_or_default()
}

/// The node that shows the grip of what is moving.
pub fn mover_of(document: &Document, moving: &Moving) -> Option<NodeId> {
    match moving {
        Moving::Nothing => None,
        Moving::Place(node) => Some(*node),
        Moving::Dials(_) => document
            .nodes
            .iter()
            .find(|n| !n.hidden && grip_of(document, n.id).as_ref() == Some(moving))
            .map(|n| n.id),
    }
}

/// Roles for what is being moved, or would be, in document order. A digit that has let go is not
/// held: it goes where its base does.
pub fn roles_of(posed: &Posed, moving: &Moving) -> Vec<(NodeId, Role)> {
    let mut document = posed.document().clone();
    let holds = document
        .rig
        .anchors
        .iter()
        .map(|anchor| posed.hold(anchor.id));
    document.setting.active = holds.map(|hold| hold > 1.0 - DOWN).collect();
    match moving {
        Moving::Nothing => Vec::new(),
        Moving::Dials(dials) => roles(&document, dials),
        Moving::Place(node) => rig::role::roles_placing(&document, *node),
    }
}

/// What a handle is called; a hidden node has one only to be placed by.
pub fn handle(document: &Document, node: NodeId) -> Option<String> {
    let found = document.node(node)?;
    let name = names::node(document, found);
    match grip_of(document, node)? {
        Moving::Place(_) => Some(format!("Place {name}")),
        _ if found.hidden => None,
        _ => Some(format!("Move {name}")),
    }
}

/// The dials that are moved, each with where it stands; none while something is placed.
pub fn told(document: &Document, moving: &Moving) -> Vec<String> {
    let Moving::Dials(dials) = moving else {
        return Vec::new();
    };
    let told = |id: &DialId| {
        let (dial, value) = (document.dial(*id)?, document.value(*id)?);
        Some(format!("{} {}", called(dial), tenths(value, dial.unit)))
    };
    dials.iter().filter_map(told).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chain() -> Document {
        let text = include_str!("../../../examples/bench-press-chain.hand.json");
        hand::read(text).expect("a good example")
    }

    #[test]
    fn the_first_grip_is_shown_by_the_node_that_has_it() {
        let document = chain();
        let moving = first_grip(&document);
        assert_ne!(moving, Moving::Nothing);
        let mover = mover_of(&document, &moving).expect("somebody shows it");
        assert_eq!(grip_of(&document, mover), Some(moving));
    }

    #[test]
    fn a_dial_is_told_by_name_and_value() {
        let document = chain();
        let dial = &document.dials[0];
        let value = document.value(dial.id).expect("its own");
        assert_eq!(
            told(&document, &Moving::Dials(vec![dial.id])),
            [format!("{} {}", dial.name, tenths(value, dial.unit))]
        );
        assert!(told(&document, &Moving::Place(document.nodes[0].id)).is_empty());
    }

    /// On the heel every finger has let go: nothing of it is held any more, and at neutral all are.
    #[test]
    fn who_has_let_go_is_carried() {
        let text = include_str!("../../../examples/bench-press.hand.json");
        let mut posed =
            Posed::new(&hand::read(text).expect("a good example")).expect("it is sound");
        let roll = posed.rig().dial_named("roll").expect("roll").id;
        let tips = |posed: &Posed| -> Vec<Role> {
            let roles = roles_of(posed, &Moving::Dials(vec![roll]));
            let rig = posed.rig();
            let fingers = ["index", "middle", "ring", "pinky"].into_iter();
            let tips = fingers.map(|f| rig.node_named(&format!("{f}-finger-tip")).expect("tip").id);
            tips.map(|tip| {
                roles
                    .iter()
                    .find(|(node, _)| *node == tip)
                    .expect("a role")
                    .1
            })
            .collect()
        };
        assert_eq!(tips(&posed), [Role::Anchored; 4]);
        posed.set_dial(roll, -25.0);
        posed.evaluate();
        assert_eq!(tips(&posed), [Role::Carried; 4]);
    }

    #[test]
    fn a_grip_of_no_dials_moves_nothing() {
        let mut document = chain();
        let id = document.nodes[0].id;
        document.nodes[0].grip = Grip::Dials(Vec::new());
        assert_eq!(grip_of(&document, id), None);
    }

    #[test]
    fn what_is_hidden_is_not_grabbed_first_but_a_placed_node_shows_itself() {
        let mut document = chain();
        let ids: Vec<NodeId> = document.nodes.iter().map(|n| n.id).collect();
        for node in &mut document.nodes {
            node.hidden = true;
        }
        assert_eq!(first_grip(&document), Moving::Nothing);
        let placed = Moving::Place(ids[0]);
        assert_eq!(mover_of(&document, &placed), Some(ids[0]));
    }
}
