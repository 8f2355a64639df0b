//! A finger whose end rolls: seen from outside, by the directions of its bones and the outline
//! gone over place by place. (Against SciPy: tests/reference.)
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod hand;
use hand::*;
use proptest::prelude::*;

#[test]
fn planted_is_where_it_was() {
    for lengths in PHALANGES {
        let finger = Finger {
            lengths,
            ..Finger::default()
        };
        let hand = finger.hand();
        let outcome = hand.pose.outcome(0);
        assert!(
            outcome.residual < 1e-9 && outcome.hold == 1.0,
            "{outcome:?}"
        );
        let [abduction, flexion, q] = finger.planted;
        for (found, planted) in
            hand.reading()
                .into_iter()
                .zip([abduction, flexion, q, q * TWO_THIRDS])
        {
            assert!(
                (found - planted).abs() < 1e-7,
                "{found} {planted} {:?}",
                hand.reading()
            );
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]
    /// What is held in full stands where it has rolled to, and neither sinks nor floats.
    #[test]
    fn held_is_rolled(
        which in 0..4usize, side in prop::bool::ANY,
        turn in [-12.0..12.0, -20.0..45.0, -20.0..20.0_f64],
        by in [-6.0..6.0, -6.0..12.0, -6.0..6.0_f64],
    ) {
        let mut hand = Finger { lengths: PHALANGES[which], side: if side { 1.0 } else { -1.0 }, ..Finger::default() }.hand();
        hand.press(turn, by);
        let outcome = *hand.pose.outcome(0);
        if outcome.hold == 1.0 && !outcome.limited {
            prop_assert!(outcome.residual < 1e-9, "{outcome:?}");
            let (_, outline) = hand.clearance();
            prop_assert!(outline.abs() < 1e-6, "{outline} {outcome:?}");
        }
    }
}
