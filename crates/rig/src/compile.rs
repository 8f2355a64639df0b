//! From a document to the mechanism that evaluates it, and what can be wrong on the way.
use crate::fault::{Structure, Turned};
use crate::index::Index;
use crate::{
    Anchor, Channel, Contact, Document, Fault, Kind, Node, NodeId, Plant, RADIANS, Rig, Share,
    Solver, Target,
};
use kinematics::{BuildError, Mechanism};
use std::collections::BTreeMap;

const ITERATIONS: u32 = 100;
/// Residual, mm, at which an iterative anchor stops.
const TOLERANCE: f64 = 1e-9;

/// What a rig is evaluated by: its mechanism, and the way from its items to the mechanism's.
#[derive(Debug)]
pub(crate) struct Compiled {
    pub mechanism: Mechanism,
    /// From a node's id to its place in the document.
    pub node_index: Index,
    /// From a node's place in the document to its index in the mechanism.
    pub nodes: Vec<usize>,
    /// From an anchor's id to its place in both.
    pub anchors: Index,
    /// By plant: the place of the anchor that holds it.
    pub holding: Vec<Option<usize>>,
    /// From a dial's id to its place in the document.
    pub dials: Index,
    /// Everything that a dial drives.
    pub channels: Vec<Driven>,
    /// By dial: which of `channels` it drives, those first that it drives by itself; and how many
    /// those are.
    pub driven: Vec<Vec<usize>>,
    pub own: Vec<usize>,
    /// By link: the channel that its own fades by.
    pub fades_by: Vec<Option<usize>>,
}

/// A channel or an anchor's setting, and everything that drives it, as (dial, drive) places.
#[derive(Clone, Debug)]
pub(crate) struct Driven {
    pub what: What,
    pub by: Vec<(usize, usize)>,
    /// Links that pass it on, and may keep some of it.
    pub passes: Vec<usize>,
    /// What links bring: by which, and its gain.
    pub gets: Vec<(usize, f64)>,
    /// Of a joint's channel: as far as its own muscles turn it, in the channel's unit.
    pub limit: Option<(f64, f64)>,
}

impl Driven {
    /// What of a sum the limit lets through.
    pub fn within(&self, sum: f64) -> f64 {
        match self.limit {
            Some((min, _)) if sum < min => min,
            Some((_, max)) if sum > max => max,
            _ => sum,
        }
    }
}

/// What is driven, by compiled indices.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum What {
    Channel(usize, Channel),
    Collapse(usize),
    Hold(usize),
}

/// Refuses a setting of another rig.
pub(crate) fn fits(document: &Document) -> Result<(), Fault> {
    if document.setting.fits(&document.rig) {
        return Ok(());
    }
    Err(Fault::new("setting", Structure::OtherSetting))
}

pub(crate) fn compile(rig: &Rig) -> Result<Compiled, Fault> {
    let node_index = Index::new(rig.nodes.iter().map(|n| n.id.0));
    let order = parents_first(rig, &node_index)?;
    let mut nodes = vec![0; order.len()];
    for (compiled, &place) in order.iter().enumerate() {
        nodes[place] = compiled;
    }
    let find = |id: NodeId, place: &dyn Fn() -> String| {
        node_index
            .get(id.0)
            .map(|at| nodes[at])
            .ok_or_else(|| unknown_node(place()))
    };
    let mut compiled = Vec::with_capacity(order.len());
    for &place in &order {
        let node = &rig.nodes[place];
        let parent = node
            .parent
            .map(|p| find(p, &|| node_place(rig, place)))
            .transpose()?;
        compiled.push(compile_node(node, parent));
    }
    let mut anchors = Vec::with_capacity(rig.anchors.len());
    for (at, anchor) in rig.anchors.iter().enumerate() {
        let find = |id| find(id, &|| anchor_place(rig, at));
        anchors.push(compile_anchor(anchor, find)?);
    }
    let mechanism = Mechanism::new(compiled, anchors).map_err(|e| build_fault(rig, &order, &e))?;
    let drives = drives(rig, &node_index, &nodes)?;
    let holding = |plant: &Plant| rig.anchors.iter().position(|a| a.end == plant.node);
    Ok(Compiled {
        mechanism,
        node_index,
        nodes,
        anchors: Index::new(rig.anchors.iter().map(|a| a.id.0)),
        holding: rig.plants.iter().map(holding).collect(),
        dials: Index::new(rig.dials.iter().map(|d| d.id.0)),
        channels: drives.channels,
        driven: drives.driven,
        own: drives.own,
        fades_by: drives.fades_by,
    })
}

fn compile_node(node: &Node, parent: Option<usize>) -> kinematics::Node {
    let mut limits = [(f64::NEG_INFINITY, f64::INFINITY); 6];
    for channel in Channel::ALL {
        let at = channel.index();
        if node.kind == Kind::Mount && channel.is_turn() {
            // Solvers turn joints only; a mount inside a chain is a rigid piece of it.
            limits[at] = (0.0, 0.0);
        } else if let Some((min, max)) = node.held_limit(channel) {
            let unit = if channel.is_turn() { RADIANS } else { 1.0 };
            limits[at] = (min * unit, max * unit);
        }
    }
    let rest = node.rest();
    kinematics::Node {
        parent,
        rest,
        order: node.order,
        limits,
    }
}

