//! The view that a figure is framed by, until the reader moves it.
use crate::hang::{Room, room_of};
use crate::plate::Plate;
use course::build::{hang_of, rested};
use course::{Act, Step, Task, Turn};
use figure::{Sight, View};
use rig::{Document, Grip, Posed, Unit, Vec3};

/// Kept free at the plate's foot for its switches, px; more where a finger presses them, and where
/// a hand's slips are written.
const FOOT: f64 = 48.0;
const FOOT_NARROW: f64 = 56.0;
const FOOT_HAND: f64 = 92.0;
/// Kept free at the head of a narrow plate, px.
const HEAD: f64 = 40.0;
/// A hand's handles are framed for so far a turn to each side, degrees.
const TURNED: f64 = 15.0;
/// What is moved is framed for so long a way to each side, mm.
const MOVED: f64 = 50.0;

/// A plate on which nothing has been framed; its size is still to come.
pub fn unframed() -> View {
    View {
        sight: Sight::Side,
        centre: Vec3::zeros(),
        scale: 3.0,
        size: (600.0, 400.0),
    }
}

/// What a figure keeps free on any plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// On wide plates the mobile hangs from the top edge; the figure goes below it, and a hand
    /// beside its controls.
    mobile: Room,
    whole_hand: bool,
}

impl Frame {
    /// Pixels per mm at most: a short chain on a wide plate is not blown up, and drawn strokes keep
    /// their proportions.
    pub const MOST_SCALE: f64 = 3.2;

    /// Of a document, whatever its setting.
    pub fn of(document: &Document) -> Self {
        Self {
            mobile: room_of(document),
            whole_hand: document.hand.is_some(),
        }
    }

    /// What is kept free of a plate: at its left, its top and its foot, px.
    pub fn free(&self, plate: Plate) -> [f64; 3] {
        let (left, top, foot) = if plate.is_wide() {
            let foot = if self.whole_hand { FOOT_HAND } else { FOOT };
            (self.mobile.left, self.mobile.top, foot)
        } else {
            (0.0, HEAD, FOOT_NARROW)
        };
        let (width, height) = plate.size;
        [
            (left * plate.text).min(width * 0.3),
            (top * plate.text).min(height * 0.36),
            foot.max(plate.tools + 4.0),
        ]
    }

    /// The view of `points` on a plate.
    pub fn fit(&self, sight: Sight, plate: Plate, points: &[Vec3]) -> View {
        let (size, [left, top, foot]) = (plate.size, self.free(plate));
        let margin = (size.0.min(size.1) * 0.09).clamp(18.0, 60.0);
        let free = (size.0 - left, size.1 - top - foot);
        let mut view = View::fit(sight, free, points, margin);
        view.scale = view.scale.min(Self::MOST_SCALE);
        view.size = size;
        let [right, up, _] = view.axes();
        view.centre += (up * ((top - foot) / 2.0) - right * (left / 2.0)) / view.scale;
        view
    }
}

/// What a step asks to be drawn, coarsely: its answer stays on the plate.
fn asked(posed: &Posed, task: &Task) -> Vec<Vec3> {
    let document = posed.document();
    let reached = |node: &str, dials: &[(&String, f64)]| {
        let node = document.node_named(node)?;
        let mut trial = posed.clone();
        for (name, value) in dials {
            trial.set_dial(document.dial_named(name)?.id, *value);
        }
        trial.evaluate();
        Some(trial.point(node.id))
    };
    match task {
        Task::PredictPin { node, dials } => {
            let dials: Vec<_> = dials.iter().map(|(name, value)| (name, *value)).collect();
            reached(node, &dials).into_iter().collect()
        }
        Task::PredictPath { node, dial, range } => {
            let values = [range.0, (range.0 + range.1) / 2.0, range.1];
            let points = values.map(|value| reached(node, &[(dial, value)]));
            points.into_iter().flatten().collect()
        }
        _ => Vec::new(),
    }
}

/// Where a node goes that will be turned about another, as if it were already.
fn reach(posed: &Posed, acts: &[Act]) -> Vec<Vec3> {
    let turns = acts.iter().filter_map(|act| match act {
        Act::Turn(turn) => Some(turn),
        _ => None,
    });
    let rested = rested(posed);
    let point = |name: &str| Some(rested.point(posed.rig().node_named(name)?.id));
    let of = |turn: &Turn| {
        let (centre, node) = (point(&turn.stays)?, point(&turn.moves)?);
        let dial = posed.rig().dial_named(&turn.dial)?;
        let gain = hang_of(acts)?.gain;
        let ends = [dial.neutral - 45.0, dial.neutral + 45.0];
        Some(ends.map(|end| {
            let turned = gain * (dial.clamped(end) - dial.neutral);
            let (sin, cos) = libm::sincos(turned.to_radians());
            let arm = node - centre;
            let mut end = centre;
            end.x += arm.x * cos - arm.y * sin;
            end.y += arm.x * sin + arm.y * cos;
            end.y = end.y.max(posed.document().bench.unwrap_or(end.y));
            end
        }))
    };
    turns.filter_map(of).flatten().collect()
}

/// Everything a view should take in: the figure, coarsely the reach of every mover with all that it
/// takes along, what the step asks about, and what its
/// acts will reach.
pub fn extent(posed: &Posed, step: Option<&Step>) -> Vec<Vec3> {
    let document = posed.document();
    let mut points = figure::extent(posed);
    if let Some(step) = step.filter(|_| !points.is_empty()) {
        points.extend(asked(posed, &step.task));
        points.extend(reach(posed, step.task.acts()));
    }
    // A hidden pivot's handle is drawn though the pivot is not.
    let framed = figure::framed(document);
    let shown = || {
        let nodes = document.nodes.iter().zip(&framed);
        nodes.filter_map(|(node, framed)| framed.then_some(node))
    };
    points.extend(shown().filter_map(|n| match n.grip {
        Grip::Place(offset) => Some(posed.point(n.id) + Vec3::from(offset)),
        _ => None,
    }));
    let whole_hand = document.hand.is_some();
    for node in shown() {
        let Grip::Dials(dials) = &node.grip else {
            continue;
        };
        for dial in dials.iter().filter_map(|d| document.dial(*d)) {
            let mut trial = posed.clone();
            let reach = match dial.unit {
                _ if whole_hand => TURNED,
                Unit::Degrees => 45.0,
                Unit::Millimetres => MOVED,
                Unit::Percent => 50.0,
            };
            for value in [dial.neutral - reach, dial.neutral + reach] {
                trial.set_dial(dial.id, value.clamp(dial.min, dial.max));
                trial.evaluate();
                // A whole hand fills the plate by itself: its handles are enough.
                let along = shown().filter(|along| along.id == node.id || !whole_hand);
                points.extend(along.map(|along| {
                    let mut at = trial.point(along.id);
                    // What would go into the bench needs no room.
                    if let Some(height) = document.bench {
                        at.y = at.y.max(height);
                    }
                    at
                }));
            }
        }
    }
    points
}
