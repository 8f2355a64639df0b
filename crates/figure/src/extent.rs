//! What of a document a view should take in.
use crate::staple::planted_at;
use rig::index::Index;
use rig::{Document, Grip, NodeId, Posed, Vec3};

/// Points that a view must show to show all of a posed document: for [`View::fit`](crate::View::fit).
pub fn extent(posed: &Posed) -> Vec<Vec3> {
    let document = posed.document();
    let mut points = Vec::new();
    let nodes = document.nodes.iter().zip(framed(document));
    for (node, _) in nodes.filter(|(node, framed)| !node.hidden && *framed) {
        let (p, r) = (posed.point(node.id), node.width / 2.0);
        for axis in [Vec3::x(), Vec3::y(), Vec3::z()] {
            points.extend([p + axis * r, p - axis * r]);
        }
        if let Grip::Place(offset) = node.grip {
            points.push(p + Vec3::from(offset));
        }
    }
    points.extend(document.plants.iter().map(|plant| planted_at(plant, posed)));
    // A strip of bench under the figure, so that it stands on something.
    if let (Some(height), Some(p)) = (document.bench, points.first().copied()) {
        points.push(Vec3::new(p.x, height - 15.0, p.z));
    }
    points
}

/// By node, in document order: whether a view should take it in. Of a hand with an arm it shows
/// the hand: framed whole, most of the plate would be arm.
pub fn framed(document: &Document) -> Vec<bool> {
    let nodes = &document.nodes;
    let all = vec![true; nodes.len()];
    let index = Index::new(nodes.iter().map(|n| n.id.0));
    let find = |id: NodeId| index.get(id.0);
    let wrist = nodes.iter().position(|n| n.part == Some(rig::Part::Wrist));
    let (Some(_), Some(wrist)) = (&document.hand, wrist) else {
        return all;
    };
    let parents: Vec<_> = nodes.iter().map(|n| n.parent.and_then(find)).collect();
    if parents[wrist].is_none_or(|arm| nodes[arm].kind != rig::Kind::Joint) {
        return all;
    }
    let mut framed = below(&parents, wrist);
    let anchor = document.anchors.iter().find(|a| a.end == nodes[wrist].id);
    if let Some(target) = anchor.and_then(|a| find(a.target)) {
        for (framed, below) in framed.iter_mut().zip(below(&parents, target)) {
            *framed |= below;
        }
        for above in std::iter::successors(Some(target), |&n| parents[n]) {
            framed[above] = true;
        }
    }
    framed
}

/// Which nodes are this one or below it. Parents may come after children: climbs to what is
/// known, then comes back down.
fn below(parents: &[Option<usize>], of: usize) -> Vec<bool> {
    let mut known = vec![None; parents.len()];
    known[of] = Some(true);
    for node in 0..parents.len() {
        let (mut climb, mut at) = (Vec::new(), Some(node));
        while let Some(n) = at.filter(|&n| known[n].is_none()) {
            climb.push(n);
            at = parents[n];
        }
        let found = at.and_then(|n| known[n]).or(Some(false));
        for n in climb {
            known[n] = found;
        }
    }
    known.into_iter().map(|below| below == Some(true)).collect()
}
