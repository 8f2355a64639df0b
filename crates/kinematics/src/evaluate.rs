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
        for &node in pose.nodes.list() {
            self.plan.mark_node(&mut pose.dirty, node);
        }
        for &anchor in pose.anchors.list() {
            self.plan
                .mark(&mut pose.dirty, self.plan.anchor_step[anchor]);
        }
        let mut last = Placed::default();
        for word in pose.dirty.first..pose.dirty.end {
            let mut bits = pose.dirty.bits[word];
            while bits != 0 {
                let step = word * 64 + bits.trailing_zeros() as usize;
                bits &= bits - 1;
                self.run(pose, self.plan.steps[step], &mut last);
            }
        }
        self.settle(pose);
    }

    /// Recomputes every node and anchor.
    pub fn evaluate_all(&self, pose: &mut Pose) {
        self.compose(pose);
        let mut last = Placed::default();
        for &step in &self.plan.steps {
            self.run(pose, step, &mut last);
        }
        self.settle(pose);
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

    fn settle(&self, pose: &mut Pose) {
        pose.nodes.clear();
        pose.anchors.clear();
        pose.dirty.clear();
    }

    #[inline(always)]
    fn run(&self, pose: &mut Pose, step: Step, last: &mut Placed) {
        let (node, world) = match step {
            Step::Node { node, parent } => {
                let above = if parent == last.node {
                    last.world
                } else {
                    pose.world[parent]
                };
                (node, above * pose.local[node])
            }
            Step::Root(node) => (node, pose.local[node]),
            Step::Anchor(anchor) => return solve::run(self, pose, anchor),
            Step::Placed => return,
        };
        pose.world[node] = world;
        *last = Placed { node, world };
    }
}

/// The node placed last, most often the next one's parent. Kept in registers, where
/// reading it back from memory at once would take as long as the products themselves.
struct Placed {
    node: usize,
    world: Transform,
}

impl Default for Placed {
    fn default() -> Self {
        Self {
            node: usize::MAX,
            world: Transform::identity(),
        }
    }
}
