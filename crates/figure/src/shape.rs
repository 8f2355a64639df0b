//! Drawn shapes, in view pixels (y down), back to front.

/// A colour by its part in the picture; looks give the colours (look study's tokens).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Paint { Ground, Page, Ink, Quiet, Rule, Carried, Mover, Anchored, Good, Amiss, Bench, /** Page ground with anchored diagonal hatch lines. */ Hatch, /** Page ground, for still bones. */ Still }

/// One path segment, absolute.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Seg { Move(f64, f64), Line(f64, f64), /** control 1, control 2, end */ Cubic(f64, f64, f64, f64, f64, f64), Close }

/// A line's look. Widths and dashes in px.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Stroke { pub paint: Paint, pub width: f64, /** on, off; none: solid */ pub dash: Option<(f64, f64)>, pub opacity: f64 }

/// Anchor of a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Align { Start, Middle, End }

/// Typeface role.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum TextStyle { /** serif label */ Label, /** italic serif caption */ Caption, /** bold sans number */ Number }

/// A text.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Text { pub x: f64, pub y: f64, pub content: String, pub size: f64, pub style: TextStyle, pub paint: Paint, pub align: Align, /** degrees, clockwise on screen */ pub turn: f64 }

/// What a shape belongs to, for tests and for layering.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Layer { Bench, Ghost, Path, Bone, Joint, Contact, Measure, Label, Pencil }

/// A drawn shape.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Shape {
    Path { layer: Layer, segs: Vec<Seg>, fill: Option<Paint>, /** 0 to 1 */ fill_opacity: f64, stroke: Option<Stroke> },
    Text { layer: Layer, text: Text },
}
