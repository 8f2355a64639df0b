//! A chain as its solver sees it.
use crate::{Node, Order, Rotation, Transform, Vec3, channel};
use core::f64::consts::TAU;
use nalgebra::{Quaternion, Unit};

/// One joint that can turn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Link {
    /// From the previous link's turned frame (or the world) to this one before its turn.
    pub(crate) offset: Transform,
    /// World frame before the turn.
    pub(crate) frame: Transform,
    /// World rotation after the turn.
    pub(crate) turned: Rotation,
    /// The turn; `angles` compose to it unless `loose`.
    pub(crate) turn: Rotation,
    pub(crate) angles: [f64; 3],
    /// Limits by axis. A locked axis is held at its channel's value.
    pub(crate) limits: [(f64, f64); 3],
    pub(crate) order: Order,
    /// No limit can ever bind, so angles need not be kept.
    pub(crate) unlimited: bool,
    pub(crate) loose: bool,
}

impl Link {
    /// A link in its channel pose; its frames are for [`settle`] to find.
    #[inline]
    pub(crate) fn new(node: &Node, channels: &[f64; 6], before: Transform) -> Self {
        let angles = [channels[0], channels[1], channels[2]];
        let mut limits = [(0.0, 0.0); 3];
        for axis in 0..3 {
            let (min, max) = node.limits[axis];
            limits[axis] = if min < max {
                (min, max)
            } else {
                (angles[axis], angles[axis])
            };
        }
        let turn = node.order.compose(angles);
        let at = before * nalgebra::Point3::from(node.offset(channels));
        let offset = Transform::from_parts(at.coords.into(), before.rotation * node.rest.rotation);
        Self {
            offset,
            frame: offset,
            turned: offset.rotation,
            turn,
            angles,
            limits,
            order: node.order,
            unlimited: limits.iter().all(|(min, max)| max - min >= TAU),
            loose: false,
        }
    }

    /// The joint's place.
    pub(crate) fn origin(&self) -> Vec3 {
        self.frame.translation.vector
    }

    /// Whether a solver may turn about `axis`.
    pub(crate) fn is_free(&self, axis: usize) -> bool {
        self.limits[axis].0 < self.limits[axis].1
    }

    /// The only axis that is free, if just one is.
    pub(crate) fn hinge(&self) -> Option<usize> {
        let mut free = (0..3).filter(|&axis| self.is_free(axis));
        free.next().filter(|_| free.next().is_none())
    }

    /// How far its hinge is turned; 0 if it is none.
    pub(crate) fn flexed(&self) -> f64 {
        self.hinge().map_or(0.0, |axis| self.angles[axis])
    }

    /// Whether all three axes are free.
    pub(crate) fn is_ball(&self) -> bool {
        (0..3).all(|axis| self.is_free(axis))
    }

    /// World direction about which a change of one turn channel turns what hangs below.
    pub(crate) fn axis(&self, axis: usize) -> Vec3 {
        let mut rotation = self.frame.rotation;
        for outer in self.order.axes() {
            if outer == axis {
                break;
            }
            rotation = channel::turned(rotation, outer, self.angles[outer]);
        }
        rotation * Vec3::ith(axis, 1.0)
    }

    /// Whether a free axis stands at one of its bounds.
    pub(crate) fn at_limit(&self) -> bool {
        !self.unlimited
            && (0..3).any(|axis| {
                let (min, max) = self.limits[axis];
                self.is_free(axis) && (self.angles[axis] <= min || self.angles[axis] >= max)
            })
    }

    /// Sets angles and what follows from them, within the link.
    pub(crate) fn set_angles(&mut self, angles: [f64; 3]) {
        self.angles = angles;
        self.loose = false;
        self.turn = self.order.compose(angles);
        self.turned = self.frame.rotation * self.turn;
    }

    /// Sets the turn itself, whatever the limits.
    pub(crate) fn set_turn(&mut self, turn: Rotation) {
        self.turn = turn;
        self.turned = self.frame.rotation * turn;
        self.loose = true;
    }

