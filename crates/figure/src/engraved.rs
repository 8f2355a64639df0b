//! Thin lines that are no part of the rig: the hoops of a joint's turns, a mirror's frame.
use crate::path::polyline;
use crate::sheet::Sheet;
use crate::words::{Words, place_words};
use crate::{Layer, Paint, Shape, TextStyle};
use rig::Vec3;

/// The line through these places, its name beside the first.
pub(crate) fn draw(sheet: &mut Sheet, name: &str, places: &[Vec3]) {
    let line = sheet.line(places);
    let Some(&first) = line.first() else {
        return;
    };
    let stroke = sheet.stroke(Paint::Ink, 1.2);
    sheet.push(Shape::line(Layer::Measure, polyline(line), stroke));
    let words = Words {
        content: name,
        size: sheet.type_size(13.0),
        style: TextStyle::Label,
        paint: Paint::Ink,
    };
    place_words(sheet, first, 4.0 * sheet.weight, &words);
}
