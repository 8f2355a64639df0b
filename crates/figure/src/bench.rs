//! The surfaces under the figure.
use crate::bar::Bar;
use crate::label_layout::Area;
use crate::layout::Layout;
use crate::path::{polyline, rectangle};
use crate::sheet::Sheet;
use crate::{Layer, Paint, Shape, Sight};
use rig::{Form, Posed, Surface, Vec3};

/// A plane seen at less than this sine shows its section.
const EDGE_ON: f64 = 0.02;

/// Height of the first surface, if it is a level plane.
pub(crate) fn level(surfaces: &[Surface]) -> Option<f64> {
    let first = surfaces.first().filter(|s| s.form == Form::Plane)?;
    let up = first.frame.rotation * Vec3::y();
    (up.y > 1.0 - 1e-9).then_some(first.frame.translation.vector.y)
}

/// A plane's section as a band with ticks, its face as a ruled sheet, its top from straight above
/// as faint rules.
pub(crate) fn plane(sheet: &mut Sheet, surface: &Surface, layout: &Layout, ghost: Option<&Posed>) {
    let up = surface.frame.rotation * Vec3::y();
    if up.dot(&sheet.axes[2]).abs() < EDGE_ON {
        band(sheet, surface, &up);
    } else {
        ruled(sheet, surface, layout, ghost);
    }
}

fn band(sheet: &mut Sheet, surface: &Surface, up: &Vec3) {
    let (width, bottom) = sheet.view.size;
    let w = sheet.weight;
    let origin = sheet.at(&surface.frame.translation.vector);
    // The direction into the plane on the page, and along it to the right.
    let (ux, uy) = sheet.step(up);
    let steep = libm::hypot(ux, uy);
    let into = (-ux / steep, -uy / steep);
    let along = (into.1, -into.0);
    let far = width + bottom + libm::hypot(origin.0 - width / 2.0, origin.1 - bottom / 2.0);
    let at = |s: f64, d: f64| {
        (
            origin.0 + along.0 * s + into.0 * d,
            origin.1 + along.1 * s + into.1 * d,
        )
    };
    let level = into.0.abs() < 1e-9 && into.1 > 0.0;
    if level && origin.1 >= bottom {
        return;
    }
    let earth = if level {
        rectangle((0.0, origin.1.max(0.0)), (width, bottom), 0.0)
    } else {
        let mut outline = polyline([at(-far, 0.0), at(far, 0.0), at(far, far), at(-far, far)]);
        outline.push(crate::Seg::Close);
        outline
    };
    sheet.push(Shape::filled(Layer::Bench, earth, Paint::Bench, None));
    if level && origin.1 < 0.0 {
        return;
    }
    // The ticks are fixed to the surface, so that panning moves them with it. They are counted:
    // far from the origin the next may be at the same number.
    let gap = 22.0 * w;
    let (first, room) = if level {
        (-origin.0, width + gap)
    } else {
        let half = width + bottom;
        let (dx, dy) = (width / 2.0 - origin.0, bottom / 2.0 - origin.1);
        (dx * along.0 + dy * along.1 - half, 2.0 * half)
    };
    let begin = (first / gap).floor();
    let mut ticks = Vec::new();
    for k in 0..=(room / gap).ceil() as u32 {
        let s = (begin + f64::from(k)) * gap;
        if s < first + room {
            ticks.extend(polyline([at(s, 0.0), at(s - 10.0 * w, 12.0 * w)]));
        }
    }
    sheet.push(Shape::line(
        Layer::Bench,
        ticks,
        sheet.stroke(Paint::Ink, 0.7).faint(0.5),
    ));
    let edge = if level {
        [(0.0, origin.1), (width, origin.1)]
    } else {
        [at(-far, 0.0), at(far, 0.0)]
    };
    sheet.push(Shape::line(
        Layer::Bench,
        polyline(edge),
        sheet.stroke(Paint::Ink, 1.4),
    ));
    if level {
        sheet.room.take(Area {
            x0: 0.0,
            y0: origin.1 - 1.0,
            x1: width,
            y1: origin.1 + 12.0 * w,
        });
    }
}