    /// Sum of the squares by which the turn is outside the limits.
    pub(crate) fn excess(&mut self) -> f64 {
        self.tighten();
        self.within(self.angles).1
    }

    /// Brings the angles back to `channels` but for the part `hold`. Turns that no limit has
    /// kept are first written as near to the channels as they can be: the same rotation has
    /// other angles, whole turns and a fold of the middle axis apart.
    pub(crate) fn blend(&mut self, channels: &[f64; 6], hold: f64) {
        if self.loose {
            self.tighten();
            let far = |angles: [f64; 3]| -> ([f64; 3], f64) {
                let mut sum = 0.0;
                let near = core::array::from_fn(|axis| {
                    let by = libm::remainder(angles[axis] - channels[axis], TAU);
                    sum += by * by;
                    channels[axis] + by
                });
                (near, sum)
            };
            let (first, second) = (far(self.angles), far(self.order.folded(self.angles)));
            self.angles = if second.1 < first.1 {
                second.0
            } else {
                first.0
            };
        }
        let blended = core::array::from_fn(|axis| {
            channels[axis] + hold * (self.angles[axis] - channels[axis])
        });
        self.set_angles(blended);
    }

    /// Makes `angles` agree with `turn`.
    pub(crate) fn tighten(&mut self) {
        if self.loose {
            self.angles = self.order.decompose(&self.turn);
            self.loose = false;
        }
    }

    /// Adds a world rotation on top of the turn, then brings the angles within limits.
    pub(crate) fn rotate(&mut self, by: &Rotation) {
        // Normalised: an inverse taken by conjugation doubles the frame's error in length,
        // and doubles it again at each joint down the chain.
        let turn =
            Unit::new_normalize((self.frame.rotation.inverse() * by * self.turned).into_inner());
        if self.unlimited {
            return self.set_turn(turn);
        }
        // The two sets of angles of a rotation; the nearer to the limits is taken.
        let first = self.order.decompose(&turn);
        let (second, other) = self.within(self.order.folded(first));
        let (first, excess) = self.within(first);
        self.set_angles(if other < excess { second } else { first });
    }

    /// Turns about a free axis by `by`, kept within its limits.
    pub(crate) fn turn_axis(&mut self, axis: usize, by: f64) {
        let mut angles = self.angles;
        angles[axis] = nearest(angles[axis] + by, self.limits[axis]).0;
        self.set_angles(angles);
    }

    /// A unit vector square to `from`: the part of `hint` that is, or else one that turns
    /// with the link's frame.
    fn square(&self, from: &Vec3, hint: Option<Vec3>) -> Vec3 {
        let hint = hint.and_then(|hint| without(&hint, from));
        hint.unwrap_or_else(|| perpendicular(from, &self.frame.rotation))
    }

    /// Angles brought within limits, and the sum of squares by which they were outside.
    fn within(&self, mut angles: [f64; 3]) -> ([f64; 3], f64) {
        let mut excess = 0.0;
        for (angle, limits) in angles.iter_mut().zip(self.limits) {
            let (kept, by) = nearest(*angle, limits);
            *angle = kept;
            excess += by * by;
        }
        (angles, excess)
    }

    /// Turns the link so that what stands at `from` (relative to the joint) comes as near
    /// as its axes allow to the direction of `to`: by the smallest rotation, twist kept,
    /// or about its hinge. `spare` is the axis to take when the two are opposite.
    pub(crate) fn turn_towards(&mut self, from: &Vec3, to: &Vec3, spare: Option<Vec3>) {
        let Some(hinge) = self.hinge() else {
            return self.rotate(&smallest_rotation(from, to, self.square(from, spare)));
        };
        let axis = self.axis(hinge);
        let (sine, cosine) = (
            axis.dot(&from.cross(to)),
            from.dot(to) - axis.dot(from) * axis.dot(to),
        );
        self.turn_axis(hinge, libm::atan2(sine, cosine));
    }
}

/// A rotation about a unit axis.
pub(crate) fn about(axis: Vec3, angle: f64) -> Rotation {
    let (s, c) = libm::sincos(0.5 * angle);
    Unit::new_unchecked(Quaternion::from_parts(c, axis * s))
}

