//! Whether a load comes down inside what bears.
use super::contact;
use crate::flesh::Flesh;
use rig::few;
use rig::surface::surfaces;
use rig::{Posed, Vec3};

/// Flesh this near a surface, mm, bears on it.
const BEARS: f64 = 0.5;

/// What bears, seen from above, and a load over it.
#[derive(Clone, Debug, PartialEq)]
pub struct Support {
    /// Corners of the convex hull (x, z) of what bears, mm: anticlockwise with x to the right and z
    /// up. Two when it lies in a line, one when there is only one.
    pub hull: Vec<(f64, f64)>,
    /// mm from the load to the hull's edge: positive inside, negative outside. Two contacts or
    /// one have no inside.
    pub margin: f64,
}

/// The polygon that the feet of all that bears span: everything planted and held, and all flesh
/// that touches; and how far inside it a point of the load is, both seen from above: gravity
/// pulls along −y, so a body whose load leaves the polygon tips (static stability, as for walking
/// machines: McGhee & Frank 1968, On the stability properties of quadruped creeping gaits). A hand
/// is held by its arm too and need not stand by itself: a load outside says that the arm bears a
/// part, not that something is wrong. None when nothing bears.
pub fn support(posed: &Posed, load: &Vec3) -> Option<Support> {
    let rig = posed.rig();
    let surfaces = surfaces(posed);
    let held = rig.plants.iter().filter(|plant| posed.is_down(plant.node));
    let foot = |plant: &rig::Plant| {
        let at = posed.point(plant.node);
        let foot = contact::nearest(&surfaces, plant.surface, &at).map_or(at, |s| s.foot(&at));
        (foot.x, foot.z)
    };
    let mut feet: Vec<_> = held.map(foot).collect();
    for (_, _, segment) in Flesh::of(rig).segments(posed) {
        for (at, radius) in segment.ends.iter().zip(segment.radii) {
            let touched = surfaces.iter().filter(|s| s.distance(at) - radius < BEARS);
            feet.extend(
                touched
                    .map(|surface| surface.foot(at))
                    .map(|foot| (foot.x, foot.z)),
            );
        }
    }
    let hull = hull(feet);
    let margin = margin(&hull, (load.x, load.z))?;
    Some(Support { hull, margin })
}

/// The turn from a through b to c: positive anticlockwise.
fn turn(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> f64 {
    (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
}

/// Convex hull by the monotone chain (Andrew 1979, Another efficient algorithm for convex hulls
/// in two dimensions).
fn hull(mut points: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    few::sort(&mut points, |a, b| {
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let half = |points: &mut dyn Iterator<Item = (f64, f64)>| {
        let mut chain: Vec<(f64, f64)> = Vec::new();
        for point in points {
            while let [.., a, b] = chain[..]
                && turn(a, b, point) <= 0.0
            {
                chain.pop();
            }
            chain.push(point);
        }
        // Its last point is the other half's first.
        chain.pop();
        chain
    };
    let mut around = half(&mut points.iter().copied());
    around.extend(half(&mut points.iter().rev().copied()));
    around
}

fn margin(hull: &[(f64, f64)], load: (f64, f64)) -> Option<f64> {
    let sides = hull.iter().zip(hull.iter().cycle().skip(1));
    let far = sides.clone().map(|(&a, &b)| from_segment(a, b, load));
    let far = far.reduce(|a, b| if b < a { b } else { a })?;
    let inside = hull.len() > 2 && sides.into_iter().all(|(&a, &b)| turn(a, b, load) >= 0.0);
    Some(if inside { far } else { 0.0 - far })
}

fn from_segment(a: (f64, f64), b: (f64, f64), at: (f64, f64)) -> f64 {
    let (x, y) = (b.0 - a.0, b.1 - a.1);
    let square = x * x + y * y;
    let part = ((at.0 - a.0) * x + (at.1 - a.1) * y) / square;
    // A segment without length: `square` is 0 and `part` no number.
    let part = if part > 1.0 {
        1.0
    } else if part > 0.0 {
        part
    } else {
        0.0
    };
    libm::hypot(a.0 + part * x - at.0, a.1 + part * y - at.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_square_by_hand() {
        let corners = vec![
            (0.0, 0.0),
            (4.0, 0.0),
            (4.0, 4.0),
            (0.0, 4.0),
            (2.0, 1.0),
            (2.0, 0.0),
        ];
        let square = hull(corners);
        assert_eq!(square, [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]);
        for (load, expected) in [
            ((1.0, 2.0), 1.0),
            ((2.0, 2.0), 2.0),
            ((4.0, 1.0), 0.0),
            ((-3.0, 2.0), -3.0),
            ((7.0, 8.0), -5.0),
        ] {
            assert_eq!(margin(&square, load), Some(expected), "{load:?}");
        }
        assert_eq!(
            margin(&hull(vec![(1.0, 1.0), (1.0, 1.0)]), (4.0, 5.0)),
            Some(-5.0)
        );
        let line = hull(vec![(0.0, 0.0), (2.0, 0.0), (1.0, 0.0)]);
        assert_eq!(margin(&line, (1.0, 3.0)), Some(-3.0));
        assert_eq!(margin(&line, (1.0, 0.0)).map(f64::abs), Some(0.0));
        assert_eq!(margin(&[], (0.0, 0.0)), None);
    }

    proptest! {
        /// Every point is inside the hull, and a mean of points is too.
        #[test]
        fn points_are_inside_their_hull(points in prop::collection::vec((-50.0..50.0, -50.0..50.0), 3..12)) {
            let around = hull(points.clone());
            prop_assume!(around.len() > 2);
            for &point in &points {
                prop_assert!(margin(&around, point).unwrap() > -1e-9);
            }
            let sum = points.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
            let count = points.len() as f64;
            prop_assert!(margin(&around, (sum.0 / count, sum.1 / count)).unwrap() > 0.0);
        }
    }
}
