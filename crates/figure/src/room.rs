//! Where text can stand without lying on something else.
use crate::TextStyle;

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
const EDGE: f64 = 4.0;
/// Beyond this many, further obstacles are not kept: a crowded picture has no free places anyway,
/// and a drag must stay quick.
const MOST_TAKEN: usize = 4000;

/// The picture and what is taken in it. Later calls give way to earlier ones.
pub(crate) struct Room {
    size: (f64, f64),
    taken: Vec<Area>,
    discs: Vec<((f64, f64), f64)>,
}

impl Room {
    pub fn new(size: (f64, f64)) -> Self {
        Self {
            size,
            taken: Vec::new(),
            discs: Vec::new(),
        }
    }

    /// Keeps text off this.
    pub fn take(&mut self, area: Area) {
        if self.taken.len() < MOST_TAKEN {
            self.taken.push(area);
        }
    }

    /// Keeps text off this disc.
    pub fn take_disc(&mut self, centre: (f64, f64), r: f64) {
        if self.discs.len() < MOST_TAKEN {
            self.discs.push((centre, r));
        }
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
        let mut best: Option<(f64, usize, Area)> = None;
        for (i, place) in places.into_iter().enumerate() {
            let area = self.inside(place);
            let boxes: f64 = self.taken.iter().map(|t| area.overlap(t)).sum();
            let crowd = boxes
                + self
                    .discs
                    .iter()
                    .map(|d| area.dented(d.0, d.1))
                    .sum::<f64>();
            if best.is_none_or(|(least, ..)| crowd < least) {
                best = Some((crowd, i, area));
            }
            if crowd == 0.0 {
                break;
            }
        }
        let (_, i, area) = best?;
        self.take(area);
        Some((i, area))
    }
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