/// The sheet reaches past the figure and its ghost to whole multiples of this, so that it keeps still in a drag (mm).
const BLOCK: f64 = 50.0;
/// Ruled at most this often each way.
const MOST_RULES: f64 = 24.0;

/// From where to where the figure and its ghost reach along two axes of a surface's frame.
fn spans(surface: &Surface, layout: &Layout, ghost: Option<&Posed>) -> [(f64, f64); 2] {
    let visible = || layout.nodes.iter().filter(|l| !l.node.hidden);
    let local = |p: &Vec3| surface.frame.inverse_transform_point(&(*p).into()).coords;
    let mut over: Vec<Vec3> = visible().map(|l| local(&l.world)).collect();
    over.extend(ghost.iter().flat_map(|g| {
        visible()
            .filter(|l| g.has(l.node.id))
            .map(|l| local(&g.point(l.node.id)))
    }));
    [0, 2].map(|axis| {
        let low = over.iter().map(|p| p[axis]).fold(f64::INFINITY, f64::min);
        let high = over
            .iter()
            .map(|p| p[axis])
            .fold(f64::NEG_INFINITY, f64::max);
        let (low, high) = if low <= high { (low, high) } else { (0.0, 0.0) };
        let half = BLOCK / 2.0;
        (
            ((low - half) / BLOCK).floor() * BLOCK,
            ((high + half) / BLOCK).ceil() * BLOCK,
        )
    })
}

/// The solid of a surface that is no plane, as long as the figure needs it.
pub(crate) fn bar<'a>(
    surface: &'a Surface,
    layout: &Layout,
    ghost: Option<&Posed>,
) -> Option<Bar<'a>> {
    let [(behind, _), ends] = spans(surface, layout, ghost);
    Bar::new(surface, ends, behind)
}

fn ruled(sheet: &mut Sheet, surface: &Surface, layout: &Layout, ghost: Option<&Posed>) {
    let [(x0, x1), (z0, z1)] = spans(surface, layout, ghost);
    let at = |sheet: &Sheet, x: f64, z: f64| {
        let frame = &surface.frame;
        sheet.at(&(frame.rotation * Vec3::new(x, 0.0, z) + frame.translation.vector))
    };
    let mut edge = polyline([(x0, z0), (x1, z0), (x1, z1), (x0, z1)].map(|(x, z)| at(sheet, x, z)));
    edge.push(crate::Seg::Close);

    let mut gap = BLOCK / 2.0;
    while (x1 - x0).max(z1 - z0) / gap > MOST_RULES {
        gap *= 2.0;
    }
    let mut rules = Vec::new();
    for i in 1..((x1 - x0) / gap).ceil() as usize {
        let x = x0 + gap * i as f64;
        rules.extend(polyline([at(sheet, x, z0), at(sheet, x, z1)]));
    }
    for i in 1..((z1 - z0) / gap).ceil() as usize {
        let z = z0 + gap * i as f64;
        rules.extend(polyline([at(sheet, x0, z), at(sheet, x1, z)]));
    }
    let above = sheet.view.sight == Sight::Top;
    if above {
        sheet.push(Shape::line(
            Layer::Bench,
            edge,
            sheet.stroke(Paint::Rule, 1.4),
        ));
    } else {
        sheet.push(Shape::filled(
            Layer::Bench,
            edge,
            Paint::Bench,
            Some(sheet.stroke(Paint::Ink, 1.4)),
        ));
    }
    let quiet = if above {
        sheet.stroke(Paint::Rule, 1.0)
    } else {
        sheet.stroke(Paint::Ink, 0.7).faint(0.3)
    };
    sheet.push(Shape::line(Layer::Bench, rules, quiet));
}
