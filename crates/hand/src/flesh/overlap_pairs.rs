//! Which bones of a hand count against which, and what bounds their flesh.
use super::between::between;
use super::pieces::{Ball, Kind, Piece, Pieces};
use super::segment::Segment;
use rig::{NodeId, Part, Rig, Transform};

/// Whether one piece, a digit's, counts against another. Not where they share a joint, for there
/// they fold as one; and not a bone that carries a part of the web against the palm, which the
/// web makes one with it.
pub(super) fn counts(rig: &Rig, pieces: &[Piece], a: &Piece, b: &Piece) -> bool {
    let [up, over] = [a, b].map(|piece| above(rig, pieces, piece.node));
    let joined = a.node == b.node || up == Some(b.node) || over == Some(a.node);
    !joined && (b.kind == Kind::Pad || !webbed(pieces, a))
}

/// Whether a part of the palm lies on a piece's bone.
pub(super) fn webbed(pieces: &[Piece], of: &Piece) -> bool {
    let own = |piece: &&Piece| piece.node == of.node;
    pieces
        .iter()
        .filter(own)
        .any(|piece| piece.kind == Kind::Palm)
}

/// The next joint above that carries flesh too.
fn above(rig: &Rig, pieces: &[Piece], node: NodeId) -> Option<NodeId> {
    let mut at = rig.node(node)?;
    for _ in 0..rig.nodes.len() {
        at = rig.node(at.parent?)?;
        if pieces.iter().any(|piece| piece.node == at.id) {
            return Some(at.id);
        }
    }
    None
}

/// Where a node is with every joint straight.
pub(super) fn straight(rig: &Rig, node: NodeId) -> Transform {
    let mut rest = Transform::identity();
    let mut at = rig.node(node);
    for _ in 0..rig.nodes.len() {
        let Some(node) = at else { break };
        rest = node.rest() * rest;
        at = node.parent.and_then(|parent| rig.node(parent));
    }
    rest
}

/// What a joint's flesh is called: a digit by its name in the recipe.
pub(super) fn owner(rig: &Rig, node: NodeId, kind: Kind) -> String {
    let part = rig.node(node).and_then(|node| node.part.as_ref());
    let digit = part.and_then(Part::digit).filter(|_| kind == Kind::Pad);
    digit.map_or_else(|| "palm".to_owned(), |digit| digit.replace('-', " "))
}

/// Between two balls.
pub(super) fn link(balls: [Ball; 2]) -> Segment {
    Segment {
        ends: balls.map(|ball| ball.at),
        radii: balls.map(|ball| ball.radius),
    }
}

/// The least sphere that holds a segment.
pub(super) fn about(balls: [Ball; 2]) -> Ball {
    let [a, b] = balls;
    let length = (b.at - a.at).norm();
    if length + b.radius <= a.radius {
        return a;
    }
    if length + a.radius <= b.radius {
        return b;
    }
    let radius = 0.5 * (length + a.radius + b.radius);
    Ball {
        at: a.at + (b.at - a.at) * ((radius - a.radius) / length),
        radius,
    }
}

/// One segment that holds all of a piece: from the middle of its first station to that of its
/// last, grown until every ball is in it, and so what is between the balls too.
pub(super) fn hull(made: &Pieces, piece: &Piece) -> Segment {
    let balls = &made.balls[piece.balls.clone()];
    // A row's balls are linked each to the next station's.
    let [from, to] = made.links[piece.links.start];
    let rows = if to > from { to - from } else { 1 };
    let middle = |station: &[Ball]| {
        let count = station.len() as f64;
        let at = station.iter().map(|ball| ball.at / count).sum();
        let radius = station.iter().map(|ball| ball.radius / count).sum();
        Ball { at, radius }
    };
    let ends = [&balls[..rows], &balls[balls.len() - rows..]];
    let mut hull = link(ends.map(middle));
    // How far a ball sticks out is how far its centre is off, with its radius added.
    let grown = balls.iter().fold(0.0, |most, ball| {
        let hole = Segment {
            ends: [ball.at; 2],
            radii: [0.0 - ball.radius; 2],
        };
        let out = between(&hull, &hole).clearance;
        if out > most { out } else { most }
    });
    hull.radii = hull.radii.map(|radius| radius + grown);
    hull
}
