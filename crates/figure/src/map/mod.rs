//! The contact map: a survey as shapes. Safe is a plain tint with a firm line round it; outside,
//! lines tell of a slip, dots of flesh that sinks in and crossed lines of a limit, in a direction
//! of its own for each digit that fails, with its letter. Toothed lines tell where digits let go.
mod away;
mod frame;
mod owners;
mod sheet;
mod text;

pub use frame::Frame;
pub use owners::{letters, patterns};
pub use sheet::sheet;

use crate::path::{polyline, rectangle};
use crate::shape::debug_assert_finite;
use crate::{Layer, Paint, Seg, Shape, Stroke};
use hand::survey::{Survey, Tolerance};
use rig::Document;

/// A survey's map. `size` in px; `weight` scales strokes and type, as in a figure's view.
///
/// ```
/// use figure::map::{dial_at, map};
/// use figure::{Layer, Look, svg};
/// use hand::survey::{Survey, Sweep, Tolerance};
/// use hand::{Planting, Recipe};
/// use rig::Posed;
///
/// let recipe = Recipe { planting: Some(Planting::default()), ..Recipe::default() };
/// let posed = Posed::new(&hand::document(&recipe)?)?;
/// let sweep = |name, from, to| {
///     let dial = posed.rig().dial_named(name).unwrap().id;
///     Sweep { dial, from, to, count: 9 }
/// };
/// let survey = Survey::run(&posed, sweep("lift", 0.0, 40.0), sweep("lean", -4.0, 4.0)).unwrap();
///
/// // 640 by 480 px; so many mm of slip and depth are let pass.
/// let tolerance = Tolerance { slip: 0.5, pad: 3.0, palm: 3.0 };
/// let size = (640.0, 480.0);
/// let shapes = map(&survey, posed.document(), &tolerance, size, 1.0);
/// assert!(shapes.iter().any(|shape| shape.layer() == Layer::Path));
/// assert!(svg(&shapes, size, Look::Paper, "where it holds").contains(">lift</text>"));
/// // Its lower left corner is where both sweeps begin; the margins are 58 and 48 px.
/// assert_eq!(dial_at(&survey, size, 1.0, 58.0, 432.0), Some((0.0, -4.0)));
/// # Ok::<(), rig::Fault>(())
/// ```
pub fn map(
    survey: &Survey,
    document: &Document,
    tolerance: &Tolerance,
    size: (f64, f64),
    weight: f64,
) -> Vec<Shape> {
    let frame = Frame::new(survey, size, weight);
    let mut shapes = vec![Shape::filled(
        Layer::Bench,
        rectangle(frame.top_left(), frame.bottom_right(), 0.0),
        Paint::Page,
        None,
    )];
    let (hatching, marks) = owners::draw(survey, document, tolerance, &frame);
    shapes.extend(hatching);
    let outline = |lines: Vec<Vec<(f64, f64)>>| {
        let mut segs = Vec::new();
        for line in lines {
            segs.extend(polyline(line.into_iter().map(|at| frame.place(at))));
            segs.push(Seg::Close);
        }
        segs
    };
    let [reached, apart] = survey.region(tolerance).map(outline);
    // The hatching ends where a region begins.
    for region in [&reached, &apart] {
        shapes.push(Shape::filled(
            Layer::Bench,
            region.clone(),
            Paint::Page,
            None,
        ));
    }
    shapes.push(Shape::Path {
        layer: Layer::Bench,
        segs: reached,
        fill: Some(Paint::Good),
        fill_opacity: 0.22,
        stroke: None,
    });
    shapes.extend(frame.axes(document));
    shapes.push(Shape::line(
        Layer::Path,
        outline(survey.free()),
        Stroke::solid(Paint::Quiet, 1.2 * weight).dashed(4.0 * weight, 4.0 * weight),
    ));
    let letters = letters(survey, document, tolerance);
    let [let_go, who] = away::draw(survey, tolerance, &frame, &letters);
    shapes.extend(let_go);
    for line in survey.boundary(tolerance) {
        shapes.push(Shape::line(
            Layer::Path,
            polyline(line.into_iter().map(|at| frame.place(at))),
            Stroke::solid(Paint::Ink, 2.2 * weight),
        ));
    }
    shapes.extend(who);
    shapes.extend(marks);
    shapes.retain(|shape| !matches!(shape, Shape::Path { segs, .. } if segs.is_empty()));
    debug_assert_finite(&shapes);
    shapes
}

/// The two dials' values at a place on the map, px; none outside it.
pub fn dial_at(
    survey: &Survey,
    size: (f64, f64),
    weight: f64,
    x: f64,
    y: f64,
) -> Option<(f64, f64)> {
    let frame = Frame::new(survey, size, weight);
    let values = frame.values((x, y));
    frame.holds(values).then_some(values)
}
