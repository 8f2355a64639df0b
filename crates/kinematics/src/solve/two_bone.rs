//! Two bones by the law of cosines.
use super::damped;
use super::link::{self, Link};
use super::task::Task;
use crate::Vec3;

/// Below this sine between the bones the chain counts as straight: which way it bends
/// is then for the bend axis to say.
const STRAIGHT: f64 = 1e-9;

/// The middle joint turns about `axis`; the square of the distance from base to end is
/// then `c + r·cos(δ − straight)` in the added turn δ.
struct Hinge {
    axis: Vec3,
    /// Added turn at which the end is farthest.
    straight: f64,
    /// Which way the posed chain is bent from there: 1 or −1.
    side: f64,
    nearest: f64,
    farthest: f64,
}

/// Closed form. The middle joint turns until the end is as far from the base as the
/// target (on a soft knee before full reach), then the base turns the end into its
/// direction by the smallest rotation, then about that direction until the middle leans
/// towards the pole. What limits then leave over is sought by damped descent, from other
/// seeds too: within limits the other side of the bend may be the only one that reaches.
pub(super) fn solve(task: &mut Task, pole: Option<Vec3>, softness: f64, bend: Vec3) -> u32 {
    let [base, middle] = &mut task.scratch.links[..] else {
        unreachable!("the plan admits two-bone anchors with two joints only");
    };
    let root = base.origin();
    let to = task.target - root;
    let to_pole = pole.map(|pole| pole - root);
    let mut hinge = Hinge::new(base, middle, task.tip, bend);
    if let Some(lean) = to_pole.filter(|_| !base.is_ball()) {
        // The base cannot swing the bend round: the pole can only choose its side. The
        // middle stands opposite to the way the end is bent.
        let away = lean.dot(&hinge.axis.cross(&to));
        if away != 0.0 {
            hinge.side = if away < 0.0 { 1.0 } else { -1.0 };
        }
    }
    let wanted = soften(to.norm(), softness, hinge.nearest, hinge.farthest);
    hinge.bend(middle, wanted);
    let from = middle.origin() - root + middle.turned * task.tip;
    base.turn_towards(&from, &to, Some(hinge.axis));
    if to_pole.is_none() && base.unlimited && middle.unlimited {
        return 0;
    }
    let links = &mut task.scratch.links;
    link::settle(links, 1);
    if let Some(lean) = to_pole.filter(|_| links[0].is_ball()) {
        lean_towards(links, &to, &lean);
    }

    let (reached, size) = (task.end() - root, to.norm());
    let heading = if size > 0.0 { to / size } else { Vec3::zeros() };
    let off = reached - heading * reached.norm();
    if size == 0.0
        || task.scratch.links.iter().all(|link| link.unlimited)
        || off.norm() <= 1e-12 * hinge.farthest
    {
        return 0;
    }
    // The knee stays: the descent goes to where a chain without limits would have ended.
    let target = core::mem::replace(&mut task.target, root + heading * wanted);
    let iterations = damped::solve(task, 100, 1e-12 * hinge.farthest);
    task.target = target;
    iterations
}

impl Hinge {
    fn new(base: &Link, middle: &Link, tip: Vec3, bend: Vec3) -> Self {
        let (u, v) = (middle.origin() - base.origin(), middle.turned * tip);
        let normal = u.cross(&v);
        let crooked = normal.norm() > STRAIGHT * u.norm() * v.norm();
        let bend = base.turned * bend;
        let axis = match middle.hinge() {
            Some(hinge) => middle.axis(hinge),
            None if crooked => normal / normal.norm(),
            None => {
                link::without(&bend, &u).unwrap_or_else(|| link::perpendicular(&u, &base.turned))
            }
        };
        // Parts along the axis stay; parts square to it are the two bones of a plane.
        let (along_u, along_v) = (axis.dot(&u), axis.dot(&v));
        let (flat_u, flat_v) = (u - axis * along_u, v - axis * along_v);
        let (long, short) = (flat_u.norm(), flat_v.norm());
        let rise = along_u + along_v;
        let (sine, cosine) = (axis.dot(&flat_v.cross(&flat_u)), flat_u.dot(&flat_v));
        let side = if libm::fabs(sine) > STRAIGHT * long * short {
            if sine < 0.0 { 1.0 } else { -1.0 }
        } else if axis.dot(&bend) < 0.0 {
            -1.0
        } else {
            1.0
        };
        Self {
            axis,
            straight: libm::atan2(sine, cosine),
            side,
            nearest: hypotenuse(long - short, rise),
            farthest: hypotenuse(long + short, rise),
        }
    }

    /// Turns the middle joint until base and end are `distance` apart, or as near to
    /// that as its limits allow.
    fn bend(&self, middle: &mut Link, distance: f64) {
        // Half-angle form of the law of cosines: accurate both straight and folded.
        let below = (self.farthest - distance) * (self.farthest + distance);
        let above = (distance - self.nearest) * (distance + self.nearest);
        let angle = 2.0 * libm::atan2(libm::sqrt(below), libm::sqrt(above));
        let turn = |side: f64| self.straight + side * angle;
        let Some(hinge) = middle.hinge() else {
            return middle.rotate(&link::about(self.axis, turn(self.side)));
        };
        let excess =
            |side| link::nearest(middle.angles[hinge] + turn(side), middle.limits[hinge]).1;
        let flipped = excess(self.side) > 1e-12 && excess(-self.side) <= 1e-12;
        middle.turn_axis(hinge, turn(if flipped { -self.side } else { self.side }));
    }
}

/// Lengths here are nowhere near the ends of the number range, so the guarded
/// `libm::hypot` would only take time.
fn hypotenuse(a: f64, b: f64) -> f64 {
    libm::sqrt(a * a + b * b)
}

/// The distance the end is sent to. From `softness` before `farthest` on, the way left is
/// closed exponentially: value and slope are continuous (a C1 knee), and the chain never
/// snaps straight.
fn soften(distance: f64, softness: f64, nearest: f64, farthest: f64) -> f64 {
    if distance <= nearest {
        return nearest;
    }
    let span = farthest - nearest;
    let width = if softness > span { span } else { softness };
    let into = distance - (farthest - width);
    if width > 0.0 && into > 0.0 {
        // With a knee as wide as the span, rounding would begin it nearer than can be.
        let end = farthest - width * libm::exp(-into / width);
        if end < nearest { nearest } else { end }
    } else if distance < farthest {
        distance
    } else {
        farthest
    }
}

/// Turns the base about `to` until the middle joint lies on the pole's side.
fn lean_towards(links: &mut [Link], to: &Vec3, pole: &Vec3) {
    let elbow = links[1].origin() - links[0].origin();
    let (Some(axis), Some(now), Some(then)) = (
        to.try_normalize(0.0),
        link::without(&elbow, to),
        link::without(pole, to),
    ) else {
        return;
    };
    let angle = libm::atan2(axis.dot(&now.cross(&then)), now.dot(&then));
    links[0].rotate(&link::about(axis, angle));
    link::settle(links, 1);
}
