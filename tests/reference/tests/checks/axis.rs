//! The fitted knuckle axis on 500 random rows against NumPy's eigenvectors of the weighted
//! scatter: objective to 1e-12 of the scatter, angle to 1e-6 rad.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::Axis;
use kinematics::Vec3;
use reference::{between, numbers, oracle};
use serde_json::json;

#[test]
fn fitted_axes_are_numpys() {
    let mut random = fastrand::Rng::with_seed(5);
    let rows: Vec<Vec<(Vec3, f64)>> = (0..500)
        .map(|_| {
            let yaw = between(&mut random, -3.0, 3.0);
            (0..random.usize(2..6))
                .map(|_| {
                    let (along, aside) = (
                        between(&mut random, -40.0, 40.0),
                        between(&mut random, -8.0, 8.0),
                    );
                    let at = Vec3::new(
                        100.0 + along * yaw.sin() + aside * yaw.cos(),
                        between(&mut random, 5.0, 20.0),
                        along * yaw.cos() - aside * yaw.sin(),
                    );
                    (at, between(&mut random, 0.1, 3.0))
                })
                .collect()
        })
        .collect();
    let asked: Vec<_> = rows
        .iter()
        .map(|row| {
            let points: Vec<_> = row.iter().map(|(at, _)| [at.x, at.z]).collect();
            let weights: Vec<_> = row.iter().map(|(_, weight)| weight).collect();
            json!({"points": points, "weights": weights})
        })
        .collect();
    let found = oracle("axis", &json!(asked));
    let found = found.as_array().expect("a list");
    assert_eq!(found.len(), rows.len());
    let (mut worst, mut turned) = (0.0_f64, 0.0_f64);
    for (row, theirs) in rows.iter().zip(found) {
        let [x, z, dx, dz, least] = numbers(theirs)[..] else {
            panic!("five numbers");
        };
        let axis = Axis::fit(row).expect("a row has a direction");
        assert!((axis.through.x - x).abs() < 1e-10 && (axis.through.z - z).abs() < 1e-10);
        let (s, c) = axis.yaw.sin_cos();
        turned = turned.max((s * dz - c * dx).abs().asin());
        // The weighted squares left beside our line.
        let (mut left, mut scatter) = (0.0, 0.0);
        for (at, weight) in row {
            let off = at - axis.through;
            left += weight * (off.x * c - off.z * s).powi(2);
            scatter += weight * (off.x * off.x + off.z * off.z);
        }
        worst = worst.max((left - least).abs() / scatter);
    }
    println!("500 rows: objective off by {worst:.1e} of the scatter, angle by {turned:.1e} rad");
    assert!(worst < 1e-12 && turned < 1e-6);
}
