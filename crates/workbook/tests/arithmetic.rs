//! Sums against an evaluator of somebody else's.
use proptest::prelude::*;
use workbook::arithmetic::value;

/// Sums with every sign and brackets whose every step is a number of few binary places: in whatever
/// order they are worked out, there is nothing to round.
fn sum() -> impl Strategy<Value = String> {
    let number = (0_u32..16, any::<bool>()).prop_map(|(whole, half)| match half {
        false => whole.to_string(),
        true => format!("{whole}.5"),
    });
    number.prop_recursive(3, 8, 2, |inner| {
        prop_oneof![
            (inner.clone(), "[-+*]", inner.clone())
                .prop_map(|(a, sign, b)| format!("{a}{sign}{b}")),
            (inner.clone(), "[24]").prop_map(|(a, by)| format!("({a})/{by}")),
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
