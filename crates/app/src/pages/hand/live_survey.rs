//! A survey kept up with the hand on the plate, coarse to fine: a worker measures it.
use super::pace::Pace;
use super::surveyor::Surveyor;
use crate::browser::now;
use crate::state::{OnHand, OnStage, Shell};
use hand::survey::{Survey, Sweep, Tolerance};
use leptos::prelude::*;
use rig::{Dial, DialId, Document, Posed, Rig, Setting, Shared};
use std::sync::Arc;
use survey_job::{Answer, Lane, Question, Reach, Reply, Side};
use workbook::desk::{Safe, Span};
use workbook::number::tenths;

/// Values along each side of the map.
const VALUES: usize = 61;
/// Work shorter than this shows no progress, ms.
const QUIET: f64 = 100.0;

/// Where each press dial is surveyed while the map shows the ground near neutral.
const NEAR: [(&str, f64, f64); 4] = [
    ("lift", -15.0, 60.0),
    ("roll", -30.0, 60.0),
    ("lean", -15.0, 15.0),
    ("twist", -10.0, 10.0),
];

/// The press dials as the choices of a list, by name.
pub fn press_choices() -> Vec<(String, String)> {
    NEAR.map(|(name, ..)| (name.to_string(), name.to_string()))
        .to_vec()
}

/// What is surveyed.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// Names of the dials across and up.
    pub across: String,
    pub up: String,
    /// The dials' whole ranges, not the ground near neutral.
    pub whole: bool,
}

/// How far it is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum State {
    #[default]
    Done,
    /// The part measured, once it has taken long enough to say so.
    Measuring(Option<f64>),
    /// Left off by the reader.
    Stopped,
}

/// The live survey. Copy: a bundle of signals.
#[derive(Clone, Copy)]
pub struct LiveSurvey {
    pub wanted: RwSignal<Wanted>,
    /// What is known so far.
    pub shown: RwSignal<Option<Arc<Survey>>>,
    pub state: RwSignal<State>,
    /// What is shown is of another hand, or of this one as it stood before.
    pub old: RwSignal<bool>,
    /// Why nothing can be surveyed.
    pub fault: RwSignal<Option<String>>,
    /// How far the dial across goes from here, in words, once all is measured.
    pub farthest: RwSignal<Option<String>>,
    /// Who measures.
    pub surveyor: Surveyor,
    asked: StoredValue<Option<Asked>>,
}

/// What a survey is of.
#[derive(Clone, PartialEq)]
struct Asked {
    rig: Shared<Rig>,
    wanted: Wanted,
    /// The two dials that are swept have no say.
    others: Setting,
}

impl LiveSurvey {
    /// The survey is kept up while it is `watched`.
    pub fn new(
        stage: OnStage,
        shell: Shell,
        hand: OnHand,
        watched: impl Fn() -> bool + Send + Sync + 'static,
    ) -> Self {
        let live = Self {
            wanted: RwSignal::new(Wanted {
                across: "lift".into(),
                up: "lean".into(),
                whole: false,
            }),
            shown: RwSignal::new(None),
            state: RwSignal::new(State::Done),
            old: RwSignal::new(false),
            fault: RwSignal::new(None),
            farthest: RwSignal::new(None),
            surveyor: Surveyor::new(),
            asked: StoredValue::new(None),
        };
        Effect::new(move || {
            live.wanted.track();
            stage.track();
            if watched() {
                untrack(|| live.follow(stage));
            }
        });
        // Found anew only as the second dial moves: it is some hundred poses.
        let along = Memo::new(move |_| Some(dials(stage, &*live.shown.get()?)?[1].1));
        Effect::new(move || {
            along.track();
            let tolerance = shell.tolerance.get();
            let done = live.state.get() == State::Done;
            let survey = live.shown.get().filter(|_| done);
            untrack(|| match survey {
                Some(survey) => live.ask_farthest(stage, &survey, tolerance),
                None => {
                    live.surveyor.leave(Lane::Reach);
                    if live.farthest.with(Option::is_some) {
                        live.farthest.set(None);
                    }
                }
            });
        });
        // The safe spans of the dials on the desk, each with the others as they stand.
        let pace = Pace::new();
        Effect::new(move || {
            stage.track();
            hand.asked.track();
            let tolerance = shell.tolerance.get();
            // What is known is of another pose, until the answer is there.
            if hand.spans_old.with_untracked(|old| !old) {
                hand.spans_old.set(true);
            }
            pace.run(move || untrack(|| live.ask_spans(stage, hand, tolerance)));
        });
        live
    }

    fn ask_spans(self, stage: OnStage, hand: OnHand, tolerance: Tolerance) {
        stage.with(|s| {
            let posed = s.posed();
            let known = |id: &DialId| posed.has_dial(*id);
            let dials: Vec<_> = hand.asked.get().into_iter().filter(known).collect();
            let Some(question) = Question::spans(posed, &dials, tolerance) else {
                return;
            };
            if dials.is_empty() {
                self.surveyor.leave(Lane::Spans);
                return hand.tell_spans(Vec::new());
            }
            self.surveyor
                .ask_about(posed.document(), question, move |reply| {
                    let Answer::Spans(found) = reply.answer else {
                        return;
                    };
                    let spans = found.into_iter().map(span);
                    hand.tell_spans(dials.iter().copied().zip(spans).collect());
                });
        });
    }

