//! Random edits, the same for a seed on every machine.
use crate::random::Random;
use rig::edit::apply;
use rig::{
    AnchorId, Channel, DialId, Document, Drive, Edit, Grip, Kind, NodeId, Order, Ramp, Rotation,
    Solver, Target, Unit, Vec3,
};

/// What an edit is made from: its kind, two items by place, numbers, and a choice.
pub type EditSeed = (u8, u32, u32, [f64; 3], bool);

/// Kinds of edits.
const KINDS: u8 = 22;

fn pick<T>(items: &[T], at: u32) -> Option<&T> {
    (!items.is_empty()).then(|| &items[at as usize % items.len()])
}

/// An edit that is plausible for the document, though it may be refused.
pub fn edit((kind, a, b, [x, y, z], flag): EditSeed, document: &Document) -> Edit {
    let node = pick(&document.nodes, a).map_or(NodeId(a), |n| n.id);
    let other = pick(&document.nodes, b).map(|n| n.id);
    let dial = pick(&document.dials, a).map_or(DialId(a), |d| d.id);
    let anchor = pick(&document.anchors, a).map_or(AnchorId(a), |k| k.id);
    let at = Vec3::new(x, y, z);
    let name = format!("made {}", b % 50);
    let channel = Channel::ALL[b as usize % 6];
    let drive = Drive {
        target: Target::Channel(node, channel),
        gain: z / 100.0,
        ramp: Ramp::Whole,
    };
    match kind % KINDS {
        0 => {
            let kind = if flag { Kind::Joint } else { Kind::Mount };
            Edit::AddNode {
                name,
                kind,
                parent: other,
                at,
                width: x.abs(),
            }
        }
        1 => Edit::InsertPivot {
            above: node,
            name,
            at,
        },
        2 => Edit::Rehang {
            node,
            parent: if flag { other } else { None },
        },
        3 => Edit::Gather {
            anchors: vec![anchor],
            name,
            at,
        },
        4 => {
            let solver = if flag {
                Solver::Fabrik
            } else {
                Solver::DampedLeastSquares
            };
            Edit::AddAnchor {
                name,
                base: node,
                end: other.unwrap_or(node),
                solver,
                under: None,
            }
        }
        5 => Edit::AddDrive {
            dial: name,
            unit: Unit::Degrees,
            range: (x, y),
            drive,
        },
        6 => Edit::Move {
            node,
            to: at,
            keep_children: flag,
        },
        7 => {
            let by = Rotation::from_scaled_axis(at / 100.0);
            Edit::Rotate {
                node,
                by,
                keep_children: flag,
            }
        }
        8 => Edit::Rename { node, name },
        9 => Edit::RenameDial { dial, name },
        10 => Edit::Delete { node },
        11 => Edit::DeleteAnchor { anchor },
        12 => Edit::SetLimits {
            node,
            channel,
            limits: flag.then_some((x, y)),
        },
        13 => Edit::SetOrder {
            node,
            order: Order::ALL[b as usize % 6],
        },
        14 => Edit::SetDials {
            values: vec![(dial, x)],
        },
        15 => Edit::SetSoftness { dial, softness: x },
        16 => Edit::SetActive {
            anchor,
            active: flag,
        },
        17 => Edit::SetGrip {
            node,
            grip: if flag {
                Grip::Place(at.into())
            } else {
                Grip::None
            },
        },
        18 => Edit::MovePivot { node, to: at },
        20 => {
            let driven = document.dial(dial).and_then(|dial| pick(&dial.drives, b));
            let target = driven.map_or(drive.target, |driven| driven.target);
            Edit::SetGain {
                dial,
                target,
                gain: z / 100.0,
            }
        }
        19 => {
            let mut setting = document.setting.clone();
            setting.active.fill(flag);
            if !setting.dials.is_empty() {
                let at = a as usize % setting.dials.len();
                setting.dials[at] = x;
            }
            Edit::Set { setting }
        }
        _ => Edit::SetBench {
            height: flag.then_some(x),
        },
    }
}

/// A document after so many random edits of every kind; those that are refused change nothing.
/// How many were made.
pub fn edited(document: &Document, seed: u64, count: usize) -> (Document, usize) {
    let (mut document, mut random, mut made) = (document.clone(), Random(seed), 0);
    for _ in 0..count {
        let kind = random.below(usize::from(KINDS)) as u8;
        let [a, b] = [(); 2].map(|()| random.next() as u32);
        let numbers = random.vector(200.0);
        let edit = edit((kind, a, b, numbers, random.chance(5)), &document);
        made += usize::from(apply(&mut document, &edit).is_ok());
    }
    (document, made)
}
