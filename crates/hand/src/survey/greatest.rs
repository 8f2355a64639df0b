//! How far one dial goes, and who lets go first.
use super::walk::Walk;
use super::{Ends, Limit, Tolerance};
use rig::{DialId, NodeId, Posed, Solver};

/// How far a dial goes from neutral.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Greatest {
    /// Its value there, in its unit.
    pub value: f64,
    /// What would be unsafe beyond; none: the dial's own end.
    pub stopped_by: Option<Ends>,
    /// The value at which a limit was first hit on the way, and which.
    pub limit: Option<(f64, Limit)>,
}

/// How far a dial goes either way from neutral.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Span {
    pub down: Greatest,
    pub up: Greatest,
}

/// When a planted node can no longer hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Release {
    /// The node.
    pub node: NodeId,
    /// The dial's value there.
    pub at: f64,
}

/// How far a dial goes from neutral, up (`rising`) or down, safe all the way; the other dials stay
/// as they stand in `posed`. None when the document has no such dial or nothing is planted.
pub fn greatest(
    posed: &Posed,
    dial: DialId,
    rising: bool,
    tolerance: &Tolerance,
) -> Option<Greatest> {
    let mut walk = Walk::new(posed, dial, rising)?;
    if !walk.meter.holds_any(posed) {
        return None;
    }
    let (value, stopped_by) = match walk.first(Walk::look, |_, cell| !cell.is_safe(tolerance)) {
        None => (walk.end, None),
        Some((good, bad)) => (good, walk.look(bad).ends(tolerance)),
    };
    let limit = walk.first(Walk::look, |_, cell| cell.limit.is_some());
    let limit = limit
        .map(|(_, bad)| (bad, walk.look(bad).limit))
        .filter(|(at, _)| (at - walk.dial.neutral).abs() <= (value - walk.dial.neutral).abs())
        .and_then(|(at, limit)| Some((at, limit?)));
    Some(Greatest {
        value,
        stopped_by,
        limit,
    })
}

/// A dial's safe span: [`greatest`] both ways. It does not depend on where the dial itself stands.
pub fn span(posed: &Posed, dial: DialId, tolerance: &Tolerance) -> Option<Span> {
    Some(Span {
        down: greatest(posed, dial, false, tolerance)?,
        up: greatest(posed, dial, true, tolerance)?,
    })
}

/// In what order planted digits let go as a dial goes from neutral to its end: those that let go by
/// themselves or would slip further than the tolerance, by where that happens. A thumb goes first, at the latest
/// where the first finger does (chosen here): it lies across the others and would hold them back.
/// Digits that hold all the way are left out.
pub fn releases(posed: &Posed, dial: DialId, rising: bool, tolerance: &Tolerance) -> Vec<Release> {
    let rig = posed.rig();
    let Some(mut walk) = Walk::new(posed, dial, rising) else {
        return Vec::new();
    };
    let plants: Vec<_> = walk.meter.plants().collect();
    let mut found: Vec<Release> = Vec::new();
    for (at, &node) in plants.iter().enumerate() {
        // What is not held at neutral has been let go already.
        walk.glance(walk.dial.neutral);
        if walk.slips[at].is_none() {
            continue;
        }
        let lost = |walk: &Walk, _| walk.slips[at].is_none_or(|slip| slip > tolerance.slip);
        if let Some((_, bad)) = walk.first(Walk::glance, lost) {
            found.push(Release { node, at: bad });
        }
    }
    let neutral = walk.dial.neutral;
    let far = |release: &Release| (release.at - neutral).abs();
    // Stable: digits lost together go in document order.
    found.sort_by(|a, b| far(a).total_cmp(&far(b)));
    let is_thumb = |node: NodeId| {
        let mut holding = rig.anchors.iter().filter(|anchor| anchor.end == node);
        holding.any(|anchor| matches!(anchor.solver, Solver::Thumb { .. }))
    };
    if let Some(first) = found.first().map(|release| release.at) {
        let thumb = plants.iter().copied().filter(|&node| is_thumb(node));
        for node in thumb {
            found.retain(|release| release.node != node);
            found.insert(0, Release { node, at: first });
        }
    }
    found
}
