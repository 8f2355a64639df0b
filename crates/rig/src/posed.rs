//! A document compiled and evaluated.
use crate::compile::{Compiled, Driven, What, compile};
use crate::index::Index;
use crate::{
    Anchor, AnchorId, Channel, Dial, DialId, Document, Drive, Fault, Node, NodeId, Ramp, Solver,
};
use kinematics::{Mechanism, Outcome, Pose, Transform, Vec3};
use std::f64::consts::PI;

/// Degrees in a radian.
pub(crate) const DEGREES: f64 = 180.0 / PI;
/// Radians in a degree.
pub(crate) const RADIANS: f64 = PI / 180.0;

/// The compiled mechanism and its pose at the document's dial values (or others set here).
#[derive(Clone, Debug)]
pub struct Posed {
    mechanism: Mechanism,
    pose: Pose,
    /// What was compiled, to tell whether another document still has the same structure.
    source: Document,
    nodes: Vec<usize>,
    node_index: Index,
    anchor_index: Index,
    dial_index: Index,
    values: Vec<f64>,
    channels: Vec<Driven>,
    /// By dial: which of `channels` it drives.
    driven: Vec<Vec<usize>>,
}

impl Posed {
    /// Compiles and evaluates.
    ///
    /// # Errors
    /// When the structure cannot be evaluated: parents in a circle, an anchor whose target its
    /// own chain carries, two anchors on one joint.
    pub fn new(document: &Document) -> Result<Self, Fault> {
        let Compiled {
            mechanism,
            node_index,
            nodes,
            channels,
            driven,
        } = compile(document)?;
        let mut posed = Self {
            pose: mechanism.pose(),
            mechanism,
            source: document.clone(),
            anchor_index: Index::new(document.anchors.iter().map(|a| a.id.0)),
            dial_index: Index::new(document.dials.iter().map(|d| d.id.0)),
            values: document.dials.iter().map(|d| d.value).collect(),
            nodes,
            node_index,
            channels,
            driven,
        };
        for at in 0..posed.channels.len() {
            posed.apply_channel(at);
        }
        posed.evaluate();
        Ok(posed)
    }

    /// Whether `document` still has the structure this was compiled from; if so its dial values
    /// and anchor switches are taken over and only what depends on them is evaluated.
    pub fn refresh(&mut self, document: &Document) -> bool {
        if !same_structure(&self.source, document) {
            return false;
        }
        for dial in &document.dials {
            self.set_dial(dial.id, dial.value);
        }
        for anchor in &document.anchors {
            self.set_active(anchor.id, anchor.active);
        }
        self.evaluate();
        true
    }

    /// Sets a dial (clamped) without evaluating. An id the document did not have is ignored.
    pub fn set_dial(&mut self, dial: DialId, value: f64) {
        if let Some(at) = self.dial_index.get(dial.0) {
            self.set_freely(at, clamped(&self.source.dials[at], value));
        }
    }

    fn set_freely(&mut self, at: usize, value: f64) {
        if self.values[at] != value {
            self.values[at] = value;
            for k in 0..self.driven[at].len() {
                self.apply_channel(self.driven[at][k]);
            }
        }
    }

    /// Where `node` would be with these dials at these values, limits or not.
    pub(crate) fn probe(&mut self, node: NodeId, dials: &[DialId], values: &[f64]) -> Vec3 {
        for (&dial, &value) in dials.iter().zip(values) {
            self.set_freely(self.dial_at(dial), value);
        }
        self.evaluate();
        self.point(node)
    }

    /// A value within a dial's limits.
    pub(crate) fn clamped(&self, dial: DialId, value: f64) -> f64 {
        clamped(&self.source.dials[self.dial_at(dial)], value)
    }

    /// A dial's value here. Panics on an id the document did not have.
    pub fn dial(&self, dial: DialId) -> f64 {
        self.values[self.dial_at(dial)]
    }

    /// Every dial to its neutral value, without evaluating.
    pub fn set_neutral(&mut self) {
        for at in 0..self.source.dials.len() {
            let dial = &self.source.dials[at];
            self.set_dial(dial.id, dial.neutral);
        }
    }

