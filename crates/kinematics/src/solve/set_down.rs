//! A chain moved off a surface until the lowest of its balls just touches it.
use crate::plan::Chain;
use crate::{Mechanism, Outcome, Pose, Transform};

/// Places the chain as its channels have it, then moves it along the target's y, as far as it is
/// held.
pub(super) fn run(mechanism: &Mechanism, pose: &mut Pose, index: usize, low: &[[f64; 4]]) {
    let anchor = &mechanism.anchors[index];
    let (chain, nodes): (&Chain, _) = (&mechanism.plan.chains[index], &mechanism.nodes);
    let (&end, above) = chain
        .path
        .split_last()
        .expect("a path has a base and an end");
    let start = nodes[anchor.base]
        .parent
        .map_or(Transform::identity(), |parent| pose.world[parent]);
    let mut placed = start;
    for &node in above {
        if mechanism.plan.anchored[node] {
            pose.local[node] = nodes[node].local(&pose.channels[node]);
        }
        placed *= pose.local[node];
        pose.world[node] = placed;
    }
    // Where its channels put it: what turns the end, if anything does, waits for this step.
    let end = placed * nodes[end].local(&pose.channels[end]);
    let surface = pose.world[anchor.target];
    let off = surface.rotation * crate::Vec3::y();

    let held = pose.held[index];
    let held = if held.active { held.hold } else { 0.0 };
    let mut rise: Option<f64> = None;
    for &[x, y, z, radius] in low.iter().filter(|ball| ball[3] > 0.0) {
        let centre = end * nalgebra::Point3::new(x, y, z);
        let by = radius - (centre.coords - surface.translation.vector).dot(&off);
        if rise.is_none_or(|most| by > most) {
            rise = Some(by);
        }
    }
    let by = off * (held * rise.unwrap_or(0.0));
    pose.local[anchor.base].translation.vector += start.rotation.inverse() * by;
    for &node in above {
        pose.world[node].translation.vector += by;
    }
    pose.outcomes[index] = Outcome {
        hold: held,
        ..Outcome::default()
    };
}
