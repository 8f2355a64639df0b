//! Edits that make and unmake items.
use super::find::{self, finite, node, node_mut};
use super::refusal::{Does, Refusal};
use crate::compile::parents_first;
use crate::index::Index;
use crate::{
    Anchor, AnchorId, Channel, Dial, DialId, Document, Drive, Grip, Kind, Node, NodeId, Plant,
    Posed, Solver, Target, Unit, Vec3,
};

/// Range of a new turn dial, degrees, and of a new move dial, mm.
const TURN: (f64, f64) = (-180.0, 180.0);
const MOVE: (f64, f64) = (-500.0, 500.0);

pub(super) fn add_node(
    posed: &Posed,
    to: &mut Document,
    name: &str,
    kind: Kind,
    parent: Option<NodeId>,
    at: &Vec3,
    width: f64,
) -> Result<String, Refusal> {
    finite(at.iter().copied())?;
    let carrier = parent.map(|id| node(to, id)).transpose()?;
    let carrier_turn = carrier.and_then(|c| turn_dial(to, c.id));
    let place = posed.local(parent, at);
    let id = NodeId(to.take_id());
    let mut made = Node::mount(id, name, parent, place);
    made.kind = kind;
    made.width = width;
    if kind == Kind::Joint {
        // A hinge: a chain drawn in a plane stays in it.
        for channel in [Channel::TurnX, Channel::TurnY] {
            made.limits[channel.index()] = Some((0.0, 0.0));
        }
        let turn = add_dial(
            to,
            &format!("{name} turn"),
            Unit::Degrees,
            TURN,
            id,
            Channel::TurnZ,
        );
        made.grip = if parent.is_none() {
            let move_by = |to: &mut _, axis, channel| {
                add_dial(
                    to,
                    &format!("{name} {axis}"),
                    Unit::Millimetres,
                    MOVE,
                    id,
                    channel,
                )
            };
            let x = move_by(to, "across", Channel::MoveX);
            Grip::Dials(vec![x, move_by(to, "up", Channel::MoveY)])
        } else {
            Grip::Dials(vec![carrier_turn.unwrap_or(turn)])
        };
    }
    to.nodes.push(made.into());
    Ok(format!("add {name}"))
}

/// The dial that turns a node, if one does.
fn turn_dial(document: &Document, node: NodeId) -> Option<DialId> {
    let turns = |d: &&Dial| d.drives.iter().any(|v| v.node() == Some(node) && v.turns());
    document
        .dials
        .iter()
        .map(|d| &**d)
        .find(turns)
        .map(|d| d.id)
}

fn add_dial(
    to: &mut Document,
    name: &str,
    unit: Unit,
    range: (f64, f64),
    node: NodeId,
    channel: Channel,
) -> DialId {
    let id = DialId(to.take_id());
    let name = free_name(name, |n| to.dial_named(n).is_some());
    let drive = Drive::whole(Target::Channel(node, channel), 1.0);
    to.add_dial(Dial::new(id, &name, unit, range, vec![drive]), 0.0);
    id
}

/// The name, or with the first number after it that nothing has.
fn free_name(name: &str, taken: impl Fn(&str) -> bool) -> String {
    if !taken(name) {
        return name.to_owned();
    }
    let mut numbered = (2..).map(|n| format!("{name} {n}"));
    numbered
        .find(|name| !taken(name))
        .expect("there are more numbers than names")
}

pub(super) fn add_anchor(
    posed: &Posed,
    to: &mut Document,
    name: &str,
    base: NodeId,
    end: NodeId,
    solver: Solver,
    under: Option<NodeId>,
) -> Result<String, Refusal> {
    let (base_name, end_name) = (node(to, base)?.name.clone(), node(to, end)?.name.clone());
    if base == end || !to.is_below(end, base) {
        let (base, end) = (base_name, end_name);
        return Err(Refusal::NoChain { base, end });
    }
    if let Some(under) = under
        && to.is_below(under, base)
    {
        let (base, carrier) = (base_name, node(to, under)?.name.clone());
        return Err(Refusal::TargetInChain { base, carrier });
    }
    let at = posed.point(end);
    let place = posed.local(under, &at);
    let target = NodeId(to.take_id());
    let target_name = free_name(&format!("{end_name} target"), |n| {
        to.node_named(n).is_some()
    });
    let target_mount = Node::mount(target, &target_name, under, place);
    to.nodes.push(target_mount.into());
    let id = AnchorId(to.take_id());
    let anchor = Anchor {
        id,
        name: name.to_owned(),
        base,
        end,
        target,
        solver,
    };
    to.add_anchor(anchor, true);
    to.plants.retain(|p| p.node != end);
    to.plants.push(Plant {
        node: end,
        at: at.into(),
        surface: None,
        turned: None,
    });
    Ok(format!("anchor {end_name}"))
}

