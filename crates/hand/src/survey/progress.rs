//! A survey in pieces, coarse to fine, so that a page can measure a while each frame.
use super::{Meter, NoSurvey, Survey, Sweep, cells};
use rig::{Fault, Posed, Rig};

impl Survey {
    /// Measures the whole grid; the other dials stay as they stand in `posed`.
    ///
    /// # Errors
    /// When a sweep is none, both are of one dial, the grid is too big, or nothing is planted.
    ///
    /// ```
    /// use hand::survey::{Survey, Sweep, Tolerance};
    /// use hand::{Planting, Recipe};
    ///
    /// let recipe = Recipe { planting: Some(Planting::default()), ..Recipe::default() };
    /// let posed = rig::Posed::new(&hand::document(&recipe)?)?;
    /// let [lift, _, lean, _] = hand::press_dials(posed.rig())[..] else { panic!("a press has four") };
    /// let lift = Sweep { dial: lift, from: 0.0, to: 40.0, count: 5 }; // degrees
    /// let lean = Sweep { dial: lean, from: -10.0, to: 10.0, count: 3 };
    /// let survey = Survey::run(&posed, lift, lean).expect("two dials of a planted hand");
    /// assert_eq!(survey.values(survey.home), (0.0, 0.0));
    /// assert!(survey.safe(survey.home, &Tolerance { pad: 3.0, ..Tolerance::default() }));
    /// assert_eq!(survey.cells.len(), 15);
    /// # Ok::<(), rig::Fault>(())
    /// ```
    pub fn run(posed: &Posed, across: Sweep, up: Sweep) -> Result<Self, Fault<NoSurvey>> {
        let mut progress = Progress::new(posed, across, up)?;
        progress.step(usize::MAX);
        Ok(progress.into_survey())
    }
}

/// Cells between the places measured first.
const COARSEST: usize = 8;

/// A survey being made: every 8th place first, then every 4th, 2nd and the rest. Until a place
/// has been measured its cell shows the coarser place it belongs to, so the survey can be drawn
/// at any time. Dropping this cancels it.
#[derive(Clone, Debug)]
pub struct Progress {
    posed: Posed,
    meter: Meter,
    survey: Survey,
    slips: Vec<Option<f64>>,
    /// How far apart places are in the present round, and the next one to look at.
    stride: usize,
    next: (usize, usize),
    measured: usize,
}

impl Progress {
    /// Begins; nothing is measured yet.
    ///
    /// # Errors
    /// As [`Survey::run`].
    pub fn new(posed: &Posed, across: Sweep, up: Sweep) -> Result<Self, Fault<NoSurvey>> {
        let rig = posed.rig();
        across.check(rig)?;
        up.check(rig)?;
        if across.dial == up.dial {
            return Err(Fault::new("survey", NoSurvey::OneDial));
        }
        let count = cells(rig, &[across, up])?;
        let meter = Meter::new(rig);
        let mut posed = posed.clone();
        if !meter.holds_any(&posed) {
            return Err(Fault::new("survey", NoSurvey::NothingHeld));
        }
        let others = rig.dials.iter().map(|dial| dial.id);
        let others = others
            .filter(|&dial| dial != across.dial && dial != up.dial)
            .map(|dial| (dial, posed.dial(dial)));
        let others = others.collect();
        let neutral = |sweep: &Sweep| {
            let dial = rig.dial(sweep.dial);
            sweep.nearest(dial.map_or(0.0, |dial| dial.neutral))
        };
        let home = neutral(&up) * across.count + neutral(&across);
        posed.set_dial(across.dial, across.from);
        posed.set_dial(up.dial, up.from);
        posed.evaluate();
        let anchors = rig.anchors.iter();
        let active = anchors.map(|anchor| (anchor.id, posed.is_active(anchor.id)));
        let plants: Vec<_> = meter.plants().collect();
        let slips = meter.slips();
        Ok(Self {
            survey: Survey {
                across,
                up,
                cells: vec![Default::default(); count],
                slips: vec![None; count * plants.len()],
                home,
                others,
                active: active.collect(),
                plants,
            },
            slips,
            meter,
            posed,
            stride: COARSEST,
            next: (0, 0),
            measured: 0,
        })
    }

    /// Measures up to so many cells; true when all are.
    pub fn step(&mut self, cells: usize) -> bool {
        let before = self.measured;
        while self.stride > 0 {
            if self.measured - before >= cells {
                return false;
            }
            let (column, row) = self.next;
            if !self.is_coarser(column, row) {
                self.measure(column, row);
                self.measured += 1;
            }
            self.advance();
        }
        true
    }

    /// Whether an earlier round measured it.
    fn is_coarser(&self, column: usize, row: usize) -> bool {
        let coarser = 2 * self.stride;
        self.stride < COARSEST && column.is_multiple_of(coarser) && row.is_multiple_of(coarser)
    }

    fn advance(&mut self) {
        let (column, row) = self.next;
        let (width, height) = (self.survey.across.count, self.survey.up.count);
        self.next = if column + self.stride < width {
            (column + self.stride, row)
        } else if row + self.stride < height {
            (0, row + self.stride)
        } else {
            self.stride /= 2;
            (0, 0)
        };
    }

    /// Measures one place, and shows it in the cells that belong to it until they have been
    /// measured themselves.
    fn measure(&mut self, column: usize, row: usize) {
        let survey = &mut self.survey;
        self.posed
            .set_dial(survey.across.dial, survey.across.value(column));
        self.posed.set_dial(survey.up.dial, survey.up.value(row));
        self.posed.evaluate();
        let cell = self.meter.read(&self.posed, &mut self.slips);
        let (width, plants) = (survey.across.count, self.slips.len());
        let right = (column + self.stride).min(width);
        for row in row..(row + self.stride).min(survey.up.count) {
            for at in row * width + column..row * width + right {
                survey.cells[at] = cell;
                survey.slips[at * plants..(at + 1) * plants].copy_from_slice(&self.slips);
            }
        }
    }

    /// Cells measured so far.
    pub fn measured(&self) -> usize {
        self.measured
    }

    /// What is surveyed.
    pub fn rig(&self) -> &Rig {
        self.posed.rig()
    }

    /// What is known so far.
    pub fn survey(&self) -> &Survey {
        &self.survey
    }

    /// The survey, as far as it went.
    pub fn into_survey(self) -> Survey {
        self.survey
    }
}
