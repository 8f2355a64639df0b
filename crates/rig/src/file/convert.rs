//! Between the file, which speaks in names, and the document, which speaks in ids.
use super::brief::Brief;
use super::format as f;
use super::version::FORMAT;
use crate::fault::{Content, Item, Value};
use crate::few;
use crate::index::Index;
use crate::text::quoted;
use crate::validate::UNIT;
use crate::{
    Anchor, AnchorId, Dial, DialId, Document, Drive, Fault, Grip, Link, Node, NodeId, Passed,
    Plant, Share, Target,
};
use std::collections::BTreeMap;
use std::convert::Infallible;

/// A rotation this far from unit length is a rounded one and is normalised; farther, a mistake.
const ROUNDED: f64 = 1e-3;

/// Names of one kind of item, with the ids they were given.
pub(super) struct Names(BTreeMap<String, u32>, Item);

impl Names {
    pub(super) fn new<'a>(kind: Item, names: impl Iterator<Item = (&'a String, u32)>) -> Self {
        // Of two items of one name either will do: the check that follows refuses both.
        Self(few::map(names.map(|(name, id)| (name.clone(), id))), kind)
    }

    pub(super) fn find(&self, place: &str, name: &str) -> Result<u32, Fault> {
        let id = self.0.get(name).copied();
        id.ok_or_else(|| Fault::new(place, Content::Unknown(self.1, name.to_owned())))
    }

    fn node(&self, place: &str, name: &str) -> Result<NodeId, Fault> {
        self.find(place, name).map(NodeId)
    }

    fn maybe_node(&self, place: &str, name: Option<&String>) -> Result<Option<NodeId>, Fault> {
        name.map(|name| self.node(place, name)).transpose()
    }
}

/// A document all of whose parts are listed.
pub fn listed(file: f::File<Brief>) -> Result<Document, Fault> {
    let listed = file.nodes.unwrap_or_default();
    let nodes = Names::new(Item::Node, listed.iter().map(|n| &n.name).zip(0..));
    let first_anchor = listed.len() as u32;
    let first_dial = first_anchor + file.anchors.len() as u32;
    let next_id = first_dial + file.dials.len() as u32;
    let dials = Names::new(
        Item::Dial,
        file.dials.iter().map(|d| &d.name).zip(first_dial..),
    );
    let anchors = Names::new(
        Item::Anchor,
        file.anchors.iter().map(|a| &a.name).zip(first_anchor..),
    );
    let mut document = Document::default();
    let to = &mut *document.rig;
    (to.name, to.bench) = (file.name, file.bench);
    to.hand = file.hand.map(|brief| brief.0);
    to.next_id = next_id;
    for (at, (node, id)) in listed.into_iter().zip(0..).enumerate() {
        let place = format!("nodes[{at}] {}", quoted(&node.name));
        let node = into_node(node, NodeId(id), &place, &nodes, &dials)?;
        document.nodes.push(node.into());
    }
    for (at, (anchor, id)) in file.anchors.into_iter().zip(first_anchor..).enumerate() {
        let place = format!("anchors[{at}] {}", quoted(&anchor.name));
        let active = anchor.active;
        let anchor = Anchor {
            id: AnchorId(id),
            base: nodes.node(&place, &anchor.base)?,
            end: nodes.node(&place, &anchor.end)?,
            target: nodes.node(&place, &anchor.target)?,
            solver: anchor.solver.with(|name| nodes.node(&place, &name))?,
            name: anchor.name,
        };
        document.add_anchor(anchor, active);
    }
    for (at, (dial, id)) in file.dials.into_iter().zip(first_dial..).enumerate() {
        let place = format!("dials[{at}] {}", quoted(&dial.name));
        let drives = dial.drives.iter().map(|drive| {
            Ok(Drive {
                target: into_target(drive, &place, &nodes, &anchors)?,
                gain: drive.gain,
                ramp: drive.ramp,
            })
        });
        let value = dial.value.unwrap_or(dial.neutral);
        let dial = Dial {
            id: DialId(id),
            drives: drives.collect::<Result<_, Fault>>()?,
            name: dial.name,
            unit: dial.unit,
            neutral: dial.neutral,
            min: dial.min,
            max: dial.max,
            softness: dial.softness,
            role: dial.role,
        };
        document.add_dial(dial, value);
    }
    for (at, link) in file.links.into_iter().enumerate() {
        let link = into_link(&link, &format!("links[{at}]"), &nodes)?;
        document.links.push(link);
    }
    for (at, plant) in file.plants.into_iter().enumerate() {
        let place = format!("plants[{at}]");
        document.plants.push(Plant {
            node: nodes.node(&place, &plant.node)?,
            at: plant.at,
            surface: nodes.maybe_node(&place, plant.surface.as_ref())?,
            turned: plant.turned,
        });
    }
    Ok(document)
}

