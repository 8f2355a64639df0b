//! Who fails where: hatching by digit, and its letter in the middle of its ground.
use super::frame::Frame;
use super::text::{TEXT, text};
use crate::path::{circle, polyline};
use crate::{Align, Layer, Paint, Shape, Stroke, TextStyle};
use hand::survey::{Cell, Survey};
use rig::{Document, NodeId};
use std::f64::consts::PI;

/// Lines of a digit's hatching are this far apart, px.
const GAP: f64 = 8.0;
/// Along a line a change of owner is looked for every so many px.
const LOOK: f64 = 2.0;
/// Directions of the hatching, from the one digit to the next, degrees.
const DIRECTIONS: [f64; 6] = [45.0, 135.0, 0.0, 90.0, 22.0, 158.0];

/// What a letter on the map stands for: each plant's letter and its digit's name, in document
/// order. The letter is the name's first where no other digit's is the same, else its number.
pub fn letters(survey: &Survey, document: &Document) -> Vec<(String, String)> {
    let names: Vec<_> = survey
        .plants
        .iter()
        .map(|&node| digit(document, node))
        .collect();
    let first = |name: &str| name.chars().next().map(|c| c.to_uppercase().to_string());
    names
        .iter()
        .enumerate()
        .map(|(at, name)| {
            let own = first(name);
            let alike = names.iter().filter(|other| first(other) == own).count();
            let letter = own.filter(|_| alike == 1);
            (
                letter.unwrap_or_else(|| (at + 1).to_string()),
                name.to_string(),
            )
        })
        .collect()
}

/// The name of the anchor that holds a planted node, or its own.
fn digit(document: &Document, node: NodeId) -> &str {
    let anchor = document.anchors.iter().find(|anchor| anchor.end == node);
    match anchor {
        Some(anchor) => &anchor.name,
        None => document.node(node).map_or("?", |node| &node.name),
    }
}

/// Hatching of the unsafe cells, and the letters that go over everything else.
pub(super) fn draw(
    survey: &Survey,
    document: &Document,
    tolerance: f64,
    frame: &Frame,
) -> (Vec<Shape>, Vec<Shape>) {
    let owner = |cell: &Cell| {
        let lost = (cell.slip > tolerance).then_some(cell.slipping)?;
        survey.plants.iter().position(|&node| Some(node) == lost)
    };
    let owners: Vec<_> = survey.cells.iter().map(owner).collect();
    let clear = clear(&owners, survey.across.count);
    let mut hatching = Vec::new();
    let mut marks = Vec::new();
    for (at, (letter, _)) in letters(survey, document).into_iter().enumerate() {
        if !owners.contains(&Some(at)) {
            continue;
        }
        hatching.push(hatch(survey, &owners, at, frame));
        let own = (0..owners.len()).filter(|&cell| owners[cell] == Some(at));
        marks.extend(mark(survey, own, &clear, letter, frame));
    }
    (hatching, marks)
}

/// Parallel lines over one owner's cells.
fn hatch(survey: &Survey, owners: &[Option<usize>], owner: usize, frame: &Frame) -> Shape {
    let (left, top) = frame.top_left();
    let (right, bottom) = frame.bottom_right();
    let centre = (0.5 * (left + right), 0.5 * (top + bottom));
    let (s, c) = libm::sincos(DIRECTIONS[owner % DIRECTIONS.len()] * PI / 180.0);
    let half = 0.5 * libm::hypot(right - left, bottom - top);
    let (gap, look) = (GAP * frame.weight, LOOK * frame.weight);
    let (lines, looks) = ((half / gap) as i32, (half / look) as i32);
    let mut segs = Vec::new();
    for line in -lines..=lines {
        let off = f64::from(line) * gap;
        let point = |look_at: i32| {
            let along = f64::from(look_at) * look;
            (
                centre.0 + along * c - off * s,
                centre.1 + along * s + off * c,
            )
        };
        let mut from = None;
        for look_at in -looks..=looks + 1 {
            let values = frame.values(point(look_at));
            let here = look_at <= looks
                && frame.holds(values)
                && owners[nearest(survey, values)] == Some(owner);
            match (here, from) {
                (true, None) => from = Some(look_at),
                (false, Some(start)) => {
                    segs.extend(polyline([point(start), point(look_at - 1)]));
                    from = None;
                }
                _ => {}
            }
        }
    }
    let stroke = Stroke::solid(Paint::Amiss, 1.1 * frame.weight).faint(0.75);
    Shape::line(Layer::Bench, segs, stroke)
}

fn nearest(survey: &Survey, (across, up): (f64, f64)) -> usize {
    survey.up.nearest(up) * survey.across.count + survey.across.nearest(across)
}

/// By cell: how many of the same owner lie without a gap to the left, to the right, below and
/// above.
fn clear(owners: &[Option<usize>], width: usize) -> Vec<[u32; 4]> {
    let mut clear = vec![[0; 4]; owners.len()];
    let same = |a: usize, b: usize| owners[a] == owners[b];
    for cell in 0..owners.len() {
        if cell % width > 0 && same(cell - 1, cell) {
            clear[cell][0] = clear[cell - 1][0] + 1;
        }
        if cell >= width && same(cell - width, cell) {
            clear[cell][2] = clear[cell - width][2] + 1;
        }
    }
    for cell in (0..owners.len()).rev() {
        if cell % width + 1 < width && same(cell + 1, cell) {
            clear[cell][1] = clear[cell + 1][1] + 1;
        }
        if cell + width < owners.len() && same(cell + width, cell) {
            clear[cell][3] = clear[cell + width][3] + 1;
        }
    }
    clear
}

/// The owner's letter in the one of its cells that is farthest from any other's, when there is
/// room.
fn mark(
    survey: &Survey,
    own: impl Iterator<Item = usize>,
    clear: &[[u32; 4]],
    letter: String,
    frame: &Frame,
) -> Vec<Shape> {
    let (width, height) = (survey.across.count, survey.up.count);
    let (left, top) = frame.top_left();
    let (right, bottom) = frame.bottom_right();
    let pitch = (
        (right - left) / (width - 1) as f64,
        (bottom - top) / (height - 1) as f64,
    );
    let mut best = (0.0, None);
    for cell in own {
        let [left, right, below, above] = clear[cell].map(f64::from);
        let reach = [
            left * pitch.0,
            right * pitch.0,
            below * pitch.1,
            above * pitch.1,
        ];
        let least = reach
            .into_iter()
            .fold(f64::INFINITY, |a, b| if b < a { b } else { a });
        if least > best.0 {
            best = (least, Some(cell));
        }
    }
    let radius = 0.8 * TEXT * frame.weight;
    let Some(cell) = best.1.filter(|_| best.0 >= 0.6 * radius) else {
        return Vec::new();
    };
    let (x, y) = frame.place(survey.values(cell));
    vec![
        Shape::filled(Layer::Label, circle((x, y), radius), Paint::Page, None),
        text(
            (x, y + 0.35 * TEXT * frame.weight),
            letter,
            frame.weight,
            Align::Middle,
            TextStyle::Number,
        ),
    ]
}
