//! Motion roles: who is moved, who is carried, who is anchored, for what is being moved now.
use crate::compile::parents_first;
use crate::index::Index;
use crate::{Anchor, DialId, Document, NodeId, Solver};

/// A node's part in the motion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Driven directly.
    Mover,
    /// Moves because a parent does, or because an anchor's moving target leads its chain.
    Carried,
    /// Held by an active anchor whose target stays: its chain after the base, and what hangs
    /// below that.
    Anchored,
    /// Not affected.
    Still,
}

/// Roles of all nodes, in document order, while `dials` move.
pub fn roles(document: &Document, dials: &[DialId]) -> Vec<(NodeId, Role)> {
    let moved = document
        .dials
        .iter()
        .filter(|d| dials.contains(&d.id))
        .flat_map(|d| &d.drives)
        .filter_map(|drive| drive.node());
    settle(document, moved, true)
}

/// Roles while a node's rest place is moved, its children keeping their places.
pub fn roles_placing(document: &Document, node: NodeId) -> Vec<(NodeId, Role)> {
    settle(document, std::iter::once(node), false)
}

fn settle(
    document: &Document,
    movers: impl Iterator<Item = NodeId>,
    carries: bool,
) -> Vec<(NodeId, Role)> {
    let index = Index::new(document.nodes.iter().map(|n| n.id.0));
    let at = |id: NodeId| index.get(id.0);
    let nodes = &document.nodes;
    let parents: Vec<_> = nodes.iter().map(|n| n.parent.and_then(at)).collect();
    // A circle of parents cannot be evaluated, so nothing in it is ever shown to move.
    let order = parents_first(document, &index).unwrap_or_default();
    let mut mover = vec![false; nodes.len()];
    for node in movers.filter_map(at) {
        mover[node] = true;
    }
    let turns = |anchor: &Anchor| !matches!(anchor.solver, Solver::SetDown { .. });
    let chains: Vec<_> = document
        .anchors
        .iter()
        .zip(&document.setting.active)
        .filter_map(|(a, &active)| active.then_some(a))
        .filter_map(|a| Some((at(a.target)?, chain(a, &parents, &at)?, turns(a))))
        .collect();

    // Motion spreads down the lineage and from targets to the chains they lead, until it stops.
    let mut moves = mover.clone();
    let mut led = vec![false; nodes.len()];
    loop {
        for &node in &order {
            moves[node] |= parents[node].is_some_and(|p| moves[p] && (carries || !mover[p]));
        }
        let leads =
            |(target, chain, _): &&(usize, Vec<usize>, bool)| moves[*target] && !led[chain[0]];
        let Some((_, chain, _)) = chains.iter().find(leads) else {
            break;
        };
        for &node in chain {
            led[node] = true;
            moves[node] = true;
        }
    }

    let mut held = vec![false; nodes.len()];
    // What is only set down goes where its parent does, along the surface.
    let stays = |(target, _, turns): &&(usize, Vec<usize>, bool)| *turns && !moves[*target];
    for (_, chain, _) in chains.iter().filter(stays) {
        for &node in &chain[..chain.len() - 1] {
            held[node] = true;
        }
    }
    let mut roles = vec![Role::Still; nodes.len()];
    for &node in &order {
        roles[node] = if mover[node] {
            Role::Mover
        } else if led[node] {
            Role::Carried
        } else if held[node] {
            Role::Anchored
        } else {
            match parents[node].map(|p| roles[p]) {
                Some(Role::Mover) if carries => Role::Carried,
                Some(Role::Mover) | None => Role::Still,
                Some(inherited) => inherited,
            }
        };
    }
    nodes.iter().map(|n| n.id).zip(roles).collect()
}

/// Nodes from an anchor's end up to its base.
fn chain(
    anchor: &Anchor,
    parents: &[Option<usize>],
    at: &impl Fn(NodeId) -> Option<usize>,
) -> Option<Vec<usize>> {
    let (mut node, base) = (at(anchor.end)?, at(anchor.base)?);
    let mut chain = vec![node];
    while node != base {
        node = parents[node]?;
        chain.push(node);
    }
    Some(chain)
}
