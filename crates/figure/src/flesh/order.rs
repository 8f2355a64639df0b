//! What lies behind what: an order for painting pieces of flesh.
use crate::View;
use crate::staple::Staple;
use rig::Vec3;

/// A bone and the flesh about it: two balls and what is between them, mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bone {
    pub ends: [Vec3; 2],
    pub radii: [f64; 2],
}

/// What the order of a piece goes by.
pub(super) struct Solid {
    pub bones: Vec<Bone>,
    /// Joints at which it meets others.
    pub joints: Vec<usize>,
    /// Which of two neighbours lies under the other, when neither is clearly nearer.
    pub rank: Rank,
    /// Of the ball of the thumb and of a knuckle: how it lies off the palm, square to the hand's length, mm.
    pub off: Vec3,
}

impl Solid {
    /// The middle of its bones.
    pub fn middle(&self) -> Vec3 {
        let ends = self.bones.iter().flat_map(|b| b.ends);
        ends.sum::<Vec3>() / (2 * self.bones.len().max(1)) as f64
    }
}

/// What a piece is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Rank {
    /// The palm lies over it unless that goes away from the eye.
    Arm,
    /// Between the roots of the fingers, which lie over it.
    Web,
    /// A digit lies over it unless that goes away from the eye.
    Palm,
    /// Of a finger, in the palm: nearer than that when it is seen from the back.
    Knuckle,
    /// A bone of a digit.
    Digit,
    /// The ball of the thumb: nearer than the palm when it is on the eye's side of it.
    Ball,
}

struct Flat {
    at: [(f64, f64); 2],
    depth: [f64; 2],
    radii: [f64; 2],
}

/// Indices from the farthest to the nearest. Of two pieces that overlap in the picture, the one
/// that is nearer where they overlap most is painted later; in a ring of such pairs the one
/// whose middle is farthest goes first.
pub(super) fn far_to_near(solids: &[&Solid], view: &View) -> Vec<usize> {
    let flat: Vec<Vec<Flat>> = solids
        .iter()
        .map(|s| s.bones.iter().map(|b| flatten(b, view)).collect())
        .collect();
    let middle: Vec<f64> = flat
        .iter()
        .map(|bones| {
            let sum: f64 = bones.iter().map(|b| b.depth[0] + b.depth[1]).sum();
            sum / (2 * bones.len().max(1)) as f64
        })
        .collect();
    let towards = view.axes()[2];
    let n = solids.len();
    let mut behind = vec![0usize; n];
    let mut over = vec![Vec::new(); n];
    for i in 0..n {
        for j in i + 1..n {
            let meet = solids[i]
                .joints
                .iter()
                .any(|a| solids[j].joints.contains(a));
            use Rank::{Arm, Ball, Digit, Knuckle};
            let off = |k: usize| match solids[k].rank {
                Ball => Some(solids[k].off.dot(&towards)),
                Knuckle => Some(solids[k].off.dot(&towards) + ASIDE),
                _ => None,
            };
            // An arm that points at the eye lies over a thumb.
            let points = |k: usize| {
                let [far, near] = solids[k].bones[0].ends;
                let out = (far - near).try_normalize(1e-9);
                out.is_some_and(|out| out.dot(&towards) > POINTS)
            };
            let grows = |a: usize, b: usize| {
                let (of, from) = (solids[a].rank, solids[b].rank);
                from < of.min(Digit) && !(of == Ball && from == Arm && points(b))
            };
            // Seen from the palm's side a knuckle lies under everything.
            let under = |k: usize| solids[k].rank == Knuckle && off(k) < Some(0.0);
            let nearer = if under(i) != under(j) {
                Some(if under(i) { -1.0 } else { 1.0 })
            } else if let Some(off) = off(i).filter(|_| grows(i, j)) {
                Some(off)
            } else if let Some(off) = off(j).filter(|_| grows(j, i)) {
                Some(-off)
            } else if meet {
                Some(neighbours(i, j, solids, &flat, &middle))
            } else {
                nearer(&flat[i], &flat[j])
            };
            let Some(nearer) = nearer else { continue };
            let (low, high) = if nearer > 0.0 { (j, i) } else { (i, j) };
            over[low].push(high);
            behind[high] += 1;
        }
    }
    let mut placed = vec![false; n];
    let mut order = Vec::with_capacity(n);
    for _ in 0..n {
        let free = |i: &usize| !placed[*i];
        let by_depth = |a: &usize, b: &usize| middle[*a].total_cmp(&middle[*b]);
        let next = (0..n)
            .filter(free)
            .filter(|&i| behind[i] == 0)
            .min_by(by_depth)
            .or_else(|| (0..n).filter(free).min_by(by_depth));
        let Some(next) = next else { break };
        placed[next] = true;
        for &high in &over[next] {
            behind[high] = behind[high].saturating_sub(1);
        }
        order.push(next);
    }
    order
}

