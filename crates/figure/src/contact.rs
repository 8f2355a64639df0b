//! Staples, rings and pivots: what holds, what is moved, and about what.
use crate::label_layout::Area;
use crate::layout::{Laid, Layout};
use crate::path::{circle, polyline, rectangle};
use crate::sheet::Sheet;
use crate::{Layer, Paint, Scene, Shape, bench};
use rig::{Plant, Posed, Role, Surface, Vec3};

/// What is grabbed carries the ring; so does a joint that is moved without being grabbed itself.
pub(crate) fn ringed(l: &Laid) -> bool {
    l.is_handle() || (l.is_joint() && !l.node.hidden && l.role == Role::Mover)
}

/// Where a plant's point is now, in the world.
pub(crate) fn planted_at(plant: &Plant, posed: &Posed) -> Vec3 {
    let at = Vec3::from(plant.at);
    match plant.surface {
        Some(surface) => (posed.world(surface) * nalgebra::Point3::from(at)).coords,
        None => at,
    }
}

/// Flesh this near a surface rests on it, mm.
const NEAR_BENCH: f64 = 6.0;

/// Whether two symbols would lie on one another.
fn close(a: (f64, f64), b: (f64, f64)) -> bool {
    libm::hypot(a.0 - b.0, a.1 - b.1) < 5.0
}

/// Staples: closed over planted points, open at the targets of anchors. Gives the places of the first.
pub(crate) fn staples(
    sheet: &mut Sheet,
    posed: &Posed,
    layout: &Layout,
    surfaces: &[Surface],
) -> Vec<(f64, f64)> {
    let document = posed.document();
    let w = sheet.weight;
    let (mut planted, mut feet) = (Vec::new(), Vec::new());
    for plant in &document.plants {
        let Some(l) = layout.get(plant.node).filter(|l| !l.node.hidden) else {
            continue;
        };
        let world = planted_at(plant, posed);
        let at = sheet.at(&world);
        planted.push(at);
        if libm::hypot(at.0 - l.at.0, at.1 - l.at.1) > 2.0 {
            let slip = sheet.stroke(Paint::Amiss, 1.6);
            sheet.push(Shape::line(Layer::Contact, polyline([at, l.at]), slip));
        }
        // Flesh that touches a surface is stapled to the surface, anything else where it is.
        let foot = surfaces.iter().find(|s| {
            s.distance(&world).abs() <= l.node.width / 2.0 + NEAR_BENCH
                && bench::faces(sheet, s, &world)
        });
        let ((x, y), half, high) = match foot {
            Some(surface) => (sheet.at(&surface.foot(&world)), 8.0 * w, 8.0 * w),
            None => ((at.0, at.1 + 9.0 * w), 10.0 * w, 20.0 * w),
        };
        feet.push((x, y));
        let foot = y + 3.0 * w;
        let staple = polyline([
            (x - half, foot),
            (x - half, foot - high),
            (x + half, foot - high),
            (x + half, foot),
        ]);
        sheet.push(Shape::line(
            Layer::Contact,
            staple,
            sheet.stroke(Paint::Anchored, 2.4),
        ));
        sheet.room.take(Area {
            x0: x - half,
            y0: foot - high,
            x1: x + half,
            y1: foot,
        });
    }
    for anchor in &document.anchors {
        let Some(l) = layout.get(anchor.target).filter(|l| !l.node.hidden) else {
            continue;
        };
        let (x, y) = l.at;
        // The planted staple already says it.
        if planted.iter().any(|p| close(*p, l.at)) {
            continue;
        }
        let mut stroke = sheet.stroke(Paint::Anchored, 1.8);
        if !posed.is_active(anchor.id) {
            stroke = stroke.dashed(0.1 * w, 4.0 * w);
        }
        let staple = polyline(
            [(-7.0, 7.0), (-7.0, -7.0), (7.0, -7.0), (7.0, 7.0)]
                .map(|(dx, dy)| (x + dx * w, y + dy * w)),
        );
        sheet.push(Shape::line(Layer::Contact, staple, stroke));
        sheet.room.take(Area::about(l.at, 14.0 * w, 14.0 * w));
    }
    feet
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
    for l in &layout.nodes {
        let lit = scene.highlight == Some(l.node.id);
        let mut reach: Option<((f64, f64), f64)> = None;
        if ringed(l) {
            let r = (l.radius * 0.62).clamp(9.0, 13.0) * w;
            if l.is_pivot() {
                sheet.push(Shape::line(
                    Layer::Joint,
                    circle(l.at, r + 3.0 * w),
                    sheet.stroke(Paint::Mover, 3.0),
                ));
            } else {
                sheet.push(Shape::filled(
                    Layer::Joint,
                    circle(l.at, r),
                    Paint::Page,
                    Some(sheet.stroke(Paint::Mover, 3.0)),
                ));
                sheet.push(Shape::filled(
                    Layer::Joint,
                    circle(l.at, r * 0.38),
                    Paint::Mover,
                    None,
                ));
            }
            reach = Some((l.at, r + 3.0 * w));
        }
        if l.is_pivot() {
            // A hand has many: those that are not moved now keep quiet.
            if fleshed && l.role != Role::Mover && !lit {
                cross_in_square(sheet, l.at, 4.0, Paint::Quiet);
            } else {
                cross_in_square(sheet, l.at, 9.0, Paint::Mover);
                reach = reach.or(Some((l.at, 15.0 * w)));
            }
        } else if !fleshed && l.is_plain_mount() && !stapled.iter().any(|p| close(*p, l.at)) {
            cross_in_square(sheet, l.at, 5.0, Paint::Quiet);
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
                sheet.push(Shape::filled(
                    Layer::Contact,
                    circle(at, 9.0 * w),
                    Paint::Page,
                    Some(sheet.stroke(Paint::Mover, 3.0)),
                ));
                cross(sheet, at, 4.5 * w, Paint::Mover);
            }
            reach = Some((at, 15.0 * w));
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

fn cross(sheet: &mut Sheet, (x, y): (f64, f64), arm: f64, paint: Paint) {
    let mut segs = polyline([(x - arm, y), (x + arm, y)]);
    segs.extend(polyline([(x, y - arm), (x, y + arm)]));
    sheet.push(Shape::line(Layer::Contact, segs, sheet.stroke(paint, 1.6)));
}

fn cross_in_square(sheet: &mut Sheet, (x, y): (f64, f64), half: f64, paint: Paint) {
    let half = half * sheet.weight;
    cross(sheet, (x, y), half / 0.6, paint);
    let square = rectangle((x - half, y - half), (x + half, y + half), 0.0);
    sheet.push(Shape::line(
        Layer::Contact,
        square,
        sheet.stroke(paint, 1.6),
    ));
}
