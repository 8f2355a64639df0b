//! Ends that roll, against SciPy: where an outline goes that rolls without slipping, by integrating
//! that its point in contact is at rest; and on 5,000 fingers what bounded least squares leaves.
#![allow(clippy::disallowed_methods)] // a check does not lean on what it checks
use kinematics::{
    Anchor, Channel, Contact, Mechanism, Node, Order, Pose, Rotation, Solver, Transform, Vec3,
};
use reference::{LOCKED, PHALANGES, between, build, node, numbers, oracle, vector};
use serde_json::{Value, json};

const CASES: usize = 5000;
const TWO_THIRDS: f64 = 2.0 / 3.0;
/// How many times a miss off the surface counts where limits leave one (the solver's, chosen there).
const STIFF: f64 = 10.0;

pub(super) struct Case {
    pub(super) joints: Vec<Node>,
    pub(super) lengths: [f64; 3],
    pub(super) tip: Vec3,
    pub(super) contact: Contact,
    pub(super) surface: Transform,
}

/// A finger as it is bent, its joints and its tip's centre; x is out of the palm, y back.
pub(super) fn finger(lengths: [f64; 3], limits: [(f64, f64); 3], tip: Vec3) -> Vec<Node> {
    let hinge = |parent, length: f64, limits| {
        let at = Vec3::y() * -length;
        node(Some(parent), at, Order::Xyz, [LOCKED, LOCKED, limits])
    };
    let knuckle = [limits[0], LOCKED, limits[1]];
    vec![
        node(None, Vec3::zeros(), Order::Xzy, knuckle),
        hinge(0, lengths[0], limits[2]),
        hinge(1, lengths[1], (-1.0, 1.6)),
        node(Some(2), tip, Order::Xyz, [LOCKED; 3]),
    ]
}

fn bend(pose: &mut Pose, [outer, inner, q]: [f64; 3]) {
    pose.set_channel(0, Channel::TurnX, outer);
    pose.set_channel(0, Channel::TurnZ, inner);
    pose.set_channel(1, Channel::TurnZ, q);
    pose.set_channel(2, Channel::TurnZ, TWO_THIRDS * q);
}

/// A contact of this size, planted as the finger is bent on a surface turned so; and where.
pub(super) fn plant(
    joints: &[Node],
    bent: [f64; 3],
    turn: Rotation,
    [radius, pad, changeover]: [f64; 3],
) -> (Contact, Vec3) {
    let (mechanism, mut pose) = build(joints.to_vec(), vec![]);
    bend(&mut pose, bent);
    mechanism.evaluate(&mut pose);
    let last = pose.world(2).rotation;
    let (palm, bone) = (
        turn.inverse() * (last * Vec3::x()),
        turn.inverse() * (last * -Vec3::y()),
    );
    let axis = turn.inverse() * (last * Vec3::z());
    let level = axis.cross(&Vec3::y());
    let pitch = (-bone.y).atan2(-palm.y);
    let out = |angle: f64| (palm * angle.cos() + bone * angle.sin()) * (pad - radius);
    let core = if pitch < changeover {
        out(pitch) - out(changeover)
    } else {
        Vec3::zeros()
    };
    let contact = Contact {
        radius,
        pad,
        changeover,
        joints: [8.0, 7.5],
        pitch,
        tilt: (-axis.y).asin(),
        heading: (-level.z).atan2(level.x),
        round: None,
    };
    (contact, pose.world(3).translation.vector + turn * core)
}

/// A palm that lies on the surface: its normal is against the palm's, its x the way fingers point.
pub(super) fn lying() -> Rotation {
    Rotation::from_basis_unchecked(&[-Vec3::y(), -Vec3::x(), -Vec3::z()])
}

impl Case {
    pub(super) fn solved(&self) -> (Mechanism, Pose) {
        let mut nodes = self.joints.clone();
        nodes.push(Node {
            rest: self.surface,
            ..node(None, Vec3::zeros(), Order::Xyz, [LOCKED; 3])
        });
        let solver = Solver::Finger {
            coupling: TWO_THIRDS,
            rest: 0.2,
            give: 0.0,
            contact: Some(self.contact),
        };
        let anchor = Anchor {
            base: 0,
            end: 3,
            target: 4,
            solver,
        };
        let (mechanism, mut pose) = build(nodes, vec![anchor]);
        mechanism.evaluate(&mut pose);
        (mechanism, pose)
    }

    /// How high its core is over the plane it should be in.
    fn height(&self, pose: &Pose) -> f64 {
        let last = self.surface.rotation.inverse() * pose.world(2).rotation;
        let (palm, bone) = ((last * Vec3::x()).y, -(last * Vec3::y()).y);
        let Contact {
            radius,
            pad,
            changeover,
            ..
        } = self.contact;
        let out = |angle: f64| (pad - radius) * (palm * angle.cos() + bone * angle.sin());
        let pitch = (-bone).atan2(-palm);
        let core = if pitch < changeover {
            out(pitch) - out(changeover)
        } else {
            0.0
        };
        (self.surface.inverse() * *pose.world(3)).translation.y + core
    }

