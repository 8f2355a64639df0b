//! Flesh through flesh: how deep a digit is in another, in itself or in the palm
//! (docs/mathematics.md 12).
use super::between::between;
use super::fit;
use super::overlap_pairs::{about, counts, hull, in_web, link, owner};
use super::pieces::{Ball, Kind, Pieces};
use super::segment::Segment;
use rig::{NodeId, Posed, Rig, Transform};

/// How deep flesh may be in flesh before it looks wrong, mm. Chosen here: skin gives way by as
/// much.
pub const MOST_OVERLAP: f64 = 1.0;

/// Less is rounding, and flesh that touches, mm.
const TOUCH: f64 = 1e-9;
/// More than a bound comes by rounding nearer than what it holds, mm.
const ROUNDING: f64 = 1e-6;

/// Two bones whose flesh counts against each other's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bones {
    /// The joint that carries a digit's.
    pub digit: NodeId,
    /// The joint that carries the other.
    pub other: NodeId,
    /// What of the hand the other is.
    pub kind: Kind,
}

/// The deepest flesh of a hand in flesh.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overlap {
    /// The least shift that parts the deepest two of their segments, mm; above 0.
    pub mm: f64,
    /// Whose.
    pub bones: Bones,
}

impl Overlap {
    /// Whose, and how deep: 'thumb through index finger, 1.4 mm'.
    pub fn told(&self, rig: &Rig) -> String {
        let Bones { digit, other, kind } = self.bones;
        let through = owner(rig, digit, Kind::Pad);
        let other = owner(rig, other, kind);
        let other = if other == through { "itself" } else { &other };
        format!("{through} through {other}, {:.1} mm", self.mm)
    }
}

/// How far two bones are apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Apart {
    /// Which.
    pub bones: Bones,
    /// mm between their flesh; negative: they overlap.
    pub clearance: f64,
}

/// Two pieces that count against each other.
#[derive(Clone, Copy, Debug)]
struct Pair {
    pieces: [usize; 2],
    bones: Bones,
}

/// What of a hand counts against what, looked up once.
///
/// - A digit's bone counts against another digit's, against one of its own that shares no joint
///   with it, and against the palm.
/// - Bones that share a joint do not count: their flesh folds there as one.
/// - A finger's first bone and the palm do not: the web joins them.
/// - Of two fingers' first bones what lies between knuckle and web's edge does not count against
///   each other: there the web makes them one.
#[derive(Clone, Debug, Default)]
pub struct Overlaps {
    made: Pieces,
    /// About each segment.
    bounds: Vec<Ball>,
    /// Whether each segment begins in the web.
    webbed: Vec<bool>,
    /// About each piece.
    hulls: Vec<Segment>,
    pairs: Vec<Pair>,
}

impl Overlaps {
    /// Of a hand; without one, nothing counts.
    pub fn of(rig: &Rig) -> Self {
        let made = fit::fit(rig);
        let bound = |link: &[usize; 2]| about(link.map(|ball| made.balls[ball]));
        let bounds = made.links.iter().map(bound).collect();
        let mut webbed = vec![false; made.links.len()];
        for piece in &made.pieces {
            webbed[in_web(&made, piece)].fill(true);
        }
        let pieces = &made.pieces;
        let mut pairs = Vec::new();
        for (i, a) in pieces.iter().enumerate() {
            for (j, b) in pieces.iter().enumerate() {
                let once = a.kind == Kind::Pad && (b.kind == Kind::Palm || i < j);
                if once && counts(rig, pieces, a, b) {
                    let bones = Bones {
                        digit: a.node,
                        other: b.node,
                        kind: b.kind,
                    };
                    let pieces = [i, j];
                    pairs.push(Pair { pieces, bones });
                }
            }
        }
        Self {
            bounds,
            webbed,
            hulls: pieces.iter().map(|piece| hull(&made, piece)).collect(),
            pairs,
            made,
        }
    }

    /// Whether there is no flesh.
    pub fn is_empty(&self) -> bool {
        self.made.pieces.is_empty()
    }

    /// The deepest overlap in an evaluated pose of the rig this was made of; none where no flesh
    /// is in other. Allocates nothing.
    pub fn deepest(&self, posed: &Posed) -> Option<Overlap> {
        let mut most: Option<Overlap> = None;
        for pair in &self.pairs {
            let so_far = most.map_or(TOUCH, |most| most.mm);
            let mm = self.deeper(pair.pieces, pair.worlds(posed), so_far);
            if mm > so_far {
                let bones = pair.bones;
                most = Some(Overlap { mm, bones });
            }
        }
        most
    }

    /// Every two bones that count, in an evaluated pose of the rig this was made of.
    pub fn apart<'a>(&'a self, posed: &'a Posed) -> impl Iterator<Item = Apart> + 'a {
        self.pairs.iter().map(|pair| {
            let depth = self.deeper(pair.pieces, pair.worlds(posed), f64::NEG_INFINITY);
            Apart {
                bones: pair.bones,
                clearance: 0.0 - depth,
            }
        })
    }

    /// How deep two pieces are in each other, mm, if it is more than `so_far`; else that.
    fn deeper(&self, pair: [usize; 2], worlds: [&Transform; 2], so_far: f64) -> f64 {
        let [a, b] = pair.map(|piece| &self.made.pieces[piece]);
        let place = |world: &Transform, ball: Ball| Ball {
            at: world.transform_point(&ball.at.into()).coords,
            ..ball
        };
        // Nothing of two pieces is deeper than spheres about them are, or than their hulls.
        let [one, other] = [place(worlds[0], a.about), place(worlds[1], b.about)];
        if !near(&one, &other, so_far) {
            return so_far;
        }
        // In the first one's frame.
        let local = worlds[0].inverse() * worlds[1];
        let here = |ball: Ball| place(&local, ball);
        let [one, other] = pair.map(|piece| &self.hulls[piece]);
        let other = Segment {
            ends: other
                .ends
                .map(|at| local.transform_point(&at.into()).coords),
            ..*other
        };
        let mut most = so_far;
        if 0.0 - between(one, &other).clearance <= most - ROUNDING {
            return most;
        }
        for of_b in b.links.clone() {
            let bound = here(self.bounds[of_b]);
            if !near(&a.about, &bound, most) {
                continue;
            }
            let other = link(self.made.links[of_b].map(|ball| here(self.made.balls[ball])));
            for of_a in a.links.clone() {
                let joined = self.webbed[of_a] && self.webbed[of_b];
                if !joined && near(&self.bounds[of_a], &bound, most) {
                    let one = link(self.made.links[of_a].map(|ball| self.made.balls[ball]));
                    let depth = 0.0 - between(&one, &other).clearance;
                    if depth > most {
                        most = depth;
                    }
                }
            }
        }
        most
    }
}

impl Pair {
    fn worlds<'a>(&self, posed: &'a Posed) -> [&'a Transform; 2] {
        [self.bones.digit, self.bones.other].map(|node| posed.world(node))
    }
}

/// The deepest overlap of a hand's flesh in an evaluated pose; none where no flesh is in other.
/// What is asked again and again is better kept as [`Overlaps`].
pub fn overlap(posed: &Posed) -> Option<Overlap> {
    Overlaps::of(posed.rig()).deepest(posed)
}

/// Whether two balls may be deeper in each other than so.
fn near(a: &Ball, b: &Ball, depth: f64) -> bool {
    let reach = a.radius + b.radius - depth + ROUNDING;
    reach > 0.0 && (a.at - b.at).norm_squared() < reach * reach
}
