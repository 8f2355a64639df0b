//! Predictions drawn on the figure, and what really happens.
use crate::lesson::Task;
use crate::measure::{Run, capital};
use crate::region::Field;
use hand::Axis;
use motion::Motion;
use rig::{Posed, Vec3};

/// Points along a path that is shown.
const PATH_STEPS: u32 = 60;
/// Points that count as well placed, mm.
const NEAR_POINT: f64 = 6.0;
/// Angles that count as well drawn, degrees.
const NEAR_ANGLE: f64 = 3.0;
/// Axes that count as well drawn, degrees.
const NEAR_AXIS: f64 = 5.0;
/// A line deviates no farther than this from a plane it is drawn in, mm.
const FLAT: f64 = 1e-6;
/// How far an axis is shown past its row, mm.
const PAST_ROW: f64 = 15.0;

/// What the reader drew, world mm.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// A pin.
    Pin(Vec3),
    /// A pencil line.
    Path(Vec<Vec3>),
    /// Painted discs: centre, radius.
    Region(Vec<(Vec3, f64)>),
    /// Degrees.
    Angle(f64),
    /// Node names stapled.
    Stay(Vec<String>),
}

/// What happens, for the overlay.
#[derive(Clone, Debug, PartialEq)]
pub enum Truth {
    /// Where the node lands.
    Pin(Vec3),
    /// Where it goes.
    Path(Vec<Vec3>),
    /// Closed outlines, even-odd.
    Region(Vec<Vec<Vec3>>),
    /// Degrees.
    Angle(f64),
    /// Each node asked about, how far it moves in mm, and whether that is staying.
    Stay(Vec<(String, f64, bool)>),
}

/// How near the drawing was. Predictions are never failed.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// 'Your line stays within 1.8 mm of the path.'
    pub text: String,
    /// Whether that is near.
    pub near: bool,
}

/// Computes what happens, from the figure as it stands. Errors are sentences.
///
/// # Errors
/// When the task is an exercise, or a node or dial it needs is gone.
pub fn truth(posed: &Posed, task: &Task) -> Result<Truth, String> {
    let mut run = Run::new(posed);
    Ok(match task {
        Task::PredictPin { node, dials } => {
            run.set_named(dials)?;
            Truth::Pin(run.point(node)?)
        }
        Task::PredictPath { node, dial, range } => {
            let dial = run.dial(dial)?.id;
            let motion = Motion::sweep(posed, dial, *range).expect("it was found");
            let mut path = Vec::new();
            for t in Motion::moments(PATH_STEPS) {
                motion.pose(&mut run.posed, t);
                path.push(run.point(node)?);
            }
            Truth::Path(path)
        }
        Task::PredictAxis { knuckles } => {
            let row = row(&run, knuckles)?;
            let axis = fitted(&row)?;
            let along = |at: &Vec3| (at - axis.through).dot(&axis.along());
            let far = row.iter().map(along);
            let (low, high) = far.fold((0.0, 0.0), |(low, high), at| {
                (f64::min(low, at), f64::max(high, at))
            });
            let end = |at: f64| axis.through + axis.along() * at;
            Truth::Path(vec![end(low - PAST_ROW), end(high + PAST_ROW)])
        }
        Task::PredictRegion {
            node,
            dials,
            gauge,
            most,
            ..
        } => Truth::Region(Field::new(posed, node, (&dials.0, &dials.1), gauge, *most)?.outlines()),
        Task::PredictAngle { gauge, dials, .. } => {
            let before = run.read(gauge)?.value;
            run.set_named(dials)?;
            Truth::Angle(run.read(gauge)?.value - before)
        }
        Task::PredictStay {
            among,
            dials,
            within,
        } => {
            let before: Result<Vec<_>, _> = among.iter().map(|node| run.point(node)).collect();
            run.set_named(dials)?;
            let moved = among.iter().zip(before?).map(|(node, before)| {
                let far = (run.point(node)? - before).norm();
                Ok((node.clone(), far, far <= *within))
            });
            Truth::Stay(moved.collect::<Result<_, String>>()?)
        }
        _ => return Err("This step is an exercise: there is nothing to predict.".into()),
    })
}

