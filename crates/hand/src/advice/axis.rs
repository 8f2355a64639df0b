//! The axis through the knuckles, and the one that lift turns about.
use super::row::{KnuckleRow, Residual};
use super::{NoAdvice, Press, fault, knuckles, planted};
use recipe::Impossible;
use rig::{Fault, NodeId, Posed, Rig, Vec3};

/// A line in the frame of the node that carries the knuckle pivot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisLine {
    /// The carrier; none: the world.
    pub carrier: Option<NodeId>,
    /// A point of it, mm.
    pub through: Vec3,
    /// Unit direction.
    pub along: Vec3,
}

impl AxisLine {
    /// The same line in the world now: a point and its unit direction.
    pub fn in_world(&self, posed: &Posed) -> (Vec3, Vec3) {
        match self.carrier {
            None => (self.through, self.along),
            Some(carrier) => {
                let frame = posed.world(carrier);
                let through = frame.transform_point(&self.through.into());
                (through.coords, frame.rotation * self.along)
            }
        }
    }
}

/// The fitted knuckle axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// The line.
    pub axis: AxisLine,
    /// Each planted knuckle's distance, in document order.
    pub residuals: Vec<Residual>,
}

impl Fitted {
    /// Root mean square of the distances, mm.
    pub fn spread(&self) -> f64 {
        let square = |r: &Residual| r.ahead * r.ahead + r.above * r.above;
        let sum: f64 = self.residuals.iter().map(square).sum();
        libm::sqrt(sum / self.residuals.len() as f64)
    }
}

/// Fits a line parallel to the surface to the planted knuckles, as they are where the hand is
/// planted ([`KnuckleRow::fitted`]).
///
/// # Errors
/// When there is no press, or fewer than two knuckles, or they lie in no row.
pub fn fitted(posed: &Posed) -> Result<Fitted, Fault<NoAdvice>> {
    let rig = posed.rig();
    let press = Press::of(rig)?;
    let planted = planted(posed);
    let carrier = press.knuckles.parent;
    let knuckles: Vec<_> = knuckles(rig).collect();
    if knuckles.len() < 2 {
        return Err(Impossible::LoneKnuckle.into());
    }
    let frame = carrier.map(|carrier| planted.world(carrier));
    let row = KnuckleRow::fitted(&planted, frame, knuckles.into_iter())?;
    Ok(Fitted {
        axis: AxisLine {
            carrier,
            through: row.axis.through,
            along: row.axis.along(),
        },
        residuals: row.residuals,
    })
}

/// The line that lift turns the hand about now.
///
/// # Errors
/// When there is no press.
pub fn pivot_axis(rig: &Rig) -> Result<AxisLine, Fault<NoAdvice>> {
    let pivot = Press::of(rig)?.knuckles;
    let frame = pivot.rest();
    let along = frame.rotation * Vec3::z();
    if !along.iter().all(|x| x.is_finite()) {
        return Err(fault(NoAdvice::NoDirection));
    }
    Ok(AxisLine {
        carrier: pivot.parent,
        through: frame.translation.vector,
        along,
    })
}