    fn asked(&self) -> Value {
        let frame = self.surface.rotation.to_rotation_matrix();
        let rows: Vec<Vec<f64>> = (0..3)
            .map(|row| (0..3).map(|column| frame[(row, column)]).collect())
            .collect();
        let limits = [
            self.joints[0].limits[0],
            self.joints[0].limits[2],
            self.joints[1].limits[2],
        ];
        let Contact {
            radius,
            pad,
            changeover,
            pitch,
            tilt,
            heading,
            ..
        } = self.contact;
        json!({
            "lengths": self.lengths, "tip": self.tip.as_slice(), "coupling": TWO_THIRDS,
            "surface": rows, "at": self.surface.translation.vector.as_slice(),
            "bounds": limits.map(|(min, max)| [min, max]), "stiff": STIFF,
            "contact": {"radius": radius, "pad": pad, "changeover": changeover, "pitch": pitch, "tilt": tilt, "heading": heading},
        })
    }
}

fn case(index: usize, random: &mut fastrand::Rng) -> Case {
    let lengths = PHALANGES[index % 4];
    let size = [
        between(random, 5.0, 9.0),
        between(random, 9.0, 60.0),
        between(random, 0.0, 0.4),
    ];
    let tip = Vec3::new(between(random, 0.0, 0.6), size[0] - lengths[2], 0.0);
    let bent = [
        between(random, -0.2, 0.2),
        between(random, -0.3, 0.4),
        between(random, 0.15, 0.9),
    ];
    // Every other finger has little room about the way it was planted.
    let room = |angle: f64, wide: (f64, f64), random: &mut fastrand::Rng| {
        if index.is_multiple_of(2) {
            return wide;
        }
        (
            angle - between(random, 0.02, 0.3),
            angle + between(random, 0.02, 0.3),
        )
    };
    let limits = [
        room(bent[0], (-0.5, 0.5), random),
        room(bent[1], (-1.2, 1.5), random),
        room(bent[2], (0.0, 1.9), random),
    ];
    let limits = [limits[0], limits[1], (limits[2].0.max(0.0), limits[2].1)];
    let joints = finger(lengths, limits, tip);
    let tipped = Rotation::from_scaled_axis(vector(random, 0.15)) * lying();
    let (contact, at) = plant(&joints, bent, tipped, size);
    let moved = Rotation::from_scaled_axis(vector(random, 0.35));
    let surface = Transform::from_parts((moved * at + vector(random, 4.0)).into(), moved * tipped);
    Case {
        joints,
        lengths,
        tip,
        contact,
        surface,
    }
}

#[test]
fn ends_are_left_no_farther_than_scipys() {
    let mut random = fastrand::Rng::with_seed(11);
    let cases: Vec<_> = (0..CASES).map(|index| case(index, &mut random)).collect();
    let asked: Vec<_> = cases.iter().map(Case::asked).collect();
    let scipy = oracle("contact", &json!({"task": "solve", "cases": asked}));
    let scipy = scipy.as_array().expect("a list");
    let (mut held, mut limited, mut worst, mut apart) = (0, 0, f64::NEG_INFINITY, 0.0_f64);
    let mut worse = Vec::new();
    for (index, (case, theirs)) in cases.iter().zip(scipy).enumerate() {
        let theirs = numbers(theirs);
        let (mechanism, pose) = case.solved();
        let outcome = pose.outcome(0);
        if outcome.hold < 1.0 {
            continue;
        }
        held += 1;
        let turns = |joint| mechanism.turns(&pose, joint);
        let ours = [turns(0)[0], turns(0)[2], turns(1)[2]];
        let bounds = [
            case.joints[0].limits[0],
            case.joints[0].limits[2],
            case.joints[1].limits[2],
        ];
        for (angle, (min, max)) in ours.into_iter().zip(bounds) {
            assert!(
                angle >= min - 1e-12 && angle <= max + 1e-12,
                "case {index}: {ours:?}"
            );
        }
        assert!((turns(2)[2] - TWO_THIRDS * ours[2]).abs() < 1e-12);
        if !outcome.limited {
            assert!(outcome.residual < 1e-9, "case {index}: {outcome:?}");
            if theirs[0] < 1e-7 {
                let by = (0..3)
                    .map(|i| (ours[i] - theirs[1 + i]).abs())
                    .fold(0.0, f64::max);
                apart = apart.max(by);
            }
            continue;
        }
        limited += 1;
        // Off the surface a miss counts ten times; theirs is opened too where that sinks. Where both
        // stay sunk, for the knuckle's limit, what counts is what was made least.
        let height = case.height(&pose);
        let weighed = outcome
            .residual
            .hypot(height * (STIFF * STIFF - 1.0).sqrt());
        let over = (outcome.residual - theirs[4]).min(weighed - theirs[0]);
        worst = worst.max(over);
        if over > 1e-6 {
            worse.push(format!(
                "case {index}: {} against {:?}, {ours:?}, {outcome:?}",
                outcome.residual, theirs
            ));
        }
    }
    println!(
        "{CASES} fingers, {held} held in full, {limited} of them at a limit; worst excess {worst:.1e} mm, angles apart {apart:.1e}"
    );
    assert!(
        held > CASES / 3 && limited > CASES / 10,
        "the cases try what they should"
    );
    assert!(apart < 1e-6, "{apart}");
    println!("{}", worse.join("\n"));
    // The descent starts at the closure and stays in its valley, so that nothing jumps: of 1,503 at
    // a limit one ended above SciPy's best, sunk by a centimetre against the knuckle's limit, and that
    // settled, after 39 of its 200 steps.
    assert!(
        worse.len() <= 1,
        "{} worse:\n{}",
        worse.len(),
        worse[..worse.len().min(12)].join("\n")
    );
}

