//! Text on the sheet.
use crate::label_layout::{Area, text_width};
use crate::path::polyline;
use crate::sheet::Sheet;
use crate::{Align, Layer, Paint, Shape, Text, TextStyle};

/// Height of a line of text over its size.
pub(crate) const LINE: f64 = 1.25;
/// How far below a box's middle its text's baseline is, over its size.
const BASELINE: f64 = 0.35;

/// A text whose middle is at a point.
pub(crate) struct Words<'a> {
    pub content: &'a str,
    pub size: f64,
    pub style: TextStyle,
    pub paint: Paint,
}

impl Words<'_> {
    pub fn width(&self) -> f64 {
        text_width(self.content, self.size, self.style)
    }
    /// Puts it on the sheet; with `Start` or `End`, `x` is that side of it. Turned by degrees about its place.
    pub fn put(
        &self,
        sheet: &mut Sheet,
        layer: Layer,
        (x, y): (f64, f64),
        align: Align,
        turn: f64,
    ) {
        let (s, c) = libm::sincos(turn.to_radians());
        let down = BASELINE * self.size;
        let (x, y) = (x - s * down, y + c * down);
        let text = Text {
            x,
            y,
            content: self.content.to_owned(),
            size: self.size,
            style: self.style,
            paint: self.paint,
            align,
            turn,
        };
        sheet.push(Shape::Text { layer, text });
    }
}

/// Words beside a point: to the upper right first, then round it, then farther off on a thread.
pub(crate) fn place_words(sheet: &mut Sheet, at: (f64, f64), clear: f64, words: &Words) {
    if words.content.is_empty() || !(at.0.is_finite() && at.1.is_finite()) {
        return;
    }
    let (wide, high) = (words.width(), words.size * LINE);
    let steps = [0.0, 16.0, 34.0, 60.0, 96.0].map(|s| s * sheet.weight);
    let sides: [(f64, f64); 8] = [
        (0.7, -0.7),
        (-0.7, -0.7),
        (0.0, -1.0),
        (1.0, 0.0),
        (-1.0, 0.0),
        (0.7, 0.7),
        (-0.7, 0.7),
        (0.0, 1.0),
    ];
    let places: Vec<_> = steps
        .iter()
        .flat_map(|step| {
            sides.iter().map(move |(sx, sy)| {
                let reach = clear + step;
                let x = at.0 + sx * reach + sx.signum() * f64::from(*sx != 0.0) * wide / 2.0;
                let y = at.1 + sy * reach + sy.signum() * f64::from(*sy != 0.0) * high / 2.0;
                Area::about((x, y), wide, high)
            })
        })
        .collect();
    let thread = |i: usize, area: &Area| {
        let end = (at.0.clamp(area.x0, area.x1), at.1.clamp(area.y0, area.y1));
        let d = libm::hypot(end.0 - at.0, end.1 - at.1);
        let part = clear / d;
        let start = (at.0 + (end.0 - at.0) * part, at.1 + (end.1 - at.1) * part);
        (i >= sides.len() && d > clear).then_some([start, end])
    };
    let Some((i, area)) = sheet.room.place_on(places, thread) else {
        return;
    };
    let middle = area.middle();
    if let Some(ends) = thread(i, &area) {
        sheet.push(Shape::line(
            Layer::Label,
            polyline(ends),
            sheet.stroke(words.paint, 0.8),
        ));
    }
    // Anchored on the side towards the point, so that a narrower face than was reckoned with stays beside it.
    let (x, align) = match sides[i % sides.len()].0 {
        s if s > 0.0 => (area.x0, Align::Start),
        s if s < 0.0 => (area.x1, Align::End),
        _ => (middle.0, Align::Middle),
    };
    words.put(sheet, Layer::Label, (x, middle.1), align, 0.0);
}
