//! The reader's prediction, and what really happens laid over it.
use crate::path::{circle, polyline, smooth};
use crate::sheet::Sheet;
use crate::sign::Sign;
use crate::{Layer, Paint, Scene, Shape, Stroke};

/// Painted places and true regions: under the figure, so that both stay readable.
pub(crate) fn fills(sheet: &mut Sheet, scene: &Scene) {
    // All discs are one path, so that overlapping dabs do not darken.
    let mut dabs = Vec::new();
    for (centre, radius) in &scene.pencil_paint {
        let at = sheet.at(centre);
        if at.0.is_finite() && at.1.is_finite() && *radius > 0.0 {
            dabs.extend(circle(at, radius * sheet.view.scale));
        }
    }
    if !dabs.is_empty() {
        let dabs = Shape::Path {
            layer: Layer::Pencil,
            segs: dabs,
            fill: Some(Paint::Quiet),
            fill_opacity: 0.3,
            stroke: None,
        };
        sheet.signed(Sign::Pencil, dabs);
    }
    for region in &scene.truth_regions {
        let points = sheet.line(region);
        if points.len() < 2 {
            continue;
        }
        let mut segs = polyline(points);
        segs.push(crate::Seg::Close);
        let stroke = Some(sheet.stroke(Paint::Good, 1.6));
        let region = Shape::Path {
            layer: Layer::Pencil,
            segs,
            fill: Some(Paint::Good),
            fill_opacity: 0.25,
            stroke,
        };
        sheet.signed(Sign::Truth, region);
    }
}

/// Strokes and pins: over the figure. A prediction is two uneven pencil lines, the truth one firm one.
pub(crate) fn lines(sheet: &mut Sheet, scene: &Scene) {
    let w = sheet.weight;
    for stroke in &scene.pencil_strokes {
        let points = sheet.line(stroke);
        if points.len() < 2 {
            continue;
        }
        let soft = sheet.stroke(Paint::Ink, 2.2).faint(0.8);
        sheet.signed(
            Sign::Pencil,
            Shape::line(Layer::Pencil, smooth(&points), soft),
        );
        // The second goes a little off, by a drift that depends only on the place along the line.
        let off = |i: usize| (1.2 + ((i * 7) % 5) as f64 * 0.25) * w;
        let beside: Vec<_> = points
            .iter()
            .enumerate()
            .map(|(i, p)| (p.0 + off(i), p.1 - off(i + 2)))
            .collect();
        sheet.push(Shape::line(
            Layer::Pencil,
            smooth(&beside),
            sheet.stroke(Paint::Ink, 0.9).faint(0.45),
        ));
    }
    for stroke in &scene.truth_strokes {
        let points = sheet.line(stroke);
        if points.len() > 1 {
            sheet.keep_off(&points);
            let firm = sheet.stroke(Paint::Good, 3.0);
            sheet.signed(
                Sign::Truth,
                Shape::line(Layer::Pencil, polyline(points), firm),
            );
        }
    }
    for point in sheet.line(&scene.pencil_pins) {
        sheet.signs.add(Sign::Pencil);
        pin(sheet, point, Paint::Page, sheet.stroke(Paint::Ink, 1.8));
    }
    for point in sheet.line(&scene.truth_pins) {
        sheet.signs.add(Sign::Truth);
        pin(sheet, point, Paint::Good, sheet.stroke(Paint::Good, 1.8));
    }
}

/// A pin stuck in slantwise: the needle's end is the place.
fn pin(sheet: &mut Sheet, (x, y): (f64, f64), head: Paint, stroke: Stroke) {
    let w = sheet.weight;
    let top = (x + 7.0 * w, y - 17.0 * w);
    sheet.push(Shape::line(Layer::Pencil, polyline([(x, y), top]), stroke));
    sheet.push(Shape::filled(
        Layer::Pencil,
        circle(top, 5.5 * w),
        head,
        Some(stroke),
    ));
}
