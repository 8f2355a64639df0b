//! The axis of greatest lift: where the knuckle pivot raises the palm most with all still down,
//! safe and no limit hit.
use super::movable::Movable;
use super::{AxisLine, Fitted, NoAdvice, Press, fault, fitted, pivot_axis};
use crate::survey::{Down, Meter, Tolerance};
use recipe::{Pivot, Side};
use rig::{DialId, Fault, Posed, Vec3};

/// Places tried first, from the fitted axis: mm ahead, mm below, degrees of yaw.
const AHEAD: [f64; 5] = [0.0, -5.0, 5.0, -10.0, 10.0];
const BELOW: [f64; 5] = [0.0, 4.0, 8.0, -4.0, -8.0];
const YAW: [f64; 3] = [0.0, -8.0, 8.0];
/// First and last stride of the descent, mm and degrees alike: a knuckle 3 cm from the middle of
/// the row moves by half a mm a degree.
const STRIDE: (f64, f64) = (2.0, 1.0 / 64.0);
/// Degrees of lift between looks on the way from neutral …
const LOOK: f64 = 1.0;
/// … or more, where the lift goes so far that it would be looked at more often than this.
const LOOKS: f64 = 180.0;
/// Halvings of the last look.
const HALVINGS: usize = 24;
/// Two tilts nearer than this, degrees, are alike: a place nearer by is then as good.
const ALIKE: f64 = 1e-4;

/// A place of the knuckle pivot and how far it lifts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed {
    /// The place against the fitted axis.
    pub pivot: Pivot,
    /// Greatest value of the lift from there with all still down, safe and no limit hit all the
    /// way from neutral, degrees.
    pub lift: f64,
    /// What of it turns the palm about the row of knuckles, degrees: less than the lift where the
    /// axis is turned from the row.
    pub tilt: f64,
    /// The line that lift then turns about.
    pub axis: AxisLine,
}

/// The search, in pieces, among the axes that are parallel to the surface and pass through the
/// flesh of every planted knuckle (its drawn width): farther away the knuckles would swing on it, and
/// it would be another joint's. What is sought is the greatest tilt about the row of knuckles, until
/// a digit that was down lets go or the pose is no longer safe, whichever is first: fingers that let
/// go are safe, but a lift on fewer of them is no better. With
/// the axis turned from the row by δ, a lift θ tilts by 2·atan(tan(θ/2)·cos δ), the twist of
/// that turn about the row; without this the search turns the axis round until lifting is
/// leaning.
///
/// First a grid of places round the fitted axis, then a descent from the best: each of the 26 directions whose parts are −1, 0 or 1 is tried with a stride that is kept
/// while something is better and halved when nothing is (pattern search after Hooke & Jeeves
/// 1961, with diagonals: the goal is a least of several and has ridges). Where none helps the same
/// directions are tried turned seven ways, for a ridge may lie between them (chosen here). The same
/// document always gives the same answer; nothing proves it the greatest of all.
pub struct Search {
    movable: Movable,
    meter: Meter,
    slips: Vec<Option<f64>>,
    /// What is down at a lift of 0 about the pivot's own place.
    down: Down,
    lift: DialId,
    most: f64,
    tolerance: Tolerance,
    fitted: Fitted,
    /// Each knuckle in the carrier's frame, and the half of its width.
    flesh: Vec<(Vec3, f64)>,
    /// The pivot's own place from the fitted axis: x, y, z (mm) and yaw (degrees).
    now: [f64; 4],
    side: Side,
    /// Ahead, below, yaw; what it tilts and lifts.
    best: ([f64; 3], f64, f64),
    stage: Stage,
}

enum Stage {
    Grid(usize),
    /// Directions tried with this stride, and whether one of them helped.
    Descent {
        stride: f64,
        /// How the directions are turned.
        turn: usize,
        tried: usize,
        helped: bool,
    },
    Done,
}

impl Stage {
    fn round(stride: f64, turn: usize) -> Self {
        Self::Descent {
            stride,
            turn,
            tried: 0,
            helped: false,
        }
    }
}

