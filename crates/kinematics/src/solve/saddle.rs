//! A joint with two square axes that points something at a target.
use super::link::{self, Link};
use super::roll::surface::Surface;
use crate::{Rotation, Vec3, channel};
use core::f64::consts::{FRAC_PI_2, PI, TAU};

/// Below this part of its distance a target counts as on an axis: the turn about that axis
/// is then kept.
const ON_AXIS: f64 = 1e-15;

/// Two axes through one place, the outer one carrying the inner one. Vectors are in
/// coordinates along the outer axis, the inner axis and their cross product.
#[derive(Clone, Debug)]
pub(crate) struct Saddle {
    axes: [usize; 3],
    hand: f64,
    /// The joint's place, and the way back from its rest frame, seen from its parent.
    at: Vec3,
    undo: Rotation,
    /// The channel pose: which of two ways is kept.
    kept: [f64; 3],
    limits: [(f64, f64); 2],
    /// Sines and cosines of the limits; of 0 where there is none.
    edges: [[(f64, f64); 2]; 2],
    /// Of the outer turn kept.
    outward: (f64, f64),
    /// The outer turn has less than a quarter turn's room.
    narrow: bool,
}

/// A saddle and where its target is.
#[derive(Clone, Copy)]
pub(super) struct Sight<'a> {
    pub(super) saddle: &'a Saddle,
    pub(super) target: Vec3,
    pub(super) distance: f64,
    /// How far the target is from the outer axis.
    pub(super) off: f64,
}

/// Angles of the two axes, and what they leave between pad and target.
#[derive(Clone, Copy)]
pub(super) struct Aim {
    pub(super) angles: [f64; 2],
    pub(super) error: Vec3,
}

impl Saddle {
    /// Of a link whose offset is from its parent.
    pub(super) fn new(link: &Link) -> Self {
        let [first, second, third] = link.order.axes();
        let (axes, before) = if link.is_free(first) {
            ([first, second, third], Rotation::identity())
        } else {
            let turned = channel::turned(Rotation::identity(), first, link.angles[first]);
            ([second, third, first], turned)
        };
        let [outer, inner, _] = axes;
        let limits = [link.limits[outer], link.limits[inner]];
        let edge = |angle: f64| libm::sincos(if angle.is_finite() { angle } else { 0.0 });
        Self {
            axes,
            hand: if (outer + 1) % 3 == inner { 1.0 } else { -1.0 },
            at: link.offset.translation.vector,
            undo: (link.offset.rotation * before).inverse(),
            kept: link.angles,
            limits,
            edges: limits.map(|(min, max)| [edge(min), edge(max)]),
            outward: libm::sincos(link.angles[outer]),
            narrow: limits[0].1 - limits[0].0 < FRAC_PI_2,
        }
    }

    /// Another channel pose of the same link: nothing else of it has changed.
    pub(super) fn relax(&mut self, link: &Link) {
        self.kept = link.angles;
        self.outward = libm::sincos(link.angles[self.axes[0]]);
    }

    /// Whether the link is a joint of two axes next to each other in its order.
    pub(crate) fn fits(limits: &[(f64, f64)], order: crate::Order) -> bool {
        let [outer, middle, inner] = order.axes().map(|axis| limits[axis].0 < limits[axis].1);
        middle && outer != inner
    }

