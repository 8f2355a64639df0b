//! Random edits, the same for a seed on every machine.
use crate::Random;
use rig::edit::apply;
use rig::{
    Channel, Document, Drive, Edit, Grip, Kind, Order, Ramp, Rotation, Solver, Target, Unit, Vec3,
};

/// A document after so many random edits of every kind; those that are refused change nothing.
/// How many were made.
pub fn edited(document: &Document, seed: u64, count: usize) -> (Document, usize) {
    let (mut document, mut random, mut made) = (document.clone(), Random(seed), 0);
    for at in 0..count {
        let edit = edit(&document, &mut random, at);
        made += usize::from(edit.is_some_and(|edit| apply(&mut document, &edit).is_ok()));
    }
    (document, made)
}

/// An edit of what the document has; none: it has nothing to be edited so.
fn edit(document: &Document, random: &mut Random, at: usize) -> Option<Edit> {
    let kind = random.below(18);
    let place = Vec3::from(random.vector(80.0));
    let any = |random: &mut Random, count: usize| (count > 0).then(|| random.below(count));
    let node = any(random, document.nodes.len()).map(|at| document.nodes[at].id);
    let other = any(random, document.nodes.len()).map(|at| document.nodes[at].id);
    let dial = any(random, document.dials.len()).map(|at| document.dials[at].clone());
    let anchor = any(random, document.anchors.len()).map(|at| document.anchors[at].id);
    let keep_children = random.chance(5);
    let channel = Channel::ALL[random.below(6)];
    Some(match kind {
        0 => Edit::AddNode {
            name: format!("added {at}"),
            kind: if keep_children {
                Kind::Joint
            } else {
                Kind::Mount
            },
            parent: node,
            at: place,
            width: random.between(0.0, 20.0),
        },
        1 => Edit::InsertPivot {
            above: node?,
            name: format!("pivot {at}"),
            at: place,
        },
        2 => Edit::Rehang {
            node: node?,
            parent: other,
        },
        3 => Edit::Gather {
            anchors: vec![anchor?],
            name: format!("carrier {at}"),
            at: place,
        },
        4 => Edit::AddAnchor {
            name: format!("held {at}"),
            base: node?,
            end: other?,
            solver: [Solver::Fabrik, Solver::DampedLeastSquares, Solver::Aim][random.below(3)],
            under: None,
        },
        5 => Edit::AddDrive {
            dial: format!("drive {at}"),
            unit: Unit::Degrees,
            range: (-30.0, 60.0),
            drive: Drive {
                target: Target::Channel(node?, channel),
                gain: random.between(-2.0, 2.0),
                ramp: [Ramp::Whole, Ramp::Rising, Ramp::Falling][random.below(3)],
            },
        },
        6 => Edit::Move {
            node: node?,
            to: place,
            keep_children,
        },
        7 => Edit::MovePivot {
            node: node?,
            to: place,
        },
        8 => {
            let [x, y, z, w] = random.rotation();
            Edit::Rotate {
                node: node?,
                by: Rotation::new_unchecked([x, y, z, w].into()),
                keep_children,
            }
        }
        9 => Edit::Rename {
            node: node?,
            name: format!("renamed {at}"),
        },
        10 if random.chance(2) => Edit::Delete { node: node? },
        11 if random.chance(3) => Edit::DeleteAnchor { anchor: anchor? },
        12 => Edit::SetOrder {
            node: node?,
            order: Order::ALL[random.below(6)],
        },
        13 => Edit::SetLimits {
            node: node?,
            channel,
            limits: keep_children.then(|| (random.between(-90.0, 0.0), random.between(0.0, 90.0))),
        },
        14 => Edit::SetSoftness {
            dial: dial?.id,
            softness: random.between(0.0, 20.0),
        },
        15 => Edit::SetActive {
            anchor: anchor?,
            active: keep_children,
        },
        16 => Edit::SetGrip {
            node: node?,
            grip: Grip::Place(random.vector(20.0)),
        },
        _ => {
            let dial = dial?;
            let value = random.between(dial.min, dial.max);
            Edit::SetDials {
                values: vec![(dial.id, value)],
            }
        }
    })
}
