//! What a text says is true of the figure beside it, in every state: at rest, at both ends of every
//! dial, with the wrong sign, half way to what is asked, there, and there and moved on.
use super::common::{files, lesson, sin};
use course::prose::{Piece, pieces};
use course::{Lesson, Step, Task};
use rig::Posed;
use std::collections::BTreeMap;

/// Where a prediction's dials go.
fn asked(task: &Task) -> BTreeMap<String, f64> {
    match task {
        Task::PredictPin { dials, .. }
        | Task::PredictAngle { dials, .. }
        | Task::PredictStay { dials, .. } => dials.clone(),
        Task::PredictPath { dial, range, .. } | Task::Sweep { dial, range, .. } => {
            [(dial.clone(), range.1)].into()
        }
        _ => BTreeMap::new(),
    }
}

fn turned(figure: &Posed, values: &[(String, f64)]) -> Posed {
    let mut posed = figure.clone();
    for (name, value) in values {
        let dial = figure.rig().dial_named(name).expect("a dial").id;
        posed.set_dial(dial, *value);
    }
    posed.evaluate();
    posed
}

/// A figure in all its states.
fn states(figure: &Posed, task: Option<&Task>) -> Vec<Posed> {
    let mut all = vec![figure.clone()];
    let dials = &figure.rig().dials;
    // A dial that turns nothing yet cannot be turned.
    for dial in dials.iter().filter(|dial| !dial.drives.is_empty()) {
        // Both ends, and a third of the way to either: one of the two has the wrong sign.
        let third = |end: f64| dial.neutral + (end - dial.neutral) / 3.0;
        for value in [dial.min, dial.max, third(dial.min), third(dial.max)] {
            all.push(turned(figure, &[(dial.name.clone(), value)]));
        }
    }
    let asked = task.map(asked).unwrap_or_default();
    let part = |part: f64| {
        let value = |(name, to): (&String, &f64)| (name.clone(), to * part);
        asked.iter().map(value).collect::<Vec<_>>()
    };
    let there = part(1.0);
    all.extend([turned(figure, &part(0.5)), turned(figure, &there)]);
    if let Some(other) = dials
        .iter()
        .find(|dial| !dial.drives.is_empty() && !asked.contains_key(&dial.name))
    {
        let mut on = there;
        on.push((
            other.name.clone(),
            other.neutral + 0.2 * (other.max - other.neutral),
        ));
        all.push(turned(figure, &on));
    }
    all
}

/// What is read on a figure, as the texts name it.
struct Read<'a>(&'a Lesson, &'a Posed);

impl Read<'_> {
    fn value(&self, name: &str) -> Option<f64> {
        let reading = self.0.readings.get(name)?.read(self.1).ok()?;
        Some(reading.value)
    }

    /// A text as it stands beside the figure.
    fn said(&self, text: &str) -> String {
        let told = |piece: Piece| match piece {
            Piece::Plain(text) | Piece::Emphasis(text) => text,
            Piece::Live(name) => {
                let reading = self.0.readings[&name].read(self.1);
                reading.expect("its sentence is shown").to_string()
            }
        };
        let value = |name: &str| self.value(name);
        pieces(text, &value).into_iter().map(told).collect()
    }
}

fn texts(lesson: &Lesson) -> Vec<String> {
    let steps = lesson.steps.iter();
    let own = |step: &Step| {
        [
            step.tried().to_owned(),
            step.ask.clone(),
            step.insight.clone(),
        ]
    };
    let all = lesson.intro.iter().chain(&lesson.why).cloned();
    all.chain([lesson.play.clone()])
        .chain(steps.flat_map(own))
        .collect()
}

/// Every state of every figure of a lesson, with the texts that stand beside it.
fn walk(number: u32, mut look: impl FnMut(&Read, &str)) -> usize {
    let lesson = lesson(number);
    let mut count = 0;
    let own = lesson
        .steps
        .iter()
        .map(|step| (lesson.figure(step), Some(&step.task)));
    for (figure, task) in std::iter::once((&lesson.document, None)).chain(own) {
        for posed in states(figure, task) {
            count += 1;
            let read = Read(&lesson, &posed);
            let said: Vec<_> = texts(&lesson).iter().map(|text| read.said(text)).collect();
            look(&read, &said.join("\n"));
        }
    }
    count
}

