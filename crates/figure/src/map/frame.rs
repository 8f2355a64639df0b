//! Where a map's values lie on its sheet, and its axes.
use super::text::{TEXT, text};
use crate::path::{polyline, rectangle};
use crate::{Align, Layer, Paint, Shape, Stroke, TextStyle};
use hand::survey::{Survey, Sweep};
use rig::{Dial, Document, Unit};

/// Room round the map for ticks and names, px: left, right, top, bottom.
const MARGINS: [f64; 4] = [58.0, 20.0, 16.0, 48.0];
/// Ticks are about this far apart, px.
const TICKS: f64 = 56.0;

/// A map's place on its sheet.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    across: Sweep,
    up: Sweep,
    left: f64,
    top: f64,
    width: f64,
    height: f64,
    pub(super) weight: f64,
}

impl Frame {
    /// Of a survey on a sheet of `size` px.
    pub fn new(survey: &Survey, size: (f64, f64), weight: f64) -> Self {
        let [left, right, top, bottom] = MARGINS.map(|margin| margin * weight);
        let least = |x: f64| if x > 1.0 { x } else { 1.0 };
        Self {
            across: survey.across,
            up: survey.up,
            left,
            top,
            width: least(size.0 - left - right),
            height: least(size.1 - top - bottom),
            weight,
        }
    }

    /// Upper left corner of the map, px.
    pub fn top_left(&self) -> (f64, f64) {
        (self.left, self.top)
    }

    /// Lower right corner of the map, px.
    pub fn bottom_right(&self) -> (f64, f64) {
        (self.left + self.width, self.top + self.height)
    }

    /// Where values of the two dials are, px.
    pub fn place(&self, (across, up): (f64, f64)) -> (f64, f64) {
        let part = |sweep: &Sweep, value: f64| (value - sweep.from) / (sweep.to - sweep.from);
        (
            self.left + self.width * part(&self.across, across),
            self.top + self.height * (1.0 - part(&self.up, up)),
        )
    }

    /// What values of the two dials are at a place, px.
    pub fn values(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let at = |sweep: &Sweep, part: f64| sweep.from + (sweep.to - sweep.from) * part;
        (
            at(&self.across, (x - self.left) / self.width),
            at(&self.up, 1.0 - (y - self.top) / self.height),
        )
    }

    /// The survey's cell that is nearest.
    pub(super) fn cell(&self, (across, up): (f64, f64)) -> usize {
        self.up.nearest(up) * self.across.count + self.across.nearest(across)
    }

    /// Whether the map goes there.
    pub fn holds(&self, (across, up): (f64, f64)) -> bool {
        let inside = |sweep: &Sweep, value: f64| value >= sweep.from && value <= sweep.to;
        inside(&self.across, across) && inside(&self.up, up)
    }