    /// Turns an anchor on or off without evaluating. An id the document did not have is ignored.
    pub fn set_active(&mut self, anchor: AnchorId, active: bool) {
        if let Some(at) = self.anchor_index.get(anchor.0) {
            self.mechanism.set_active(&mut self.pose, at, active);
        }
    }

    /// Evaluates what changed.
    pub fn evaluate(&mut self) {
        self.mechanism.evaluate(&mut self.pose);
    }

    /// Whether the document had this node.
    pub fn has(&self, node: NodeId) -> bool {
        self.node_index.get(node.0).is_some()
    }

    /// Whether the document had this dial.
    pub fn has_dial(&self, dial: DialId) -> bool {
        self.dial_index.get(dial.0).is_some()
    }

    /// Whether the document had this anchor.
    pub fn has_anchor(&self, anchor: AnchorId) -> bool {
        self.anchor_index.get(anchor.0).is_some()
    }

    /// World transform of a node. Panics on an id the document did not have.
    pub fn world(&self, node: NodeId) -> &Transform {
        self.pose.world(self.compiled(node))
    }

    /// World position of a node, mm.
    pub fn point(&self, node: NodeId) -> Vec3 {
        self.world(node).translation.vector
    }

    /// One channel of a node, radians or mm, as its dials set it (anchors left out of account).
    pub fn channel(&self, node: NodeId, channel: Channel) -> f64 {
        self.pose.channel(self.compiled(node), channel)
    }

    /// The transform of a node relative to its parent that its channels alone give, as if no
    /// anchor turned it.
    pub fn channel_local(&self, node: NodeId) -> Transform {
        let at = self.compiled(node);
        let compiled = &self.mechanism.nodes()[at];
        let value = |channel| self.pose.channel(at, channel);
        let moved = Vec3::new(
            value(Channel::MoveX),
            value(Channel::MoveY),
            value(Channel::MoveZ),
        );
        let turns = [
            value(Channel::TurnX),
            value(Channel::TurnY),
            value(Channel::TurnZ),
        ];
        compiled.rest * Transform::from_parts(moved.into(), compiled.order.compose(turns))
    }

    /// What an anchor achieved. Panics on an id the document did not have.
    pub fn outcome(&self, anchor: AnchorId) -> &Outcome {
        self.pose.outcome(self.anchor_at(anchor))
    }

    /// Whether an anchor is on. Panics on an id the document did not have.
    pub fn is_active(&self, anchor: AnchorId) -> bool {
        self.mechanism.anchors()[self.anchor_at(anchor)].active
    }

    /// How fully an anchor holds its chain now: 1 fully, 0 let go. Panics on an id the document
    /// did not have.
    pub fn hold(&self, anchor: AnchorId) -> f64 {
        let anchor = &self.mechanism.anchors()[self.anchor_at(anchor)];
        if anchor.active { anchor.hold } else { 0.0 }
    }

    /// How far load has collapsed a finger anchor's last joint now; 0 for any other anchor.
    pub(crate) fn collapse(&self, anchor: AnchorId) -> f64 {
        match self.mechanism.anchors()[self.anchor_at(anchor)].solver {
            kinematics::Solver::Finger { collapse, .. } => collapse,
            _ => 0.0,
        }
    }

    /// The turns about x, y and z in its own order that a node has now, degrees: its channels',
    /// or what an anchor made of them.
    pub fn turns(&self, node: NodeId) -> [f64; 3] {
        let turns = self.mechanism.turns(&self.pose, self.compiled(node));
        turns.map(|turn| turn * DEGREES)
    }

    /// Least singular value of an anchored chain's Jacobian, mm/rad.
    pub fn least_singular_value(&self, anchor: AnchorId) -> f64 {
        kinematics::solve::least_singular_value(&self.mechanism, &self.pose, self.anchor_at(anchor))
    }

    /// Degrees the middle joint of an anchored two-bone chain turns per mm of approach.
    pub fn bend_gain(&self, anchor: AnchorId) -> f64 {
        kinematics::solve::bend_gain(&self.mechanism, &self.pose, self.anchor_at(anchor)) * DEGREES
    }

