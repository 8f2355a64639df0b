//! The same structures for every contender: described once, built for each.
use k::nalgebra as peer;
use kinematics::{
    Anchor, Contact, Mechanism, Node, Order, Pose, Rotation, Solver, Transform, Vec3,
};

/// A joint that turns about its z axis: its parent, and its place and rest turn there.
#[derive(Clone, Copy, Debug)]
pub struct Hinge {
    /// Index of the parent.
    pub parent: Option<usize>,
    /// Place in the parent's frame, mm.
    pub at: [f64; 3],
    /// Rest rotation vector.
    pub turn: [f64; 3],
}

/// A hand's shape: a wrist, and five digits of five joints.
pub fn hand() -> Vec<Hinge> {
    let mut hinges = vec![Hinge {
        parent: None,
        at: [0.0; 3],
        turn: [0.0; 3],
    }];
    for digit in 0..5 {
        for joint in 0..5 {
            let parent = if joint == 0 { 0 } else { hinges.len() - 1 };
            let aside = 20.0 * (f64::from(digit) - 2.0);
            let at = if joint == 0 {
                [60.0, aside, 4.0]
            } else {
                [40.0 - 5.0 * f64::from(joint), 1.0, -0.5]
            };
            hinges.push(Hinge {
                parent: Some(parent),
                at,
                turn: [0.1 * aside / 20.0, 0.05, 0.2],
            });
        }
    }
    hinges
}

/// Six links whose axes lie all ways, and the end.
pub fn arm(links: usize) -> Vec<Hinge> {
    let turns = [[0.0; 3], [1.2, 0.0, 0.0], [0.0, 1.0, 0.0]];
    let hinge = |index: usize| Hinge {
        parent: index.checked_sub(1),
        at: if index == 0 {
            [0.0; 3]
        } else {
            [30.0, 2.0, 0.0]
        },
        turn: if links == 2 {
            [0.0; 3]
        } else {
            turns[index % 3]
        },
    };
    (0..=links).map(hinge).collect()
}

/// Free about z, or with the last rigid.
pub fn ours(hinges: &[Hinge]) -> Vec<Node> {
    let free = (f64::NEG_INFINITY, f64::INFINITY);
    let node = |hinge: &Hinge| Node {
        parent: hinge.parent,
        rest: Transform::from_parts(
            Vec3::from(hinge.at).into(),
            Rotation::from_scaled_axis(Vec3::from(hinge.turn)),
        ),
        order: Order::Xyz,
        limits: [(0.0, 0.0), (0.0, 0.0), free, free, free, free],
    };
    hinges.iter().map(node).collect()
}

/// The same for the `k` crate, in metres, which its tolerances expect.
pub fn peers(hinges: &[Hinge], fixed_end: bool) -> (k::Chain<f64>, Vec<k::Node<f64>>) {
    let mut nodes: Vec<k::Node<f64>> = Vec::new();
    for (index, hinge) in hinges.iter().enumerate() {
        let fixed = fixed_end && index + 1 == hinges.len();
        let kind = if fixed {
            k::JointType::Fixed
        } else {
            k::JointType::Rotational {
                axis: peer::Vector3::z_axis(),
            }
        };
        let [x, y, z] = hinge.at.map(|mm| mm / 1000.0);
        let node: k::Node<f64> = k::NodeBuilder::new()
            .name(&format!("j{index}"))
            .joint_type(kind)
            .translation(peer::Translation3::new(x, y, z))
            .rotation(peer::UnitQuaternion::from_scaled_axis(peer::Vector3::from(
                hinge.turn,
            )))
            .finalize()
            .into();
        if let Some(parent) = hinge.parent {
            node.set_parent(&nodes[parent]);
        }
        nodes.push(node);
    }
    (k::Chain::from_root(nodes[0].clone()), nodes)
}

/// A digit: its name, lengths of its bones (the metacarpal first), mm, and where its base
/// stands from the wrist.
pub struct Digit {
    /// For messages.
    pub name: &'static str,
    bones: [f64; 4],
    base: [f64; 3],
}

/// Bones after Buryanov & Kotiuk (2010); the bases' places are invented.
pub const DIGITS: [Digit; 5] = [
    digit("thumb", [0.0, 46.2, 31.6, 21.7], [8.0, -18.0, 22.0]),
    digit("index", [68.1, 39.8, 22.4, 15.8], [0.0, -30.0, 14.0]),
    digit("middle", [64.6, 44.6, 26.3, 17.4], [0.0, -32.0, 3.0]),
    digit("ring", [58.0, 41.4, 25.7, 17.3], [0.0, -31.0, -8.0]),
    digit("little", [53.7, 32.7, 18.1, 16.0], [0.0, -29.0, -18.0]),
];

const fn digit(name: &'static str, bones: [f64; 4], base: [f64; 3]) -> Digit {
    Digit { name, bones, base }
}

/// A hand of 26 joints below a wrist that three nested controls carry, with a pad under each
/// digit, its pose bent as a resting hand is; those `planted` are anchored where their pads
/// then are. Node 0 is the outermost control.
///
/// # Panics
/// Never: the structure is sound.
pub fn planted_hand(planted: &[Digit]) -> (Mechanism, Pose) {
    pressing(planted, false)
}

/// The same with the fingers' ends rolling on a surface under them.
///
/// # Panics
/// Never: the structure is sound.
pub fn rolling_hand(planted: &[Digit]) -> (Mechanism, Pose) {
    pressing(planted, true)
}

