//! Text on a map.
use crate::{Align, Layer, Paint, Shape, Text, TextStyle};

/// Text size, px.
pub(super) const TEXT: f64 = 13.0;

/// A letter that keeps quiet.
pub(super) fn quiet_text(at: (f64, f64), content: String, weight: f64) -> Shape {
    let mut shape = text(at, content, weight, Align::Middle, TextStyle::Number);
    if let Shape::Text { text, .. } = &mut shape {
        text.paint = Paint::Quiet;
    }
    shape
}

/// In ink, in front of the map.
pub(super) fn text(
    at: (f64, f64),
    content: String,
    weight: f64,
    align: Align,
    style: TextStyle,
) -> Shape {
    Shape::Text {
        layer: Layer::Label,
        text: Text {
            x: at.0,
            y: at.1,
            content,
            size: TEXT * weight,
            style,
            paint: Paint::Ink,
            align,
            turn: 0.0,
        },
    }
}
