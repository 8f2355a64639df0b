//! Who fails where and how: a pattern for how, its direction by whom, and a letter in the middle
//! of its ground.
use super::away;
use super::frame::Frame;
use super::text::{TEXT, text};
use crate::path::{circle, polyline};
use crate::{Align, Layer, Paint, Shape, Stroke, TextStyle};
use hand::flesh::Kind;
use hand::survey::{Cell, Ends, Survey, Tolerance};
use rig::{Anchor, Document, NodeId, Shared};
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// Lines of a digit's hatching are this far apart, px.
const GAP: f64 = 8.0;
/// Along a line a change of owner is looked for every so many px.
const LOOK: f64 = 2.0;
/// Directions of the hatching, from the one digit to the next, degrees.
const DIRECTIONS: [f64; 6] = [45.0, 135.0, 0.0, 90.0, 22.0, 158.0];

/// Whose failing it is, in words, and how it fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Owner {
    /// Place in the list of names.
    who: usize,
    how: How,
}

/// How a pose fails; each is drawn with a pattern of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum How {
    Slips,
    Sinks,
    Limit,
}

impl How {
    const ALL: [Self; 3] = [Self::Slips, Self::Sinks, Self::Limit];

    /// Its hue, and by how much the stroke is thicker than a hairline.
    fn stroke(self, weight: f64) -> Stroke {
        match self {
            Self::Slips => Stroke::solid(Paint::Amiss, 1.1 * weight).faint(0.75),
            // Dots.
            Self::Sinks => {
                Stroke::solid(Paint::Anchored, 2.6 * weight).dashed(1.6 * weight, 6.4 * weight)
            }
            Self::Limit => Stroke::solid(Paint::Quiet, 1.1 * weight).faint(0.75),
        }
    }

    /// Directions of its lines, from the owner's own, degrees.
    fn turns(self) -> &'static [f64] {
        match self {
            Self::Limit => &[0.0, 90.0],
            _ => &[0.0],
        }
    }

    /// What the pattern says.
    fn words(self) -> &'static str {
        match self {
            Self::Slips => "lines: slips",
            Self::Sinks => "dots: sinks in",
            Self::Limit => "crossed: at a limit",
        }
    }
}

/// What a letter on the map stands for: each plant's letter and its digit's name, in document
/// order, then whoever else fails somewhere. The letter is the name's first where no other's is
/// the same, else its first two, else its number.
pub fn letters(
    survey: &Survey,
    document: &Document,
    tolerance: &Tolerance,
) -> Vec<(String, String)> {
    lettered(&failing(survey, document, tolerance).0)
}

/// What the patterns of a map stand for: those that it has.
pub fn patterns(survey: &Survey, document: &Document, tolerance: &Tolerance) -> Vec<&'static str> {
    let (_, owners) = failing(survey, document, tolerance);
    let is = |how| owners.iter().flatten().any(|owner| owner.how == how);
    let all = How::ALL.into_iter().filter(|&how| is(how));
    let let_go = away::any(survey).then_some(away::WORDS);
    all.map(How::words).chain(let_go).collect()
}

fn lettered(names: &[String]) -> Vec<(String, String)> {
    // The little finger has one name wherever it is read.
    let names: Vec<_> = names.iter().map(|n| n.replace("pinky", "little")).collect();
    let begins = |name: &str, count: usize| {
        let mut letters = name.chars();
        let first = letters.next().map(|c| c.to_uppercase().to_string());
        first.map(|first| first + &letters.take(count - 1).collect::<String>())
    };
    let letter = |(at, name): (usize, &String)| {
        let own = [1, 2].into_iter().find_map(|count| {
            let own = begins(name, count)?;
            let alike = names
                .iter()
                .filter(|other| begins(other, count).as_ref() == Some(&own));
            (alike.count() == 1).then_some(own)
        });
        let letter = own.unwrap_or_else(|| (at + 1).to_string());
        (letter, name.clone())
    };
    names.iter().enumerate().map(letter).collect()
}

/// The name of the anchor that holds a planted node, or its own.
fn digit(document: &Document, node: NodeId) -> &str {
    let anchor = document.anchors.iter().find(|anchor| anchor.end == node);
    match anchor {
        Some(anchor) => &anchor.name,
        None => document.node(node).map_or("?", |node| &node.name),
    }
}

