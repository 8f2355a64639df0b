//! What `handstand pose` prints; also exported by the browser build, so that both can be compared byte for byte.
use crate::index::Index;
use crate::{NodeId, Posed};
use serde::Serialize;

#[derive(Serialize)]
struct Report<'a> {
    nodes: Vec<NodeReport<'a>>,
    anchors: Vec<AnchorReport<'a>>,
}

#[derive(Serialize)]
struct NodeReport<'a> {
    name: &'a str,
    parent: Option<&'a str>,
    position: [f64; 3],
    rotation: [f64; 4],
}

#[derive(Serialize)]
struct AnchorReport<'a> {
    name: &'a str,
    residual_mm: f64,
    reach_margin_mm: f64,
    hold: f64,
}

/// `{"nodes":[{"name","parent","position","rotation"}…],"anchors":[{"name","residual_mm","reach_margin_mm","hold"}…]}`, world space, mm.
///
/// Of an evaluated pose. Rotations are unit quaternions x, y, z, w.
pub fn pose_json(posed: &Posed) -> String {
    let rig = posed.rig();
    // −0 + 0 is 0: both zeros print alike.
    let plain = |x: f64| x + 0.0;
    let index = Index::new(rig.nodes.iter().map(|n| n.id.0));
    let name = |id: NodeId| index.get(id.0).map(|at| rig.nodes[at].name.as_str());
    let nodes = rig.nodes.iter().map(|node| {
        let world = posed.world(node.id);
        NodeReport {
            name: &node.name,
            parent: node.parent.and_then(name),
            position: <[f64; 3]>::from(world.translation.vector).map(plain),
            rotation: <[f64; 4]>::from(world.rotation.coords).map(plain),
        }
    });
    let anchors = rig.anchors.iter().map(|anchor| {
        let outcome = posed.outcome(anchor.id);
        AnchorReport {
            name: &anchor.name,
            residual_mm: plain(outcome.residual),
            reach_margin_mm: plain(outcome.reach_margin),
            hold: plain(outcome.hold),
        }
    });
    let report = Report {
        nodes: nodes.collect(),
        anchors: anchors.collect(),
    };
    serde_json::to_string(&report).expect("names and numbers always serialise")
}
