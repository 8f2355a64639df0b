//! Which act is next: by the seed, from what can be acted upon.

use super::act::{Act, Stroke};
use fastrand::Rng;
use std::collections::HashMap;

/// How often each kind is tried; where the page does not offer it, a button is pressed.
const WEIGHTS: [(Kind, u32); 17] = [
    (Kind::Press("button"), 32),
    (Kind::Press("link"), 3),
    (Kind::Press("bead"), 5),
    (Kind::Fill, 13),
    (Kind::Choose, 6),
    (Kind::Slide, 8),
    (Kind::Drag("handle", 120.0), 9),
    (Kind::Drag("bead", 220.0), 3),
    (Kind::Sheet, 6),
    (Kind::Twice, 2),
    (Kind::Wheel, 2),
    (Kind::Key, 9),
    (Kind::Undo, 7),
    (Kind::Go, 1),
    (Kind::Travel, 2),
    (Kind::Reload, 1),
    (Kind::Resize, 1),
];

#[derive(Clone, Copy)]
enum Kind {
    Press(&'static str),
    Fill,
    Choose,
    Slide,
    /// So far at most, px.
    Drag(&'static str, f64),
    Sheet,
    Twice,
    Wheel,
    Key,
    Undo,
    Go,
    Travel,
    Reload,
    Resize,
}

const NUMBERS: [&str; 18] = [
    "0", "1", "-1", "12.5", "45", "-45", "90", "180", "360", "1000", "-0.1", "1e9", "1e308",
    "-1e308", "1e-320", "", "flour", "7,5",
];

const WORDS: [&str; 8] = [
    "crust",
    "",
    " ",
    "wrist",
    "<b>flour</b>",
    "\"\\",
    "pâte à pain 🥖",
    "dough dough dough dough dough dough dough dough dough dough",
];

const STROKES: [Stroke; 11] = [
    Stroke::Tab,
    Stroke::BackTab,
    Stroke::Left,
    Stroke::Right,
    Stroke::Up,
    Stroke::Down,
    Stroke::Enter,
    Stroke::Space,
    Stroke::Escape,
    Stroke::Home,
    Stroke::End,
];

/// Every address of the site worth going to; the pages where most can go wrong more than once.
pub fn addresses() -> Vec<String> {
    let steps = [2, 4, 2, 4, 2, 3, 4, 3];
    let mut all: Vec<String> = vec!["#/".into(), "#/lesson/9/1".into(), "#/nowhere".into()];
    for (lesson, steps) in (1..).zip(steps) {
        all.extend((1..=steps).map(|step| format!("#/lesson/{lesson}/{step}")));
        all.push(format!("#/lesson/{lesson}/play"));
    }
    for (lesson, steps) in [("zero", 4), ("turn-order", 3)] {
        all.extend((1..=steps).map(|step| format!("#/lesson/{lesson}/{step}")));
        all.push(format!("#/lesson/{lesson}/play"));
    }
    for hand in hand::SCENARIOS {
        all.extend([format!("#/hand/{hand}"), format!("#/hand/{hand}")]);
    }
    all.extend(
        [
            "#/glossary",
            "#/hand",
            "#/sketch",
            "#/sketch",
            "#/sketch",
            "#/sketch",
        ]
        .map(String::from),
    );
    all
}

/// The seeded chooser, which knows what it has chosen.
pub struct Chooser {
    random: Rng,
    addresses: Vec<String>,
    times: HashMap<String, u32>,
}

impl Chooser {
    pub fn new(seed: u64) -> Chooser {
        Chooser {
            random: Rng::with_seed(seed),
            addresses: addresses(),
            times: HashMap::new(),
        }
    }

    /// All addresses in an order of the seed's.
    pub fn tour(&mut self) -> Vec<String> {
        let mut tour = self.addresses.clone();
        self.random.shuffle(&mut tour);
        tour
    }

    /// Half of all times.
    pub fn toss(&mut self) -> bool {
        self.random.bool()
    }

    /// What to do to a page that has these targets, by kind and name.
    pub fn next(&mut self, focus: &str, targets: &[(String, String)]) -> Act {
        let total = WEIGHTS.iter().map(|(_, weight)| weight).sum();
        let mut left = self.random.u32(0..total);
        let mut kind = Kind::Press("button");
        for (of, weight) in WEIGHTS {
            if left < weight {
                kind = of;
                break;
            }
            left -= weight;
        }
        self.of(kind, focus, targets)
            .or_else(|| self.of(Kind::Press("button"), focus, targets))
            .unwrap_or(Act::Key(Stroke::Tab, 1))
    }

    fn of(&mut self, kind: Kind, focus: &str, targets: &[(String, String)]) -> Option<Act> {
        Some(match kind {
            Kind::Press(of) => Act::Press(self.target(of, targets)?),
            Kind::Fill => {
                let on = self.target("field", targets)?;
                let text = self.text(on.starts_with("field “Name"));
                Act::Fill(on, text)
            }
            Kind::Choose => Act::Choose(self.target("list", targets)?, self.random.usize(0..12)),
            Kind::Slide => {
                let on = self.target("slider", targets)?;
                // Past its ends now and then.
                let part = self.part() * 1.4 - 0.2;
                Act::Slide(on, (part * 100.0).round() / 100.0)
            }
            Kind::Drag(of, far) => {
                let on = self.target(of, targets)?;
                Act::Drag(on, [0.5, 0.5], self.way(far))
            }
            Kind::Sheet => {
                let on = self.target("sheet", targets)?;
                Act::Drag(on, [self.part(), self.part()], self.way(250.0))
            }
            Kind::Twice => {
                let of = if self.random.bool() {
                    "sheet"
                } else {
                    "slider"
                };
                let on = self.target(of, targets)?;
                Act::PressTwice(on, [self.part(), self.part()])
            }
            Kind::Wheel => {
                let on = self.target("sheet", targets)?;
                let by = self.random.i32(-9..9) * 120;
                Act::Wheel(on, [self.part(), self.part()], by)
            }
            // A list's menu belongs to the system: keys would open it.
            Kind::Key if focus == "select" => Act::Key(Stroke::Tab, 1),
            Kind::Key => Act::Key(self.random.choice(STROKES)?, self.random.usize(1..7)),
            Kind::Undo => {
                let redo = self.random.u8(0..3) == 0;
                let stroke = if redo { Stroke::Redo } else { Stroke::Undo };
                Act::Key(stroke, self.random.usize(1..4))
            }
            Kind::Go => Act::Go(self.random.choice(&self.addresses)?.clone()),
            Kind::Travel if self.random.bool() => Act::Back,
            Kind::Travel => Act::Forward,
            Kind::Reload => Act::Reload,
            Kind::Resize => Act::Resize(self.random.usize(0..crate::Size::ALL.len())),
        })
    }

    /// What to write: of a third, a number within what a hand can be.
    fn text(&mut self, name: bool) -> String {
        if !name && self.random.u8(0..3) == 0 {
            return format!("{:.1}", self.random.f64() * 220.0 - 20.0);
        }
        let list: &[&str] = if name { &WORDS } else { &NUMBERS };
        list[self.random.usize(0..list.len())].to_owned()
    }

    /// Of three drawn, the one acted upon least: what is rare gets its turn.
    fn target(&mut self, kind: &str, targets: &[(String, String)]) -> Option<String> {
        let of: Vec<&String> = targets
            .iter()
            .filter(|(k, _)| k == kind)
            .map(|(_, name)| name)
            .collect();
        let drawn = (0..3).filter_map(|_| self.random.choice(&of));
        let drawn: Vec<&String> = drawn.copied().collect();
        let least = drawn
            .into_iter()
            .min_by_key(|name| self.times.get(*name).copied().unwrap_or(0))?
            .clone();
        *self.times.entry(least.clone()).or_default() += 1;
        Some(least)
    }

    fn part(&mut self) -> f64 {
        (self.random.f64() * 100.0).round() / 100.0
    }

    /// A few points away, now and then back at the start.
    fn way(&mut self, far: f64) -> Vec<[f64; 2]> {
        let points = self.random.usize(0..4);
        let mut way: Vec<[f64; 2]> = (0..points)
            .map(|_| [(); 2].map(|()| ((self.random.f64() * 2.0 - 1.0) * far).round()))
            .collect();
        if self.random.u8(0..8) == 0 {
            way.push([0.0, 0.0]);
        }
        way
    }

    /// How many different things have been acted upon.
    pub fn met(&self) -> usize {
        self.times.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_seed_gives_the_same_acts_again_and_another_others() {
        let targets: Vec<(String, String)> = ["button", "field", "slider", "sheet", "handle"]
            .iter()
            .flat_map(|kind| (0..4).map(move |n| ((*kind).into(), format!("{kind} “{n}”"))))
            .collect();
        let acts = |seed| {
            let mut chooser = Chooser::new(seed);
            (0..200)
                .map(|_| chooser.next("body", &targets))
                .collect::<Vec<_>>()
        };
        assert_eq!(acts(5), acts(5));
        assert_ne!(acts(5), acts(6));
    }

    #[test]
    fn every_address_is_gone_to() {
        let mut tour = Chooser::new(1).tour();
        let mut all = addresses();
        tour.sort();
        all.sort();
        assert_eq!(tour, all);
    }
}
