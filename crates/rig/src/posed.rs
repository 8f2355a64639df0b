//! A document compiled and evaluated.
use crate::compile::{Compiled, Driven, What, compile, fits};
use crate::link::ramp;
use crate::setting::Setting;
use crate::shared::Shared;
use crate::units::{DEGREES, RADIANS};
use crate::{
    Anchor, AnchorId, Channel, Dial, DialId, Document, Drive, Fault, NodeId, Ramp, Rig, Share,
    Solver,
};
use kinematics::{Outcome, Pose, Transform, Vec3};
use std::sync::Arc;

/// A rig, how it is set, and the pose that follows: they cannot disagree.
///
/// Its clones share the rig and what was compiled of it. Changing a value costs nothing until [`evaluate`](Self::evaluate),
/// which computes what depends on what changed.
#[derive(Clone, Debug)]
pub struct Posed {
    document: Document,
    pub(crate) compiled: Arc<Compiled>,
    pose: Pose,
    pub(crate) sums: Sums,
}

/// What the dials make of channels as they stand, so that none is summed anew that no dial moved.
#[derive(Clone, Debug)]
pub(crate) struct Sums {
    /// By channel: what its links leave of the sum of its drives.
    pub(crate) kept: Vec<f64>,
    /// By link: what it passes on.
    passed: Vec<f64>,
}

impl PartialEq for Posed {
    /// The pose follows from the document.
    fn eq(&self, other: &Self) -> bool {
        self.document == other.document
    }
}

impl Posed {
    /// Compiles and evaluates.
    ///
    /// # Errors
    /// When the structure cannot be evaluated: parents in a circle, an anchor whose target its
    /// own chain carries, two anchors on one joint; or the setting is not of this rig.
    pub fn new(document: &Document) -> Result<Self, Fault> {
        let Document { rig, setting } = document;
        fits(document)?;
        let compiled = compile(rig)?;
        let mut posed = Self {
            pose: compiled.mechanism.pose(),
            sums: Sums {
                kept: vec![0.0; compiled.channels.len()],
                passed: vec![0.0; rig.links.len()],
            },
            document: document.clone(),
            compiled: Arc::new(compiled),
        };
        for (at, &active) in setting.active.iter().enumerate() {
            posed.switch(at, active);
            if let Solver::Finger { collapse, .. } = rig.anchors[at].solver {
                posed.pose.set_collapse(at, collapse);
            }
        }
        for at in 0..posed.compiled.channels.len() {
            posed.sum(at);
        }
        for at in 0..posed.compiled.channels.len() {
            posed.apply_channel(at);
        }
        posed.evaluate();
        Ok(posed)
    }

    /// What is posed: the rig, and where its dials and switches stand now.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// The structure.
    pub fn rig(&self) -> &Shared<Rig> {
        &self.document.rig
    }

    /// Where its dials and switches stand.
    pub fn setting(&self) -> &Setting {
        &self.document.setting
    }

    /// Another setting of the same rig, evaluated: values within the dials' limits. What a
    /// setting of another rig has too many or too few of is left out or left alone.
    pub fn set(&mut self, to: &Setting) {
        for at in 0..self.document.rig.dials.len().min(to.dials.len()) {
            self.set_freely(at, self.document.rig.dials[at].clamped(to.dials[at]));
        }
        for at in 0..self.document.rig.anchors.len().min(to.active.len()) {
            self.switch(at, to.active[at]);
        }
        self.evaluate();
    }

    /// Sets a dial (clamped) without evaluating. An id the rig does not have is ignored.
    pub fn set_dial(&mut self, dial: DialId, value: f64) {
        if let Some(at) = self.compiled.dials.get(dial.0) {
            self.set_freely(at, self.document.rig.dials[at].clamped(value));
        }
    }

    fn set_freely(&mut self, at: usize, value: f64) {
        if self.document.setting.dials[at] != value {
            self.document.setting.dials[at] = value;
            for k in 0..self.compiled.own[at] {
                self.sum(self.compiled.driven[at][k]);
            }
            for k in 0..self.compiled.driven[at].len() {
                self.apply_channel(self.compiled.driven[at][k]);
            }
        }
    }

