//! Who is down where: along the rim of the ground on which a digit has let go runs a quiet line
//! with teeth that point into it, and the digit's letter. It has no say in what is safe.
use super::frame::Frame;
use super::text::{TEXT, quiet_text};
use crate::path::{circle, polyline};
use crate::{Layer, Paint, Seg, Shape, Stroke};
use hand::survey::contour::{Crossing, contour};
use hand::survey::{Survey, Tolerance};

/// What such a line says.
pub(super) const WORDS: &str = "toothed line: has let go";
/// Teeth are so far apart along their line, and so long, px.
const GAP: f64 = 11.0;
const TOOTH: f64 = 5.0;
/// A line shorter than this has no letter, px.
const SHORT: f64 = 24.0;

/// A plant that is down where both dials are neutral, and not in this cell.
fn is_away(survey: &Survey, plant: usize, cell: usize) -> bool {
    survey.cells[survey.home].down.has(plant) && !survey.cells[cell].down.has(plant)
}

/// Whether anybody lets go somewhere.
pub(super) fn any(survey: &Survey) -> bool {
    (0..survey.cells.len()).any(|cell| !survey.all_down(cell))
}

/// Lines with their teeth, then letters, of each plant by its place; `letter` tells its own.
pub(super) fn draw(
    survey: &Survey,
    tolerance: &Tolerance,
    frame: &Frame,
    letters: &[(String, String)],
) -> [Vec<Shape>; 2] {
    let runs_of = |plant: usize| -> Vec<Run> {
        let away: Vec<_> = (0..survey.cells.len())
            .map(|cell| f64::from(is_away(survey, plant, cell)))
            .collect();
        let found = contour(survey.across.count, &away, 0.5);
        let run = |line: &Vec<Crossing>| Run::new(survey, frame, line);
        found.iter().map(run).collect()
    };
    let all: Vec<_> = (0..survey.plants.len()).map(runs_of).collect();
    let [mut lines, mut marks] = [Vec::new(), Vec::new()];
    let mut taken = Vec::new();
    for (plant, (letter, _)) in (0..all.len()).zip(letters) {
        let segs: Vec<_> = all[plant]
            .iter()
            .flat_map(|run| run.segs(frame.weight))
            .collect();
        if segs.is_empty() {
            continue;
        }
        let stroke = Stroke::solid(Paint::Quiet, 1.2 * frame.weight);
        lines.push(Shape::line(Layer::Path, segs, stroke));
        let longest = all[plant]
            .iter()
            .reduce(|a, b| if b.length() > a.length() { b } else { a });
        // Best where no line runs through it, else only clear of the other letters.
        let points = all.iter().flatten().flat_map(|run| &run.points);
        let crowded: Vec<_> = taken.iter().chain(points).copied().collect();
        let at = longest.and_then(|run| {
            let clear = run.letter(frame, &crowded);
            clear.or_else(|| run.letter(frame, &taken))
        });
        let Some((x, y)) = at else { continue };
        taken.push((x, y));
        if !survey.safe(frame.cell(frame.values((x, y))), tolerance) {
            // Plain to read on hatching.
            let ground = circle((x, y), 0.7 * TEXT * frame.weight);
            marks.push(Shape::filled(Layer::Label, ground, Paint::Page, None));
        }
        let base = (x, y + 0.35 * TEXT * frame.weight);
        marks.push(quiet_text(base, letter.clone(), frame.weight));
    }
    [lines, marks]
}

/// A line on the sheet, px: whoever it is of has let go on the right of it as it is seen.
struct Run {
    points: Vec<(f64, f64)>,
}

impl Run {
    /// Between cells that are down and cells that are not; the steps of the grid are evened.
    fn new(survey: &Survey, frame: &Frame, line: &[Crossing]) -> Self {
        let place = |crossing: &Crossing| {
            let (a, b) = (
                survey.values(crossing.inside),
                survey.values(crossing.outside),
            );
            frame.place((0.5 * (a.0 + b.0), 0.5 * (a.1 + b.1)))
        };
        let raw: Vec<_> = line.iter().map(place).collect();
        let closed = raw.len() > 2 && raw.first() == raw.last();
        let last = raw.len().saturating_sub(1);
        let evened = |at: usize| {
            let (before, after) = match at {
                0 if closed => (raw[last - 1], raw[1]),
                _ if at == last && closed => (raw[last - 1], raw[1]),
                0 => return raw[0],
                _ if at == last => return raw[last],
                _ => (raw[at - 1], raw[at + 1]),
            };
            let mean = |a: f64, b: f64, c: f64| 0.25 * a + 0.5 * b + 0.25 * c;
            let here = raw[at];
            (
                mean(before.0, here.0, after.0),
                mean(before.1, here.1, after.1),
            )
        };
        Self {
            points: (0..raw.len()).map(evened).collect(),
        }
    }

    fn pieces(&self) -> impl Iterator<Item = [(f64, f64); 2]> + '_ {
        self.points.windows(2).map(|pair| [pair[0], pair[1]])
    }

    fn length(&self) -> f64 {
        self.pieces().map(long).sum()
    }

    /// Every so many px along it, from the middle of the first stretch: a place, and a unit to
    /// the side on which it is let go.
    fn places(&self, gap: f64) -> Vec<[(f64, f64); 2]> {
        let mut places = Vec::new();
        let mut left = 0.5 * gap;
        for piece in self.pieces() {
            let length = long(piece);
            let [(x, y), (to_x, to_y)] = piece;
            while length > 0.0 && left <= length {
                let (dx, dy) = ((to_x - x) / length, (to_y - y) / length);
                // The sheet's y goes down: the right of a line that goes up is its own right.
                places.push([(x + dx * left, y + dy * left), (-dy, dx)]);
                left += gap;
            }
            left -= length;
        }
        places
    }

    fn segs(&self, weight: f64) -> Vec<Seg> {
        if self.points.len() < 2 {
            return Vec::new();
        }
        let mut segs = polyline(self.points.iter().copied());
        for [(x, y), (nx, ny)] in self.places(GAP * weight) {
            let tooth = TOOTH * weight;
            segs.extend(polyline([(x, y), (x + nx * tooth, y + ny * tooth)]));
        }
        segs
    }

    /// Where its letter goes: beside it past the teeth's tips, as near to its middle as nothing that
    /// is there already and no rim of the map is in the way.
    fn letter(&self, frame: &Frame, taken: &[(f64, f64)]) -> Option<(f64, f64)> {
        let weight = frame.weight;
        if self.length() < SHORT * weight {
            return None;
        }
        let aside = TOOTH * weight + 0.7 * TEXT * weight;
        let room = 0.8 * TEXT * weight;
        let ((left, top), (right, bottom)) = (frame.top_left(), frame.bottom_right());
        let places = self.places(4.0 * weight);
        let middle = places.len() / 2;
        let fits = |&at: &usize| {
            let [(x, y), (nx, ny)] = places[at];
            let (x, y) = (x + nx * aside, y + ny * aside);
            let inside = x - left > room && right - x > room && y - top > room && bottom - y > room;
            inside
                && taken
                    .iter()
                    .all(|other| long([*other, (x, y)]) > 1.2 * room)
        };
        let at = (0..places.len())
            .filter(fits)
            .min_by_key(|at| at.abs_diff(middle))?;
        let [(x, y), (nx, ny)] = places[at];
        Some((x + nx * aside, y + ny * aside))
    }
}

fn long([a, b]: [(f64, f64); 2]) -> f64 {
    libm::hypot(b.0 - a.0, b.1 - a.1)
}
