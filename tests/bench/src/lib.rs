//! The same structures for every contender: described once, built for each.
use k::nalgebra as peer;
use kinematics::{Node, Order, Rotation, Transform, Vec3};

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