    fn switch(&mut self, at: usize, active: bool) {
        self.document.setting.active[at] = active;
        self.pose.set_active(at, active);
    }

    /// Where `node` would be with these dials at these values, limits or not.
    pub(crate) fn probe(&mut self, node: NodeId, dials: &[DialId], values: &[f64]) -> Vec3 {
        for (&dial, &value) in dials.iter().zip(values) {
            self.set_freely(self.dial_at(dial), value);
        }
        self.evaluate();
        self.point(node)
    }

    /// A dial's least and greatest value.
    pub(crate) fn limits(&self, dial: DialId) -> (f64, f64) {
        let dial = &self.document.rig.dials[self.dial_at(dial)];
        (dial.min, dial.max)
    }

    /// A dial's value here. Panics on an id the document did not have.
    pub fn dial(&self, dial: DialId) -> f64 {
        self.document.setting.dials[self.dial_at(dial)]
    }

    /// Every dial to its neutral value, without evaluating.
    pub fn set_neutral(&mut self) {
        for at in 0..self.document.rig.dials.len() {
            self.set_freely(at, self.document.rig.dials[at].neutral);
        }
    }

    /// Turns an anchor on or off without evaluating. An id the document did not have is ignored.
    pub fn set_active(&mut self, anchor: AnchorId, active: bool) {
        if let Some(at) = self.compiled.anchors.get(anchor.0) {
            self.switch(at, active);
        }
    }

    /// Evaluates what changed.
    pub fn evaluate(&mut self) {
        self.compiled.mechanism.evaluate(&mut self.pose);
    }

    /// Whether the document had this node.
    pub fn has(&self, node: NodeId) -> bool {
        self.compiled.node_index.get(node.0).is_some()
    }

    /// Whether the document had this dial.
    pub fn has_dial(&self, dial: DialId) -> bool {
        self.compiled.dials.get(dial.0).is_some()
    }

    /// Whether the document had this anchor.
    pub fn has_anchor(&self, anchor: AnchorId) -> bool {
        self.compiled.anchors.get(anchor.0).is_some()
    }

    /// World transform of a node. Panics on an id the document did not have.
    pub fn world(&self, node: NodeId) -> &Transform {
        self.pose.world(self.compiled(node))
    }

    /// World position of a node, mm.
    pub fn point(&self, node: NodeId) -> Vec3 {
        self.world(node).translation.vector
    }

    /// A world point in a node's frame; none: the world's own.
    pub fn local(&self, of: Option<NodeId>, at: &Vec3) -> [f64; 3] {
        let point = (*at).into();
        match of {
            Some(of) => self.world(of).inverse_transform_point(&point).coords.into(),
            None => (*at).into(),
        }
    }

    /// One channel of a node, radians or mm, as its dials set it (anchors left out of account).
    pub fn channel(&self, node: NodeId, channel: Channel) -> f64 {
        self.pose.channel(self.compiled(node), channel)
    }

    /// The transform of a node relative to its parent that its channels alone give, as if no
    /// anchor turned it.
    pub fn channel_local(&self, node: NodeId) -> Transform {
        let at = self.compiled(node);
        let compiled = &self.compiled.mechanism.nodes()[at];
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
        self.document.setting.active[self.anchor_at(anchor)]
    }

    /// How fully an anchor holds its chain in an evaluated pose: 1 fully, 0 let go or off. Panics on
    /// an id the document did not have.
    pub fn hold(&self, anchor: AnchorId) -> f64 {
        if self.is_active(anchor) {
            self.outcome(anchor).hold
        } else {
            0.0
        }
    }

    /// How far load has collapsed a finger anchor's last joint now; 0 for any other anchor.
    pub fn collapse(&self, anchor: AnchorId) -> f64 {
        self.pose.collapse(self.anchor_at(anchor))
    }

    /// The turns about x, y and z in its own order that a node has now, degrees: its channels',
    /// or what an anchor made of them.
    pub fn turns(&self, node: NodeId) -> [f64; 3] {
        let turns = self
            .compiled
            .mechanism
            .turns(&self.pose, self.compiled(node));
        turns.map(|turn| turn * DEGREES)
    }

