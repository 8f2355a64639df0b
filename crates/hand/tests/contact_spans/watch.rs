//! What a planted hand's flesh does on its bench, from poses alone: nothing here knows how a digit
//! is solved.
//!
//! The flesh of a digit's end is two arcs in the plane of the last joint's x and its bone, swept by
//! a sphere: what touches is the point that is lowest. A body rolls without slipping where the
//! point of it that touches is at rest (the definition): the slip of a path is the sum of what
//! those points go along the bench while they touch.
use hand::read;
use rig::{Contact, DialId, Document, NodeId, Posed, Solver, Vec3};

/// The five digits' names, the thumb last.
pub const DIGITS: [&str; 5] = [
    "index-finger",
    "middle-finger",
    "ring-finger",
    "pinky-finger",
    "thumb",
];

pub fn example(name: &str) -> Document {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/");
    let text = std::fs::read_to_string(format!("{root}{name}.hand.json")).unwrap();
    read(&text).unwrap()
}

pub fn dial(document: &Document, name: &str) -> DialId {
    document
        .dial_named(name)
        .unwrap_or_else(|| panic!("no {name}"))
        .id
}

fn node(document: &Document, name: &str) -> NodeId {
    document
        .node_named(name)
        .unwrap_or_else(|| panic!("no {name}"))
        .id
}

/// A digit as it is watched.
pub struct Digit {
    /// Centre of the tip's round end.
    tip: NodeId,
    /// Its joints from the knuckle (a thumb's base) on, with the radii of their flesh.
    pub joints: [(NodeId, f64); 3],
    contact: Contact,
    anchor: rig::AnchorId,
    /// The point of the body that touched last, in the tip's frame.
    last: Option<(Vec3, rig::Transform)>,
    /// What it has slipped, mm along the bench, and the most of it.
    slipped: Vec3,
    pub slip: f64,
}

impl Digit {
    pub fn of(document: &Document, name: &'static str) -> Self {
        let anchor = document
            .anchor_named(name)
            .expect("every digit is held or rests");
        let (Solver::Finger { contact, .. } | Solver::Thumb { contact, .. }) = anchor.solver else {
            panic!("{name} is held otherwise");
        };
        let bones = if name == "thumb" {
            ["metacarpal", "phalanx-proximal", "phalanx-distal"]
        } else {
            ["phalanx-proximal", "phalanx-intermediate", "phalanx-distal"]
        };
        let joints = bones.map(|bone| {
            let node = document.node_named(&format!("{name}-{bone}")).unwrap();
            (node.id, 0.5 * node.width)
        });
        Self {
            tip: node(document, &format!("{name}-tip-contact")),
            joints,
            contact: contact.expect("on a plane it rolls"),
            anchor: anchor.id,
            last: None,
            slipped: Vec3::zeros(),
            slip: 0.0,
        }
    }

    pub fn hold(&self, posed: &Posed) -> f64 {
        posed.hold(self.anchor)
    }

    /// What is left of its reach, mm for a tip of 7.2 mm.
    pub fn margin(&self, posed: &Posed) -> f64 {
        posed.outcome(self.anchor).reach_margin * 7.2 / self.contact.radius
    }

    /// The point of its end that is lowest, in the tip's frame.
    fn lowest(&self, posed: &Posed) -> Vec3 {
        let Contact {
            radius,
            pad,
            changeover,
            ..
        } = self.contact;
        let down = posed.world(self.tip).rotation.inverse() * -Vec3::y();
        let normal = |angle: f64| Vec3::new(angle.cos(), -angle.sin(), 0.0);
        let (angle, limit) = ((-down.y).atan2(down.x), changeover.to_radians());
        // Past straight up the arcs go on from the tip: a bone on its back rests on no pad.
        let angle = if angle < -std::f64::consts::FRAC_PI_2 {
            angle + std::f64::consts::TAU
        } else {
            angle
        };
        let core = if angle < limit {
            (normal(angle) - normal(limit)) * (pad - radius)
        } else {
            Vec3::zeros()
        };
        core + down * radius
    }

    /// How deep its end is in the bench, mm.
    pub fn depth(&self, posed: &Posed) -> f64 {
        let at = posed
            .world(self.tip)
            .transform_point(&self.lowest(posed).into());
        assert!(at.y.is_finite());
        -at.y
    }

    /// How deep the flesh at its last two joints is, mm.
    pub fn joints_depth(&self, posed: &Posed) -> f64 {
        let deep = |(joint, radius): (NodeId, f64)| radius - posed.point(joint).y;
        deep(self.joints[1]).max(deep(self.joints[2]))
    }

    /// Adds what the touching point has gone along the bench since the last pose, both fully held:
    /// the point that touches midway, which second differences leave alone.
    pub fn roll_on(&mut self, posed: &Posed) {
        if self.hold(posed) < 1.0 {
            self.last = None;
            return;
        }
        let (here, frame) = (self.lowest(posed), *posed.world(self.tip));
        if let Some((there, before)) = self.last {
            let midway = (here + there) * 0.5;
            let went = frame * rig::Transform::translation(midway.x, midway.y, midway.z);
            let from = before * rig::Transform::translation(midway.x, midway.y, midway.z);
            let mut step = went.translation.vector - from.translation.vector;
            step.y = 0.0;
            self.slipped += step;
            self.slip = self.slip.max(self.slipped.norm());
        }
        self.last = Some((here, frame));
    }
}

/// The palm's flesh: the metacarpals, tapered from base to knuckle, and the wrist's underside.
pub struct Palm {
    bones: Vec<[(NodeId, f64); 2]>,
    wrist: (NodeId, f64),
}

impl Palm {
    pub fn of(document: &Document) -> Self {
        let at = |name: &str, part: &str| {
            let node = document.node_named(&format!("{name}-{part}")).unwrap();
            (node.id, 0.5 * node.width)
        };
        let fingers = &DIGITS[..4];
        let bones = fingers
            .iter()
            .map(|name| [at(name, "metacarpal"), at(name, "phalanx-proximal")]);
        let wrist = node(document, "wrist");
        let neutral = {
            let mut posed = Posed::new(document).unwrap();
            posed.set_neutral();
            posed.evaluate();
            posed.point(wrist).y
        };
        Self {
            bones: bones.collect(),
            // The wrist is drawn flat: what is under it reaches down to the bench.
            wrist: (wrist, neutral),
        }
    }

    /// How deep it is in the bench, mm: a tapered capsule is deepest at one of its ends.
    pub fn depth(&self, posed: &Posed) -> f64 {
        let ends = self.bones.iter().flatten().chain([&self.wrist]);
        let deep = ends.map(|&(node, radius)| radius - posed.point(node).y);
        deep.fold(f64::NEG_INFINITY, f64::max)
    }
}