    /// Begins anew when what is shown is out of date.
    fn follow(self, stage: OnStage) {
        let wanted = self.wanted.get();
        stage.with(|s| {
            let posed = s.posed();
            let mut others = posed.setting().clone();
            for name in [&wanted.across, &wanted.up] {
                if let Some(dial) = posed.rig().dial_named(name) {
                    others.set_dial(posed.rig(), dial.id, dial.neutral);
                }
            }
            let asked = Asked {
                rig: posed.rig().clone(),
                wanted,
                others,
            };
            if self.asked.with_value(|last| last.as_ref() != Some(&asked)) {
                self.begin(posed, asked);
            }
        });
    }

    fn begin(self, posed: &Posed, asked: Asked) {
        let rig = posed.rig().clone();
        let side = |name: &str| {
            let sweep = sweep(posed.document(), name, asked.wanted.whole)?;
            Side::new(posed.rig(), sweep)
        };
        let sides = side(&asked.wanted.across).zip(side(&asked.wanted.up));
        self.old.set(true);
        self.asked.set_value(Some(asked));
        // What was said of another hand is not true of this one.
        self.fault.set(None);
        let Some((across, up)) = sides else {
            self.surveyor.leave(Lane::Survey);
            if rig.nodes.is_empty() {
                // The hand is still on its way.
                return self.shown.set(None);
            }
            return self.refuse("This hand has no press dials to survey.".into());
        };
        let question = Question::Survey {
            standing: posed.setting().clone(),
            across,
            up,
        };
        self.state.set(State::Measuring(None));
        let begun = now();
        self.surveyor
            .ask_about(posed.document(), question, move |reply| {
                self.hear(&rig, reply, begun);
            });
    }

    fn hear(self, rig: &Rig, reply: Reply, begun: f64) {
        let survey = Survey::unpacked(rig, &reply.numbers);
        match (reply.answer, survey) {
            (Answer::Survey, Some(survey)) => {
                let slow = now() - begun > QUIET;
                self.fault.set(None);
                self.old.set(false);
                self.shown.set(Some(Arc::new(survey)));
                self.state.set(if reply.done {
                    State::Done
                } else {
                    State::Measuring(slow.then_some(reply.part))
                });
            }
            (Answer::Refused(why), _) => self.refuse(why),
            _ => self.refuse("The survey's numbers are not of this hand.".into()),
        }
    }

    fn refuse(self, why: String) {
        self.shown.set(None);
        self.old.set(false);
        self.state.set(State::Done);
        self.fault.set(Some(why));
    }

    /// How far the first dial goes from neutral, the others as they stand, and who stops it.
    fn ask_farthest(self, stage: OnStage, survey: &Survey, tolerance: Tolerance) {
        stage.with(|s| {
            let posed = s.posed();
            let rig = posed.rig();
            let both = rig.dial(survey.across.dial).zip(rig.dial(survey.up.dial));
            let question = Question::reach(posed, survey.across.dial, true, tolerance);
            let Some(((dial, up), question)) = both.zip(question) else {
                return;
            };
            let (name, unit) = (dial.name.clone(), dial.unit);
            let along = up.name.clone();
            let here = format!("{along} {}", tenths(posed.dial(up.id), up.unit));
            self.surveyor.ask_about(posed.document(), question, move |reply| {
                let Answer::Reach(reach) = reply.answer else {
                    return;
                };
                self.farthest.set(reach.map(|reach| {
                    let value = tenths(reach.value, unit);
                    let by = match &reach.ended {
                        None => "where the dial ends".to_string(),
                        Some(ended) => format!("then {}", ended.told()),
                    };
                    let stays = &reach.stays;
                    let to = match stays.count {
                        0 => String::new(),
                        _ => format!(" to {}", tenths(stays.value, unit)),
                    };
                    let then = stays.first.as_ref().map_or_else(String::new, |first| {
                        format!(", then the {} lets go", first.who)
                    });
                    format!(
                        "Band: the greatest {name} along each {along}. At {here}: {value}, {by}. {} down{to}{then}.",
                        stays.told()
                    )
                }));
            });
        });
    }

    /// Leaves off; what is known stays.
    pub fn stop(self) {
        self.surveyor.leave(Lane::Survey);
        self.state.set(State::Stopped);
    }

    /// Measures anew after [`stop`](Self::stop).
    pub fn go_on(self, stage: OnStage) {
        self.asked.set_value(None);
        untrack(|| self.follow(stage));
    }
}

/// What is found of a dial, down and up.
fn span([down, up]: [Option<Reach>; 2]) -> Safe {
    let end = |reach: &Reach| reach.ended.as_ref().map(survey_job::Ended::told);
    match down.zip(up) {
        None => Safe::Nothing,
        Some((down, up)) => Safe::Known(Span {
            from: down.value,
            to: up.value,
            below: end(&down),
            above: end(&up),
        }),
    }
}

/// A dial's sweep, within its limits.
fn sweep(document: &Document, name: &str, whole: bool) -> Option<Sweep> {
    let dial = document.dial_named(name)?;
    let near = NEAR.iter().find(|(of, ..)| *of == name);
    let (from, to) = match near.filter(|_| !whole) {
        Some(&(_, from, to)) => (from.max(dial.min), to.min(dial.max)),
        None => (dial.min, dial.max),
    };
    Some(Sweep {
        dial: dial.id,
        from,
        to,
        count: VALUES,
    })
}

/// The two dials of the survey shown, and where they stand.
pub fn dials(stage: OnStage, survey: &Survey) -> Option<[(Dial, f64); 2]> {
    stage.with(|h| {
        let document = h.document();
        let dial = |id: DialId| Some((document.dial(id)?.clone(), document.value(id)?));
        Some([dial(survey.across.dial)?, dial(survey.up.dial)?])
    })
}
