//! Which bones of a hand count against which, and what bounds their flesh.
use super::between::between;
use super::fit;
use super::pieces::{Ball, Kind, Piece, Pieces};
use super::section::WEB;
use super::segment::Segment;
use rig::{NodeId, Part, Rig};
use std::ops::Range;

/// Whether one piece, a digit's, counts against another. Not where they share a joint, for there
/// they fold as one; and not a bone that carries a part of the web against the palm, which the
/// web makes one with it.
pub(super) fn counts(rig: &Rig, pieces: &[Piece], a: &Piece, b: &Piece) -> bool {
    let [up, over] = [a, b].map(|piece| above(rig, pieces, piece.node));
    let joined = a.node == b.node || up == Some(b.node) || over == Some(a.node);
    !joined && (b.kind == Kind::Pad || !carries_web(pieces, a))
}

/// Whether a part of the palm lies on a piece's bone.
fn carries_web(pieces: &[Piece], of: &Piece) -> bool {
    let mut own = pieces.iter().filter(|piece| piece.node == of.node);
    own.any(|piece| piece.kind == Kind::Palm)
}

/// A digit's segments that begin between the knuckle and the web's edge.
pub(super) fn in_web(made: &Pieces, of: &Piece) -> Range<usize> {
    let begun = fit::PHALANX.iter().filter(|part| **part < WEB).count();
    let start = of.links.start;
    if of.kind == Kind::Pad && carries_web(&made.pieces, of) {
        start..start + begun * rows(made, of)
    } else {
        start..start
    }
}

/// How many balls stand side by side in a piece: each is linked to the same of the next station.
fn rows(made: &Pieces, piece: &Piece) -> usize {
    let [from, to] = made.links[piece.links.start];
    if to > from { to - from } else { 1 }
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

/// What a joint's flesh is called: a digit by its name in the recipe.
pub(super) fn owner(rig: &Rig, node: NodeId, kind: Kind) -> String {
    let part = rig.node(node).and_then(|node| node.part.as_ref());
    let digit = part.and_then(Part::digit).filter(|_| kind == Kind::Pad);
    digit.map_or_else(|| "palm".to_owned(), recipe::spoken)
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
    let rows = rows(made, piece);
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
