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