/// Plain directions before diagonals.
const DIRECTIONS: [[f64; 3]; 26] = {
    let mut directions = [[0.0; 3]; 26];
    let (mut count, mut parts) = (0, 1);
    while parts <= 3 {
        let mut code = 0;
        while code < 27 {
            let d = [code / 9 - 1, code / 3 % 3 - 1, code % 3 - 1];
            if d[0] * d[0] + d[1] * d[1] + d[2] * d[2] == parts {
                directions[count] = [d[0] as f64, d[1] as f64, d[2] as f64];
                count += 1;
            }
            code += 1;
        }
        parts += 1;
    }
    directions
};

/// Ways the directions are turned, the first as they are; the angles, radians, are no part of each
/// other or of a turn.
const TURNS: usize = 8;
const TURN: [f64; 2] = [2.4, 1.0];

fn direction(at: usize, turn: usize) -> [f64; 3] {
    let [x, y, z] = DIRECTIONS[at];
    if turn == 0 {
        return [x, y, z];
    }
    let [(s, c), (t, d)] = TURN.map(|by| libm::sincos(by * turn as f64));
    let (x, y) = (c * x - s * y, s * x + c * y);
    [x, d * y - t * z, t * y + d * z]
}

impl Search {
    /// Begins. The other dials stay as they stand in `posed`.
    ///
    /// # Errors
    /// When there is no press, or nothing is planted and held.
    pub fn new(posed: &Posed, tolerance: &Tolerance) -> Result<Self, Fault<NoAdvice>> {
        let rig = posed.rig();
        let press = Press::of(rig)?;
        let meter = Meter::new(rig);
        if !meter.holds_any(posed) {
            return Err(fault(NoAdvice::AnyAxis));
        }
        let movable =
            Movable::new(posed, press.knuckles.id).ok_or_else(|| fault(NoAdvice::Fixed))?;
        let fitted = fitted(posed)?;
        let own = pivot_axis(rig)?;
        let off = own.through - fitted.axis.through;
        let half_width = |node| rig.node(node).map_or(0.0, |node| 0.5 * node.width);
        let flesh = fitted.residuals.iter().map(|r| (r.at, half_width(r.node)));
        let mut slips = meter.slips();
        let mut begun = posed.clone();
        begun.set_dial(press.lift.id, 0.0);
        begun.evaluate();
        let down = meter.slips_of(&begun, &mut slips).down;
        let mut search = Self {
            slips,
            down,
            lift: press.lift.id,
            most: press.lift.max,
            flesh: flesh.collect(),
            now: [
                off.x,
                off.y,
                off.z,
                (bearing(&own) - bearing(&fitted.axis)).to_degrees(),
            ],
            side: rig.hand.as_ref().map_or(Side::Right, |hand| hand.hand.side),
            fitted,
            movable,
            meter,
            tolerance: *tolerance,
            best: ([0.0; 3], 0.0, 0.0),
            stage: Stage::Grid(0),
        };
        search.attempt([0.0; 3]);
        Ok(search)
    }

    /// A yaw as it is turned here: a left hand is built as a right one and mirrored, so that both
    /// are searched alike.
    fn turned(&self, yaw: f64) -> f64 {
        if self.side == Side::Left { -yaw } else { yaw }
    }

    /// The axis at a place.
    fn axis(&self, [ahead, below, yaw]: [f64; 3]) -> AxisLine {
        let row = self.fitted.axis;
        let (s, c) = libm::sincos(bearing(&row) + self.turned(yaw).to_radians());
        AxisLine {
            through: row.through + Vec3::new(ahead, -below, 0.0),
            along: Vec3::new(s, 0.0, c),
            ..row
        }
    }

    fn is_in_flesh(&self, at: [f64; 3]) -> bool {
        let axis = self.axis(at);
        self.flesh.iter().all(|(knuckle, half)| {
            let off = knuckle - axis.through;
            off.cross(&axis.along).norm() <= *half
        })
    }

    fn holds(&mut self, lift: f64) -> bool {
        self.movable.posed.set_dial(self.lift, lift);
        self.movable.posed.evaluate();
        let cell = self.meter.read(&self.movable.posed, &mut self.slips);
        cell.is_safe(&self.tolerance) && cell.limit.is_none() && cell.down.holds(self.down)
    }