    /// A target, seen from the joint's parent, as the saddle sees it.
    pub(super) fn sight(&self, target: Vec3) -> Sight<'_> {
        self.towards(self.along(self.undo * (target - self.at)))
    }

    /// A target in the saddle's coordinates.
    pub(super) fn towards(&self, target: Vec3) -> Sight<'_> {
        let off = target.y * target.y + target.z * target.z;
        Sight {
            saddle: self,
            target,
            distance: libm::sqrt(target.x * target.x + off),
            off: libm::sqrt(off),
        }
    }

    /// A surface, seen from the joint's parent, as the saddle sees it.
    pub(super) fn surface(&self, surface: Surface) -> Surface {
        Surface {
            normal: self.along(self.undo * surface.normal),
            ahead: self.along(self.undo * surface.ahead),
            across: self.along(self.undo * surface.across),
            at: self.along(self.undo * (surface.at - self.at)),
            ..surface
        }
    }

    /// A vector of the joint's turned frame as the saddle sees it, its two axes unturned.
    pub(super) fn seen(&self, link: &Link, v: Vec3) -> Vec3 {
        let inmost = link.order.axes()[2];
        if link.is_free(inmost) {
            return self.along(v);
        }
        self.along(channel::turned(Rotation::identity(), inmost, link.angles[inmost]) * v)
    }

    fn along(&self, v: Vec3) -> Vec3 {
        let [outer, inner, third] = self.axes;
        Vec3::new(v[outer], v[inner], self.hand * v[third])
    }

    pub(super) fn limits(&self) -> [(f64, f64); 2] {
        self.limits
    }

    /// Sine and cosine of each finite limit of the outer (0) or the inner (1) turn, with its
    /// place among the two.
    pub(super) fn edges(&self, which: usize) -> impl Iterator<Item = (usize, (f64, f64))> {
        let (min, max) = self.limits[which];
        let finite = [min.is_finite(), max.is_finite()];
        let edges = self.edges[which].into_iter().enumerate();
        edges.filter(move |&(end, _)| finite[end])
    }

    pub(super) fn limit(&self, which: usize, end: usize) -> f64 {
        let (min, max) = self.limits[which];
        [min, max][end]
    }

    fn kept(&self, which: usize) -> f64 {
        self.kept[self.axes[which]]
    }

    /// The channel pose of the two axes.
    pub(super) fn relaxed(&self) -> [f64; 2] {
        [0, 1].map(|which| self.kept(which))
    }

    /// The link's angles with those of the two axes put in.
    pub(super) fn angles(&self, [outer, inner]: [f64; 2]) -> [f64; 3] {
        let mut angles = self.kept;
        (angles[self.axes[0]], angles[self.axes[1]]) = (outer, inner);
        angles
    }

    /// The angle within its limits, of equal ones the nearest to the channel's.
    pub(super) fn within(&self, which: usize, angle: f64) -> (f64, f64) {
        let kept = self.kept(which);
        let by = angle - kept;
        let by = if libm::fabs(by) > PI {
            libm::remainder(by, TAU)
        } else {
            by
        };
        link::nearest(kept + by, self.limits[which])
    }
}

/// Turns `v` by both axes.
pub(super) fn turn([outer, inner]: [f64; 2], v: Vec3) -> Vec3 {
    tipped(libm::sincos(outer), swung(libm::sincos(inner), v))
}

/// Turned about the outer axis by the angle of this sine and cosine.
pub(super) fn tipped((s, c): (f64, f64), v: Vec3) -> Vec3 {
    Vec3::new(v.x, v.y * c - v.z * s, v.y * s + v.z * c)
}

/// Turned about the inner axis by the angle of this sine and cosine.
pub(super) fn swung((s, c): (f64, f64), v: Vec3) -> Vec3 {
    Vec3::new(v.x * c + v.z * s, v.y, v.z * c - v.x * s)
}

