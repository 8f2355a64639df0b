//! Advice on a press, each with the numbers behind it (docs/mathematics.md 13): where the knuckle
//! pivot belongs, what misplacing a pivot costs, which digit lets go or fails first and what would help, which channel
//! order keeps a joint farthest from gimbal lock.
mod axis;
mod fault;
mod margin;
mod movable;
mod orders;
mod remedy;
mod row;
mod search;
mod sensitivity;

pub use axis::{AxisLine, Fitted, fitted, pivot_axis};
pub use fault::NoAdvice;
pub use margin::{Margin, margins};
pub use orders::{Orders, channel_orders};
pub use remedy::{Advice, Change, Remedy, advice};
pub use row::{KnuckleRow, Residual};
pub use search::{Placed, Search, greatest_axis};
pub use sensitivity::{Direction, Sensitivity, by_dial, sensitivities};

use crate::press::{Press, planted};
use rig::{Fault, NodeId, Rig, Solver};

fn fault(why: NoAdvice) -> Fault<NoAdvice> {
    Fault::new("advice", why)
}

/// The knuckles of the fingers that are planted, in document order.
fn knuckles(rig: &Rig) -> impl Iterator<Item = NodeId> {
    let fingers = rig.anchors.iter();
    fingers
        .filter(|anchor| matches!(anchor.solver, Solver::Finger { .. }))
        .map(|anchor| anchor.base)
}
