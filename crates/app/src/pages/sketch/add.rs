//! Adding nodes, and making them movable.
use crate::state::Session;
use leptos::prelude::*;
use rig::{Channel, Drive, Edit, Grip, Kind, NodeId, Ramp, Unit, Vec3};
use workbook::pencil::Tool;
use workbook::sketch::free_name;

/// Adds what the tool adds, at a world point, under the selected node.
pub fn add_at(session: Session, at: Vec3) {
    session.stage.settle();
    let kind = if session.camera.tool.get_untracked() == Tool::AddMount {
        Kind::Mount
    } else {
        Kind::Joint
    };
    let at = at.map(|v| v.round());
    let selected = session.stage.selected.get_untracked();
    let stem = if kind == Kind::Joint {
        "joint"
    } else {
        "mount"
    };
    let (name, parent) = session.stage.with_untracked(|h| {
        let document = h.document();
        let parent = selected.filter(|id| document.node(*id).is_some());
        (free_name(document, stem), parent)
    });
    if session.edit_live(&Edit::AddNode {
        name: name.clone(),
        kind,
        parent,
        at,
        width: 20.0,
    }) {
        let made = session.stage.named(&name);
        if let Some(id) = made
            && kind == Kind::Mount
        {
            make_placeable(session, id);
        }
        session.stage.name_step(&format!("add {name}"));
        session.stage.selected.set(made);
        session
            .course
            .pencil
            .update(|p| p.cursor = Some(at + Vec3::new(40.0, 0.0, 0.0)));
        session.shell.say(format!("Added {name}."));
    }
    session.stage.settle();
}

/// A node can be placed by hand.
pub fn make_placeable(session: Session, node: NodeId) {
    session.edit_live(&Edit::SetGrip {
        node,
        grip: Grip::Place([0.0; 3]),
    });
}

/// A new mount can be placed by hand and turned by a dial, and is chosen.
pub fn make_movable(session: Session, name: &str) {
    if let Some(node) = session.stage.named(name) {
        make_placeable(session, node);
        add_turn(session, node, name);
        session.stage.selected.set(Some(node));
    }
}

/// A dial that turns a node about z. Whether it was made.
pub fn add_turn(session: Session, node: NodeId, name: &str) -> bool {
    let drive = Drive {
        target: rig::Target::Channel(node, Channel::TurnZ),
        gain: 1.0,
        ramp: Ramp::Whole,
    };
    let dial = format!("turn {name}");
    session.edit_live(&Edit::AddDrive {
        dial,
        unit: Unit::Degrees,
        range: (-120.0, 120.0),
        drive,
    })
}
