//! Flesh against flesh: how far two tapered segments are apart.
use super::segment::{Segment, nearest};

/// How near two segments come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// mm between them; negative: they overlap.
    pub clearance: f64,
    /// Where along each the nearest spheres are, 0 to 1.
    pub parts: [f64; 2],
}

/// How far two tapered segments are apart, in closed form.
///
/// The gap is the least of |p| − r₁ − r₂ over a sphere of each, with p from the one's centre to the
/// other's: convex over the square of the two parts, so it is least where its slope is zero
/// inside or else on a side, where one of the two is a sphere. Overlap is told exactly too, as the
/// least shift that parts them (docs/mathematics.md 12), also where the axes themselves cross.
pub fn between(a: &Segment, b: &Segment) -> Gap {
    let (along, across) = (a.ends[1] - a.ends[0], b.ends[1] - b.ends[0]);
    let tapers = [a.radii[1] - a.radii[0], b.radii[1] - b.radii[0]];
    let from = a.ends[0] - b.ends[0];
    let gap = |parts: [f64; 2]| Gap {
        clearance: (from + along * parts[0] - across * parts[1]).norm()
            - (a.radii[0] + tapers[0] * parts[0])
            - (b.radii[0] + tapers[1] * parts[1]),
        parts,
    };
    let mut least = gap([0.0, nearest(&from, &-across, tapers[1])]);
    let mut look = |parts: [f64; 2]| {
        let here = gap(parts);
        if here.clearance < least.clearance {
            least = here;
        }
    };
    look([1.0, nearest(&(from + along), &-across, tapers[1])]);
    look([nearest(&from, &along, tapers[0]), 0.0]);
    look([nearest(&(from - across), &along, tapers[0]), 1.0]);

    // Inside the square: the unit of p has the part `tapers` along both axes. Its part in their
    // plane is x·along + y·across; the rest is square to both.
    let (aa, ab, bb) = (
        along.norm_squared(),
        along.dot(&across),
        across.norm_squared(),
    );
    let square = aa * bb - ab * ab;
    // Parallel ones are nearest on a side of the square.
    if square > 1e-12 * aa * bb {
        let solve = |p: f64, q: f64| ((p * bb - q * ab) / square, (q * aa - p * ab) / square);
        let (x, y) = solve(tapers[0], 0.0 - tapers[1]);
        let flat = x * tapers[0] - y * tapers[1];
        if flat < 1.0 {
            let height = from.dot(&along.cross(&across)).abs() / square.sqrt();
            let far = height / (1.0 - flat).sqrt();
            // along·s − across·t = far·(in the plane) − from.
            let (s, t) = solve(
                far * tapers[0] - from.dot(&along),
                0.0 - far * tapers[1] - from.dot(&across),
            );
            let parts = [s, 0.0 - t];
            if parts.iter().all(|part| *part > 0.0 && *part < 1.0) {
                look(parts);
            }
        }
    }
    least
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use rig::Vec3;

    fn segment() -> impl Strategy<Value = Segment> {
        let place = || prop::array::uniform3(-30.0..30.0).prop_map(Vec3::from);
        (place(), place(), 0.5..12.0, 0.5..12.0).prop_map(|(a, b, r, s)| Segment {
            ends: [a, b],
            radii: [r, s],
        })
    }

    proptest! {
        /// No two spheres of them are nearer, and the two told are as near as told. The field is
        /// convex, so a grid of spheres closed in on its best place four times finds the least.
        #[test]
        fn the_least_gap_is_found(a in segment(), b in segment()) {
            let found = between(&a, &b);
            let gap = |parts: [f64; 2]| {
                let ((p, r), (q, s)) = (a.sphere(parts[0]), b.sphere(parts[1]));
                (p - q).norm() - r - s
            };
            prop_assert!((gap(found.parts) - found.clearance).abs() < 1e-9);
            let (mut middle, mut half, mut least) = ([0.5, 0.5], 0.5, f64::INFINITY);
            for _ in 0..30 {
                let at = middle;
                for i in 0..=10 {
                    for j in 0..=10 {
                        let part = |m: f64, k: i32| (m + half * f64::from(k - 5) / 5.0).clamp(0.0, 1.0);
                        let parts = [part(at[0], i), part(at[1], j)];
                        let here = gap(parts);
                        if here < least {
                            (least, middle) = (here, parts);
                        }
                    }
                }
                half *= 0.5;
            }
            prop_assert!((found.clearance - least).abs() < 1e-6, "{} {least}", found.clearance);
            let back = between(&b, &a);
            prop_assert!((back.clearance - found.clearance).abs() < 1e-9);
        }
    }

    #[test]
    fn by_hand() {
        let capsule = |a: [f64; 3], b: [f64; 3], r: f64| Segment {
            ends: [a.into(), b.into()],
            radii: [r, r],
        };
        // Crossing at right angles 7 mm apart.
        let a = capsule([-5.0, 0.0, 0.0], [5.0, 0.0, 0.0], 2.0);
        let b = capsule([0.0, 7.0, -5.0], [0.0, 7.0, 5.0], 1.0);
        let gap = between(&a, &b);
        assert_eq!((gap.clearance, gap.parts), (4.0, [0.5, 0.5]));
        // Parallel, one beside the other.
        let c = capsule([-5.0, 4.0, 0.0], [5.0, 4.0, 0.0], 1.0);
        assert_eq!(between(&a, &c).clearance, 1.0);
        // No length at all.
        let dot = capsule([0.0, 9.0, 0.0], [0.0, 9.0, 0.0], 1.0);
        assert_eq!(between(&dot, &dot).clearance, -2.0);
        assert_eq!(between(&a, &dot).clearance, 6.0);
    }
}
