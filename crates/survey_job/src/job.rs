//! A question being worked at.
use crate::answer::{Advised, Help};
use crate::{Answer, Found, Question, Reach, Side, Stays, Who, built};
use hand::advice::{Change, Search, advice};
use hand::survey::{Progress, Sweep, Tolerance, greatest, stay};
use hand::{Pivot, Recipe, press_dials};
use rig::fault::Explain;
use rig::{Fault, Posed, Rig, Setting};

/// Cells of a survey between two looks at the clock.
const STRIDE: usize = 32;

pub(crate) enum Job {
    Survey(Box<Progress>),
    Reaches {
        posed: Box<Posed>,
        /// Dial and way.
        asked: Vec<(usize, bool)>,
        tolerance: Tolerance,
        found: Vec<Option<Reach>>,
        answer: fn(Vec<Option<Reach>>) -> Answer,
    },
    Lifts {
        recipe: Box<Recipe>,
        pivots: Vec<Pivot>,
        tolerance: Tolerance,
        found: Vec<Option<Reach>>,
    },
    /// Not parted: each remedy needs what was reached without one.
    Advice {
        posed: Box<Posed>,
        dial: usize,
        rising: bool,
        tolerance: Tolerance,
        axis: Option<Found>,
    },
    Seek(Box<Posed>, Box<Search>),
    Refused(String),
}

fn reach(posed: &Posed, dial: usize, rising: bool, tolerance: Tolerance) -> Option<Reach> {
    let dial = posed.rig().dials.get(dial)?.id;
    let safe = greatest(posed, dial, rising, &tolerance)?;
    let stay = stay(posed, dial, rising)?;
    Some(Reach::new(posed.rig(), safe, stay))
}

fn sweep(rig: &Rig, side: Side) -> Option<Sweep> {
    Some(Sweep {
        dial: rig.dials.get(side.dial)?.id,
        from: side.from,
        to: side.to,
        count: side.count,
    })
}

fn lift_about(recipe: &Recipe, pivot: Pivot, tolerance: Tolerance) -> Option<Reach> {
    let mut recipe = recipe.clone();
    recipe.planting.as_mut()?.pivot = pivot;
    let posed = built(&recipe)?;
    let lift = *press_dials(posed.rig()).first()?;
    let safe = greatest(&posed, lift, true, &tolerance)?;
    let stay = stay(&posed, lift, true)?;
    Some(Reach::new(posed.rig(), safe, stay))
}

fn said<K: Explain>(fault: Fault<K>) -> String {
    format!("{}; {}.", fault.what(), fault.mend())
}

fn advise(
    posed: &Posed,
    dial: usize,
    rising: bool,
    tolerance: Tolerance,
    axis: Option<Found>,
) -> Result<Advised, String> {
    let rig = posed.rig();
    let dial = (rig.dials.get(dial)).ok_or("The figure has no such dial.")?;
    let found = advice(
        posed,
        dial.id,
        rising,
        &tolerance,
        axis.map(|a| a.placed(rig)),
    )
    .map_err(said)?;
    let reach = Reach::new(rig, found.safe, found.stay);
    // It is told of this dial one way: it can be told of it the other way.
    let back = stay(posed, dial.id, !rising).unwrap_or(found.stay);
    let left = found.margins.iter();
    let left = left.filter_map(|margin| Some((Who::new(rig, margin.node)?, margin.mm)));
    let helps = found.remedies.into_iter().map(|remedy| Help {
        value: remedy.value,
        told: remedy.told,
        recipe: remedy.recipe,
        lets_go: match remedy.change {
            Change::Release(anchor) => rig.anchor(anchor).map(|anchor| anchor.name.clone()),
            _ => None,
        },
    });
    Ok(Advised {
        reach,
        back: Stays::new(rig, back),
        left: left.collect(),
        helps: helps.collect(),
    })
}

impl Job {
    /// Begins; the figure is what questions about a pose are of.
    pub fn new(figure: Option<&Posed>, question: Question) -> Self {
        Self::begun(figure, question).unwrap_or_else(Self::Refused)
    }