impl Sight<'_> {
    /// Angles within the limits that point `pad` exactly at the target, if any do; of two
    /// ways the one nearer the channel pose.
    ///
    /// With both directions seen between the two turns, the part along the outer axis is the
    /// target's and the part along the inner axis is the pad's; the third follows up to its
    /// sign (subproblem 2 of Paden and Kahan, for square axes).
    pub(super) fn point(&self, pad: &Vec3) -> Option<[f64; 2]> {
        let (x, y) = (self.target.x / self.distance, pad.y / pad.norm());
        // 1 − x² by the target's distance from the outer axis, which keeps its digits there.
        let off = self.off / self.distance;
        let left = off - libm::fabs(y);
        // A target at the joint itself has no direction.
        if left.is_nan() || left < -ON_AXIS {
            return None;
        }
        let z = if left > 0.0 {
            libm::sqrt(left * (off + libm::fabs(y)))
        } else {
            0.0
        };
        // The outer turns of the two ways are at least a quarter turn apart where z is the
        // larger part: where there is no room for both, the likelier is tried first.
        let (s, c) = self.saddle.outward;
        let z = if self.target.z * c < self.target.y * s {
            -z
        } else {
            z
        };
        let first = self.way(pad, x, y, z);
        if first.is_some() && self.saddle.narrow && libm::fabs(y) < libm::fabs(z) {
            return first;
        }
        let second = self.way(pad, x, y, -z);
        let far = |way: [f64; 2]| {
            let by = [0, 1].map(|which| way[which] - self.saddle.kept(which));
            by[0] * by[0] + by[1] * by[1]
        };
        match (first, second) {
            // Of ways alike the one with z above 0, whichever was tried first.
            (Some(one), Some(other)) => {
                let (one, other) = if z < 0.0 { (other, one) } else { (one, other) };
                Some(if far(other) < far(one) { other } else { one })
            }
            (way, None) | (None, way) => way,
        }
    }

    /// One way, if it is within the limits.
    fn way(&self, pad: &Vec3, x: f64, y: f64, z: f64) -> Option<[f64; 2]> {
        let (outer, past) = self.saddle.within(0, self.outer(y, z));
        if past != 0.0 {
            return None;
        }
        let (inner, past) = self.saddle.within(1, self.inner(pad, x, z));
        (past == 0.0).then_some([outer, inner])
    }

    /// The outer angle that brings the target beside (y, z), as far as that can be said.
    fn outer(&self, y: f64, z: f64) -> f64 {
        if self.off <= ON_AXIS * self.distance || (y == 0.0 && z == 0.0) {
            self.saddle.kept(0)
        } else {
            between(y, z, self.target.y, self.target.z)
        }
    }

    /// The inner angle that brings the pad beside (x, z), as far as that can be said.
    fn inner(&self, pad: &Vec3, x: f64, z: f64) -> f64 {
        if (pad.x == 0.0 && pad.z == 0.0) || (x == 0.0 && z == 0.0) {
            self.saddle.kept(1)
        } else {
            between(x, z, pad.x, pad.z)
        }
    }

    pub(super) fn aim(&self, pad: &Vec3, angles: [f64; 2]) -> Aim {
        Aim {
            angles,
            error: turn(angles, *pad) - self.target,
        }
    }

    /// With the outer turn at a limit, the inner one that brings `pad` nearest.
    pub(super) fn swing(&self, pad: &Vec3, end: usize) -> Aim {
        let outer = self.saddle.limit(0, end);
        let [s, c] = [self.saddle.edges[0][end].0, self.saddle.edges[0][end].1];
        // The target with the outer turn taken back.
        let aside = self.target.z * c - self.target.y * s;
        let inner = self.inner(pad, self.target.x, aside);
        self.aim(pad, [outer, self.saddle.within(1, inner).0])
    }

    /// With the inner turn at a limit, the outer one that brings `pad` nearest.
    pub(super) fn tip(&self, pad: &Vec3, end: usize) -> Aim {
        let inner = self.saddle.limit(1, end);
        let pad_turned = swung(self.saddle.edges[1][end], *pad);
        let outer = self.outer(pad_turned.y, pad_turned.z);
        self.aim(pad, [self.saddle.within(0, outer).0, inner])
    }

    /// The best aim in the plane of the two axes, brought within the limits.
    pub(super) fn facing(&self, pad: &Vec3) -> Aim {
        let outer = self.outer(pad.y, 0.0);
        let inner = self.inner(pad, self.target.x, 0.0);
        self.aim(
            pad,
            [
                self.saddle.within(0, outer).0,
                self.saddle.within(1, inner).0,
            ],
        )
    }

    /// Angles within the limits that bring `pad` nearest to the target. The squared distance
    /// has, on each face of the two limits, one least place in closed form: inside, the exact
    /// aim or, if the pad cannot be turned that far, as far as it goes in the plane of the two
    /// axes; on an edge the angle facing the target, stopped at its own limits.
    pub(super) fn nearest(&self, pad: &Vec3) -> Aim {
        if let Some(angles) = self.point(pad) {
            return self.aim(pad, angles);
        }
        let mut best = self.facing(pad);
        for (_, aim) in self.edged(pad) {
            if aim.error.norm_squared() < best.error.norm_squared() {
                best = aim;
            }
        }
        best
    }

    /// The best aim on each edge of the limits, with the edge's number: 0 and 1 of the outer
    /// turn, 2 and 3 of the inner one.
    pub(super) fn edged(&self, pad: &Vec3) -> impl Iterator<Item = (usize, Aim)> {
        let swings = self
            .saddle
            .edges(0)
            .map(|(end, _)| (end, self.swing(pad, end)));
        let tips = self
            .saddle
            .edges(1)
            .map(|(end, _)| (2 + end, self.tip(pad, end)));
        swings.chain(tips)
    }
}

/// The angle from (a, b) to (c, d): one arctangent, so that mirroring only changes its sign.
fn between(a: f64, b: f64, c: f64, d: f64) -> f64 {
    libm::atan2(a * d - b * c, a * c + b * d)
}
