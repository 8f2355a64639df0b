//! Random valid documents, the same for a seed on every machine: for checks that compare native
//! and browser evaluations byte for byte.
mod digit;
mod edits;
mod loose;
mod press;
mod random;

pub use edits::{EditSeed, edit, edited};
pub use loose::loose;
pub use press::random_press;

use random::Random;
use rig::*;

/// A valid document: trees of joints and mounts in all six channel orders, limits with and without
/// load, anchors of seven kinds (within reach or not, fingers and thumbs with a contact or a point,
/// what is set down), dials with every ramp, links, plants of points and of balls that roll.
pub fn random_document(seed: u64) -> Document {
    let mut random = Random(seed);
    let mut document = Document::default();
    document.rig.name = format!("sample {seed}");
    if random.chance(5) {
        document.bench = Some(random.between(-20.0, 20.0));
    }
    for _ in 0..1 + random.below(24) {
        let parent = (!document.nodes.is_empty() && random.chance(9))
            .then(|| document.nodes[random.below(document.nodes.len())].id);
        let kind = if random.chance(7) {
            Kind::Joint
        } else {
            Kind::Mount
        };
        add_node(&mut document, &mut random, parent, kind);
    }
    for _ in 0..random.below(5) {
        add_anchor(&mut document, &mut random);
    }
    for _ in 0..random.below(8) {
        add_dial(&mut document, &mut random);
    }
    for _ in 0..random.below(4) {
        let node = document.nodes[random.below(document.nodes.len())].id;
        let surface = document.nodes[random.below(document.nodes.len())].id;
        let surface = (random.chance(5) && surface != node).then_some(surface);
        // A ball rolls on a plane only; one that is told to roll on anything else is a point.
        let turned = random.chance(5).then(|| random.rotation());
        if let Some(surface) = surface
            && random.chance(5)
            && let Some(at) = document.nodes.iter().position(|node| node.id == surface)
        {
            document.nodes[at].surface = Some(Form::Plane);
        }
        document.plants.push(Plant {
            node,
            at: random.vector(100.0),
            surface,
            turned,
        });
    }
    for _ in 0..random.below(4) {
        let link = link(&document, &mut random);
        document.links.push(link);
    }
    document
}

/// What one channel's dials make reaches up to three others.
fn link(document: &Document, random: &mut Random) -> Link {
    let driven = document.dials.iter().flat_map(|dial| &dial.drives);
    let channels: Vec<_> = driven
        .filter_map(|drive| match drive.target {
            Target::Channel(node, channel) => Some((node, channel)),
            _ => None,
        })
        .collect();
    let any = |random: &mut Random| {
        let node = document.nodes[random.below(document.nodes.len())].id;
        (node, Channel::ALL[random.below(6)])
    };
    // Most often one that a dial drives.
    let (node, channel) = if channels.is_empty() || random.chance(2) {
        any(random)
    } else {
        channels[random.below(channels.len())]
    };
    let share = if random.chance(5) {
        Share::All {
            from: random.between(-20.0, 20.0),
        }
    } else {
        let size = random.between(1.0, 60.0);
        Share::Past {
            from: if random.chance(5) { size } else { -size },
            softness: if random.chance(5) {
                0.0
            } else {
                random.between(0.0, 10.0)
            },
        }
    };
    let to = (0..1 + random.below(3))
        .map(|_| {
            let (node, channel) = any(random);
            Passed {
                node,
                channel,
                gain: random.between(-2.0, 2.0),
            }
        })
        .collect();
    Link {
        node,
        channel,
        share,
        to,
    }
}

fn take_id(document: &mut Document) -> u32 {
    document.next_id += 1;
    document.next_id - 1
}