fn into_link(link: &f::Link, place: &str, nodes: &Names) -> Result<Link, Fault> {
    let to = link.to.iter().map(|passed| {
        Ok(Passed {
            node: nodes.node(place, &passed.node)?,
            channel: passed.channel.0,
            gain: passed.gain,
        })
    });
    let share = match (link.past, link.from, link.softness, link.fades) {
        (None, from, 0.0, None) => Share::All { from },
        (Some(from), 0.0, softness, None) => Share::Past { from, softness },
        (None, 0.0, 0.0, Some(fading)) => Share::Fading {
            by: fading.by.0,
            until: fading.until,
            left: fading.left,
        },
        _ => return Err(Fault::new(place, Content::TwoShares)),
    };
    Ok(Link {
        node: nodes.node(place, &link.node)?,
        channel: link.channel.0,
        share,
        to: to.collect::<Result<_, Fault>>()?,
    })
}

fn into_target(
    drive: &f::Drive,
    place: &str,
    nodes: &Names,
    anchors: &Names,
) -> Result<Target, Fault> {
    match (&drive.node, drive.channel, &drive.anchor, drive.setting) {
        (Some(node), Some(channel), None, None) => {
            Ok(Target::Channel(nodes.node(place, node)?, channel.0))
        }
        (None, None, Some(anchor), Some(setting)) => {
            let anchor = anchors.find(place, anchor).map(AnchorId)?;
            Ok(match setting {
                f::Setting::Collapse => Target::Collapse(anchor),
                f::Setting::Hold => Target::Hold(anchor),
            })
        }
        _ => Err(Fault::new(place, Content::Aimless)),
    }
}

fn into_node(
    node: f::Node,
    id: NodeId,
    place: &str,
    nodes: &Names,
    dials: &Names,
) -> Result<Node, Fault> {
    let f::Limits {
        turn_x,
        turn_y,
        turn_z,
        move_x,
        move_y,
        move_z,
    } = node.limits;
    Ok(Node {
        id,
        kind: node.kind,
        parent: nodes.maybe_node(place, node.parent.as_ref())?,
        translation: node.translation,
        rotation: node
            .rotation
            .map_or(Ok([0.0, 0.0, 0.0, 1.0]), |r| unit(r, place))?,
        order: node.order,
        limits: [turn_x, turn_y, turn_z, move_x, move_y, move_z],
        loaded: [node.loaded.turn_x, node.loaded.turn_y, node.loaded.turn_z],
        width: node.width,
        grip: node
            .grip
            .map_or(Ok(Grip::None), |grip| into_grip(grip, place, dials))?,
        hidden: node.hidden,
        surface: node.surface,
        name: node.name,
        part: node.part,
    })
}

pub(super) fn into_grip(grip: f::Grip, place: &str, dials: &Names) -> Result<Grip, Fault> {
    Ok(match grip {
        f::Grip::Place(_) => Grip::Place([0.0; 3]),
        f::Grip::PlaceAt(f::PlaceAt { place }) => Grip::Place(place),
        f::Grip::Dials(names) => {
            let ids = names.iter().map(|name| dials.find(place, name).map(DialId));
            Grip::Dials(ids.collect::<Result<_, _>>()?)
        }
    })
}

fn unit(rotation: [f64; 4], place: &str) -> Result<[f64; 4], Fault> {
    let norm = rotation.iter().map(|x| x * x).sum::<f64>();
    let off = (norm - 1.0).abs();
    if off < UNIT {
        Ok(rotation)
    } else if off < ROUNDED {
        Ok(rotation.map(|x| x / norm.sqrt()))
    } else {
        Err(Fault::new(place, Value::NotARotation))
    }
}

