//! A document compiled and evaluated.
use crate::index::Index;
use crate::{
    Anchor, AnchorId, Channel, Dial, DialId, Document, Drive, Fault, Kind, Node, NodeId, Ramp,
    Solver,
};
use kinematics::{BuildError, Mechanism, Outcome, Pose, Transform, Vec3};
use std::f64::consts::PI;

/// Degrees in a radian.
pub(crate) const DEGREES: f64 = 180.0 / PI;
/// Radians in a degree.
pub(crate) const RADIANS: f64 = PI / 180.0;

const ITERATIONS: u32 = 100;
/// Residual, mm, at which an iterative anchor stops.
const TOLERANCE: f64 = 1e-9;

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

/// A channel and everything that drives it, as (dial, drive) places.
#[derive(Clone, Debug)]
struct Driven {
    node: usize,
    channel: Channel,
    by: Vec<(usize, usize)>,
}

impl Posed {
    /// Compiles and evaluates.
    ///
    /// # Errors
    /// When the structure cannot be evaluated: parents in a circle, an anchor whose target its
    /// own chain carries, two anchors on one joint.
    pub fn new(document: &Document) -> Result<Self, Fault> {
        let node_index = Index::new(document.nodes.iter().map(|n| n.id.0));
        let order = parents_first(document, &node_index)?;
        let mut nodes = vec![0; order.len()];
        for (compiled, &place) in order.iter().enumerate() {
            nodes[place] = compiled;
        }
        let find = |id: NodeId, place: &dyn Fn() -> String| {
            node_index
                .get(id.0)
                .map(|at| nodes[at])
                .ok_or_else(|| unknown_node(place()))
        };
        let mut compiled = Vec::with_capacity(order.len());
        for &place in &order {
            let node = &document.nodes[place];
            let parent = node
                .parent
                .map(|p| find(p, &|| node_place(document, place)))
                .transpose()?;
            compiled.push(compile_node(node, parent));
        }
        let mut anchors = Vec::with_capacity(document.anchors.len());
        for (at, anchor) in document.anchors.iter().enumerate() {
            let find = |id| find(id, &|| anchor_place(document, at));
            anchors.push(compile_anchor(anchor, find)?);
        }
        let mechanism =
            Mechanism::new(compiled, anchors).map_err(|e| build_fault(document, &order, &e))?;
        let (channels, driven) = drives(document, &node_index, &nodes)?;
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
        let Some(at) = self.dial_index.get(dial.0) else {
            return;
        };
        let value = clamped(&self.source.dials[at], value);
        if self.values[at] != value {
            self.values[at] = value;
            for k in 0..self.driven[at].len() {
                self.apply_channel(self.driven[at][k]);
            }
        }
    }

    /// A dial's value here. Panics on an id the document did not have.
    pub fn dial(&self, dial: DialId) -> f64 {
        self.values[self.dial_at(dial)]
    }

    /// Whether a dial's limits keep it from moving from `value` in the direction of `step`.
    pub(crate) fn held_at(&self, dial: DialId, value: f64, step: f64) -> bool {
        let dial = &self.source.dials[self.dial_at(dial)];
        (step < 0.0 && value <= dial.min) || (step > 0.0 && value >= dial.max)
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
        let Driven { node, channel, by } = &self.channels[at];
        let mut sum = 0.0;
        for &(dial, drive) in by {
            let source = &self.source.dials[dial];
            sum += shaped(source, &source.drives[drive], self.values[dial]);
        }
        if channel.is_turn() {
            sum *= RADIANS;
        }
        self.pose.set_channel(*node, *channel, sum);
    }
}

