//! Paths of shapes: arcs, circles, bones, lines.
use crate::Seg;

/// Appends a circular arc from angle `from` to `to` (radians, clockwise on screen when `to` is
/// greater), by cubics of at most a quarter turn: control arm 4/3·tan(δ/4), radial error under
/// 0.03 %. Starts with a line to the arc's beginning, or a move when `segs` is empty.
pub(crate) fn arc(segs: &mut Vec<Seg>, (x, y): (f64, f64), r: f64, from: f64, to: f64) {
    let pieces = ((to - from).abs() / std::f64::consts::FRAC_PI_2 - 1e-9)
        .ceil()
        .max(1.0);
    let step = (to - from) / pieces;
    let arm = 4.0 / 3.0 * libm::tan(step / 4.0) * r;
    let (s, c) = libm::sincos(from);
    let start = (x + r * c, y + r * s);
    segs.push(if segs.is_empty() {
        Seg::Move(start.0, start.1)
    } else {
        Seg::Line(start.0, start.1)
    });
    for i in 0..pieces as usize {
        let (s0, c0) = libm::sincos(from + step * i as f64);
        let (s1, c1) = libm::sincos(from + step * (i + 1) as f64);
        let (ex, ey) = (x + r * c1, y + r * s1);
        segs.push(Seg::Cubic(
            x + r * c0 - arm * s0,
            y + r * s0 + arm * c0,
            ex + arm * s1,
            ey - arm * c1,
            ex,
            ey,
        ));
    }
}

/// A full circle.
pub(crate) fn circle(centre: (f64, f64), r: f64) -> Vec<Seg> {
    let mut segs = Vec::with_capacity(6);
    arc(&mut segs, centre, r, 0.0, std::f64::consts::TAU);
    segs.push(Seg::Close);
    segs
}

/// An upright rectangle; `r` rounds its corners.
pub(crate) fn rectangle((x0, y0): (f64, f64), (x1, y1): (f64, f64), r: f64) -> Vec<Seg> {
    use std::f64::consts::{FRAC_PI_2, PI};
    let mut segs = Vec::new();
    if r <= 0.0 {
        segs.extend([
            Seg::Move(x0, y0),
            Seg::Line(x1, y0),
            Seg::Line(x1, y1),
            Seg::Line(x0, y1),
            Seg::Close,
        ]);
        return segs;
    }
    for (corner, turn) in [
        ((x1 - r, y0 + r), -FRAC_PI_2),
        ((x1 - r, y1 - r), 0.0),
        ((x0 + r, y1 - r), FRAC_PI_2),
        ((x0 + r, y0 + r), PI),
    ] {
        arc(&mut segs, corner, r, turn, turn + FRAC_PI_2);
    }
    segs.push(Seg::Close);
    segs
}

/// Straight pieces through points.
pub(crate) fn polyline(points: impl IntoIterator<Item = (f64, f64)>) -> Vec<Seg> {
    let mut segs = Vec::new();
    for (x, y) in points {
        segs.push(if segs.is_empty() {
            Seg::Move(x, y)
        } else {
            Seg::Line(x, y)
        });
    }
    segs
}

/// A smooth line through points (a uniform Catmull-Rom spline as cubics), for hand-drawn strokes.
pub(crate) fn smooth(points: &[(f64, f64)]) -> Vec<Seg> {
    if points.len() < 3 {
        return polyline(points.iter().copied());
    }
    let at = |i: isize| points[i.clamp(0, points.len() as isize - 1) as usize];
    let mut segs = vec![Seg::Move(points[0].0, points[0].1)];
    for i in 0..points.len() as isize - 1 {
        let (p, q, r, s) = (at(i - 1), at(i), at(i + 1), at(i + 2));
        segs.push(Seg::Cubic(
            q.0 + (r.0 - p.0) / 6.0,
            q.1 + (r.1 - p.1) / 6.0,
            r.0 - (s.0 - q.0) / 6.0,
            r.1 - (s.1 - q.1) / 6.0,
            r.0,
            r.1,
        ));
    }
    segs
}

