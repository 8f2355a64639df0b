//! What `handstand lint` passes is finite: pose and gauges of 20,000 random documents, figure,
//! file, drag and survey of one in 20 of them each, and advice on one in 200. One that fails is cut
//! down to the changes that matter and its seed printed;
//! `HANDSTAND_SEED=… cargo test -p figure --test finite` tries that one alone.
mod cases;
mod checks;
mod solvers;

use cases::{Case, Random};
use rig::validate;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Documents that pass, in each of the tests below, which run side by side.
const CASES: usize = 5_000;

/// None where the document is refused, else what is not finite in it.
fn fault(case: &Case) -> Option<Result<(), String>> {
    let document = case.document()?;
    let posed = validate::document(&document).ok()?;
    let mut random = Random(case.base ^ case.changes.len() as u64);
    // A panic is worse than a NaN.
    let found = catch_unwind(AssertUnwindSafe(|| checks::all(&posed, &mut random)));
    Some(found.unwrap_or_else(|panic| {
        let text = panic.downcast_ref::<String>().cloned();
        let text = text.or_else(|| panic.downcast_ref::<&str>().map(|&text| text.to_owned()));
        Err(format!("a panic: {}", text.unwrap_or_default()))
    }))
}

/// Leaves out changes as long as it still fails.
fn cut_down(mut case: Case) -> Case {
    let fails = |case: &Case| matches!(fault(case), Some(Err(_)));
    let mut at = 0;
    while at < case.changes.len() {
        let mut fewer = case.clone();
        fewer.changes.remove(at);
        if fails(&fewer) {
            case = fewer;
        } else {
            at += 1;
        }
    }
    case
}

fn tell(seed: u64, what: &str) -> ! {
    let case = cut_down(Case::new(seed));
    let document = case.document().expect("it was one before");
    panic!(
        "seed {seed}: {what}\nfewest changes: {case:?}: {:?}\n{}",
        fault(&case),
        rig::write(&document)
    );
}

fn run(first: u64) {
    if let Ok(seed) = std::env::var("HANDSTAND_SEED") {
        let seed = seed.parse().expect("HANDSTAND_SEED is a number");
        // Tried once, by the first of the tests.
        let found = (first == 0).then(|| fault(&Case::new(seed)));
        if let Some(Some(Err(what))) = found {
            tell(seed, &what);
        }
        return;
    }
    let cases = std::env::var("HANDSTAND_CASES").map_or(CASES, |n| n.parse().expect("a number"));
    let (mut passed, mut seed) = (0, first << 32);
    while passed < cases {
        match fault(&Case::new(seed)) {
            None => {}
            Some(Ok(())) => passed += 1,
            Some(Err(what)) => tell(seed, &what),
        }
        seed += 1;
    }
    let tried = seed - (first << 32);
    println!("{passed} of {tried} documents pass lint and are finite");
    // Else the changes are too wild to say anything of documents that are taken.
    assert!(tried < 2 * cases as u64, "{tried} tried for {passed}");
}

#[test]
fn what_lint_passes_is_finite_1() {
    run(0);
}

#[test]
fn what_lint_passes_is_finite_2() {
    run(1);
}

#[test]
fn what_lint_passes_is_finite_3() {
    run(2);
}

#[test]
fn what_lint_passes_is_finite_4() {
    run(3);
}
