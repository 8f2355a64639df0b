//! How deep two segments are in each other, against closed forms and planes that part them.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::flesh::{Segment, between};
use proptest::prelude::*;
use rig::Vec3;

/// Of sums of a few lengths of at most 100 mm, by rounding.
const ROUNDING: f64 = 1e-10;

fn bar(ends: [[f64; 3]; 2], radii: [f64; 2]) -> Segment {
    Segment {
        ends: ends.map(Vec3::from),
        radii,
    }
}

fn depth(a: &Segment, b: &Segment) -> f64 {
    -between(a, b).clearance
}

#[test]
fn balls_and_crossed_bars_by_hand() {
    // Two balls: r + s − d.
    let ball = |at: [f64; 3], radius| bar([at; 2], [radius; 2]);
    let balls = [ball([1.0, 2.0, 2.0], 4.0), ball([0.0; 3], 2.5)];
    assert_eq!(depth(&balls[0], &balls[1]), 3.5);
    // One in the middle of the other: out by both radii.
    assert_eq!(depth(&ball([0.0; 3], 4.0), &ball([0.0; 3], 2.5)), 6.5);
    // Two bars crossed h apart: r + s − h, also where their axes cross.
    for h in [0.0, 1.0, 5.0, 9.0] {
        let a = bar([[-30.0, 0.0, 0.0], [30.0, 0.0, 0.0]], [4.0; 2]);
        let b = bar([[-20.0, h, -15.0], [20.0, h, 15.0]], [3.0; 2]);
        assert!((depth(&a, &b) - (7.0 - h)).abs() < ROUNDING, "{h}");
    }
    // A bar and a cone with one axis along the other's side: at the cone's middle the way out is
    // square to its side, whose slope has the sine k.
    let bar = bar([[-30.0, 0.0, 0.0], [30.0, 0.0, 0.0]], [2.0, 8.0]);
    let k = 6.0 / 60.0f64;
    let found = depth(&bar, &ball([0.0, 6.0, 0.0], 3.0));
    assert!((found - (8.0 - 6.0 * (1.0 - k * k).sqrt())).abs() < ROUNDING);
}

/// How far two segments reach into each other along a unit: moved by as much along it, the second
/// touches a plane across it from the one side, the first from the other.
fn along(a: &Segment, b: &Segment, way: &Vec3) -> f64 {
    let far = |segment: &Segment, sign: f64| {
        let ends = segment.ends.iter().zip(segment.radii);
        ends.map(|(end, radius)| sign * way.dot(end) + radius)
            .fold(f64::NEG_INFINITY, f64::max)
    };
    far(a, 1.0) + far(b, -1.0)
}

/// Parts the two by a plane as near to the least shift as can be: across the line of the two
/// nearest balls' centres; where those are one point, leant from the plane of the axes so far that
/// both sides' slopes lie along it.
fn parting(a: &Segment, b: &Segment) -> Vec3 {
    let parts = between(a, b).parts;
    let out = b.sphere(parts[1]).0 - a.sphere(parts[0]).0;
    // Nearer, their direction is mostly rounding.
    if out.norm() > 1e-2 {
        return out.normalize();
    }
    let (u, v) = (a.ends[1] - a.ends[0], b.ends[1] - b.ends[0]);
    let [inside, beside] = parts.map(|part| part > 0.0 && part < 1.0);
    assert!(
        inside && beside,
        "axes that cross at an end lie so by chance"
    );
    let (r, s) = (a.radii[1] - a.radii[0], b.radii[1] - b.radii[0]);
    let across = u.cross(&v).normalize();
    let across = across * f64::copysign(1.0, across.dot(&out));
    // In the plane: w·u = −r, w·v = s.
    let (uu, uv, vv) = (u.dot(&u), u.dot(&v), v.dot(&v));
    let square = uu * vv - uv * uv;
    let flat = u * ((-r * vv - s * uv) / square) + v * ((s * uu + r * uv) / square);
    flat + across * (1.0 - flat.norm_squared()).sqrt()
}

fn segment() -> impl Strategy<Value = Segment> {
    let place = || prop::array::uniform3(-25.0..25.0);
    (place(), place(), 3.0..15.0, 3.0..15.0).prop_map(|(a, b, r, s)| bar([a, b], [r, s]))
}

/// Two whose axes cross, or come as near as told.
fn crossed() -> impl Strategy<Value = [Segment; 2]> {
    let way = || prop::array::uniform3(-1.0..1.0);
    let far = || (4.0..30.0, 4.0..30.0);
    let apart = prop_oneof![Just(0.0), 0.0..1e-3, 0.0..20.0];
    let tapers = (3.0..9.0, -2.0..2.0, 3.0..9.0, -2.0..2.0);
    (way(), way(), far(), far(), apart, tapers).prop_filter_map(
        "too short or too alike",
        |(u, v, (a, b), (c, d), apart, (r, dr, s, ds))| {
            let [u, v] = [Vec3::from(u), Vec3::from(v)];
            let (u, v) = (u.try_normalize(0.1)?, v.try_normalize(0.1)?);
            let across = u.cross(&v).try_normalize(0.05)? * apart;
            let one = [-u * a, u * b].map(<[f64; 3]>::from);
            let other = [across - v * c, across + v * d].map(<[f64; 3]>::from);
            Some([bar(one, [r, r + dr]), bar(other, [s, s + ds])])
        },
    )
}

/// The depth is the least shift that parts the two. No shift less than it does, for one ball of the
/// first and one of the second are as deep in each other; and a plane parts them with that shift.
fn is_least(a: &Segment, b: &Segment) -> Result<(), TestCaseError> {
    let found = between(a, b);
    let ((p, r), (q, s)) = (a.sphere(found.parts[0]), b.sphere(found.parts[1]));
    prop_assert!((r + s - (p - q).norm() + found.clearance).abs() < ROUNDING);
    let way = parting(a, b);
    prop_assert!((way.norm() - 1.0).abs() < 1e-12);
    let shift = along(a, b, &way);
    prop_assert!((shift + found.clearance).abs() < 1e-9, "{shift} {found:?}");
    let back = depth(b, a);
    prop_assert!((back + found.clearance).abs() < ROUNDING);
    Ok(())
}

proptest! {
    #[test]
    fn depth_is_the_least_shift_that_parts(a in segment(), b in segment()) {
        is_least(&a, &b)?;
    }

    #[test]
    fn it_is_so_of_crossed_axes([a, b] in crossed()) {
        is_least(&a, &b)?;
    }

    /// All but along each other: the closed form's system is near its worst.
    #[test]
    fn it_is_so_of_near_parallels(a in segment(), off in prop::array::uniform3(-20.0..20.0), lean in prop::array::uniform3(-1.0..1.0), by in -9.0..-2.0, s in 3.0..9.0) {
        let lean = Vec3::from(lean) * 10f64.powf(by);
        let b = Segment {
            ends: [a.ends[0] + Vec3::from(off), a.ends[1] + Vec3::from(off) + lean],
            radii: [s; 2],
        };
        is_least(&a, &b)?;
    }
}
