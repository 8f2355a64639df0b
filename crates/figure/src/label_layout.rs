//! Where text can stand without lying on something else.
use crate::{Align, Text, TextStyle};

/// An upright box, px.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Area {
    pub x0: f64,
    pub y0: f64,
    pub x1: f64,
    pub y1: f64,
}

impl Area {
    /// About a middle.
    pub fn about((x, y): (f64, f64), width: f64, height: f64) -> Self {
        Self {
            x0: x - width / 2.0,
            y0: y - height / 2.0,
            x1: x + width / 2.0,
            y1: y + height / 2.0,
        }
    }
    pub fn shifted(self, dx: f64, dy: f64) -> Self {
        Self {
            x0: self.x0 + dx,
            y0: self.y0 + dy,
            x1: self.x1 + dx,
            y1: self.y1 + dy,
        }
    }
    pub fn middle(&self) -> (f64, f64) {
        ((self.x0 + self.x1) / 2.0, (self.y0 + self.y1) / 2.0)
    }
    /// How deep a disc reaches into it, as an area.
    fn dented(&self, (x, y): (f64, f64), r: f64) -> f64 {
        let d = libm::hypot(x - x.clamp(self.x0, self.x1), y - y.clamp(self.y0, self.y1));
        (r - d).max(0.0) * r
    }
    fn overlap(&self, other: &Self) -> f64 {
        let w = self.x1.min(other.x1) - self.x0.max(other.x0);
        let h = self.y1.min(other.y1) - self.y0.max(other.y0);
        if w > 0.0 && h > 0.0 { w * h } else { 0.0 }
    }
}

/// Kept clear of the picture's edge, px.
pub(crate) const EDGE: f64 = 4.0;
/// Side of the cells that keep the search short, px.
const CELL: f64 = 48.0;
/// A cell that holds this many things need not know of more discs (of other texts it must).
const FULL: usize = 48;

/// Something that text keeps off.
#[derive(Clone, Copy)]
enum Taken {
    Box(Area),
    Disc((f64, f64), f64),
}

/// The picture and what is taken in it. Later calls give way to earlier ones.
pub(crate) struct Room {
    size: (f64, f64),
    columns: usize,
    rows: usize,
    cells: Vec<Vec<Taken>>,
}

impl Room {
    pub fn new(size: (f64, f64)) -> Self {
        let count = |side: f64| (side / CELL).clamp(0.0, 400.0) as usize + 1;
        let (columns, rows) = (count(size.0), count(size.1));
        Self {
            size,
            columns,
            rows,
            cells: vec![Vec::new(); columns * rows],
        }
    }

    /// Cells that an area touches, by index.
    fn touched(&self, area: &Area) -> impl Iterator<Item = usize> + use<> {
        let span = |low: f64, high: f64, count: usize| {
            let cell = |v: f64| (v / CELL).floor().clamp(-1.0, count as f64) as isize;
            cell(low).max(0) as usize..(cell(high) + 1).clamp(0, count as isize) as usize
        };
        let (columns, all) = (span(area.x0, area.x1, self.columns), self.columns);
        span(area.y0, area.y1, self.rows)
            .flat_map(move |row| columns.clone().map(move |column| row * all + column))
    }

    fn keep(&mut self, about: Area, taken: Taken) {
        for cell in self.touched(&about) {
            if self.cells[cell].len() < FULL || matches!(taken, Taken::Box(_)) {
                self.cells[cell].push(taken);
            }
        }
    }

    /// Keeps text off this.
    pub fn take(&mut self, area: Area) {
        self.keep(area, Taken::Box(area));
    }

    /// Keeps text off this disc.
    pub fn take_disc(&mut self, centre: (f64, f64), r: f64) {
        self.keep(
            Area::about(centre, 2.0 * r, 2.0 * r),
            Taken::Disc(centre, r),
        );
    }

    /// How much lies in an area; what spans several cells counts in each.
    pub fn crowd(&self, area: &Area) -> f64 {
        let things = self.touched(area).flat_map(|cell| &self.cells[cell]);
        things
            .map(|taken| match *taken {
                Taken::Box(other) => area.overlap(&other),
                Taken::Disc(centre, r) => area.dented(centre, r),
            })
            .sum()
    }

    /// Moved as little as brings it inside the picture (left and top win when it is too large).
    pub fn inside(&self, area: Area) -> Area {
        let shift = |low: f64, high: f64, end: f64| {
            let back = (end - EDGE - high).min(0.0);
            back + (EDGE - (low + back)).max(0.0)
        };
        area.shifted(
            shift(area.x0, area.x1, self.size.0),
            shift(area.y0, area.y1, self.size.1),
        )
    }

    /// The first of these places, brought inside, that is free; else the least crowded. Takes it.
    pub fn place(&mut self, places: impl IntoIterator<Item = Area>) -> Option<(usize, Area)> {
        self.place_on(places, |_, _| None)
    }

    /// The same of what may hang on a thread, which crosses no other text if it can be helped: the
    /// thread's ends are told by place. Later texts keep off it too.
    pub fn place_on(
        &mut self,
        places: impl IntoIterator<Item = Area>,
        thread: impl Fn(usize, &Area) -> Option<[(f64, f64); 2]>,
    ) -> Option<(usize, Area)> {
        let mut best: Option<(f64, usize, Area)> = None;
        for (i, place) in places.into_iter().enumerate() {
            let area = self.inside(place);
            let crossed = thread(i, &area).map_or(0.0, |ends| self.crossed(ends));
            let crowd = self.crowd(&area) + crossed;
            if best.is_none_or(|(least, ..)| crowd < least) {
                best = Some((crowd, i, area));
            }
            if crowd == 0.0 {
                break;
            }
        }
        let (_, i, area) = best?;
        self.take(area);
        if let Some(ends) = thread(i, &area) {
            self.take_thread(ends);
        }
        Some((i, area))
    }