/// Names stand for ids again; an id that leads nowhere becomes '?', which reading refuses.
pub fn from_document(document: &Document) -> f::File {
    let nodes = Index::new(document.nodes.iter().map(|n| n.id.0));
    let dials = Index::new(document.dials.iter().map(|d| d.id.0));
    let anchors = Index::new(document.anchors.iter().map(|a| a.id.0));
    let told = |name: Option<&String>| name.map_or("?", String::as_str).to_owned();
    let name = |id: NodeId| told(nodes.get(id.0).map(|at| &document.nodes[at].name));
    let dial = |id: DialId| told(dials.get(id.0).map(|at| &document.dials[at].name));
    let anchor = |id: AnchorId| told(anchors.get(id.0).map(|at| &document.anchors[at].name));
    f::File {
        format: FORMAT.to_owned(),
        name: document.name.clone(),
        bench: document.bench,
        hand: document.hand.clone(),
        nodes: Some(
            document
                .nodes
                .iter()
                .map(|n| from_node(n, &name, &dial))
                .collect(),
        ),
        anchors: document
            .anchors
            .iter()
            .zip(&document.setting.active)
            .map(|(anchor, &active)| f::Anchor {
                name: anchor.name.clone(),
                base: name(anchor.base),
                end: name(anchor.end),
                target: name(anchor.target),
                solver: match anchor.solver.with(|id| Ok::<_, Infallible>(name(id))) {
                    Ok(solver) => solver,
                },
                active,
            })
            .collect(),
        dials: document
            .dials
            .iter()
            .zip(&document.setting.dials)
            .map(|(dial, &value)| from_dial(dial, value, &name, &anchor))
            .collect(),
        links: document
            .links
            .iter()
            .map(|link| from_link(link, &name))
            .collect(),
        plants: document
            .plants
            .iter()
            .map(|plant| Plant {
                node: name(plant.node),
                at: plant.at,
                surface: plant.surface.map(name),
                turned: plant.turned,
            })
            .collect(),
        set: BTreeMap::new(),
        shift: BTreeMap::new(),
        grips: None,
    }
}

fn from_node(
    node: &Node,
    name: &impl Fn(NodeId) -> String,
    dial: &impl Fn(DialId) -> String,
) -> f::Node {
    let [turn_x, turn_y, turn_z, move_x, move_y, move_z] = node.limits;
    let bits = |rotation: [f64; 4]| rotation.map(f64::to_bits);
    let turned = bits(node.rotation) != bits([0.0, 0.0, 0.0, 1.0]);
    f::Node {
        name: node.name.clone(),
        kind: node.kind,
        parent: node.parent.map(name),
        translation: node.translation,
        rotation: turned.then_some(node.rotation),
        order: node.order,
        limits: f::Limits {
            turn_x,
            turn_y,
            turn_z,
            move_x,
            move_y,
            move_z,
        },
        loaded: {
            let [turn_x, turn_y, turn_z] = node.loaded;
            f::Loaded {
                turn_x,
                turn_y,
                turn_z,
            }
        },
        width: node.width,
        grip: match &node.grip {
            Grip::None => None,
            Grip::Place(at) if *at == [0.0; 3] => Some(f::Grip::Place(f::Place::Place)),
            Grip::Place(at) => Some(f::Grip::PlaceAt(f::PlaceAt { place: *at })),
            Grip::Dials(dials) => Some(f::Grip::Dials(dials.iter().copied().map(dial).collect())),
        },
        hidden: node.hidden,
        surface: node.surface,
        part: node.part.clone(),
    }
}

fn from_dial(
    dial: &Dial,
    value: f64,
    name: &impl Fn(NodeId) -> String,
    anchor: &impl Fn(AnchorId) -> String,
) -> f::Dial {
    f::Dial {
        name: dial.name.clone(),
        unit: dial.unit,
        neutral: dial.neutral,
        min: dial.min,
        max: dial.max,
        value: Some(value),
        softness: dial.softness,
        drives: dial
            .drives
            .iter()
            .map(|drive| from_drive(drive, name, anchor))
            .collect(),
        role: dial.role.clone(),
    }
}

fn from_link(link: &Link, name: &impl Fn(NodeId) -> String) -> f::Link {
    let (past, from, softness, fades) = match link.share {
        Share::All { from } => (None, from, 0.0, None),
        Share::Past { from, softness } => (Some(from), 0.0, softness, None),
        Share::Fading { by, until, left } => {
            let by = f::ChannelWord(by);
            (None, 0.0, 0.0, Some(f::Fading { by, until, left }))
        }
    };
    let to = link.to.iter().map(|passed| f::Passed {
        node: name(passed.node),
        channel: f::ChannelWord(passed.channel),
        gain: passed.gain,
    });
    f::Link {
        node: name(link.node),
        channel: f::ChannelWord(link.channel),
        past,
        from,
        softness,
        fades,
        to: to.collect(),
    }
}

fn from_drive(
    drive: &Drive,
    name: &impl Fn(NodeId) -> String,
    anchor: &impl Fn(AnchorId) -> String,
) -> f::Drive {
    let (node, channel) = match drive.target {
        Target::Channel(node, channel) => (Some(name(node)), Some(f::ChannelWord(channel))),
        Target::Collapse(_) | Target::Hold(_) => (None, None),
    };
    f::Drive {
        node,
        channel,
        anchor: drive.anchor().map(anchor),
        setting: match drive.target {
            Target::Channel(..) => None,
            Target::Collapse(_) => Some(f::Setting::Collapse),
            Target::Hold(_) => Some(f::Setting::Hold),
        },
        gain: drive.gain,
        ramp: drive.ramp,
    }
}