/// What a drive adds to its channel (degrees or mm) when its dial stands at `value`: DESIGN 3.8.
fn shaped(dial: &Dial, drive: &Drive, value: f64) -> f64 {
    let from_neutral = value - dial.neutral;
    let width = dial.softness.unwrap_or(0.0);
    drive.gain
        * match drive.ramp {
            Ramp::Whole => from_neutral,
            Ramp::Rising => ramp(from_neutral, width),
            Ramp::Falling => ramp(-from_neutral, width),
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

pub(crate) fn transform(translation: [f64; 3], rotation: [f64; 4]) -> Transform {
    let [x, y, z, w] = rotation;
    Transform::from_parts(
        Vec3::from(translation).into(),
        nalgebra::Unit::new_unchecked(nalgebra::Quaternion::new(w, x, y, z)),
    )
}

fn compile_node(node: &Node, parent: Option<usize>) -> kinematics::Node {
    let mut limits = [(f64::NEG_INFINITY, f64::INFINITY); 6];
    for channel in Channel::ALL {
        let at = channel.index();
        if node.kind == Kind::Mount && channel.is_turn() {
            // Solvers turn joints only; a mount inside a chain is a rigid piece of it.
            limits[at] = (0.0, 0.0);
        } else if let Some((min, max)) = node.limits[at] {
            let unit = if channel.is_turn() { RADIANS } else { 1.0 };
            limits[at] = (min * unit, max * unit);
        }
    }
    let rest = transform(node.translation, node.rotation);
    kinematics::Node {
        parent,
        rest,
        order: node.order,
        limits,
    }
}

fn compile_anchor(
    anchor: &Anchor,
    find: impl Fn(NodeId) -> Result<usize, Fault>,
) -> Result<kinematics::Anchor, Fault> {
    let solver = match anchor.solver {
        Solver::Aim => kinematics::Solver::Aim,
        Solver::TwoBone {
            pole,
            softness,
            bend,
        } => kinematics::Solver::TwoBone {
            pole: pole.map(&find).transpose()?,
            softness,
            bend: bend.into(),
        },
        Solver::DampedLeastSquares => kinematics::Solver::DampedLeastSquares {
            iterations: ITERATIONS,
            tolerance: TOLERANCE,
        },
        Solver::Fabrik => kinematics::Solver::Fabrik {
            iterations: ITERATIONS,
            tolerance: TOLERANCE,
        },
    };
    Ok(kinematics::Anchor {
        base: find(anchor.base)?,
        end: find(anchor.end)?,
        target: find(anchor.target)?,
        solver,
        active: anchor.active,
    })
}

type Drives = (Vec<Driven>, Vec<Vec<usize>>);

fn drives(document: &Document, index: &Index, nodes: &[usize]) -> Result<Drives, Fault> {
    let mut channels: Vec<Driven> = Vec::new();
    let mut driven = vec![Vec::new(); document.dials.len()];
    for (d, dial) in document.dials.iter().enumerate() {
        for (k, drive) in dial.drives.iter().enumerate() {
            let place = || unknown_node(format!("dials[{d}] '{}'", dial.name));
            let node = nodes[index.get(drive.node.0).ok_or_else(place)?];
            let same = |c: &Driven| c.node == node && c.channel == drive.channel;
            let at = channels.iter().position(same).unwrap_or_else(|| {
                channels.push(Driven {
                    node,
                    channel: drive.channel,
                    by: Vec::new(),
                });
                channels.len() - 1
            });
            channels[at].by.push((d, k));
            if !driven[d].contains(&at) {
                driven[d].push(at);
            }
        }
    }
    Ok((channels, driven))
}

/// Places of the nodes, every parent before its children, otherwise in document order.
fn parents_first(document: &Document, index: &Index) -> Result<Vec<usize>, Fault> {
    let count = document.nodes.len();
    let mut children = vec![Vec::new(); count];
    let mut stack = Vec::new();
    for (at, node) in document.nodes.iter().enumerate().rev() {
        match node.parent {
            None => stack.push(at),
            Some(parent) => {
                let place = || unknown_node(node_place(document, at));
                children[index.get(parent.0).ok_or_else(place)?].push(at);
            }
        }
    }
    let mut order = Vec::with_capacity(count);
    let mut reached = vec![false; count];
    while let Some(at) = stack.pop() {
        reached[at] = true;
        order.push(at);
        stack.extend(&children[at]);
    }
    match reached.iter().position(|&r| !r) {
        None => Ok(order),
        Some(lost) => Err(circle(document, index, lost)),
    }
}

/// Names two nodes of the circle of parents that `from` hangs in or under.
fn circle(document: &Document, index: &Index, from: usize) -> Fault {
    let up = |at: usize| {
        let parent = document.nodes[at]
            .parent
            .expect("only nodes with parents are in a circle");
        index.get(parent.0).expect("parents were looked up before")
    };
    // After as many steps as there are nodes one is inside the circle for certain.
    let inside = (0..document.nodes.len()).fold(from, |at, _| up(at));
    let (child, parent) = (
        &document.nodes[inside].name,
        &document.nodes[up(inside)].name,
    );
    Fault {
        place: node_place(document, inside),
        what: format!("'{child}' hangs from '{parent}', which hangs from '{child}' in turn"),
        mend: format!("hang '{parent}' from something else, or leave its parent out"),
    }
}

fn build_fault(document: &Document, order: &[usize], error: &BuildError) -> Fault {
    let name = |compiled: usize| &document.nodes[order[compiled]].name;
    let anchor = |at: usize| &document.anchors[at].name;
    let (place, what, mend) = match *error {
        BuildError::ParentAfterChild { node } | BuildError::NotFinite { node } => (
            node_place(document, order[node]),
            format!("'{}' has a number that is not finite", name(node)),
            "give it plain numbers".to_owned(),
        ),
        BuildError::NotAChain { anchor: at } => {
            let Anchor { base, end, .. } = document.anchors[at];
            let name = |id| document.node(id).map_or("?", |n| n.name.as_str());
            (
                anchor_place(document, at),
                format!(
                    "the anchor '{}' needs a chain, but '{}' does not hang below '{}'",
                    anchor(at),
                    name(end),
                    name(base)
                ),
                format!("choose a base that carries '{}'", name(end)),
            )
        }
        BuildError::WrongBoneCount { anchor: at, bones } => {
            let wanted = match document.anchors[at].solver {
                Solver::Aim => "exactly one bone",
                Solver::TwoBone { .. } => "exactly two bones",
                _ => "at least one bone",
            };
            (
                anchor_place(document, at),
                format!(
                    "the anchor '{}' turns {wanted}, but its chain has {bones}",
                    anchor(at)
                ),
                "choose another base or end, or another solver".to_owned(),
            )
        }
        BuildError::SharedJoint {
            first,
            second,
            node,
        } => (
            anchor_place(document, second),
            format!(
                "the anchors '{}' and '{}' would both turn '{}'",
                anchor(first),
                anchor(second),
                name(node)
            ),
            "end one chain where the other begins".to_owned(),
        ),
        BuildError::Cycle {
            anchor: at,
            reads,
            moved,
        } => (
            anchor_place(document, at),
            format!(
                "the anchor '{}' holds to '{}', but '{}', which it turns, carries '{}'",
                anchor(at),
                name(reads),
                name(moved),
                name(reads)
            ),
            format!(
                "hang '{}' from something outside '{}'",
                name(reads),
                name(moved)
            ),
        ),
    };
    Fault { place, what, mend }
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

pub(crate) fn node_place(document: &Document, at: usize) -> String {
    format!("nodes[{at}] '{}'", document.nodes[at].name)
}

pub(crate) fn anchor_place(document: &Document, at: usize) -> String {
    format!("anchors[{at}] '{}'", document.anchors[at].name)
}

pub(crate) fn unknown_node(place: String) -> Fault {
    Fault {
        place,
        what: "it names a node that is not in the document".to_owned(),
        mend: "name one that is".to_owned(),
    }
}