/// Who fails, by name, and by cell who of them does and how.
fn failing(
    survey: &Survey,
    document: &Document,
    tolerance: &Tolerance,
) -> (Vec<String>, Vec<Option<Owner>>) {
    let plants = survey.plants.iter();
    let mut names: Vec<String> = plants
        .map(|&node| digit(document, node).to_owned())
        .collect();
    // A joint's owner is looked up once.
    let mut known: BTreeMap<(NodeId, bool), usize> = BTreeMap::new();
    let mut named = |name: String| {
        let at = names.iter().position(|known| *known == name);
        at.unwrap_or_else(|| {
            names.push(name);
            names.len() - 1
        })
    };
    let mut who = |cell: &Cell| {
        Some(match cell.ends(tolerance)? {
            Ends::Slips(node) => Owner {
                who: survey.plants.iter().position(|&plant| plant == node)?,
                how: How::Slips,
            },
            Ends::Sinks(node, kind) => {
                let palm = kind == Kind::Palm;
                let who = *known
                    .entry((node, palm))
                    .or_insert_with(|| named(sinking(document, node, palm)));
                let how = How::Sinks;
                Owner { who, how }
            }
            Ends::Limit(limit) => {
                let anchor = document.anchor(limit.anchor)?;
                Owner {
                    who: named(anchor.name.clone()),
                    how: How::Limit,
                }
            }
        })
    };
    let owners = survey.cells.iter().map(&mut who).collect();
    (names, owners)
}

/// Whose flesh a joint carries: the palm's, or its digit's by the name of what holds it.
fn sinking(document: &Document, node: NodeId, palm: bool) -> String {
    if palm {
        return "palm".to_owned();
    }
    let part = document.node(node).and_then(|node| node.part.as_ref());
    let Some(own) = part.and_then(|part| part.digit()) else {
        return digit(document, node).to_owned();
    };
    let of = |anchor: &&Shared<Anchor>| {
        let end = document.node(anchor.end).and_then(|end| end.part.as_ref());
        end.is_some_and(|end| end.digit() == Some(own))
    };
    let anchor = document.anchors.iter().find(of);
    anchor.map_or_else(|| own.to_owned(), |anchor| anchor.name.clone())
}

/// Patterns over the unsafe cells, and the letters that go over everything else.
pub(super) fn draw(
    survey: &Survey,
    document: &Document,
    tolerance: &Tolerance,
    frame: &Frame,
) -> (Vec<Shape>, Vec<Shape>) {
    let (names, owners) = failing(survey, document, tolerance);
    let clear = clear(&owners, survey.across.count);
    let mut hatching = Vec::new();
    let mut marks = Vec::new();
    for (who, (letter, _)) in lettered(&names).into_iter().enumerate() {
        for how in How::ALL {
            let owner = Some(Owner { who, how });
            if !owners.contains(&owner) {
                continue;
            }
            hatching.push(hatch(&owners, who, how, frame));
            let own = (0..owners.len()).filter(|&cell| owners[cell] == owner);
            marks.extend(mark(survey, own, &clear, letter.clone(), frame));
        }
    }
    (hatching, marks)
}

/// Parallel lines over one owner's cells.
fn hatch(owners: &[Option<Owner>], who: usize, how: How, frame: &Frame) -> Shape {
    let (left, top) = frame.top_left();
    let (right, bottom) = frame.bottom_right();
    let centre = (0.5 * (left + right), 0.5 * (top + bottom));
    let half = 0.5 * libm::hypot(right - left, bottom - top);
    let (gap, look) = (GAP * frame.weight, LOOK * frame.weight);
    let (lines, looks) = ((half / gap) as i32, (half / look) as i32);
    let mut segs = Vec::new();
    for turn in how.turns() {
        let direction = DIRECTIONS[who % DIRECTIONS.len()] + turn;
        let (s, c) = libm::sincos(direction * PI / 180.0);
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
                    && owners[frame.cell(values)] == Some(Owner { who, how });
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
    }
    Shape::line(Layer::Bench, segs, how.stroke(frame.weight))
}

/// By cell: how many of the same owner lie without a gap to the left, to the right, below and
/// above.
fn clear(owners: &[Option<Owner>], width: usize) -> Vec<[u32; 4]> {
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
