//! The dials of a left hand that go the way a right hand's do.
use recipe::{Bend, DialRole, Hand, Press, Side, Sideways};
use rig::{Dial, Document, Ramp};

/// Those that move the whole hand to a side: a finger's spread is the finger's own on either hand.
const TURNED: [DialRole; 6] = [
    DialRole::Lean,
    DialRole::Twist,
    DialRole::Raw(Press::InnerEdge),
    DialRole::Raw(Press::OuterEdge),
    DialRole::Wrist(Bend::Spread),
    DialRole::Wrist(Bend::Twist),
];

/// Whether a hand's are counted so.
pub(crate) fn is_same_way(hand: &Hand) -> bool {
    hand.side == Side::Left && hand.sideways == Sideways::SameWay
}

/// Whether it is one of them.
pub(crate) fn is_sideways(dial: &Dial) -> bool {
    dial.role.as_ref().is_some_and(|role| TURNED.contains(role))
}

/// Counts them the other way: what stood at a value stands at its negative.
pub(super) fn same_way(document: &mut Document) {
    for (dial, value) in document
        .rig
        .dials
        .iter_mut()
        .zip(&mut document.setting.dials)
    {
        if !is_sideways(dial) {
            continue;
        }
        (dial.min, dial.max) = (0.0 - dial.max, 0.0 - dial.min);
        (dial.neutral, *value) = (0.0 - dial.neutral, 0.0 - *value);
        for drive in &mut dial.drives {
            (drive.gain, drive.ramp) = match drive.ramp {
                Ramp::Whole => (0.0 - drive.gain, Ramp::Whole),
                Ramp::Rising => (drive.gain, Ramp::Falling),
                Ramp::Falling => (drive.gain, Ramp::Rising),
                Ramp::RisingPast(_) => unreachable!("no dial that leans or twists has two stages"),
            };
        }
    }
}
