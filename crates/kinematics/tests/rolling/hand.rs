//! A finger under a palm that presses on a flat surface, and what is seen of it from outside.
#![allow(clippy::disallowed_methods)]
use kinematics::{
    Anchor, Channel, Contact, Mechanism, Node, Order, Pose, Rotation, Solver, Transform, Vec3,
};

pub const LOCKED: (f64, f64) = (0.0, 0.0);
pub const FREE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
pub const TWO_THIRDS: f64 = 2.0 / 3.0;

/// Index, middle, ring and little finger: phalanges, mm (Buryanov & Kotiuk 2010).
pub const PHALANGES: [[f64; 3]; 4] = [
    [39.8, 22.4, 15.8],
    [44.6, 26.3, 17.4],
    [41.4, 25.7, 17.3],
    [32.7, 18.1, 16.0],
];

pub fn degrees(min: f64, max: f64) -> (f64, f64) {
    (min.to_radians(), max.to_radians())
}

#[derive(Clone, Copy)]
pub struct Finger {
    pub lengths: [f64; 3],
    /// Everything is this many times as large.
    pub scale: f64,
    /// −1: the other hand.
    pub side: f64,
    /// Degrees: abduction, knuckle, middle joint, when planted.
    pub planted: [f64; 3],
    /// How the finger lies to the palm about its normal, degrees.
    pub splay: f64,
    /// Degrees.
    pub knuckle: (f64, f64),
    pub middle: (f64, f64),
    pub spread: (f64, f64),
    pub contact: bool,
}

impl Default for Finger {
    fn default() -> Self {
        Self {
            lengths: PHALANGES[1],
            scale: 1.0,
            side: 1.0,
            planted: [2.0, 8.0, 18.0],
            splay: 3.0,
            knuckle: (-70.0, 90.0),
            middle: (0.0, 110.0),
            spread: (-30.0, 30.0),
            contact: true,
        }
    }
}

/// Node 0 is the palm, at the knuckle, y up and the fingers along x; 1 the finger's place in it,
/// 2 to 4 its joints, 5 the tip's centre, 6 where its core was planted.
pub struct Hand {
    pub mechanism: Mechanism,
    pub pose: Pose,
    pub contact: Contact,
    pub start: Vec3,
    pub finger: Finger,
}

pub const RADIUS: f64 = 7.2;
pub const PAD: f64 = 45.0;
pub const CHANGEOVER: f64 = 5.0;

fn node(parent: Option<usize>, at: Vec3, turns: [(f64, f64); 3]) -> Node {
    Node {
        parent,
        rest: Transform::from_parts(at.into(), Rotation::identity()),
        order: Order::Xyz,
        limits: [turns[0], turns[1], turns[2], FREE, FREE, FREE],
    }
}

impl Finger {
    pub fn radius(&self) -> f64 {
        RADIUS * self.scale
    }

    fn nodes(&self) -> Vec<Node> {
        let rad = |(min, max): (f64, f64)| {
            let (min, max) = degrees(min, max);
            (min, max)
        };
        let spread = if self.side < 0.0 {
            (-self.spread.1, -self.spread.0)
        } else {
            self.spread
        };
        let [first, second, third] = self.lengths.map(|length| length * self.scale);
        let mut lie = node(None, Vec3::zeros(), [LOCKED; 3]);
        lie.parent = Some(0);
        // Out of the palm is down, along the bone towards the wrist is back.
        let turn = Rotation::from_axis_angle(&Vec3::y_axis(), self.side * self.splay.to_radians());
        lie.rest.rotation =
            turn * Rotation::from_basis_unchecked(&[-Vec3::y(), -Vec3::x(), -Vec3::z()]);
        let hinge = |parent, length: f64, limits| {
            node(Some(parent), Vec3::y() * -length, [LOCKED, LOCKED, limits])
        };
        let mut knuckle = node(
            Some(1),
            Vec3::zeros(),
            [rad(spread), LOCKED, rad(self.knuckle)],
        );
        knuckle.order = Order::Xzy;
        let mut palm = node(None, Vec3::zeros(), [FREE; 3]);
        palm.order = Order::Yzx;
        vec![
            palm,
            lie,
            knuckle,
            hinge(2, first, rad(self.middle)),
            hinge(3, second, degrees(-60.0, 90.0)),
            node(
                Some(4),
                Vec3::new(0.0225 * 7.5 * self.scale, self.radius() - third, 0.0),
                [LOCKED; 3],
            ),
        ]
    }

    pub fn bend(&self, pose: &mut Pose, [abduction, flexion, q]: [f64; 3]) {
        pose.set_channel(2, Channel::TurnX, self.side * abduction.to_radians());
        pose.set_channel(2, Channel::TurnZ, flexion.to_radians());
        pose.set_channel(3, Channel::TurnZ, q.to_radians());
        pose.set_channel(4, Channel::TurnZ, TWO_THIRDS * q.to_radians());
    }