/// The value equal to `angle` up to whole turns that is nearest to `(min, max)`, brought
/// within them, and by how much it was outside.
pub(crate) fn nearest(angle: f64, (min, max): (f64, f64)) -> (f64, f64) {
    // Written so that what is no number is returned, not turned over for ever.
    if !(angle < min || angle > max) {
        return (angle, 0.0);
    }
    if min == max {
        return (min, libm::fabs(libm::remainder(angle - min, TAU)));
    }
    if !min.is_finite() {
        let (kept, by) = nearest(-angle, (-max, -min));
        return (-kept, by);
    }
    // The last equal value not above `min`, and the next one.
    let below = angle - TAU * libm::ceil((angle - min) / TAU);
    let (under, over) = (min - below, below + TAU - max);
    if over <= 0.0 {
        (inside(below + TAU, min, max), 0.0)
    } else if under <= 0.0 || under <= over {
        (min, inside(under, 0.0, under))
    } else {
        (max, over)
    }
}

/// `clamp`, spelled out: the sign of a zero must not depend on the machine.
pub(crate) fn inside(value: f64, min: f64, max: f64) -> f64 {
    if value < min {
        min
    } else if value > max {
        max
    } else {
        value
    }
}

/// Brings frames up to date from link `first` down.
pub(crate) fn settle(links: &mut [Link], first: usize) {
    let turned = |link: &Link| Transform::from_parts(link.frame.translation, link.turned);
    let mut above = first.checked_sub(1).map(|last| turned(&links[last]));
    for link in &mut links[first..] {
        link.frame = above.map_or(link.offset, |above| above * link.offset);
        link.turned = link.frame.rotation * link.turn;
        above = Some(turned(link));
    }
}

/// World place of the end; `tip` is its place in the last link's turned frame.
pub(crate) fn reach(links: &[Link], tip: Vec3) -> Vec3 {
    let last = links.last().expect("a chain has a joint");
    last.origin() + last.turned * tip
}

/// The smallest rotation that takes the direction of `from` to that of `to`; about
/// `spare` when they are opposite. Identity if either has no direction.
///
/// The half-angle comes from the sum and the difference of the unit vectors, which
/// keeps its accuracy at both ends (Kahan's angle formula).
pub(crate) fn smallest_rotation(from: &Vec3, to: &Vec3, spare: Vec3) -> Rotation {
    let (long, far) = (from.norm(), to.norm());
    if long == 0.0 || far == 0.0 {
        return Rotation::identity();
    }
    let (from, to) = (from / long, to / far);
    let (cosine, sine) = ((from + to).norm(), (to - from).norm());
    let cross = from.cross(&to);
    let size = cross.norm();
    let axis = if size > 1e-12 || (cosine > sine && size > 0.0) {
        cross / size
    } else if cosine > sine {
        return Rotation::identity();
    } else {
        spare
    };
    let scale = 1.0 / libm::sqrt(cosine * cosine + sine * sine);
    let vector = axis * (sine * scale);
    Unit::new_unchecked(Quaternion::from_parts(cosine * scale, vector))
}

/// The direction of what is left of `v` without its part along `along`, if anything is.
pub(crate) fn without(v: &Vec3, along: &Vec3) -> Option<Vec3> {
    let length = along.norm_squared();
    let left = if length > 0.0 {
        v - along * (v.dot(along) / length)
    } else {
        *v
    };
    let size = left.norm();
    (size > 1e-9 * v.norm()).then(|| left / size)
}

/// A unit vector square to `v`: square also to that axis of `frame` which `v` leans
/// least towards, so that the choice turns with the frame.
pub(crate) fn perpendicular(v: &Vec3, frame: &Rotation) -> Vec3 {
    let mut best = Vec3::zeros();
    for axis in 0..3 {
        let cross = v.cross(&(frame * Vec3::ith(axis, 1.0)));
        if cross.norm_squared() > best.norm_squared() {
            best = cross;
        }
    }
    let size = best.norm();
    if size > 0.0 {
        best / size
    } else {
        frame * Vec3::x()
    }
}