pub(super) fn add_drive(
    to: &mut Document,
    name: &str,
    unit: Unit,
    (min, max): (f64, f64),
    drive: &Drive,
) -> Result<String, Refusal> {
    finite([min, max, drive.gain])?;
    let (moved, does, what) = match drive.target {
        Target::Channel(moved, _) => {
            let does = if drive.turns() {
                Does::Turns
            } else {
                Does::Moves
            };
            (Some(moved), does, &node(to, moved)?.name)
        }
        Target::Collapse(anchor) | Target::Hold(anchor) => {
            (None, Does::ActsOn, &find::anchor(to, anchor)?.name)
        }
    };
    // A second drive of the same would double what the dial does while its number stays.
    let driven = |dial: &Dial| dial.drives.iter().any(|own| own.target == drive.target);
    if to.dial_named(name).is_some_and(driven) {
        let (dial, what) = (name.to_owned(), what.clone());
        return Err(Refusal::DrivenAlready { dial, does, what });
    }
    let id = match to.dials.iter_mut().find(|d| d.name == name) {
        Some(dial) if dial.unit == unit => {
            dial.drives.push(drive.clone());
            dial.id
        }
        Some(_) => {
            let dial = name.to_owned();
            return Err(Refusal::OtherUnit { dial });
        }
        None => {
            let id = DialId(to.take_id());
            let neutral = if min > 0.0 {
                min
            } else if max < 0.0 {
                max
            } else {
                0.0
            };
            let mut dial = Dial::new(id, name, unit, (min, max), vec![drive.clone()]);
            dial.neutral = neutral;
            to.add_dial(dial, neutral);
            id
        }
    };
    let Some(moved) = moved else {
        return Ok(format!("drive {name}"));
    };
    let node = node_mut(to, moved)?;
    if node.grip == Grip::None {
        node.grip = Grip::Dials(vec![id]);
    }
    Ok(format!("drive {} by {name}", node.name))
}

pub(super) fn delete(to: &mut Document, id: NodeId) -> Result<String, Refusal> {
    let label = format!("delete {}", node(to, id)?.name);
    let index = Index::new(to.nodes.iter().map(|n| n.id.0));
    let mut doomed = vec![false; to.nodes.len()];
    for at in parents_first(to, &index)? {
        let node = &to.nodes[at];
        let above = node.parent.and_then(|p| index.get(p.0));
        doomed[at] = node.id == id || above.is_some_and(|p| doomed[p]);
    }
    let gone = |n: NodeId| index.get(n.0).is_none_or(|at| doomed[at]);
    to.nodes.retain(|n| !gone(n.id));
    to.retain_anchors(|a| !gone(a.base) && !gone(a.end) && !gone(a.target));
    for anchor in &mut to.anchors {
        let lost = matches!(anchor.solver, Solver::TwoBone { pole: Some(pole), .. } if gone(pole));
        if lost && let Solver::TwoBone { pole, .. } = &mut anchor.solver {
            *pole = None;
        }
    }
    let anchors: Vec<_> = to.anchors.iter().map(|anchor| anchor.id).collect();
    drop_drives(to, |drive| {
        drive.node().is_some_and(gone) || drive.anchor().is_some_and(|a| !anchors.contains(&a))
    });
    to.links.retain_mut(|link| {
        link.to.retain(|passed| !gone(passed.node));
        !gone(link.node) && !link.to.is_empty()
    });
    to.drop_lost_grips();
    to.plants
        .retain(|p| !gone(p.node) && !p.surface.is_some_and(gone));
    Ok(label)
}

/// Takes drives away, and with them the dials that have none left.
fn drop_drives(to: &mut Document, gone: impl Fn(&Drive) -> bool) {
    to.retain_dials(|dial| {
        if !dial.drives.iter().any(&gone) {
            return true;
        }
        dial.drives.retain(|drive| !gone(drive));
        !dial.drives.is_empty()
    });
}

pub(super) fn delete_anchor(to: &mut Document, id: AnchorId) -> Result<String, Refusal> {
    let name = find::anchor(to, id)?.name.clone();
    to.retain_anchors(|a| a.id != id);
    drop_drives(to, |drive| drive.anchor() == Some(id));
    to.drop_lost_grips();
    Ok(format!("delete anchor {name}"))
}
