//! Dimension lines, angle arcs, marks and labels.
use crate::label_layout::Area;
use crate::layout::{Laid, Layout};
use crate::path::{circle, polyline};
use crate::sheet::Sheet;
use crate::sign::Sign;
use crate::words::{LINE, Words, place_words};
use crate::{Align, Layer, Paint, Scene, Shape, TextStyle, bubbles};
use rig::{Kind, Vec3};

/// All of it. What is fixed in place comes first, what can give way after.
pub(crate) fn draw(sheet: &mut Sheet, bench: Option<f64>, layout: &Layout, scene: &Scene) {
    let engraved = crate::engraved::lines(sheet, &scene.engraved);
    for axis in &scene.axes {
        crate::axis::draw(sheet, axis);
    }
    for (from, to, text) in &scene.dimensions {
        dimension(sheet, layout, from, to, text);
    }
    for (name, at) in &scene.marks {
        mark(sheet, at, name);
    }
    bubbles::draw(sheet, bench, &scene.bubbles);
    for (apex, from, to, text) in &scene.arcs {
        angle(sheet, apex, from, to, text);
    }
    for (id, text) in &scene.labels {
        if let Some(l) = layout.get(*id).filter(|l| !l.node.hidden) {
            let moves = l.is_handle() || l.is_pivot();
            label(
                sheet,
                l.at,
                clearance(l, sheet.weight),
                text,
                if moves { Paint::Mover } else { Paint::Ink },
            );
        }
    }
    crate::engraved::names(sheet, &scene.engraved, engraved);
}

/// A dimension shorter than so many of its text's widths has symbols on both sides of that.
const SHORT: f64 = 1.6;

/// A line beside what it measures, with end ticks, its text along it: on the upper side unless that is outside the picture.
fn dimension(sheet: &mut Sheet, layout: &Layout, from: &Vec3, to: &Vec3, content: &str) {
    let [a, b] = sheet.line(&[*from, *to])[..] else {
        return;
    };
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let d = libm::hypot(dx, dy);
    if d < 1.0 {
        return;
    }
    let w = sheet.weight;
    let (ux, uy) = (dx / d, dy / d);
    // Clear of the flesh of any joint that lies on the measured line.
    let on_line = |l: &&Laid| {
        let (px, py) = (l.at.0 - a.0, l.at.1 - a.1);
        let along = px * ux + py * uy;
        (-3.0..d + 3.0).contains(&along) && (px * uy - py * ux).abs() < 3.0
    };
    let joints = layout
        .nodes
        .iter()
        .filter(|l| l.is_joint() && !l.node.hidden);
    let thick = joints.filter(on_line).map(|l| l.radius).fold(0.0, f64::max);
    let off = thick + 21.0 * w;

    let mut turn = libm::atan2(dy, dx).to_degrees();
    // Read from the foot or from the right of the picture, as on a drawing.
    if turn >= 90.0 - 1e-6 {
        turn -= 180.0;
    } else if turn < -90.0 - 1e-6 {
        turn += 180.0;
    }
    let words = Words {
        content,
        size: sheet.type_size(13.0),
        style: TextStyle::Number,
        paint: Paint::Quiet,
    };
    let up = if uy.abs() > 1.0 - 1e-9 {
        (1.0, 0.0)
    } else if ux > 0.0 {
        (uy, -ux)
    } else {
        (-uy, ux)
    };
    let middle = ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
    let text_at = |n: (f64, f64)| {
        (
            middle.0 + n.0 * (off + 11.0 * w),
            middle.1 + n.1 * (off + 11.0 * w),
        )
    };
    let (wide, high) = (words.width(), words.size * LINE);
    let about = |at| {
        Area::about(
            at,
            (wide * ux).abs() + (high * uy).abs(),
            (wide * uy).abs() + (high * ux).abs(),
        )
    };
    let fits = |n: &(f64, f64)| {
        let area = about(text_at(*n));
        // A short one whose text would lie over symbols gives way to them.
        let free = d > SHORT * wide || sheet.room.crowd(&area) < 1.0;
        (sheet.room.inside(area) == area, free)
    };
    let sides = [up, (-up.0, -up.1)];
    let best = sides.into_iter().find(|n| fits(n) == (true, true));
    let Some(n) = best.or_else(|| sides.into_iter().find(|n| fits(n).1)) else {
        return;
    };
    let at = |p: (f64, f64), far: f64| (p.0 + n.0 * far, p.1 + n.1 * far);
    let mut segs = polyline([at(a, off), at(b, off)]);
    for end in [a, b] {
        segs.extend(polyline([at(end, off - 13.0 * w), at(end, off + 6.0 * w)]));
        sheet.room.take_disc(at(end, off - 4.0 * w), 8.0 * w);
    }
    sheet.push(Shape::line(
        Layer::Measure,
        segs,
        sheet.stroke(Paint::Quiet, 1.0),
    ));
    let place = sheet.room.inside(about(text_at(n))).middle();
    words.put(sheet, Layer::Measure, place, Align::Middle, turn);
    // Squares along the line, since boxes are upright.
    let squares = (d / 8.0).ceil().clamp(1.0, 80.0);
    for i in 0..=squares as usize {
        let t = i as f64 / squares;
        let p = at((a.0 + dx * t, a.1 + dy * t), off);
        sheet.room.take(Area::about(p, 4.0, 4.0));
    }
    let pieces = (wide / high).ceil().max(1.0);
    for i in 0..pieces as usize {
        let t = ((i as f64 + 0.5) / pieces - 0.5) * wide;
        sheet.room.take(Area::about(
            (place.0 + ux * t, place.1 + uy * t),
            high,
            high,
        ));
    }
}

