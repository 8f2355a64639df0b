//! Thin lines that are no part of the rig: the hoops of a joint's turns, a mirror's frame.
use crate::path::polyline;
use crate::sheet::Sheet;
use crate::words::{Words, place_words};
use crate::{Layer, Paint, Shape, TextStyle};
use rig::Vec3;

/// Draws them; gives them as they lie on the sheet.
pub(crate) fn lines(sheet: &mut Sheet, all: &[(String, Vec<Vec3>)]) -> Vec<Vec<(f64, f64)>> {
    let lines: Vec<_> = all.iter().map(|(_, places)| sheet.line(places)).collect();
    for line in &lines {
        let stroke = sheet.stroke(Paint::Ink, 1.2);
        let line = polyline(line.iter().copied());
        sheet.push(Shape::line(Layer::Measure, line, stroke));
    }
    lines
}

/// Each name beside its line's beginning, once all else has its words: they keep off those and off
/// every line.
pub(crate) fn names(sheet: &mut Sheet, all: &[(String, Vec<Vec3>)], lines: Vec<Vec<(f64, f64)>>) {
    lines.iter().for_each(|line| sheet.keep_off(line));
    for ((name, _), line) in all.iter().zip(lines) {
        let words = Words {
            content: name,
            size: sheet.type_size(13.0),
            style: TextStyle::Label,
            paint: Paint::Ink,
        };
        if let Some(&first) = line.first() {
            place_words(sheet, first, 4.0 * sheet.weight, &words);
        }
    }
}
