//! Drawn shapes, in view pixels (y down), back to front.

/// A colour by its part in the picture; looks give the colours (look study's tokens).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Paint {
    Ground,
    Page,
    Ink,
    Quiet,
    Rule,
    Carried,
    Mover,
    Anchored,
    Good,
    Amiss,
    Bench,
    /// Page ground with anchored diagonal hatch lines.
    Hatch,
    /// Page ground, for still bones.
    Still,
    /// Darker than the ground, for the side away from the light.
    Shade,
    /// Lighter than the ground, for the side towards it.
    Light,
}

impl Paint {
    /// Every paint, for checks and style sheets.
    pub const ALL: [Self; 15] = [
        Self::Ground,
        Self::Page,
        Self::Ink,
        Self::Quiet,
        Self::Rule,
        Self::Carried,
        Self::Mover,
        Self::Anchored,
        Self::Good,
        Self::Amiss,
        Self::Bench,
        Self::Hatch,
        Self::Still,
        Self::Shade,
        Self::Light,
    ];
}

/// One path segment, absolute.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Seg {
    Move(f64, f64),
    Line(f64, f64),
    /// control 1, control 2, end
    Cubic(f64, f64, f64, f64, f64, f64),
    Close,
}

/// A line's look. Widths and dashes in px. Caps and joins are round.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Stroke {
    pub paint: Paint,
    pub width: f64,
    /// on, off; none: solid
    pub dash: Option<(f64, f64)>,
    pub opacity: f64,
}

impl Stroke {
    /// A solid, opaque line.
    pub const fn solid(paint: Paint, width: f64) -> Self {
        Self {
            paint,
            width,
            dash: None,
            opacity: 1.0,
        }
    }
    /// The same, dashed.
    pub const fn dashed(self, on: f64, off: f64) -> Self {
        Self {
            dash: Some((on, off)),
            ..self
        }
    }
    /// The same, seen through.
    pub const fn faint(self, opacity: f64) -> Self {
        Self { opacity, ..self }
    }
}

/// Anchor of a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Align {
    Start,
    Middle,
    End,
}

/// Typeface role.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TextStyle {
    /// serif label
    Label,
    /// italic serif caption
    Caption,
    /// bold sans number
    Number,
}

/// A text; `y` is its baseline.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Text {
    pub x: f64,
    pub y: f64,
    pub content: String,
    pub size: f64,
    pub style: TextStyle,
    pub paint: Paint,
    pub align: Align,
    /// degrees, clockwise on screen
    pub turn: f64,
}

/// What a shape belongs to. The list's own order says what lies over what.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Layer {
    Bench,
    Ghost,
    Path,
    Bone,
    Joint,
    Contact,
    Measure,
    Label,
    Pencil,
}

/// A drawn shape. Paths fill by the non-zero rule.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Shape {
    Path {
        layer: Layer,
        segs: Vec<Seg>,
        fill: Option<Paint>,
        /// 0 to 1
        fill_opacity: f64,
        stroke: Option<Stroke>,
    },
    Text {
        layer: Layer,
        text: Text,
    },
}

impl Shape {
    /// A line without fill.
    pub fn line(layer: Layer, segs: Vec<Seg>, stroke: Stroke) -> Self {
        Self::Path {
            layer,
            segs,
            fill: None,
            fill_opacity: 1.0,
            stroke: Some(stroke),
        }
    }
    /// A filled outline.
    pub fn filled(layer: Layer, segs: Vec<Seg>, fill: Paint, stroke: Option<Stroke>) -> Self {
        Self::Path {
            layer,
            segs,
            fill: Some(fill),
            fill_opacity: 1.0,
            stroke,
        }
    }
    /// Whether every number of it is finite.
    pub fn is_finite(&self) -> bool {
        let finite = |numbers: &[f64]| numbers.iter().all(|number| number.is_finite());
        match self {
            Self::Text { text, .. } => finite(&[text.x, text.y, text.size, text.turn]),
            Self::Path {
                segs,
                fill_opacity,
                stroke,
                ..
            } => {
                let drawn = segs.iter().all(|seg| match *seg {
                    Seg::Move(x, y) | Seg::Line(x, y) => finite(&[x, y]),
                    Seg::Cubic(a, b, c, d, x, y) => finite(&[a, b, c, d, x, y]),
                    Seg::Close => true,
                });
                let stroked = stroke.is_none_or(|stroke| {
                    let (on, off) = stroke.dash.unwrap_or_default();
                    finite(&[stroke.width, stroke.opacity, on, off])
                });
                drawn && stroked && fill_opacity.is_finite()
            }
        }
    }
    /// What it belongs to.
    pub fn layer(&self) -> Layer {
        match self {
            Self::Path { layer, .. } | Self::Text { layer, .. } => *layer,
        }
    }
}

/// Panics in debug builds on a shape with a number that is none, and names it: what was drawn,
/// not how, is at fault then. In release builds such a number does no harm: an SVG has 0 for it.
pub(crate) fn debug_assert_finite(shapes: &[Shape]) {
    if cfg!(debug_assertions)
        && let Some(shape) = shapes.iter().find(|shape| !shape.is_finite())
    {
        panic!("a shape of the figure is not finite: {shape:?}");
    }
}

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