    /// The greatest lift from a place, if it is more than `over`.
    fn reach(&mut self, [ahead, below, yaw]: [f64; 3], over: f64) -> Option<f64> {
        let [x, y, z, turned] = self.now;
        let yaw = self.turned(yaw) - turned;
        self.movable.place([ahead - x, -below - y, -z, yaw]);
        // Most places fall at the first look.
        if over > 0.0 && !self.holds(over) {
            return None;
        }
        let mut good = 0.0;
        if !self.holds(good) {
            return None;
        }
        let step = LOOK.max(self.most / LOOKS);
        loop {
            let next = if good + step < self.most {
                good + step
            } else {
                self.most
            };
            if !self.holds(next) {
                let mut bad = next;
                for _ in 0..HALVINGS {
                    let middle = good + 0.5 * (bad - good);
                    if self.holds(middle) {
                        good = middle;
                    } else {
                        bad = middle;
                    }
                }
                break;
            }
            good = next;
            if good >= self.most {
                break;
            }
        }
        (good > over).then_some(good)
    }

    /// Takes a place if it tilts the palm further.
    fn attempt(&mut self, at: [f64; 3]) -> bool {
        if !self.is_in_flesh(at) {
            return false;
        }
        let turned = libm::cos(at[2].to_radians());
        let scaled = |degrees: f64, by: f64| {
            let half = 0.5 * degrees.to_radians();
            (2.0 * libm::atan(libm::tan(half) * by)).to_degrees()
        };
        let over = scaled(self.best.1 + ALIKE, 1.0 / turned);
        let Some(lift) = self.reach(at, over) else {
            return false;
        };
        self.best = (at, scaled(lift, turned), lift);
        true
    }

    /// Tries up to so many places; true when the search is over.
    pub fn step(&mut self, places: usize) -> bool {
        for _ in 0..places {
            match self.stage {
                Stage::Grid(at) => {
                    let (x, rest) = (at % AHEAD.len(), at / AHEAD.len());
                    let (y, yaw) = (rest % BELOW.len(), rest / BELOW.len());
                    if yaw < YAW.len() {
                        self.attempt([AHEAD[x], BELOW[y], YAW[yaw]]);
                        self.stage = Stage::Grid(at + 1);
                    } else {
                        self.stage = Stage::round(STRIDE.0, 0);
                    }
                }
                Stage::Descent {
                    stride,
                    turn,
                    tried,
                    helped,
                } => {
                    let by = direction(tried, turn);
                    let from = self.best.0;
                    let at = std::array::from_fn(|k| from[k] + stride * by[k]);
                    // A direction that helped is tried again.
                    let helps = self.attempt(at);
                    let tried = if helps { tried } else { tried + 1 };
                    self.stage = if tried < DIRECTIONS.len() {
                        Stage::Descent {
                            stride,
                            turn,
                            tried,
                            helped: helped || helps,
                        }
                    } else if helped {
                        Stage::round(stride, turn)
                    } else if turn + 1 < TURNS {
                        Stage::round(stride, turn + 1)
                    } else if 0.5 * stride >= STRIDE.1 {
                        Stage::round(0.5 * stride, 0)
                    } else {
                        Stage::Done
                    };
                }
                Stage::Done => return true,
            }
        }
        matches!(self.stage, Stage::Done)
    }

    /// The best place so far. Nothing lifts anywhere: the fitted axis, with a lift of 0.
    pub fn best(&self) -> Placed {
        let (at, tilt, lift) = self.best;
        Placed {
            pivot: Pivot {
                offset: at[0],
                drop: at[1],
                yaw: at[2] + 0.0,
            },
            lift,
            tilt,
            axis: self.axis(at),
        }
    }
}

/// The turn about y that brings z along a level line, radians.
fn bearing(line: &AxisLine) -> f64 {
    libm::atan2(line.along.x, line.along.z)
}

/// The search to its end.
///
/// # Errors
/// As [`Search::new`].
pub fn greatest_axis(posed: &Posed, tolerance: &Tolerance) -> Result<Placed, Fault<NoAdvice>> {
    let mut search = Search::new(posed, tolerance)?;
    while !search.step(1000) {}
    Ok(search.best())
}