/// Compares a drawing with it.
///
/// # Errors
/// As [`truth`], and when the drawing is empty or of another kind.
pub fn judge(posed: &Posed, task: &Task, answer: &Answer) -> Result<Verdict, String> {
    if let (
        Task::PredictRegion {
            node,
            dials,
            gauge,
            most,
            ..
        },
        Answer::Region(discs),
    ) = (task, answer)
    {
        return painted(
            &Field::new(posed, node, (&dials.0, &dials.1), gauge, *most)?,
            node,
            discs,
        );
    }
    match (truth(posed, task)?, answer) {
        (Truth::Pin(lands), Answer::Pin(pin)) => {
            let Task::PredictPin { node, .. } = task else {
                return Err(MISMATCH.into());
            };
            let (off, travel) = (
                (pin - lands).norm(),
                (lands - Run::new(posed).point(node)?).norm(),
            );
            let text = format!(
                "Your pin is {off:.1} mm from where the {node} lands. It moves {travel:.1} mm."
            );
            Ok(Verdict {
                text,
                near: off <= NEAR_POINT,
            })
        }
        (Truth::Path(path), Answer::Path(line)) => match task {
            Task::PredictAxis { .. } => crossed(&path, line),
            _ => drawn(&seen(&path, line), line),
        },
        (Truth::Angle(angle), Answer::Angle(drawn)) => {
            let off = angle - drawn;
            let near = libm::fabs(off) <= NEAR_ANGLE;
            let how = if near {
                "near"
            } else if off > 0.0 {
                "more than you drew"
            } else {
                "less than you drew"
            };
            Ok(Verdict {
                text: format!("You drew {drawn:.1}°. It is {angle:.1}°: {how}."),
                near,
            })
        }
        (Truth::Stay(moved), Answer::Stay(stapled)) => Ok(stays(&moved, stapled)),
        _ => Err(MISMATCH.into()),
    }
}

const MISMATCH: &str = "That drawing is for another step: draw again.";

/// The path without its depth: a line drawn on the plate is flat along the axis one looks along,
/// and says nothing of it. A line flat along two axes does not tell which that is.
fn seen(path: &[Vec3], line: &[Vec3]) -> Vec<Vec3> {
    let mut path = path.to_vec();
    let flat = |axis: &usize| {
        line.iter()
            .all(|p| libm::fabs(p[*axis] - line[0][*axis]) < FLAT)
    };
    let mut axes = (0..3).filter(flat);
    if let (Some(axis), None) = (axes.next(), axes.next()) {
        path.iter_mut().for_each(|p| p[axis] = line[0][axis]);
    }
    path
}

fn drawn(path: &[Vec3], line: &[Vec3]) -> Result<Verdict, String> {
    if line.len() < 2 {
        return Err("Draw a line first.".into());
    }
    let stray = line
        .iter()
        .map(|p| to_polyline(p, path))
        .fold(0.0, f64::max);
    let ends = [&path[0], &path[path.len() - 1]].map(|end| to_polyline(end, line));
    let missed = f64::max(ends[0], ends[1]);
    let mut text = format!("Your line stays within {stray:.1} mm of the path.");
    if missed > 2.0 * NEAR_POINT {
        text = format!("{text} It stops {missed:.1} mm short of the path's end.");
    }
    Ok(Verdict {
        text,
        near: stray <= NEAR_POINT && missed <= 2.0 * NEAR_POINT,
    })
}

fn row(run: &Run, knuckles: &[String]) -> Result<Vec<Vec3>, String> {
    knuckles.iter().map(|knuckle| run.point(knuckle)).collect()
}