fn compile_anchor(
    anchor: &Anchor,
    find: impl Fn(NodeId) -> Result<usize, Fault>,
) -> Result<kinematics::Anchor, Fault> {
    let solver = match anchor.solver {
        Solver::Aim => kinematics::Solver::Aim,
        Solver::TwoBone {
            pole,
            softness,
            bend,
        } => kinematics::Solver::TwoBone {
            pole: pole.map(&find).transpose()?,
            softness,
            bend: bend.into(),
        },
        Solver::DampedLeastSquares => kinematics::Solver::DampedLeastSquares {
            iterations: ITERATIONS,
            tolerance: TOLERANCE,
        },
        Solver::Fabrik => kinematics::Solver::Fabrik {
            iterations: ITERATIONS,
            tolerance: TOLERANCE,
        },
        Solver::Finger {
            coupling,
            rest,
            give,
            contact,
            // The pose's: `Posed` sets it.
            collapse: _,
        } => kinematics::Solver::Finger {
            coupling,
            rest: rest * RADIANS,
            give: give * RADIANS,
            contact: contact.map(Contact::compiled),
        },
        Solver::SetDown { low } => kinematics::Solver::SetDown { low },
        Solver::TurnWith => kinematics::Solver::TurnWith,
        Solver::Twist { share } => kinematics::Solver::Twist { share },
        Solver::Thumb { rest, contact } => kinematics::Solver::Thumb {
            rest: rest.map(|angle| angle * RADIANS),
            contact: contact.map(Contact::compiled),
        },
    };
    Ok(kinematics::Anchor {
        base: find(anchor.base)?,
        end: find(anchor.end)?,
        target: find(anchor.target)?,
        solver,
    })
}

/// As in [`Compiled`].
struct Drives {
    channels: Vec<Driven>,
    driven: Vec<Vec<usize>>,
    own: Vec<usize>,
    fades_by: Vec<Option<usize>>,
}

fn drives(rig: &Rig, index: &Index, nodes: &[usize]) -> Result<Drives, Fault> {
    let mut channels: Vec<Driven> = Vec::new();
    let mut known = BTreeMap::new();
    let mut driven = vec![Vec::new(); rig.dials.len()];
    let mut find = |channels: &mut Vec<Driven>, what: What| {
        let at = *known.entry(what).or_insert(channels.len());
        if at == channels.len() {
            channels.push(Driven {
                what,
                by: Vec::new(),
                passes: Vec::new(),
                gets: Vec::new(),
                limit: None,
            });
        }
        at
    };
    for (d, dial) in rig.dials.iter().enumerate() {
        for (k, drive) in dial.drives.iter().enumerate() {
            let place = || format!("dials[{d}] '{}'", dial.name);
            let lost = || unknown_node(place());
            let anchor = |id| {
                let at = rig.anchors.iter().position(|a| a.id == id);
                at.ok_or_else(|| Fault::new(place(), Structure::NoAnchor))
            };
            let what = match drive.target {
                Target::Channel(node, channel) => {
                    What::Channel(nodes[index.get(node.0).ok_or_else(lost)?], channel)
                }
                Target::Collapse(id) => What::Collapse(anchor(id)?),
                Target::Hold(id) => What::Hold(anchor(id)?),
            };
            let at = find(&mut channels, what);
            channels[at].by.push((d, k));
            if !driven[d].contains(&at) {
                driven[d].push(at);
            }
        }
    }
    let (mut follow, mut fades_by) = (Vec::new(), Vec::new());
    let mut fading = Vec::new();
    for (l, link) in rig.links.iter().enumerate() {
        let mut channel = |node: NodeId, channel| {
            let at = index.get(node.0);
            let at = at.ok_or_else(|| unknown_node(format!("links[{l}]")))?;
            Ok::<_, Fault>(find(&mut channels, What::Channel(nodes[at], channel)))
        };
        let from = channel(link.node, link.channel)?;
        let mut gets = Vec::with_capacity(link.to.len());
        for passed in &link.to {
            gets.push((channel(passed.node, passed.channel)?, passed.gain));
        }
        let by = match link.share {
            Share::Fading { by, .. } => Some(channel(link.node, by)?),
            _ => None,
        };
        channels[from].passes.push(l);
        fading.extend(by.map(|by| (by, from)));
        fades_by.push(by);
        for (to, gain) in gets {
            channels[to].gets.push((l, gain));
            follow.push((from, to));
        }
    }
    // What fades by a channel is summed anew with it, as if the dial drove it.
    for driven in &mut driven {
        for &(by, from) in &fading {
            if driven.contains(&by) && !driven.contains(&from) {
                driven.push(from);
            }
        }
    }
    let own: Vec<usize> = driven.iter().map(Vec::len).collect();
    for (driven, &own) in driven.iter_mut().zip(&own) {
        for &(from, to) in &follow {
            if driven[..own].contains(&from) && !driven.contains(&to) {
                driven.push(to);
            }
        }
    }
    let mut places = vec![0; nodes.len()];
    for (place, &compiled) in nodes.iter().enumerate() {
        places[compiled] = place;
    }
    for driven in &mut channels {
        if let What::Channel(at, channel) = driven.what {
            let node = &rig.nodes[places[at]];
            let limit = node.limits[channel.index()].filter(|(min, max)| min < max);
            driven.limit = limit.filter(|_| node.kind == Kind::Joint);
        }
    }
    Ok(Drives {
        channels,
        driven,
        own,
        fades_by,
    })
}

