//! Predictions drawn on the figure, and what really happens.
use crate::measure::Run;
use crate::obstacle::Obstacle;
use crate::region::Field;
use crate::stay::Stay;
use crate::task::Task;
use crate::verdict::{Stapled, Verdict};
use hand::Axis;
use motion::Motion;
use rig::{Posed, Vec3};

/// Points along a path that is shown.
const PATH_STEPS: u32 = 60;
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
    /// What becomes of each node asked about.
    Stay(Vec<Stay>),
}

/// Computes what happens, from the figure as it stands.
///
/// # Errors
/// When the task is an exercise, or a node or dial it needs is gone.
pub fn truth(posed: &Posed, task: &Task) -> Result<Truth, Obstacle> {
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
            let all = among.iter().zip(before?);
            let all = all.map(|(node, before)| Stay::of(&run, node, before, *within));
            Truth::Stay(all.collect::<Result<_, Obstacle>>()?)
        }
        _ => return Err(Obstacle::Exercise),
    })
}

/// Compares a drawing with it.
///
/// # Errors
/// As [`truth`], and when the drawing is empty or of another kind.
pub fn judge(posed: &Posed, task: &Task, answer: &Answer) -> Result<Verdict, Obstacle> {
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
                return Err(Obstacle::OtherDrawing);
            };
            let stood = Run::new(posed).point(node)?;
            Ok(Verdict::Pin {
                node: node.clone(),
                off: (pin - lands).norm(),
                travel: (lands - stood).norm(),
            })
        }
        (Truth::Path(path), Answer::Path(line)) => match task {
            Task::PredictAxis { .. } => crossed(&path, line),
            _ => drawn(&seen(&path, line), line),
        },
        (Truth::Angle(angle), &Answer::Angle(drawn)) => Ok(Verdict::Angle { drawn, angle }),
        (Truth::Stay(all), Answer::Stay(stapled)) => Ok(stays(all, stapled)),
        _ => Err(Obstacle::OtherDrawing),
    }
}

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

fn drawn(path: &[Vec3], line: &[Vec3]) -> Result<Verdict, Obstacle> {
    if line.len() < 2 {
        return Err(Obstacle::NoLine);
    }
    let stray = line
        .iter()
        .map(|p| to_polyline(p, path))
        .fold(0.0, f64::max);
    let ends = [&path[0], &path[path.len() - 1]].map(|end| to_polyline(end, line));
    let missed = f64::max(ends[0], ends[1]);
    Ok(Verdict::Path { stray, missed })
}

fn row(run: &Run, knuckles: &[String]) -> Result<Vec<Vec3>, Obstacle> {
    knuckles.iter().map(|knuckle| run.point(knuckle)).collect()
}

/// The line through points seen from above, all of the same weight.
fn fitted(points: &[Vec3]) -> Result<Axis, Obstacle> {
    let points: Vec<_> = points.iter().map(|&at| (at, 1.0)).collect();
    Axis::fit(&points).map_err(Obstacle::NoAxis)
}

/// A line drawn by hand against an axis, by the line fitted to it.
fn crossed(axis: &[Vec3], line: &[Vec3]) -> Result<Verdict, Obstacle> {
    let (Ok(drawn), [from, to]) = (fitted(line), axis) else {
        return Err(Obstacle::NoLine);
    };
    let along = (to - from).normalize();
    let across = Vec3::new(along.z, 0.0, -along.x);
    let turn = libm::atan2(drawn.along().dot(&across), drawn.along().dot(&along));
    // A line has no direction: turned by half a turn it is itself.
    let turn = libm::fabs(libm::remainder(turn, std::f64::consts::PI)).to_degrees();
    let middle = (from + to) * 0.5;
    let off = libm::fabs((drawn.through - middle).dot(&across));
    Ok(Verdict::Axis { turn, off })
}

/// Where a drawing and what happens are farthest apart, from the one to the other, mm: of a pin, or of
/// a line along a path, whichever of the two goes where the other does not.
pub fn apart(truth: &Truth, answer: &Answer) -> Option<(Vec3, Vec3)> {
    match (truth, answer) {
        (Truth::Pin(lands), Answer::Pin(pin)) => Some((*pin, *lands)),
        (Truth::Path(path), Answer::Path(line)) if line.len() > 1 => {
            let path = seen(path, line);
            let from_line = line.iter().map(|at| (*at, nearest(at, &path)));
            let from_path = path.iter().map(|at| (nearest(at, line), *at));
            let wider = |a: (Vec3, Vec3), b: (Vec3, Vec3)| {
                let width = |(from, to): &(Vec3, Vec3)| (to - from).norm_squared();
                if width(&b) > width(&a) { b } else { a }
            };
            from_line.chain(from_path).reduce(wider)
        }
        _ => None,
    }
}

/// Distance from a point to a polyline.
fn to_polyline(point: &Vec3, line: &[Vec3]) -> f64 {
    (nearest(point, line) - point).norm()
}

/// The point of a polyline that is nearest to another.
fn nearest(point: &Vec3, line: &[Vec3]) -> Vec3 {
    let on_piece = |pair: &[Vec3]| {
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
        pair[0] + along * t
    };
    let nearer = |a: Vec3, b: Vec3| {
        if (b - point).norm_squared() < (a - point).norm_squared() {
            b
        } else {
            a
        }
    };
    let all = line.windows(2).map(on_piece);
    all.reduce(nearer).unwrap_or(line[0])
}

fn painted(field: &Field, node: &str, discs: &[(Vec3, f64)]) -> Result<Verdict, Obstacle> {
    if discs.is_empty() {
        return Err(Obstacle::NoPaint);
    }
    let inside: Vec<&Vec3> = field.inside().collect();
    if inside.is_empty() {
        let node = node.into();
        return Ok(Verdict::Nowhere { node });
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
    let clear = 1.0 - discs.iter().filter(touches).count() as f64 / discs.len() as f64;
    Ok(Verdict::Region {
        node: node.into(),
        covered,
        clear,
    })
}

fn stays(all: Vec<Stay>, stapled: &[String]) -> Verdict {
    let nodes = all.into_iter().map(|what| Stapled {
        stapled: stapled.contains(&what.node),
        what,
    });
    Verdict::Stay {
        nodes: nodes.collect(),
    }
}
