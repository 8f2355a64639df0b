//! The bench under the figure.
use crate::draw::Sheet;
use crate::laid::Layout;
use crate::room::Area;
use crate::shape::{polyline, rectangle};
use crate::{Layer, Paint, Shape, Sight, View};
use rig::{Document, Posed, Vec3};

/// Whether the bench shows its edge or its top from above a side: contacts then sit on it. Seen
/// from straight above it is only a frame.
pub(crate) fn faces(view: &View) -> bool {
    view.sight != Sight::Top
}

/// A band seen from the side, a ruled sheet seen obliquely, faint rules seen from above.
pub(crate) fn draw(sheet: &mut Sheet, document: &Document, layout: &Layout, ghost: Option<&Posed>) {
    let Some(height) = document.bench else { return };
    match sheet.view.sight {
        Sight::Side | Sight::Front => band(sheet, height),
        Sight::Top | Sight::Oblique { .. } => ruled(sheet, height, layout, ghost),
    }
}

fn band(sheet: &mut Sheet, height: f64) {
    let (width, bottom) = sheet.view.size;
    let w = sheet.weight;
    let (origin, y) = sheet.at(&Vec3::new(0.0, height, 0.0));
    if y >= bottom {
        return;
    }
    let earth = rectangle((0.0, y.max(0.0)), (width, bottom), 0.0);
    sheet.push(Shape::filled(Layer::Bench, earth, Paint::Bench, None));
    if y < 0.0 {
        return;
    }
    // The ticks are fixed to the bench, so that panning moves them with it.
    let gap = 22.0 * w;
    let mut ticks = Vec::new();
    let mut x = origin - ((origin / gap).floor() * gap);
    while x < width + gap {
        ticks.extend(polyline([(x, y), (x - 10.0 * w, y + 12.0 * w)]));
        x += gap;
    }
    sheet.push(Shape::line(
        Layer::Bench,
        ticks,
        sheet.stroke(Paint::Ink, 0.7).faint(0.5),
    ));
    sheet.push(Shape::line(
        Layer::Bench,
        polyline([(0.0, y), (width, y)]),
        sheet.stroke(Paint::Ink, 1.4),
    ));
    sheet.room.take(Area {
        x0: 0.0,
        y0: y - 1.0,
        x1: width,
        y1: y + 12.0 * w,
    });
}

/// The sheet reaches past the figure and its ghost to whole multiples of this, so that it keeps still in a drag (mm).
const BLOCK: f64 = 50.0;
/// Ruled at most this often each way.
const MOST_RULES: f64 = 24.0;

fn ruled(sheet: &mut Sheet, height: f64, layout: &Layout, ghost: Option<&Posed>) {
    let visible = || layout.nodes.iter().filter(|l| !l.node.hidden);
    let mut over: Vec<Vec3> = visible().map(|l| l.world).collect();
    over.extend(ghost.iter().flat_map(|g| {
        visible()
            .filter(|l| g.has(l.node.id))
            .map(|l| g.point(l.node.id))
    }));
    let span = |axis: usize| {
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
    };
    let ((x0, x1), (z0, z1)) = (span(0), span(2));
    let at = |sheet: &Sheet, x: f64, z: f64| sheet.at(&Vec3::new(x, height, z));
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