/// Places of the nodes, every parent before its children, otherwise in document order.
pub(crate) fn parents_first(rig: &Rig, index: &Index) -> Result<Vec<usize>, Fault> {
    let count = rig.nodes.len();
    let mut children = vec![Vec::new(); count];
    let mut stack = Vec::new();
    for (at, node) in rig.nodes.iter().enumerate().rev() {
        match node.parent {
            None => stack.push(at),
            Some(parent) => {
                let place = || unknown_node(node_place(rig, at));
                children[index.get(parent.0).ok_or_else(place)?].push(at);
            }
        }
    }
    let mut order = Vec::with_capacity(count);
    let mut reached = vec![false; count];
    while let Some(at) = stack.pop() {
        reached[at] = true;
        order.push(at);
        stack.extend(&children[at]);
    }
    match reached.iter().position(|&r| !r) {
        None => Ok(order),
        Some(lost) => Err(circle(rig, index, lost)),
    }
}

/// Names two nodes of the circle of parents that `from` hangs in or under.
fn circle(rig: &Rig, index: &Index, from: usize) -> Fault {
    let up = |at: usize| {
        let parent = rig.nodes[at]
            .parent
            .expect("only nodes with parents are in a circle");
        index.get(parent.0).expect("parents were looked up before")
    };
    // After as many steps as there are nodes one is inside the circle for certain.
    let inside = (0..rig.nodes.len()).fold(from, |at, _| up(at));
    let name = |at: usize| rig.nodes[at].name.clone();
    let (child, parent) = (name(inside), name(up(inside)));
    Fault::new(node_place(rig, inside), Structure::Circle { child, parent })
}

fn build_fault(rig: &Rig, order: &[usize], error: &BuildError) -> Fault {
    let node = |compiled: usize| rig.nodes[order[compiled]].name.clone();
    let named = |id| rig.node(id).map_or("?", |n| &n.name).to_owned();
    let anchor = |at: usize| rig.anchors[at].name.clone();
    match *error {
        BuildError::ParentAfterChild { node: at } | BuildError::NotFinite { node: at } => {
            Fault::new(
                node_place(rig, order[at]),
                Structure::NotFinite { node: node(at) },
            )
        }
        BuildError::NotAChain { anchor: at } => Fault::new(
            anchor_place(rig, at),
            Structure::NotAChain {
                anchor: anchor(at),
                base: named(rig.anchors[at].base),
                end: named(rig.anchors[at].end),
            },
        ),
        BuildError::WrongBoneCount { anchor: at, bones } => Fault::new(
            anchor_place(rig, at),
            Structure::BoneCount {
                anchor: anchor(at),
                wanted: match rig.anchors[at].solver {
                    Solver::Aim => Turned::OneBone,
                    Solver::TwoBone { .. } => Turned::TwoBones,
                    Solver::Finger { .. } => Turned::ThreeBones,
                    Solver::TurnWith => Turned::Joint,
                    Solver::Twist { .. } => Turned::JointAboutY,
                    _ => Turned::AnyBones,
                },
                bones,
            },
        ),
        BuildError::NotAFinger { anchor: at } => Fault::new(
            anchor_place(rig, at),
            Structure::NotAFinger { anchor: anchor(at) },
        ),
        BuildError::SharedJoint {
            first,
            second,
            node: at,
        } => Fault::new(
            anchor_place(rig, second),
            Structure::Shared {
                first: anchor(first),
                second: anchor(second),
                node: node(at),
            },
        ),
        BuildError::Cycle {
            anchor: at,
            reads,
            moved,
        } => Fault::new(
            anchor_place(rig, at),
            Structure::HoldsToItself {
                anchor: anchor(at),
                base: named(rig.anchors[at].base),
                target: node(reads),
                moved: node(moved),
            },
        ),
    }
}

pub(crate) fn node_place(rig: &Rig, at: usize) -> String {
    format!("nodes[{at}] '{}'", rig.nodes[at].name)
}

pub(crate) fn anchor_place(rig: &Rig, at: usize) -> String {
    format!("anchors[{at}] '{}'", rig.anchors[at].name)
}

pub(crate) fn unknown_node(place: String) -> Fault {
    Fault::new(place, Structure::NoNode)
}
