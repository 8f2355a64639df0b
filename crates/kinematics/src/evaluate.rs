//! A pose brought up to date by its mechanism's plan.
use crate::plan::Step;
use crate::{Mechanism, Pose, Transform, solve};

impl Mechanism {
    /// Brings `pose` up to date. Only steps that depend on changed channels run;
    /// nothing is allocated.
    pub fn evaluate(&self, pose: &mut Pose) {
        if pose.dirty.all {
            return self.evaluate_all(pose);
        }
        self.compose(pose);
        let mut dirty = core::mem::take(&mut pose.dirty);
        let [nodes, anchors] = &dirty.from;
        if *nodes != pose.nodes || *anchors != pose.anchors {
            dirty.clear();
            for &node in pose.nodes.list() {
                self.plan.mark_node(&mut dirty, node);
            }
            for &anchor in pose.anchors.list() {
                self.plan.mark(&mut dirty, self.plan.anchor_step[anchor]);
            }
            let [nodes, anchors] = &mut dirty.from;
            core::mem::swap(nodes, &mut pose.nodes);
            core::mem::swap(anchors, &mut pose.anchors);
        }
        self.run(pose, dirty.steps().map(|step| self.plan.steps[step]));
        pose.dirty = dirty;
        settle(pose);
    }

    /// Recomputes every node and anchor.
    pub fn evaluate_all(&self, pose: &mut Pose) {
        self.compose(pose);
        self.run(pose, self.plan.steps.iter().copied());
        settle(pose);
    }

    /// Brings the local transforms of changed nodes up to date, anchored ones left to
    /// their anchors. Apart from placing: these do not wait for each other.
    fn compose(&self, pose: &mut Pose) {
        for &node in pose.nodes.list() {
            if !self.plan.anchored[node] {
                pose.local[node] = self.nodes[node].local(&pose.channels[node]);
            }
        }
    }

    #[inline(always)]
    fn run(&self, pose: &mut Pose, mut steps: impl Iterator<Item = Step>) {
        while let Some(anchor) = place(&mut steps, &pose.local, &mut pose.world) {
            solve::run(self, pose, anchor);
        }
    }
}

/// Places nodes as far as the next anchor, which is returned.
#[inline(always)]
fn place(
    steps: &mut impl Iterator<Item = Step>,
    local: &[Transform],
    world: &mut [Transform],
) -> Option<usize> {
    // The node placed last is most often the next one's parent. It is kept in registers, where
    // reading it back from memory at once would take as long as the products themselves.
    let mut last = (usize::MAX, Transform::identity());
    for step in steps {
        let (node, placed) = match step {
            Step::Node { node, parent } => {
                let above = if parent == last.0 {
                    last.1
                } else {
                    world[parent]
                };
                (node, above * local[node])
            }
            Step::Root(node) => (node, local[node]),
            Step::Anchor(anchor) => return Some(anchor),
            Step::Placed => continue,
        };
        world[node] = placed;
        last = (node, placed);
    }
    None
}

fn settle(pose: &mut Pose) {
    pose.nodes.clear();
    pose.anchors.clear();
    pose.dirty.all = false;
}
