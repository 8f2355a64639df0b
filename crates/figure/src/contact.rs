//! Rings and pivots: what is moved, and about what.
use crate::layout::{Laid, Layout};
use crate::path::{circle, polyline, rectangle};
use crate::sheet::Sheet;
use crate::sign::Sign;
use crate::{Layer, Paint, Scene, Shape};
use rig::Role;

/// What is grabbed carries the ring; so does a joint that is moved without being grabbed itself.
pub(crate) fn ringed(l: &Laid) -> bool {
    l.is_handle() || (l.is_joint() && !l.node.hidden && l.role == Role::Mover)
}

/// Whether two symbols would lie on one another.
pub(crate) fn close(a: (f64, f64), b: (f64, f64)) -> bool {
    libm::hypot(a.0 - b.0, a.1 - b.1) < 5.0
}

/// Rings, pivots and the lever: what is moved, and about what.
pub(crate) fn handles(
    sheet: &mut Sheet,
    layout: &Layout,
    scene: &Scene,
    stapled: &[(f64, f64)],
    fleshed: bool,
) {
    let w = sheet.weight;
    if let Some((pivot, pointer)) = scene.lever {
        let ends = sheet.line(&[pivot, pointer]);
        if let [from, to] = ends[..] {
            sheet.push(Shape::line(
                Layer::Path,
                polyline([from, to]),
                sheet.stroke(Paint::Mover, 1.2),
            ));
            sheet.push(Shape::filled(
                Layer::Path,
                circle(to, 4.0 * w),
                Paint::Page,
                Some(sheet.stroke(Paint::Mover, 1.6)),
            ));
        }
    }
    let shown = |l: &&Laid| !scene.put_away.contains(&l.node.id);
    for l in layout.nodes.iter().filter(shown) {
        let lit = scene.highlight == Some(l.node.id);
        let mut reach: Option<((f64, f64), f64)> = None;
        if ringed(l) {
            let r = (l.radius * 0.62).clamp(9.0, 13.0) * w;
            if l.is_pivot() {
                let stroke = sheet.stroke(Paint::Mover, 3.0);
                let round = circle(l.at, r + 3.0 * w);
                sheet.signed(Sign::Ring, Shape::line(Layer::Joint, round, stroke));
            } else {
                ring(sheet, l.at, r);
            }
            reach = Some((l.at, r + 3.0 * w));
        }
        if l.is_pivot() {
            // A hand has many: those that are not moved now keep quiet.
            if fleshed && l.role != Role::Mover && !lit {
                cross_in_square(sheet, Sign::Mount, l.at, 4.0);
            } else {
                cross_in_square(sheet, Sign::Pivot, l.at, PIVOT);
                reach = reach.or(Some((l.at, 15.0 * w)));
            }
        } else if !fleshed && l.is_plain_mount() && !stapled.iter().any(|p| close(*p, l.at)) {
            cross_in_square(sheet, Sign::Mount, l.at, MOUNT);
        }
        if let Some(handle) = l.place_handle() {
            let at = sheet.at(&handle);
            let apart = libm::hypot(at.0 - l.at.0, at.1 - l.at.1);
            if apart > 1.0 {
                if !l.node.hidden {
                    sheet.push(Shape::line(
                        Layer::Contact,
                        polyline([l.at, at]),
                        sheet.stroke(Paint::Mover, 1.2),
                    ));
                }
                place(sheet, at);
            }
            reach = Some((at, 15.0 * w));
        }
        // A joint that is meant, with nothing to grab.
        if lit && l.is_joint() {
            reach = reach.or(Some((l.at, l.radius.clamp(9.0, 16.0) * w)));
        }
        if let Some((at, r)) = reach {
            sheet.room.take_disc(at, r);
            if lit {
                sheet.push(Shape::line(
                    Layer::Joint,
                    circle(at, r + 3.0 * w),
                    sheet.stroke(Paint::Mover, 2.0),
                ));
            }
        }
    }
}

/// What is grabbed.
pub(crate) fn ring(sheet: &mut Sheet, at: (f64, f64), r: f64) {
    let stroke = Some(sheet.stroke(Paint::Mover, 3.0));
    let shape = Shape::filled(Layer::Joint, circle(at, r), Paint::Page, stroke);
    sheet.signed(Sign::Ring, shape);
    let dot = circle(at, r * 0.38);
    sheet.push(Shape::filled(Layer::Joint, dot, Paint::Mover, None));
}

/// What is grabbed to place something beside it.
pub(crate) fn place(sheet: &mut Sheet, at: (f64, f64)) {
    let (w, stroke) = (sheet.weight, Some(sheet.stroke(Paint::Mover, 3.0)));
    let shape = Shape::filled(Layer::Contact, circle(at, 9.0 * w), Paint::Page, stroke);
    sheet.signed(Sign::Place, shape);
    cross(sheet, at, 4.5 * w, Paint::Mover);
}

fn cross(sheet: &mut Sheet, (x, y): (f64, f64), arm: f64, paint: Paint) {
    let mut segs = polyline([(x - arm, y), (x + arm, y)]);
    segs.extend(polyline([(x, y - arm), (x, y + arm)]));
    sheet.push(Shape::line(Layer::Contact, segs, sheet.stroke(paint, 1.6)));
}

/// Half the square of a pivot, and of a mount that only carries, px.
pub(crate) const PIVOT: f64 = 9.0;
pub(crate) const MOUNT: f64 = 5.0;

/// A pivot, or what only carries: that keeps quiet.
pub(crate) fn cross_in_square(sheet: &mut Sheet, sign: Sign, (x, y): (f64, f64), half: f64) {
    let paint = if sign == Sign::Pivot {
        Paint::Mover
    } else {
        Paint::Quiet
    };
    let half = half * sheet.weight;
    cross(sheet, (x, y), half / 0.6, paint);
    let square = rectangle((x - half, y - half), (x + half, y + half), 0.0);
    let stroke = sheet.stroke(paint, 1.6);
    sheet.signed(sign, Shape::line(Layer::Contact, square, stroke));
}