fn add_node(
    document: &mut Document,
    random: &mut Random,
    parent: Option<NodeId>,
    kind: Kind,
) -> NodeId {
    let id = NodeId(take_id(document));
    let mut limits = [None; 6];
    for limit in &mut limits[..3] {
        if random.chance(2) {
            let min = random.between(-120.0, 20.0);
            // Never equal: that would lock the turn, and solvers count the joints that can.
            *limit = Some((min, min + random.between(1.0, 151.0)));
        }
    }
    let loaded = [0, 1, 2].map(|axis: usize| {
        let (min, max) = limits[axis].filter(|_| random.chance(4))?;
        Some((
            min - random.between(0.0, 30.0),
            max + random.between(0.0, 30.0),
        ))
    });
    let node = Node {
        id,
        name: format!("node {}", id.0),
        kind,
        parent,
        translation: random.vector(80.0),
        rotation: if random.chance(5) {
            [0.0, 0.0, 0.0, 1.0]
        } else {
            random.rotation()
        },
        order: Order::ALL[random.below(6)],
        limits,
        loaded,
        width: random.between(0.0, 30.0),
        grip: Grip::None,
        hidden: random.chance(1),
        surface: None,
        part: None,
    };
    document.nodes.push(node.into());
    id
}

/// A chain of its own below some node, so that it shares no joint with another, and its target.
fn add_anchor(document: &mut Document, random: &mut Random) {
    let outside = document.nodes[random.below(document.nodes.len())].id;
    let solver = match random.below(8) {
        0 => Solver::Aim,
        1 => {
            let pole = random.chance(5).then_some(outside);
            let softness = if random.chance(5) {
                0.0
            } else {
                random.between(0.0, 10.0)
            };
            Solver::TwoBone {
                pole,
                softness,
                bend: random.vector(1.0),
            }
        }
        2 => Solver::DampedLeastSquares,
        3 => Solver::Fabrik,
        4 => digit::thumb(random),
        5 => {
            let mut low = [[0.0; 4]; 8];
            for ball in &mut low[..1 + random.below(8)] {
                let [x, y, z] = random.vector(40.0);
                *ball = [x, y, z, random.between(1.0, 20.0)];
            }
            Solver::SetDown { low }
        }
        _ => digit::finger(random),
    };
    let bones = match solver {
        Solver::Aim => 1,
        Solver::TwoBone { .. } => 2,
        Solver::Finger { .. } | Solver::Thumb { .. } => 3,
        _ => 1 + random.below(6),
    };
    let base = add_node(document, random, Some(outside), Kind::Joint);
    let mut end = base;
    for _ in 0..bones {
        if random.chance(2) {
            end = add_node(document, random, Some(end), Kind::Mount);
        }
        end = add_node(document, random, Some(end), Kind::Joint);
    }
    if solver.is_digit() {
        digit::make(document, random, base, end);
    }
    let target = add_node(document, random, Some(outside), Kind::Mount);
    let id = AnchorId(take_id(document));
    let name = format!("anchor {}", id.0);
    let active = random.chance(8);
    let anchor = Anchor {
        id,
        name,
        base,
        end,
        target,
        solver,
    };
    document.add_anchor(anchor, active);
    if solver.is_digit() && random.chance(6) {
        digit::near(document, random, end, target);
    }
    if validate::document(document).is_err() {
        document.retain_anchors(|anchor| anchor.id != id);
    }
}

fn add_dial(document: &mut Document, random: &mut Random) {
    let id = DialId(take_id(document));
    let unit = if random.chance(6) {
        Unit::Degrees
    } else {
        Unit::Millimetres
    };
    let (min, max) = (random.between(-90.0, -1.0), random.between(1.0, 90.0));
    let mut drives = Vec::new();
    for _ in 0..1 + random.below(3) {
        drives.push(Drive {
            target: Target::Channel(
                document.nodes[random.below(document.nodes.len())].id,
                Channel::ALL[random.below(6)],
            ),
            gain: random.between(-2.0, 2.0),
            ramp: [
                Ramp::Whole,
                Ramp::Rising,
                Ramp::Falling,
                Ramp::RisingPast(15.0),
            ][random.below(4)],
        });
    }
    let (neutral, value) = (random.between(min, max), random.between(min, max));
    let dial = Dial {
        id,
        name: format!("dial {}", id.0),
        unit,
        neutral,
        min,
        max,
        softness: random.chance(5).then(|| random.between(0.0, 20.0)),
        drives,
        role: None,
    };
    document.add_dial(dial, value);
    if random.chance(6) {
        let at = random.below(document.nodes.len());
        document.nodes[at].grip = Grip::Dials(vec![id]);
    }
}
