//! What a thumb's solve looks at: the pad from its target, at four angles.
use super::super::pad::Pad;
use super::super::saddle::{Sight, swung, tipped};
use super::reach::Reach;
use super::roll::{Place, Rolling};
use crate::Vec3;
use core::array;
use core::cell::Cell;
use nalgebra::Vector4;

/// What stays the same while a thumb is solved.
pub(super) struct Looking<'a> {
    pub(super) reach: &'a Reach,
    pub(super) pad: &'a Pad,
    /// From the base to the target; of a thumb that rolls, to where it was planted.
    pub(super) sight: Sight<'a>,
    /// How the target moves with the pose, if it does.
    pub(super) rolling: Option<&'a Rolling<'a>>,
    /// How many places were looked at.
    pub(super) used: Cell<u32>,
}

/// The pad seen from the target at four angles, with first derivatives and what the second are
/// made of.
pub(super) struct View {
    pub(super) error: Vec3,
    pub(super) slopes: [Vec3; 4],
    /// Axes of the base.
    axes: [Vec3; 2],
    /// The pad from the base, as it moves per radian of each.
    ways: [Vec3; 4],
    curves: [Vec3; 3],
    /// Of the place it has rolled to.
    pub(super) place: Option<Place>,
}

impl View {
    /// How the i-th slope changes with the j-th angle; j is not below i.
    pub(super) fn curve(&self, i: usize, j: usize) -> Vec3 {
        let own = match (i, j) {
            (0 | 1, _) => self.axes[i].cross(&self.ways[j]),
            _ => self.curves[i + j - 4],
        };
        match &self.place {
            Some(place) => own - place.curve(i, j),
            None => own,
        }
    }

    /// How each slope changes with each angle: it is the same both ways.
    pub(super) fn bends(&self) -> [[Vec3; 4]; 4] {
        let upper: [[Vec3; 4]; 4] = array::from_fn(|i| {
            array::from_fn(|j| match i > j {
                true => Vec3::zeros(),
                false => self.curve(i, j),
            })
        });
        array::from_fn(|i| array::from_fn(|j| if i < j { upper[i][j] } else { upper[j][i] }))
    }
}

impl Looking<'_> {
    pub(super) fn view(&self, x: &Vector4<f64>) -> View {
        self.used.set(self.used.get() + 1);
        let [outer, inner, middle, last] = [0, 1, 2, 3].map(|i| libm::sincos(x[i]));
        let place = self.pad.place(middle, last);
        let turn = |v: Vec3| tipped(outer, swung(inner, v));
        let at = turn(place.at);
        let (s, c) = outer;
        let axes = [Vec3::x(), Vec3::new(0.0, c, s)];
        let ways = [
            axes[0].cross(&at),
            axes[1].cross(&at),
            turn(place.slopes[0]),
            turn(place.slopes[1]),
        ];
        let rolled = self
            .rolling
            .map(|rolling| rolling.place([outer, inner, middle, last]));
        let (target, slopes) = match &rolled {
            Some(rolled) => (
                rolled.lying.goal,
                [0, 1, 2, 3].map(|i| ways[i] - rolled.slopes[i]),
            ),
            None => (self.sight.target, ways),
        };
        View {
            error: at - target,
            slopes,
            axes,
            ways,
            curves: self.pad.curves(middle, last).map(turn),
            place: rolled,
        }
    }
}