/// The tip's radius of a finger that rolls, mm.
const TIP: f64 = 7.2;

/// A contact planted as the last bone stands on a surface under the palm, whose normal is −x.
fn contact(last: &Transform) -> Contact {
    let (palm, bone) = (last.rotation * Vec3::x(), last.rotation * -Vec3::y());
    let axis = last.rotation * Vec3::z();
    let level = axis.cross(&-Vec3::x());
    Contact {
        radius: TIP,
        pad: 45.0,
        changeover: 5f64.to_radians(),
        joints: [8.5, 7.5],
        pitch: libm::atan2(bone.x, palm.x),
        tilt: libm::asin(axis.x),
        heading: libm::atan2(level.z, -level.y),
        round: None,
    }
}

fn pressing(planted: &[Digit], rolls: bool) -> (Mechanism, Pose) {
    const LOCKED: (f64, f64) = (0.0, 0.0);
    const FREE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
    let joint = |parent, at: [f64; 3], turns: [(f64, f64); 3], order| Node {
        parent,
        rest: Transform::from_parts(Vec3::from(at).into(), Rotation::identity()),
        order,
        limits: [turns[0], turns[1], turns[2], FREE, FREE, FREE],
    };
    let mount = |parent, at| joint(parent, at, [LOCKED; 3], Order::Xyz);
    let hinge = |parent, at, limits| joint(parent, at, [LOCKED, LOCKED, limits], Order::Xyz);
    // Controls: the wrist's, then eight about the places where a press tips.
    let mut nodes = vec![joint(None, [30.0, -150.0, 0.0], [FREE; 3], Order::Xyz)];
    for control in 0..8 {
        nodes.push(joint(
            Some(control),
            [-3.0, 12.0, 2.0],
            [FREE; 3],
            Order::Xyz,
        ));
    }
    nodes.push(joint(Some(8), [-6.0, 54.0, -16.0], [FREE; 3], Order::Xyz));
    let wrist = nodes.len() - 1;
    let mut ends = Vec::new();
    let mut turns = Vec::new();
    for digit in &DIGITS {
        let thumb = digit.bones[0] == 0.0;
        let at = nodes.len();
        nodes.push(mount(Some(wrist), digit.base));
        if !thumb {
            nodes.push(hinge(Some(at), [0.0, -digit.bones[0], 0.0], (0.0, 0.3)));
        }
        let base = nodes.len();
        let [abduction, flexion, middle, last] = if thumb {
            [(-1.2, 0.1), (-0.35, 0.3), (0.0, 0.9), (-0.35, 1.4)]
        } else {
            [(-0.35, 0.35), (-0.8, 1.57), (0.0, 1.75), (0.0, 1.57)]
        };
        nodes.push(joint(
            Some(base - 1),
            [0.0; 3],
            [abduction, LOCKED, flexion],
            Order::Xzy,
        ));
        nodes.push(hinge(Some(base), [0.0, -digit.bones[1], 0.0], middle));
        nodes.push(hinge(Some(base + 1), [0.0, -digit.bones[2], 0.0], last));
        let end = if rolls && !thumb {
            [0.17, TIP - digit.bones[3], 0.0]
        } else {
            [3.0, -0.6 * digit.bones[3], 0.0]
        };
        nodes.push(mount(Some(base + 2), end));
        nodes.push(mount(Some(base + 2), [0.0, -digit.bones[3], 0.0]));
        let bent = if thumb {
            [-0.5, 0.0, 0.35, 0.3]
        } else {
            [0.0, 0.5, 0.45, 0.3]
        };
        turns.push((base, bent));
        ends.push(base + 3);
    }
    let bend = |pose: &mut Pose| {
        use kinematics::Channel::{TurnX, TurnZ};
        for &(base, [abduction, flexion, middle, last]) in &turns {
            pose.set_channel(base, TurnX, abduction);
            pose.set_channel(base, TurnZ, flexion);
            pose.set_channel(base + 1, TurnZ, middle);
            pose.set_channel(base + 2, TurnZ, last);
        }
    };
    let resting = Mechanism::new(nodes.clone(), vec![]).expect("a sound hand");
    let mut pose = resting.pose();
    bend(&mut pose);
    resting.evaluate(&mut pose);
    let mut anchors = Vec::new();
    for (at, digit) in DIGITS.iter().enumerate() {
        if !planted.iter().any(|other| other.name == digit.name) {
            continue;
        }
        let place = pose.world(ends[at]).translation.vector;
        let mut target = mount(None, place.into());
        // Its y off the surface, its x the way the fingers lie.
        target.rest.rotation =
            Rotation::from_basis_unchecked(&[-Vec3::y(), -Vec3::x(), -Vec3::z()]);
        nodes.push(target);
        let solver = if digit.bones[0] == 0.0 {
            Solver::Thumb {
                rest: [0.35, 0.3],
                contact: None,
            }
        } else {
            Solver::Finger {
                coupling: 2.0 / 3.0,
                rest: 0.2,
                give: 0.1,
                contact: rolls.then(|| contact(pose.world(turns[at].0 + 2))),
            }
        };
        anchors.push(Anchor {
            base: turns[at].0,
            end: ends[at],
            target: nodes.len() - 1,
            solver,
        });
    }
    let mechanism = Mechanism::new(nodes, anchors).expect("a sound hand");
    let mut pose = mechanism.pose();
    bend(&mut pose);
    mechanism.evaluate(&mut pose);
    (mechanism, pose)
}