    /// Planted as it is bent, the palm level.
    pub fn hand(self) -> Hand {
        let mut nodes = self.nodes();
        let free = Mechanism::new(nodes.clone(), vec![]).unwrap();
        let mut pose = free.pose();
        self.bend(&mut pose, self.planted);
        free.evaluate(&mut pose);
        let seen = Seen::of(&pose);
        let mut contact = Contact {
            radius: self.radius(),
            pad: PAD * self.scale,
            changeover: CHANGEOVER.to_radians(),
            joints: [8.5 * self.scale, 7.5 * self.scale],
            pitch: seen.pitch,
            tilt: seen.tilt,
            heading: (-seen.forward.z).atan2(seen.forward.x),
            round: None,
        };
        let core = seen.core(&contact);
        let start = Vec3::new(0.0, self.radius() - core.y, 0.0);
        nodes.push(node(
            None,
            Vec3::new(core.x, self.radius(), core.z),
            [LOCKED; 3],
        ));
        if self.side == 0.0 {
            contact.tilt = 0.0;
        }
        let anchor = Anchor {
            base: 2,
            end: 5,
            target: 6,
            solver: Solver::Finger {
                coupling: TWO_THIRDS,
                rest: 12f64.to_radians(),
                give: 0.0,
                contact: self.contact.then_some(contact),
            },
        };
        let mechanism = Mechanism::new(nodes, vec![anchor]).unwrap();
        let pose = mechanism.pose();
        let mut hand = Hand {
            mechanism,
            pose,
            contact,
            start,
            finger: self,
        };
        self.bend(&mut hand.pose, [0.0, 12.0, 20.0]);
        hand.press([0.0; 3], [0.0; 3]);
        hand
    }
}

impl Hand {
    /// Turns the palm by yaw, pitch (its fingers down) and roll, degrees, and moves its knuckle
    /// from where it was at planting.
    pub fn press(&mut self, [yaw, pitch, roll]: [f64; 3], by: [f64; 3]) {
        let side = self.finger.side;
        let pose = &mut self.pose;
        pose.set_channel(0, Channel::TurnY, side * yaw.to_radians());
        pose.set_channel(0, Channel::TurnZ, -pitch.to_radians());
        pose.set_channel(0, Channel::TurnX, side * roll.to_radians());
        pose.set_channel(0, Channel::MoveX, self.start.x + by[0]);
        pose.set_channel(0, Channel::MoveY, self.start.y + by[1]);
        pose.set_channel(0, Channel::MoveZ, side * (self.start.z + by[2]));
        self.mechanism.evaluate(&mut self.pose);
    }

    /// Degrees: abduction, knuckle, middle and last joint.
    pub fn reading(&self) -> [f64; 4] {
        let turns = |node| self.mechanism.turns(&self.pose, node);
        [turns(2)[0], turns(2)[2], turns(3)[2], turns(4)[2]].map(f64::to_degrees)
    }

    /// The lowest place of the drawn flesh over the surface y = 0: the outline as far back as the
    /// last joint, and the last and middle joints' balls; and of the outline alone.
    pub fn clearance(&self) -> (f64, f64) {
        let seen = Seen::of(&self.pose);
        let outline = seen.lowest(&self.contact);
        let [middle, last] = self.contact.joints;
        let joint = |node: usize, radius: f64| self.pose.world(node).translation.vector.y - radius;
        let all = outline.min(joint(4, last)).min(joint(3, middle));
        (all, outline)
    }
}

/// How the last bone stands to the level, by its directions alone.
pub struct Seen {
    pub joint: Vec3,
    pub centre: Vec3,
    pub palm: Vec3,
    pub bone: Vec3,
    pub pitch: f64,
    pub tilt: f64,
    pub forward: Vec3,
}

impl Seen {
    pub fn of(pose: &Pose) -> Self {
        let last = pose.world(4).rotation;
        let (palm, bone, axis) = (last * Vec3::x(), last * -Vec3::y(), last * Vec3::z());
        Self {
            joint: pose.world(4).translation.vector,
            centre: pose.world(5).translation.vector,
            palm,
            bone,
            pitch: (-bone.y).atan2(-palm.y),
            tilt: (-axis.y).asin(),
            forward: axis.cross(&Vec3::y()).normalize(),
        }
    }

    pub fn core(&self, contact: &Contact) -> Vec3 {
        self.core_at(contact, self.pitch)
    }

    fn core_at(&self, contact: &Contact, pitch: f64) -> Vec3 {
        if pitch >= contact.changeover {
            return self.centre;
        }
        let out = |angle: f64| self.palm * angle.cos() + self.bone * angle.sin();
        self.centre + (contact.pad - contact.radius) * (out(pitch) - out(contact.changeover))
    }

    /// By going over the outline: the pad's arc for 20° back of the changeover or as far as the last
    /// joint, then the tip.
    pub fn lowest(&self, contact: &Contact) -> f64 {
        (0..=400)
            .map(|step| contact.changeover - 20f64.to_radians() * f64::from(step) / 400.0)
            .map(|pitch| self.core_at(contact, pitch))
            .filter(|core| (core - self.joint).dot(&self.bone) > 0.0)
            .map(|core| core.y)
            .fold(self.centre.y, f64::min)
            - contact.radius
    }
}
