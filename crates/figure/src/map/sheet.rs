//! Maps of several layers on one sheet.
use super::text::{TEXT, text};
use super::{letters, map, patterns};
use crate::{Align, Seg, Shape, TextStyle};
use hand::survey::{Survey, Tolerance};
use rig::Document;

/// Maps a row holds.
const COLUMNS: usize = 3;
/// Height of a map's heading, px.
const HEAD: f64 = 34.0;

/// Every layer's map under its heading, and what letters and patterns stand for: shapes and their
/// sheet's size, px. `size` is each map's.
pub fn sheet(
    layers: &[(String, &Survey)],
    document: &Document,
    tolerance: &Tolerance,
    size: (f64, f64),
) -> (Vec<Shape>, (f64, f64)) {
    let columns = layers.len().clamp(1, COLUMNS);
    let rows = layers.len().div_ceil(columns);
    let pitch = (size.0, size.1 + HEAD);
    let mut shapes = Vec::new();
    for (at, (heading, survey)) in layers.iter().enumerate() {
        let (x, y) = (
            pitch.0 * (at % columns) as f64,
            pitch.1 * (at / columns) as f64,
        );
        let middle = (x + 0.5 * size.0, y + HEAD - TEXT);
        shapes.push(text(
            middle,
            heading.clone(),
            1.0,
            Align::Middle,
            TextStyle::Label,
        ));
        let drawn = map(survey, document, tolerance, size, 1.0);
        shapes.extend(drawn.into_iter().map(|shape| shifted(shape, x, y + HEAD)));
    }
    let whole = (pitch.0 * columns as f64, pitch.1 * rows as f64 + HEAD);
    let (mut key, mut told) = (Vec::new(), Vec::new());
    for (_, survey) in layers {
        for (letter, name) in letters(survey, document, tolerance) {
            let one = format!("{letter} {}", name.replace('-', " "));
            if !key.contains(&one) {
                key.push(one);
            }
        }
        for pattern in patterns(survey, document, tolerance) {
            if !told.contains(&pattern) {
                told.push(pattern);
            }
        }
    }
    for (line, words) in [(0.0, key.join(", ")), (1.0, told.join("; "))] {
        shapes.push(text(
            (0.5 * whole.0, whole.1 - HEAD + TEXT * (1.0 + 1.3 * line)),
            words,
            1.0,
            Align::Middle,
            TextStyle::Caption,
        ));
    }
    (shapes, whole)
}

fn shifted(mut shape: Shape, dx: f64, dy: f64) -> Shape {
    match &mut shape {
        Shape::Path { segs, .. } => {
            for seg in segs {
                *seg = match *seg {
                    Seg::Move(x, y) => Seg::Move(x + dx, y + dy),
                    Seg::Line(x, y) => Seg::Line(x + dx, y + dy),
                    Seg::Cubic(a, b, c, d, x, y) => {
                        Seg::Cubic(a + dx, b + dy, c + dx, d + dy, x + dx, y + dy)
                    }
                    Seg::Close => Seg::Close,
                };
            }
        }
        Shape::Text { text, .. } => (text.x, text.y) = (text.x + dx, text.y + dy),
    }
    shape
}