    /// Frame, ticks, names, and lines where the dials are neutral.
    pub(super) fn axes(&self, document: &Document) -> Vec<Shape> {
        let w = self.weight;
        let (left, top) = self.top_left();
        let (right, bottom) = self.bottom_right();
        let mut shapes = Vec::new();
        let ruled =
            |segs, width| Shape::line(Layer::Measure, segs, Stroke::solid(Paint::Quiet, width * w));
        shapes.push(ruled(rectangle((left, top), (right, bottom), 0.0), 1.2));
        let neutral = |sweep: &Sweep| document.dial(sweep.dial).map(|dial| dial.neutral);
        let faint = |segs| {
            let stroke = Stroke::solid(Paint::Quiet, w).faint(0.6);
            Shape::line(Layer::Measure, segs, stroke)
        };
        if let Some(value) = neutral(&self.across).filter(|&x| self.holds((x, self.up.from))) {
            let (x, _) = self.place((value, self.up.from));
            shapes.push(faint(polyline([(x, top), (x, bottom)])));
        }
        if let Some(value) = neutral(&self.up).filter(|&y| self.holds((self.across.from, y))) {
            let (_, y) = self.place((self.across.from, value));
            shapes.push(faint(polyline([(left, y), (right, y)])));
        }
        let dial = |sweep: &Sweep| document.dial(sweep.dial);
        for value in ticks(&self.across, self.width / (TICKS * w)) {
            let (x, _) = self.place((value, self.up.from));
            shapes.push(ruled(polyline([(x, bottom), (x, bottom + 5.0 * w)]), 1.2));
            let at = (x, bottom + (8.0 + TEXT) * w);
            let told = told(value, dial(&self.across));
            shapes.push(text(at, told, w, Align::Middle, TextStyle::Number));
        }
        for value in ticks(&self.up, self.height / (TICKS * w)) {
            let (_, y) = self.place((self.across.from, value));
            shapes.push(ruled(polyline([(left - 5.0 * w, y), (left, y)]), 1.2));
            let at = (left - 9.0 * w, y + 0.35 * TEXT * w);
            let told = told(value, dial(&self.up));
            shapes.push(text(at, told, w, Align::End, TextStyle::Number));
        }
        let name = |sweep| dial(sweep).map_or(String::new(), |dial: &Dial| dial.name.clone());
        let at = (0.5 * (left + right), bottom + (16.0 + 2.0 * TEXT) * w);
        shapes.push(text(
            at,
            name(&self.across),
            w,
            Align::Middle,
            TextStyle::Caption,
        ));
        let at = (TEXT * w, 0.5 * (top + bottom));
        let mut upright = text(at, name(&self.up), w, Align::Middle, TextStyle::Caption);
        if let Shape::Text { text, .. } = &mut upright {
            text.turn = -90.0;
        }
        shapes.push(upright);
        shapes
    }
}

/// Round values within a sweep, about so many: steps of 1, 2 or 5 times a power of ten.
fn ticks(sweep: &Sweep, about: f64) -> Vec<f64> {
    let most = if about > 2.0 { about } else { 2.0 };
    let rough = (sweep.to - sweep.from) / most;
    let power = libm::pow(10.0, libm::floor(libm::log10(rough)));
    let step = [1.0, 2.0, 5.0, 10.0]
        .map(|part| part * power)
        .into_iter()
        .find(|&step| step >= 0.75 * rough)
        .unwrap_or(rough);
    let first = libm::ceil(sweep.from / step - 1e-9);
    let last = libm::floor(sweep.to / step + 1e-9);
    // A sweep at a great distance from 0 could have ticks that are too many to count exactly.
    let count = (last - first) as usize;
    (0..=count.min(100))
        .map(|k| (first + k as f64) * step)
        .collect()
}

/// A tick's value with its unit; as many digits as it needs.
fn told(value: f64, dial: Option<&Dial>) -> String {
    let unit = match dial.map(|dial| dial.unit) {
        Some(Unit::Degrees) => "°",
        Some(Unit::Millimetres) => " mm",
        Some(Unit::Percent) => " %",
        None => "",
    };
    let digits = format!("{:.6}", value.abs());
    let digits = digits.trim_end_matches('0').trim_end_matches('.');
    let sign = if value < 0.0 && digits != "0" {
        "−"
    } else {
        ""
    };
    format!("{sign}{digits}{unit}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sweep(from: f64, to: f64) -> Sweep {
        Sweep {
            dial: rig::DialId(0),
            from,
            to,
            count: 2,
        }
    }

    #[test]
    fn ticks_are_round() {
        assert_eq!(
            ticks(&sweep(-10.0, 60.0), 7.0),
            [-10.0, 0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0]
        );
        assert_eq!(
            ticks(&sweep(-0.3, 0.31), 3.0),
            [-0.2, 0.0, 0.2].map(|x| x + 0.0)
        );
        assert!(ticks(&sweep(0.0, 1e-9), 5.0).len() <= 6);
        assert!(ticks(&sweep(1e9, 1e9 + 1.0), 5.0).len() <= 6);
    }

    #[test]
    fn numbers_have_the_digits_they_need() {
        assert_eq!(told(-0.2, None), "−0.2");
        assert_eq!(told(-0.0, None), "0");
        assert_eq!(told(35.0, None), "35");
    }
}