/// Whether a piece lies between the eye and a staple: it covers the staple's place or a corner of it
/// in the picture, and the middle of it is nearer than the place by half its thickness and more. So
/// flesh that stands beside the place does not hide it.
pub(super) fn hides(solid: &Solid, staple: &Staple, view: &View) -> bool {
    let depth = view.project(&staple.at).2;
    solid.bones.iter().any(|bone| {
        let flat = flatten(bone, view);
        let [p, q] = flat.at;
        staple.corners.iter().any(|&(x, y)| {
            let (t, _) = closest(flat.at, [(x, y); 2]);
            let mix = |a: f64, b: f64| a + (b - a) * t;
            let apart = libm::hypot(mix(p.0, q.0) - x, mix(p.1, q.1) - y);
            let thick = mix(bone.radii[0], bone.radii[1]);
            let nearer = mix(flat.depth[0], flat.depth[1]) - depth;
            apart < thick * view.scale && nearer > thick / 2.0
        })
    })
}

fn flatten(bone: &Bone, view: &View) -> Flat {
    let [a, b] = bone.ends.map(|p| view.project(&p));
    Flat {
        at: [(a.0, a.1), (b.0, b.1)],
        depth: [a.2, b.2],
        radii: bone.radii.map(|r| r * view.scale),
    }
}

/// How much nearer the first is, where the two overlap most; none when they do not.
fn nearer(a: &[Flat], b: &[Flat]) -> Option<f64> {
    let mut most = 0.0;
    let mut found = None;
    for p in a {
        for q in b {
            let (s, t) = closest(p.at, q.at);
            let mix = |v: [f64; 2], t: f64| v[0] + (v[1] - v[0]) * t;
            let place =
                |v: [(f64, f64); 2], t: f64| (mix([v[0].0, v[1].0], t), mix([v[0].1, v[1].1], t));
            let (u, v) = (place(p.at, s), place(q.at, t));
            let apart = libm::hypot(u.0 - v.0, u.1 - v.1);
            let overlap = mix(p.radii, s) + mix(q.radii, t) - apart;
            if overlap > most {
                most = overlap;
                found = Some(mix(p.depth, s) - mix(q.depth, t));
            }
        }
    }
    found
}

/// An arm is turned to the eye by this cosine and more.
const POINTS: f64 = 0.6;
/// A knuckle lies over the palm where that is seen from aside too, mm.
const ASIDE: f64 = 3.0;
/// A piece that lies under its neighbour unless that goes this much away from the eye, mm.
const AWAY: f64 = 6.0;

/// Two pieces that meet at a joint: the one whose middle is nearer, but for what lies under.
fn neighbours(i: usize, j: usize, solids: &[&Solid], flat: &[Vec<Flat>], middle: &[f64]) -> f64 {
    // How far a piece comes towards the eye from where it begins.
    let leaves = |k: usize| {
        let comes = flat[k].iter().map(|f| f.depth[1] - f.depth[0]).sum::<f64>();
        comes / flat[k].len().max(1) as f64 + AWAY
    };
    use Rank::{Arm, Digit, Palm, Web};
    match (solids[i].rank, solids[j].rank) {
        (Digit, Web) => 1.0,
        (Web, Digit) => -1.0,
        (Digit, Palm) | (Web, Palm) | (Palm, Arm) => leaves(i),
        (Palm, Digit) | (Palm, Web) | (Arm, Palm) => -leaves(j),
        _ => middle[i] - middle[j],
    }
}

/// Parts along two segments at which they come nearest (Ericson 2005, Real-Time Collision
/// Detection, 5.1.9).
fn closest(p: [(f64, f64); 2], q: [(f64, f64); 2]) -> (f64, f64) {
    let sub = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0, a.1 - b.1);
    let dot = |a: (f64, f64), b: (f64, f64)| a.0 * b.0 + a.1 * b.1;
    let (u, v, w) = (sub(p[1], p[0]), sub(q[1], q[0]), sub(p[0], q[0]));
    let (a, b, e) = (dot(u, u), dot(u, v), dot(v, v));
    let (c, f) = (dot(u, w), dot(v, w));
    let whole = a * e - b * b;
    let part = |x: f64, of: f64| {
        if of > 1e-9 {
            (x / of).clamp(0.0, 1.0)
        } else {
            0.0
        }
    };
    let s = if whole > 1e-9 * a * e {
        part(b * f - c * e, whole)
    } else {
        0.5
    };
    let t = part(b * s + f, e);
    // The other's nearest may have been cut off by its end.
    (part(b * t - c, a), t)
}