/// A tapered bone: two circles and their two outer tangents. With angle θ from the first centre
/// to the second at distance d, the tangents touch both circles at θ ± acos((r₁ − r₂)/d).
/// When one circle holds the other (a bone seen end on) it is the greater circle.
pub(crate) fn bone(a: (f64, f64), ra: f64, b: (f64, f64), rb: f64) -> Vec<Seg> {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let d = libm::hypot(dx, dy);
    if d <= (ra - rb).abs() + 1e-9 {
        return if ra >= rb {
            circle(a, ra)
        } else {
            circle(b, rb)
        };
    }
    let along = libm::atan2(dy, dx);
    let touch = libm::acos((ra - rb) / d);
    let mut segs = Vec::with_capacity(9);
    arc(
        &mut segs,
        a,
        ra,
        along + touch,
        along + std::f64::consts::TAU - touch,
    );
    arc(&mut segs, b, rb, along - touch, along + touch);
    segs.push(Seg::Close);
    segs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ends(segs: &[Seg]) -> Vec<(f64, f64)> {
        segs.iter()
            .filter_map(|s| match *s {
                Seg::Move(x, y) | Seg::Line(x, y) | Seg::Cubic(_, _, _, _, x, y) => Some((x, y)),
                Seg::Close => None,
            })
            .collect()
    }

    fn cubic(p: (f64, f64), c: Seg, t: f64) -> (f64, f64) {
        let Seg::Cubic(ax, ay, bx, by, x, y) = c else {
            panic!()
        };
        let u = 1.0 - t;
        let w = [u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t];
        (
            w[0] * p.0 + w[1] * ax + w[2] * bx + w[3] * x,
            w[0] * p.1 + w[1] * ay + w[2] * by + w[3] * y,
        )
    }

    #[test]
    fn a_circle_is_round() {
        let segs = circle((10.0, -4.0), 30.0);
        let mut pen = ends(&segs)[0];
        for s in &segs[1..5] {
            for i in 0..=10 {
                let (x, y) = cubic(pen, *s, i as f64 / 10.0);
                let r = libm::hypot(x - 10.0, y + 4.0);
                assert!((r / 30.0 - 1.0).abs() < 3e-4, "{r}");
            }
            pen = cubic(pen, *s, 1.0);
        }
    }

    // A line touches a circle when its distance from the centre is the radius.
    #[test]
    fn a_bones_sides_touch_both_circles() {
        for (a, ra, b, rb) in [
            ((0.0, 0.0), 20.0, (120.0, 40.0), 12.0),
            ((5.0, 7.0), 4.0, (-60.0, -90.0), 9.0),
            ((0.0, 0.0), 8.0, (0.0, 50.0), 8.0),
        ] {
            let segs = bone(a, ra, b, rb);
            // The one straight side is the only `Line` of any length; the other is the closing one.
            let points = ends(&segs);
            let line = segs
                .iter()
                .position(|s| matches!(s, Seg::Line(..)))
                .unwrap();
            for (p, q) in [
                (points[line - 1], points[line]),
                (*points.last().unwrap(), points[0]),
            ] {
                let length = libm::hypot(q.0 - p.0, q.1 - p.1);
                let distance = |c: (f64, f64)| {
                    (((q.0 - p.0) * (c.1 - p.1) - (q.1 - p.1) * (c.0 - p.0)) / length).abs()
                };
                assert!((distance(a) - ra).abs() < 1e-9 && (distance(b) - rb).abs() < 1e-9);
                // The touching points are the line's ends: the outline has no corner.
                let on = |c: (f64, f64), r: f64, p: (f64, f64)| {
                    (libm::hypot(p.0 - c.0, p.1 - c.1) - r).abs() < 1e-9
                };
                assert!((on(a, ra, p) && on(b, rb, q)) || (on(b, rb, p) && on(a, ra, q)));
            }
        }
    }

    #[test]
    fn a_bone_seen_end_on_is_its_greater_circle() {
        assert_eq!(
            bone((1.0, 1.0), 5.0, (2.0, 1.0), 9.0),
            circle((2.0, 1.0), 9.0)
        );
        assert_eq!(
            bone((1.0, 1.0), 5.0, (1.0, 1.0), 5.0),
            circle((1.0, 1.0), 5.0)
        );
    }

    #[test]
    fn a_smooth_line_goes_through_its_points() {
        let points = [(0.0, 0.0), (10.0, 5.0), (20.0, -5.0), (25.0, 30.0)];
        assert_eq!(ends(&smooth(&points)), points);
        assert_eq!(ends(&smooth(&points[..2])), points[..2]);
        assert!(smooth(&[]).is_empty());
    }
}
