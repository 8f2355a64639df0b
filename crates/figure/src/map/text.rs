//! Text on a map.
use crate::{Align, Layer, Paint, Shape, Text, TextStyle};

/// Text size, px.
pub(super) const TEXT: f64 = 13.0;

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