    fn begun(figure: Option<&Posed>, question: Question) -> Result<Self, String> {
        let standing = |setting: Setting| {
            let mut posed = figure.ok_or("There is no figure to ask about.")?.clone();
            posed.set(&setting);
            Ok::<_, String>(posed)
        };
        Ok(match question {
            Question::Survey {
                standing: at,
                across,
                up,
            } => {
                let posed = standing(at)?;
                let (across, up) = sweep(posed.rig(), across)
                    .zip(sweep(posed.rig(), up))
                    .ok_or("The figure has no such dial.")?;
                let progress = Progress::new(&posed, across, up).map_err(said)?;
                Self::Survey(Box::new(progress))
            }
            Question::Reach {
                standing: at,
                dial,
                rising,
                tolerance,
            } => Self::Reaches {
                posed: Box::new(standing(at)?),
                asked: vec![(dial, rising)],
                tolerance,
                found: Vec::new(),
                answer: |found| Answer::Reach(found.into_iter().next().flatten()),
            },
            Question::Spans {
                standing: at,
                dials,
                tolerance,
            } => Self::Reaches {
                posed: Box::new(standing(at)?),
                asked: (dials.iter())
                    .flat_map(|&dial| [(dial, false), (dial, true)])
                    .collect(),
                tolerance,
                found: Vec::new(),
                answer: |found| {
                    let pairs = found.chunks_exact(2);
                    Answer::Spans(pairs.map(|p| [p[0].clone(), p[1].clone()]).collect())
                },
            },
            Question::Lifts {
                recipe,
                pivots,
                tolerance,
            } => Self::Lifts {
                recipe,
                pivots,
                tolerance,
                found: Vec::new(),
            },
            Question::Advice {
                standing: at,
                dial,
                rising,
                tolerance,
                axis,
            } => Self::Advice {
                posed: Box::new(standing(at)?),
                dial,
                rising,
                tolerance,
                axis,
            },
            Question::Seek { recipe, tolerance } => {
                let posed = built(&recipe).ok_or("This hand cannot be built.")?;
                let search = Search::new(&posed, &tolerance).map_err(said)?;
                Self::Seek(Box::new(posed), Box::new(search))
            }
        })
    }

    /// Works while there is time, at least a little: what is known, its numbers, and how much of
    /// it is done. None: a survey that is not done, and is not to tell of it.
    pub fn step(
        &mut self,
        more: &mut dyn FnMut() -> bool,
        tell: bool,
    ) -> Option<(Answer, Vec<f64>, f64)> {
        if let Self::Survey(progress) = self {
            let mut done = progress.step(STRIDE);
            while !done && more() {
                done = progress.step(STRIDE);
            }
            if !(done || tell) {
                return None;
            }
        }
        Some(self.told(more))
    }

    fn told(&mut self, more: &mut dyn FnMut() -> bool) -> (Answer, Vec<f64>, f64) {
        match self {
            Self::Survey(progress) => {
                let survey = progress.survey();
                let part = progress.measured() as f64 / survey.cells.len() as f64;
                (Answer::Survey, survey.packed(progress.rig()), part)
            }
            Self::Reaches {
                posed,
                asked,
                tolerance,
                found,
                answer,
            } => {
                while let Some(&(dial, rising)) = asked.get(found.len()) {
                    found.push(reach(posed, dial, rising, *tolerance));
                    if !more() {
                        break;
                    }
                }
                parted(asked.len(), found, *answer)
            }
            Self::Lifts {
                recipe,
                pivots,
                tolerance,
                found,
            } => {
                while let Some(&pivot) = pivots.get(found.len()) {
                    found.push(lift_about(recipe, pivot, *tolerance));
                    if !more() {
                        break;
                    }
                }
                parted(pivots.len(), found, Answer::Lifts)
            }
            Self::Advice {
                posed,
                dial,
                rising,
                tolerance,
                axis,
            } => {
                let advised = advise(posed, *dial, *rising, *tolerance, *axis);
                let answer = advised.map_or_else(Answer::Refused, Answer::Advice);
                (answer, Vec::new(), 1.0)
            }
            Self::Seek(posed, search) => {
                let mut done = search.step(1);
                while !done && more() {
                    done = search.step(1);
                }
                if !done {
                    // How many places a descent will try is not known before.
                    return (Answer::Going, Vec::new(), 0.0);
                }
                let found = Found::new(posed.rig(), search.best());
                (Answer::Seek(found), Vec::new(), 1.0)
            }
            Self::Refused(why) => (Answer::Refused(why.clone()), Vec::new(), 1.0),
        }
    }
}

fn parted(
    asked: usize,
    found: &[Option<Reach>],
    answer: fn(Vec<Option<Reach>>) -> Answer,
) -> (Answer, Vec<f64>, f64) {
    if found.len() < asked {
        return (Answer::Going, Vec::new(), found.len() as f64 / asked as f64);
    }
    (answer(found.to_vec()), Vec::new(), 1.0)
}