    /// Least singular value of an anchored chain's Jacobian, mm/rad.
    pub fn least_singular_value(&self, anchor: AnchorId) -> f64 {
        kinematics::solve::least_singular_value(
            &self.compiled.mechanism,
            &self.pose,
            self.anchor_at(anchor),
        )
    }

    /// Degrees the middle joint of an anchored two-bone chain turns per mm of approach.
    pub fn bend_gain(&self, anchor: AnchorId) -> f64 {
        kinematics::solve::bend_gain(&self.compiled.mechanism, &self.pose, self.anchor_at(anchor))
            * DEGREES
    }

    /// The anchor that holds a plant, by the plant's place in the rig's list.
    pub(crate) fn held_by(&self, plant: usize) -> Option<&Anchor> {
        let at = self.compiled.holding[plant]?;
        Some(&*self.document.rig.anchors[at])
    }

    pub(crate) fn compiled(&self, node: NodeId) -> usize {
        let place = self
            .compiled
            .node_index
            .get(node.0)
            .expect("a node of the posed document");
        self.compiled.nodes[place]
    }

    fn anchor_at(&self, anchor: AnchorId) -> usize {
        self.compiled
            .anchors
            .get(anchor.0)
            .expect("an anchor of the posed document")
    }

    fn dial_at(&self, dial: DialId) -> usize {
        self.compiled
            .dials
            .get(dial.0)
            .expect("a dial of the posed document")
    }

    /// What a link passes on, and what of its channel it leaves there, in the channel's unit.
    /// Panics on a place where the document has no link.
    pub fn linked(&self, link: usize) -> (f64, f64) {
        let passes = |driven: &Driven| driven.passes.contains(&link);
        let mut channels = self.compiled.channels.iter();
        let from = channels.position(passes).expect("a link of the document");
        (self.sums.passed[link], self.sums.kept[from])
    }

    /// Sums a channel's drives anew, in document order, so that the result does not depend on the
    /// order in which dials were moved; and parts the sum among its links. Each takes its part of
    /// what those before it left; who follows, follows the whole.
    fn sum(&mut self, at: usize) {
        let whole = self.dials_sum(at);
        let mut kept = whole;
        for &link in &self.compiled.channels[at].passes {
            self.sums.passed[link] = match self.document.rig.links[link].share {
                Share::Past { from, softness } => {
                    let past = crate::link::past(kept, from, softness);
                    kept -= past;
                    past
                }
                Share::All { from } => whole - from,
                Share::Fading { until, left, .. } => {
                    let by = self.compiled.fades_by[link].map_or(0.0, |by| self.dials_sum(by));
                    let gone = kept * (1.0 - crate::link::faded(by, until, left));
                    kept -= gone;
                    gone
                }
            };
        }
        self.sums.kept[at] = kept;
    }

    /// The sum of a channel's drives.
    pub(crate) fn dials_sum(&self, at: usize) -> f64 {
        let mut sum = 0.0;
        for &(dial, drive) in &self.compiled.channels[at].by {
            let source = &self.document.rig.dials[dial];
            let value = self.document.setting.dials[dial];
            sum += shaped(source, &source.drives[drive], value);
        }
        sum
    }

    /// Sets a channel to what its links leave it and others bring, in document order.
    fn apply_channel(&mut self, at: usize) {
        let driven = &self.compiled.channels[at];
        let mut sum = self.sums.kept[at];
        for &(link, gain) in &driven.gets {
            sum += gain * self.sums.passed[link];
        }
        match driven.what {
            What::Channel(node, channel) => {
                let unit = if channel.is_turn() { RADIANS } else { 1.0 };
                let within = driven.within(sum);
                self.pose.set_channel(node, channel, within * unit);
            }
            What::Collapse(anchor) => {
                if let Solver::Finger { collapse, .. } = self.document.rig.anchors[anchor].solver {
                    let to = collapse + sum;
                    self.pose.set_collapse(anchor, to);
                }
            }
            What::Hold(anchor) => self.pose.set_hold(anchor, 1.0 + sum),
        }
    }
}

/// What a drive adds to its channel (degrees or mm) when its dial stands at `value`: docs/mathematics.md 6.
pub(crate) fn shaped(dial: &Dial, drive: &Drive, value: f64) -> f64 {
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