/// A target: ring and cross, its name beside it.
pub(crate) fn mark(sheet: &mut Sheet, world: &Vec3, name: &str) {
    let [at] = sheet.line(&[*world])[..] else {
        return;
    };
    let (w, (x, y)) = (sheet.weight, at);
    let stroke = sheet.stroke(Paint::Ink, 1.6);
    sheet.signed(
        Sign::Mark,
        Shape::line(Layer::Measure, circle(at, 8.0 * w), stroke),
    );
    let mut cross = Vec::new();
    for (dx, dy) in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
        let arm = |r: f64| (x + dx * r * w, y + dy * r * w);
        cross.extend(polyline([arm(3.0), arm(14.0)]));
    }
    sheet.push(Shape::line(Layer::Measure, cross, stroke));
    sheet.room.take_disc(at, 13.0 * w);
    label(sheet, at, 15.0 * w, name, Paint::Ink);
}

/// An arc whose plane is seen at less than this sine is not drawn.
const EDGE_ON: f64 = 0.2;

/// The arc between two directions from an apex, in their own plane, so that it is right in every view.
fn angle(sheet: &mut Sheet, apex: &Vec3, from: &Vec3, to: &Vec3, content: &str) {
    let (Some(u), Some(v)) = (
        (from - apex).try_normalize(1e-9),
        (to - apex).try_normalize(1e-9),
    ) else {
        return;
    };
    let across = v - u * u.dot(&v);
    // Straight back: any plane will do; the one of the view reads best.
    let across = across.try_normalize(1e-9).unwrap_or_else(|| {
        let [_, up, towards] = sheet.axes;
        towards.cross(&u).try_normalize(1e-9).unwrap_or(up)
    });
    // Edge on it is no longer an angle to the eye, only a line.
    let [_, _, towards] = sheet.axes;
    if u.cross(&across).dot(&towards).abs() < EDGE_ON {
        return;
    }
    let w = sheet.weight;
    let whole = libm::atan2(u.cross(&v).norm(), u.dot(&v));
    let px = (62.0 * w)
        .min(0.75 * sheet.view.scale * (from - apex).norm().max((to - apex).norm()))
        .max(18.0 * w);
    let on = |t: f64, px: f64| {
        apex + (u * libm::cos(t) + across * libm::sin(t)) * (px / sheet.view.scale)
    };
    let pieces = (whole / 0.05).ceil().max(1.0);
    let world: Vec<Vec3> = (0..=pieces as usize)
        .map(|i| on(whole * i as f64 / pieces, px))
        .collect();
    let points = sheet.line(&world);
    if points.len() < 2 {
        return;
    }
    for p in points.iter().step_by(4) {
        sheet.room.take(Area::about(*p, 3.0, 3.0));
    }
    sheet.push(Shape::line(
        Layer::Measure,
        polyline(points),
        sheet.stroke(Paint::Ink, 1.2),
    ));
    let words = Words {
        content,
        size: sheet.type_size(13.0),
        style: TextStyle::Number,
        paint: Paint::Ink,
    };
    let (wide, high) = (words.width(), words.size * LINE);
    let home = |px: f64| Area::about(sheet.at(&on(whole / 2.0, px)), wide, high);
    let (near, inner) = (
        home(px + 8.0 * w + wide / 2.0),
        home(px - 6.0 * w - wide / 2.0),
    );
    let outward = (1..4).map(|k| home(px + (8.0 + 20.0 * f64::from(k)) * w + wide / 2.0));
    let nudged = (1..12)
        .flat_map(|k| [1.0, -1.0].map(|side| near.shifted(0.0, side * k as f64 * high * 0.8)));
    let places: Vec<_> = [near, inner]
        .into_iter()
        .chain(outward)
        .chain(nudged)
        .collect();
    if let Some((_, area)) = sheet.room.place(places) {
        words.put(sheet, Layer::Measure, area.middle(), Align::Middle, 0.0);
    }
}

/// How far a label keeps from a node's middle, px.
fn clearance(l: &Laid, w: f64) -> f64 {
    let symbol = if l.is_handle() || l.is_pivot() {
        16.0 * w
    } else {
        6.0 * w
    };
    let flesh = if l.node.kind == Kind::Joint {
        l.radius
    } else {
        0.0
    };
    symbol.max(flesh) + 4.0 * w
}

/// A label beside a node.
fn label(sheet: &mut Sheet, at: (f64, f64), clear: f64, content: &str, paint: Paint) {
    let words = Words {
        content,
        size: sheet.type_size(14.0),
        style: TextStyle::Label,
        paint,
    };
    place_words(sheet, at, clear, &words);
}
