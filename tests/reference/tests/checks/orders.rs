//! Each order's least distance to gimbal lock over ranges of motion, against SciPy's `Rotation`
//! on a dense grid: ours is not above the grid's least, and within the grid's resolution of it.
use kinematics::{Order, lock_margins};
use reference::{between, letters, numbers, oracle};
use serde_json::json;

const CASES: usize = 200;
/// As many places across each range as the oracle takes.
const GRID: f64 = 25.0;

#[test]
fn margins_are_the_least_of_a_dense_grid() {
    let mut random = fastrand::Rng::with_seed(6);
    let cases: Vec<(Order, [(f64, f64); 3])> = (0..CASES)
        .map(|index| {
            let most = if index % 3 == 0 { 3.1 } else { 1.2 };
            let ranges = [0, 1, 2].map(|axis| {
                let low = between(&mut random, -most, 0.5);
                // Some locked: a hinge, or a joint of two axes.
                let width = if (index + axis) % 4 == 0 { 0.0 } else { most };
                (low, low + width * random.f64())
            });
            (Order::ALL[index % 6], ranges)
        })
        .collect();
    let asked: Vec<_> = cases
        .iter()
        .map(|(own, ranges)| json!({"own": letters(*own), "ranges": ranges}))
        .collect();
    let scipy = oracle("orders", &json!(asked));
    let (mut above, mut below) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    for (index, ((own, ranges), theirs)) in cases
        .iter()
        .zip(scipy.as_array().expect("a list"))
        .enumerate()
    {
        // No turn moves the middle angle by more than itself.
        let resolution: f64 = ranges
            .iter()
            .map(|(low, high)| 0.5 * (high - low) / (GRID - 1.0))
            .sum();
        for ((order, ours), theirs) in lock_margins(*own, *ranges).into_iter().zip(numbers(theirs))
        {
            above = above.max(ours - theirs);
            below = below.max(theirs - ours - resolution);
            assert!(
                ours <= theirs + 1e-6 && ours >= theirs - resolution - 1e-6,
                "case {index}, {order:?}: {ours} against {theirs} of a grid of {resolution}"
            );
        }
    }
    println!(
        "{CASES} ranges in six orders: at most {above:.1e} above the grid's, {below:.1e} below what it tells"
    );
}