#[test]
fn every_sentence_can_be_said_in_every_state() {
    for number in 1..=files().len() as u32 {
        let states = walk(number, |_, said| {
            for bad in ["{", "}", "NaN", "  ", "—", "∞"] {
                assert!(!said.contains(bad), "lesson {number}: '{bad}' in {said}");
            }
        });
        assert!(states >= 6 * lesson(number).steps.len(), "{states}");
    }
}

/// Where a text gives a formula and then the numbers of now, they agree: closed forms of
/// docs/mathematics.md, by std's own sine.
#[test]
fn the_numbers_of_now_agree_with_the_formula_before_them() {
    let near = |found: f64, expected: f64, said: &str| {
        assert!(
            (found - expected).abs() < 0.02,
            "{found} is not {expected}: {said}"
        );
    };
    let mut met = [0; 4];
    for number in 2..=5 {
        walk(number, |read, said| {
            let of = |name: &str| read.value(name);
            match number {
                2 if said.contains("the slip is") => {
                    met[0] += 1;
                    near(
                        of("slip").unwrap(),
                        (of("distance").unwrap() - 90.0).abs(),
                        said,
                    );
                }
                3 if said.contains("Now the carrier is turned") => {
                    met[1] += 1;
                    near(
                        of("slip").unwrap(),
                        (180.0 * sin(of("turn").unwrap() / 2.0)).abs(),
                        said,
                    );
                }
                4 if said.contains("the wrist has moved") => {
                    met[2] += 1;
                    let (arm, lift) = (of("arm").unwrap(), of("lift").unwrap());
                    near(
                        of("travel").unwrap(),
                        (2.0 * arm * sin(lift / 2.0)).abs(),
                        said,
                    );
                }
                // With the pivots in their places; the exercise begins with others.
                5 if read
                    .1
                    .document()
                    .rig
                    .is_same(&read.0.document.document().rig) =>
                {
                    assert!(said.contains("Now the palm leans by"), "{said}");
                    met[3] += 1;
                    near(
                        of("height").unwrap(),
                        40.0 * sin(of("lean").unwrap().abs()),
                        said,
                    );
                }
                _ => {}
            }
        });
    }
    assert!(met.iter().all(|met| *met >= 6), "{met:?}");
}

/// A claim bound to a state is made in that state and in no other, and each way once at least.
#[test]
fn claims_are_made_where_they_hold() {
    type Holds = fn(&Read) -> bool;
    let claims: [(u32, &str, Holds); 2] = [
        (2, "Now it is straight", |read| {
            // Two bones of 40 mm are straight when their ends are 80 mm apart.
            read.value("bend").unwrap() < 1e-3
        }),
        (8, "the little finger is out of reach", |read| {
            read.value("pinky").unwrap() < 0.0
        }),
    ];
    for (number, phrase, holds) in claims {
        let mut met = [0, 0];
        walk(number, |read, said| {
            let bound = read.0.why.iter().any(|text| text.contains(phrase));
            assert!(bound, "{phrase}");
            // On a step's figure without what is read the sentence is left out.
            let readable = read.value("bend").or(read.value("pinky")).is_some();
            if !readable {
                assert!(!said.contains(phrase), "{said}");
                return;
            }
            assert_eq!(said.contains(phrase), holds(read), "'{phrase}' in {said}");
            met[usize::from(holds(read))] += 1;
        });
        assert!(met.iter().all(|met| *met > 0), "{phrase}: {met:?}");
    }
}

/// What is asked stays on the page once it has been seen: it speaks of no future.
#[test]
fn nothing_asked_is_over_once_it_is_seen() {
    for number in 1..=files().len() as u32 {
        for step in &lesson(number).steps {
            if step.task.is_prediction() {
                assert!(!step.ask.contains(" will "), "{number}: {}", step.ask);
            }
        }
    }
}
