//! Random valid documents, the same for a seed on every machine: for checks that compare native
//! and browser evaluations byte for byte.
mod edits;
mod press;

pub use edits::{EditSeed, edit, edited};
pub use press::random_press;

use rig::*;

/// SplitMix64 (Steele, Lea & Flood 2014): integers only, so the same everywhere.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }

    fn chance(&mut self, of_ten: usize) -> bool {
        self.below(10) < of_ten
    }

    fn between(&mut self, min: f64, max: f64) -> f64 {
        let unit = (self.next() >> 11) as f64 / (1u64 << 53) as f64;
        min + (max - min) * unit
    }

    fn vector(&mut self, size: f64) -> [f64; 3] {
        [(); 3].map(|()| self.between(-size, size))
    }

    fn rotation(&mut self) -> [f64; 4] {
        loop {
            let q = [(); 4].map(|()| self.between(-1.0, 1.0));
            let norm = q.iter().map(|x| x * x).sum::<f64>();
            if norm > 0.01 {
                return q.map(|x| x / norm.sqrt());
            }
        }
    }
}

/// A valid document: trees of joints and mounts in all six channel orders, anchors of all five
/// kinds (within reach or not), dials with every ramp, limits and plants.
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
        document.plants.push(Plant {
            node,
            at: random.vector(100.0),
            surface,
            turned: None,
        });
    }
    document
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
        loaded: [None; 3],
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
    let solver = match random.below(5) {
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
        _ => Solver::Finger {
            coupling: random.between(0.0, 1.0),
            rest: random.between(-30.0, 30.0),
            collapse: if random.chance(5) {
                0.0
            } else {
                random.between(0.0, 1.5)
            },
            give: random.between(0.0, 20.0),
            contact: None,
        },
    };
    let bones = match solver {
        Solver::Aim => 1,
        Solver::TwoBone { .. } => 2,
        Solver::Finger { .. } => 3,
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
    if let Solver::Finger { .. } = solver {
        make_finger(document, random, base, end);
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
    if validate::document(document).is_err() {
        document.retain_anchors(|anchor| anchor.id != id);
    }
}

/// Leaves the joints from `base` to above `end` the turns of a finger: two next to each other in
/// the first one's order, one in each of the others.
fn make_finger(document: &mut Document, random: &mut Random, base: NodeId, end: NodeId) {
    let chain = base.0..end.0;
    for node in document
        .nodes
        .iter_mut()
        .filter(|n| chain.contains(&n.id.0))
    {
        let [outer, middle, inner] = node.order.axes();
        let locked = if node.id == base {
            vec![inner]
        } else {
            vec![outer, inner]
        };
        for axis in [outer, middle, inner] {
            let (min, max) = (random.between(-60.0, -5.0), random.between(5.0, 100.0));
            node.limits[axis] = Some(if locked.contains(&axis) {
                (0.0, 0.0)
            } else {
                (min, max)
            });
        }
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