/// The line through points seen from above, all of the same weight.
fn fitted(points: &[Vec3]) -> Result<Axis, String> {
    let points: Vec<_> = points.iter().map(|&at| (at, 1.0)).collect();
    Axis::fit(&points).map_err(|why| rig::Fault::<hand::Impossible>::from(why).to_string())
}

/// A line drawn by hand against an axis, by the line fitted to it.
fn crossed(axis: &[Vec3], line: &[Vec3]) -> Result<Verdict, String> {
    let (Ok(drawn), [from, to]) = (fitted(line), axis) else {
        return Err("Draw a line first.".into());
    };
    let along = (to - from).normalize();
    let across = Vec3::new(along.z, 0.0, -along.x);
    let turn = libm::atan2(drawn.along().dot(&across), drawn.along().dot(&along));
    // A line has no direction: turned by half a turn it is itself.
    let turn = libm::fabs(libm::remainder(turn, std::f64::consts::PI)).to_degrees();
    let middle = (from + to) * 0.5;
    let off = libm::fabs((drawn.through - middle).dot(&across));
    Ok(Verdict {
        text: format!(
            "Your line is turned {turn:.1}° from the fitted axis and passes {off:.1} mm beside its middle."
        ),
        near: turn <= NEAR_AXIS && off <= NEAR_POINT,
    })
}

/// Distance from a point to a polyline.
fn to_polyline(point: &Vec3, line: &[Vec3]) -> f64 {
    let to_piece = |pair: &[Vec3]| {
        let (along, to) = (pair[1] - pair[0], point - pair[0]);
        let length = along.norm_squared();
        let t = if length > 0.0 {
            along.dot(&to) / length
        } else {
            0.0
        };
        let t = if t > 1.0 {
            1.0
        } else if t > 0.0 {
            t
        } else {
            0.0
        };
        (to - along * t).norm()
    };
    line.windows(2).map(to_piece).fold(f64::INFINITY, f64::min)
}

fn painted(field: &Field, node: &str, discs: &[(Vec3, f64)]) -> Result<Verdict, String> {
    if discs.is_empty() {
        return Err("Paint somewhere first.".into());
    }
    let inside: Vec<&Vec3> = field.inside().collect();
    if inside.is_empty() {
        return Ok(Verdict {
            text: format!("There is nowhere the {node} may stand."),
            near: false,
        });
    }
    let under = |place: &Vec3| {
        discs
            .iter()
            .any(|(centre, radius)| (centre - place).norm() <= *radius)
    };
    let covered = inside.iter().filter(|place| under(place)).count() as f64 / inside.len() as f64;
    let touches = |(centre, radius): &&(Vec3, f64)| {
        inside
            .iter()
            .any(|place| (centre - *place).norm() <= *radius)
    };
    let outside = 1.0 - discs.iter().filter(touches).count() as f64 / discs.len() as f64;
    let text = format!(
        "Your paint covers {:.0} % of the places where the {node} may stand; {:.0} % of your paint lies clear of them.",
        100.0 * covered,
        100.0 * outside
    );
    Ok(Verdict {
        text,
        near: covered >= 0.6 && outside <= 0.25,
    })
}

fn stays(moved: &[(String, f64, bool)], stapled: &[String]) -> Verdict {
    let mut wrong = Vec::new();
    for (node, far, stay) in moved {
        match (*stay, stapled.contains(node)) {
            (false, true) => wrong.push(format!("the {node} moves {far:.1} mm")),
            (true, false) => wrong.push(format!("the {node} stays")),
            _ => {}
        }
    }
    if wrong.is_empty() {
        let staying: Vec<&str> = moved
            .iter()
            .filter(|(_, _, stay)| *stay)
            .map(|(node, ..)| node.as_str())
            .collect();
        let text = match staying.as_slice() {
            [] => "Right: none of them stays.".into(),
            [one] => format!("Right: only the {one} stays."),
            all => format!("Right: {} stay.", all.join(", ")),
        };
        return Verdict { text, near: true };
    }
    Verdict {
        text: format!("{}.", capital(&wrong.join(", "))),
        near: false,
    }
}
