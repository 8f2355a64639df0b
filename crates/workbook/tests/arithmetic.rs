//! Sums against an evaluator of somebody else's.
use proptest::prelude::*;
use workbook::arithmetic::{Fault, value};

/// Sums with every sign, brackets and both decimals; no number is so small that the other's way of
/// reading one shows.
fn sum() -> impl Strategy<Value = String> {
    let number = (0_u32..1000, 0_u32..100).prop_map(|(whole, part)| match part % 3 {
        0 => whole.to_string(),
        _ => format!("{whole}.{part:02}"),
    });
    number.prop_recursive(5, 24, 2, |inner| {
        prop_oneof![
            (inner.clone(), "[-+*/]", inner.clone())
                .prop_map(|(a, sign, b)| format!("{a}{sign}{b}")),
            inner.clone().prop_map(|a| format!("({a})")),
            inner.prop_map(|a| format!("(-{a})")),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4000, ..ProptestConfig::default() })]

    #[test]
    fn a_sum_comes_to_what_others_say(text in sum()) {
        prop_assume!(text.len() <= 200);
        let theirs = exmex::eval_str::<f64>(&text).expect("a sum");
        match value(&text) {
            Ok(ours) => prop_assert_eq!(ours, theirs, "{}", text),
            // Elsewhere a division by nothing is no fault at once.
            Err(Fault::Zero) => prop_assert!(text.contains('/')),
            Err(Fault::Vast) => prop_assert!(!theirs.is_finite()),
            Err(fault) => prop_assert!(false, "{} is {:?}", text, fault),
        }
        // A decimal comma says the same.
        prop_assert_eq!(value(&text), value(&text.replace('.', ",")));
    }

    /// Whatever is typed, something is said of it, and no number that is none comes out.
    #[test]
    fn anything_typed_is_answered(text in "[-0-9.,+*/() a-z×÷−°]{0,40}") {
        if let Ok(found) = value(&text) {
            prop_assert!(found.is_finite());
        }
    }
}