/// In a plane: pressed down and forward, the tip's centre goes where the outline rolls.
#[test]
fn an_end_goes_where_its_outline_rolls() {
    let mut random = fastrand::Rng::with_seed(12);
    let (mut asked, mut ours) = (Vec::new(), Vec::new());
    for index in 0..200 {
        let lengths = PHALANGES[index % 4];
        let radius = between(&mut random, 5.0, 9.0);
        // Every fourth is one circle: its centre moves by the radius times the turn.
        let pad = if index.is_multiple_of(4) {
            radius
        } else {
            between(&mut random, 10.0, 60.0)
        };
        let size = [radius, pad, between(&mut random, 0.05, 0.5)];
        let tip = Vec3::new(0.17, radius - lengths[2], 0.0);
        let bent = [
            0.0,
            between(&mut random, -0.35, 0.1),
            between(&mut random, 0.3, 0.6),
        ];
        let joints = finger(lengths, [(-0.5, 0.5), (-1.5, 1.5), (0.0, 1.9)], tip);
        let (contact, at) = plant(&joints, bent, lying(), size);
        let (mut to, mut places) = (Vec::new(), Vec::new());
        for step in 0..40 {
            let back = Rotation::from_scaled_axis(Vec3::z() * (0.02 * f64::from(step)));
            let by = Vec3::new(0.15, 0.05, 0.0) * f64::from(step);
            let surface = Transform::from_parts((at + by).into(), back * lying());
            let case = Case {
                joints: joints.clone(),
                lengths,
                tip,
                contact,
                surface,
            };
            let (_, pose) = case.solved();
            let outcome = pose.outcome(0);
            if outcome.hold < 1.0 || outcome.limited {
                continue;
            }
            // Seen from the surface: forward and up.
            let seen = surface.inverse() * *pose.world(3);
            let last = surface.rotation.inverse() * pose.world(2).rotation;
            let pitch = (-(last * -Vec3::y()).y).atan2(-(last * Vec3::x()).y);
            assert!(seen.translation.z.abs() < 1e-9);
            to.push(pitch);
            places.push([seen.translation.x, seen.translation.y]);
            if index.is_multiple_of(4) {
                let rolled = radius * (pitch - contact.pitch);
                assert!(
                    (seen.translation.x - rolled).abs() < 1e-9 && seen.translation.y.abs() < 1e-9
                );
            }
        }
        // Where its centre was when it was planted, the core being at the origin.
        let out = |angle: f64, scale: f64| [scale * angle.sin(), -scale * angle.cos()];
        let start = if contact.pitch < contact.changeover {
            let delta = contact.changeover - contact.pitch;
            let core = out(0.0, pad - radius);
            let seam = out(delta, pad - radius);
            [seam[0] - core[0], seam[1] - core[1]]
        } else {
            [0.0; 2]
        };
        asked.push(json!({"radius": radius, "pad": pad, "changeover": contact.changeover, "from": contact.pitch, "start": start, "to": to}));
        ours.push(places);
    }
    let scipy = oracle("contact", &json!({"task": "roll", "cases": asked}));
    let (mut count, mut worst) = (0, 0.0_f64);
    for (ours, theirs) in ours.iter().zip(scipy.as_array().expect("a list")) {
        for (ours, theirs) in ours.iter().zip(theirs.as_array().expect("a list")) {
            let theirs = numbers(theirs);
            worst = worst.max((ours[0] - theirs[0]).hypot(ours[1] - theirs[1]));
            count += 1;
        }
    }
    println!("{count} places of a rolling end, at most {worst:.1e} mm apart");
    assert!(count > 2000 && worst < 1e-9, "{count} {worst}");
}
