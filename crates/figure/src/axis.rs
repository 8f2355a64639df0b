//! Axes of the hand drawn as lines: the fitted one, the one of the greatest safe lift.
use crate::path::{circle, polyline};
use crate::sheet::Sheet;
use crate::words::{Words, place_words};
use crate::{AxisKind, AxisLine, Layer, Paint, Shape, TextStyle};

pub(crate) fn draw(sheet: &mut Sheet, axis: &AxisLine) {
    let [a, b] = sheet.line(&[axis.from, axis.to])[..] else {
        return;
    };
    let w = sheet.weight;
    let (stroke, paint) = match axis.kind {
        AxisKind::Fitted => (
            sheet.stroke(Paint::Ink, 1.6).dashed(9.0 * w, 4.0 * w),
            Paint::Ink,
        ),
        AxisKind::Safest => (sheet.stroke(Paint::Good, 2.4), Paint::Good),
    };
    sheet.push(Shape::line(Layer::Measure, polyline([a, b]), stroke));
    sheet.keep_off(&[a, b]);
    for end in [a, b] {
        let grip = Some(sheet.stroke(paint, 1.8));
        sheet.push(Shape::filled(
            Layer::Measure,
            circle(end, 4.5 * w),
            Paint::Page,
            grip,
        ));
    }
    let along = axis.to - axis.from;
    let length = along.norm_squared();
    for (place, reading) in &axis.off {
        let part = if length > 0.0 {
            (place - axis.from).dot(&along) / length
        } else {
            0.0
        };
        let foot = axis.from + along * part;
        let [p, q] = sheet.line(&[*place, foot])[..] else {
            continue;
        };
        let thin = sheet.stroke(paint, 1.2);
        sheet.push(Shape::line(Layer::Measure, polyline([p, q]), thin));
        sheet.push(Shape::filled(
            Layer::Measure,
            circle(p, 2.2 * w),
            paint,
            None,
        ));
        let words = Words {
            content: reading,
            size: sheet.type_size(12.0),
            style: TextStyle::Number,
            paint,
        };
        place_words(sheet, p, 6.0 * w, &words);
    }
    let words = Words {
        content: &axis.label,
        size: sheet.type_size(13.0),
        style: TextStyle::Label,
        paint,
    };
    place_words(sheet, b, 8.0 * w, &words);
}