    /// Keeps text off a thread.
    pub fn take_thread(&mut self, ends: [(f64, f64); 2]) {
        for at in along(ends) {
            self.take_disc(at, THREAD);
        }
    }

    /// How much of the texts and symbols there are a thread lies over, but for that it hangs from.
    pub fn crossed(&self, ends: [(f64, f64); 2]) -> f64 {
        let own = Area::about(ends[0], STEP, STEP);
        let at = along(ends).map(|at| Area::about(at, STEP, STEP));
        at.map(|about| {
            let things = self.touched(&about).flat_map(|cell| &self.cells[cell]);
            let over = things.map(|taken| match *taken {
                Taken::Box(other) if own.overlap(&other) == 0.0 => about.overlap(&other),
                _ => 0.0,
            });
            over.sum::<f64>()
        })
        .sum()
    }
}

/// Text keeps so far off a thread, px.
const THREAD: f64 = 3.0;
/// Places along a thread are so far apart, px.
const STEP: f64 = 4.0;

fn along([from, to]: [(f64, f64); 2]) -> impl Iterator<Item = (f64, f64)> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let steps = (libm::hypot(dx, dy) / STEP).ceil().clamp(1.0, 100.0);
    (0..steps as usize).map(move |k| {
        let t = (k as f64 + 0.5) / steps;
        (from.0 + dx * t, from.1 + dy * t)
    })
}

/// A text's width, estimated high: shapes are made without a font at hand, so this follows the
/// widest of the common system faces (DejaVu Sans Bold for numbers, DejaVu Serif for labels).
pub(crate) fn text_width(content: &str, size: f64, style: TextStyle) -> f64 {
    let ems: f64 = content
        .chars()
        .map(|c| match c {
            ' ' | '.' | ',' | ':' | ';' | '\'' | '|' | 'i' | 'j' | 'l' | '’' => 0.37,
            'm' | 'w' | 'M' | 'W' | '@' | '%' | '—' => 1.04,
            'f' | 'r' | 't' | 'I' | '(' | ')' | '-' | '°' => 0.5,
            c if (c as u32) >= 0x2e80 => 1.04,
            _ => 0.7,
        })
        .sum();
    ems * size
        * if style == TextStyle::Number {
            1.0
        } else {
            0.88
        }
}

impl Text {
    /// The upright box that it stands in whatever face it is set in, px: left, top, right, bottom.
    pub fn area(&self) -> [f64; 4] {
        let wide = text_width(&self.content, self.size, self.style);
        let (above, below) = (0.75 * self.size, 0.25 * self.size);
        let from = match self.align {
            Align::Start => 0.0,
            Align::Middle => -wide / 2.0,
            Align::End => -wide,
        };
        let (sin, cos) = libm::sincos(self.turn.to_radians());
        let none = [
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        ];
        let mut area = none;
        for (along, down) in [
            (from, -above),
            (from + wide, -above),
            (from, below),
            (from + wide, below),
        ] {
            let at = [
                self.x + along * cos - down * sin,
                self.y + along * sin + down * cos,
            ];
            for (axis, value) in at.into_iter().enumerate() {
                area[axis] = area[axis].min(value);
                area[axis + 2] = area[axis + 2].max(value);
            }
        }
        area
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_taken_place_is_passed_over_and_all_stay_inside() {
        let mut room = Room::new((100.0, 100.0));
        let first = Area::about((50.0, 50.0), 30.0, 20.0);
        assert_eq!(room.place([first]), Some((0, first)));
        let (i, second) = room
            .place([first, first.shifted(0.0, 10.0), first.shifted(0.0, 20.0)])
            .unwrap();
        assert_eq!((i, second), (2, first.shifted(0.0, 20.0)));
        let (_, out) = room
            .place([Area::about((500.0, -20.0), 30.0, 20.0)])
            .unwrap();
        assert_eq!(
            out,
            Area {
                x0: 66.0,
                y0: 4.0,
                x1: 96.0,
                y1: 24.0
            }
        );
    }

    /// H9: a thread goes round a text that lies between.
    #[test]
    fn h9_a_thread_crosses_no_text() {
        let mut room = Room::new((200.0, 100.0));
        room.take(Area::about((60.0, 50.0), 40.0, 12.0));
        let from = (20.0, 50.0);
        let straight = Area::about((120.0, 50.0), 30.0, 12.0);
        let places = [straight, straight.shifted(0.0, 35.0)];
        let thread = |_: usize, area: &Area| Some([from, (area.x0, area.middle().1)]);
        let (i, _) = room.place_on(places, thread).unwrap();
        assert_eq!(i, 1);
        // And later words keep off the thread.
        let on = Area::about((70.0, 69.0), 10.0, 8.0);
        let (i, _) = room.place([on, on.shifted(0.0, -40.0)]).unwrap();
        assert_eq!(i, 1);
    }

    #[test]
    fn with_no_free_place_the_least_crowded_is_used() {
        let mut room = Room::new((40.0, 40.0));
        room.take(Area {
            x0: 0.0,
            y0: 0.0,
            x1: 40.0,
            y1: 40.0,
        });
        room.take(Area {
            x0: 0.0,
            y0: 0.0,
            x1: 20.0,
            y1: 40.0,
        });
        let (i, _) = room
            .place([
                Area::about((12.0, 20.0), 8.0, 8.0),
                Area::about((28.0, 20.0), 8.0, 8.0),
            ])
            .unwrap();
        assert_eq!(i, 1);
    }
}