    /// Distance of a planted node from where it was planted, in its surface's coordinates, mm.
    pub fn slip(&self, document: &Document, node: NodeId) -> Option<f64> {
        let plant = document.plants.iter().find(|p| p.node == node)?;
        let here = match plant.surface {
            Some(surface) => {
                self.world(surface)
                    .inverse_transform_point(&self.point(node).into())
                    .coords
            }
            None => self.point(node),
        };
        Some((here - Vec3::from(plant.at)).norm())
    }

    fn compiled(&self, node: NodeId) -> usize {
        let place = self
            .node_index
            .get(node.0)
            .expect("a node of the posed document");
        self.nodes[place]
    }

    fn anchor_at(&self, anchor: AnchorId) -> usize {
        self.anchor_index
            .get(anchor.0)
            .expect("an anchor of the posed document")
    }

    fn dial_at(&self, dial: DialId) -> usize {
        self.dial_index
            .get(dial.0)
            .expect("a dial of the posed document")
    }

    /// Sums a channel anew from all its drives, in document order, so that the result does not
    /// depend on the order in which dials were moved.
    fn apply_channel(&mut self, at: usize) {
        let Driven { what, by } = &self.channels[at];
        let mut sum = 0.0;
        for &(dial, drive) in by {
            let source = &self.source.dials[dial];
            sum += shaped(source, &source.drives[drive], self.values[dial]);
        }
        match *what {
            What::Channel(node, channel) => {
                let unit = if channel.is_turn() { RADIANS } else { 1.0 };
                self.pose.set_channel(node, channel, sum * unit);
            }
            What::Collapse(anchor) => {
                if let Solver::Finger { collapse, .. } = self.source.anchors[anchor].solver {
                    let to = collapse + sum;
                    self.mechanism.set_collapse(&mut self.pose, anchor, to);
                }
            }
            What::Hold(anchor) => self.mechanism.set_hold(&mut self.pose, anchor, 1.0 + sum),
        }
    }
}

/// What a drive adds to its channel (degrees or mm) when its dial stands at `value`: docs/mathematics.md 6.
fn shaped(dial: &Dial, drive: &Drive, value: f64) -> f64 {
    let from_neutral = value - dial.neutral;
    let width = dial.softness.unwrap_or(0.0);
    drive.gain
        * match drive.ramp {
            Ramp::Whole => from_neutral,
            Ramp::Rising => ramp(from_neutral, width),
            Ramp::Falling => ramp(-from_neutral, width),
            Ramp::RisingPast(stage) => ramp(ramp(from_neutral, width) - stage, width),
        }
}

/// 0 up to 0, then x²/2w, then x − w/2 from w on: continuous with its first derivative.
fn ramp(x: f64, width: f64) -> f64 {
    if x <= 0.0 {
        0.0
    } else if x < width {
        x * x / (2.0 * width)
    } else {
        x - width / 2.0
    }
}

/// Within the dial's limits.
pub(crate) fn clamped(dial: &Dial, value: f64) -> f64 {
    if value < dial.min {
        dial.min
    } else if value > dial.max {
        dial.max
    } else {
        value
    }
}

fn same_structure(a: &Document, b: &Document) -> bool {
    let node = |a: &Node, b: &Node| {
        a.id == b.id
            && a.parent == b.parent
            && a.translation == b.translation
            && a.rotation == b.rotation
            && a.order == b.order
            && a.kind == b.kind
            && a.limits == b.limits
    };
    let anchor = |a: &Anchor, b: &Anchor| {
        a.id == b.id
            && (a.base, a.end, a.target) == (b.base, b.end, b.target)
            && a.solver == b.solver
    };
    let dial = |a: &Dial, b: &Dial| {
        a.id == b.id
            && (a.neutral, a.min, a.max) == (b.neutral, b.min, b.max)
            && a.softness == b.softness
            && a.drives == b.drives
    };
    same(&a.nodes, &b.nodes, node)
        && same(&a.anchors, &b.anchors, anchor)
        && same(&a.dials, &b.dials, dial)
}

fn same<T>(a: &[T], b: &[T], equal: impl Fn(&T, &T) -> bool) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| equal(a, b))
}
