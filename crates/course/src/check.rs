//! Exercises checked by measurement, with the fault named.
use crate::build;
use crate::finding::{At, Finding, Kind, Mark, Part, Ring, Seen};
use crate::measure::{Run, Worst};
use crate::obstacle::Obstacle;
use crate::task::{Band, Misplaced, Run as Pass, Task};
use hand::Gauge;
use motion::Motion;
use rig::few;
use rig::{Posed, Reading, Rig, Setting, Vec3};

/// What the reader did.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Attempt {
    /// Settings along the freehand drag since the exercise (re)started, in order.
    pub trail: Vec<Setting>,
    /// The two kept poses.
    pub poses: [Option<Setting>; 2],
}

impl Attempt {
    /// Makes it one of a rig that was changed meanwhile: what both have stays as it was.
    pub fn carry(&mut self, from: &Rig, to: &Rig) {
        let settings = self.trail.iter_mut();
        for setting in settings.chain(self.poses.iter_mut().flatten()) {
            *setting = setting.carried(from, to);
        }
    }
}

/// Checks an exercise on the figure as the reader left it, whose rig the attempt is of.
///
/// ```
/// use course::finding::{At, Kind};
/// use course::{Attempt, Band, Said, Task, check};
/// use rig::Posed;
///
/// let file = r#"{
///   "format": "handstand/2", "name": "rye", "bench": 0,
///   "nodes": [{"name": "tip", "kind": "joint", "translation": [40, 10, 0], "width": 12}]
/// }"#;
/// let posed = Posed::new(&rig::read(file)?)?;
/// let bands = vec![Band {
///     gauge: hand::Gauge::Height { node: "tip".into() },
///     called: String::new(),
///     least: Some(12.0),
///     most: None,
///     low: "the tip is only {value} up; {limit} is the least.".into(),
///     high: Said::default(),
///     beyond: None,
/// }];
/// let mark = check(&posed, &Task::Hold { at: Default::default(), bands }, &Attempt::default())?;
///
/// assert!(!mark.passed);
/// let finding = &mark.findings[0];
/// assert_eq!(finding.to_string(), "The tip is only 10.00 mm up; 12.00 mm is the least.");
/// let Kind::Under { value, limit, .. } = &finding.kind else { panic!() };
/// assert_eq!((value.reading.value, value.at, *limit), (10.0, At::Now, 12.0));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// When there is nothing to measure yet, or a node or dial the exercise needs is gone.
pub fn check(posed: &Posed, task: &Task, attempt: &Attempt) -> Result<Mark, Obstacle> {
    let findings = match task {
        Task::Trace {
            node,
            centre,
            angle,
            gauge,
            most,
        } => {
            let asked = Asked {
                node,
                centre,
                angle: *angle,
                gauge,
                most: *most,
            };
            vec![trace(posed, &attempt.trail, &asked)?]
        }
        Task::Hold { at, bands } => {
            let mut run = Run::new(posed);
            run.set_named(at)?;
            held(&run, bands, Part::Whole)?
        }
        Task::Between {
            first,
            second,
            along,
            samples,
        } => {
            let [Some(from), Some(to)] = &attempt.poses else {
                return Err(Obstacle::NoPoses);
            };
            let mut findings = Vec::new();
            for (pose, bands, part) in [
                (from, first, Part::FirstPose),
                (to, second, Part::SecondPose),
            ] {
                let mut run = Run::new(posed);
                run.posed.set(pose);
                findings.extend(held(&run, bands, part)?);
            }
            findings.extend(run_between(posed, from, to, along, *samples)?);
            findings
        }
        Task::Sweep {
            dial,
            range,
            samples,
            runs,
            faults,
        } => {
            let mut findings = Vec::new();
            for found in faults {
                findings.push(place(posed, found)?);
            }
            for pass in runs {
                findings.extend(sweep(posed, dial, *range, *samples, pass)?);
            }
            findings
        }
        Task::Build { acts } => build::findings(posed, acts)?,
        _ => return Err(Obstacle::Prediction),
    };
    Ok(Mark::of(findings))
}

fn whole(kind: Kind) -> Finding {
    let part = Part::Whole;
    Finding { part, kind }
}

fn findings(worst: Vec<Worst>, part: Part) -> Vec<Finding> {
    let worst = worst.into_iter();
    worst.map(|band| band.finding(part)).collect()
}

fn held(run: &Run, bands: &[Band], part: Part) -> Result<Vec<Finding>, Obstacle> {
    let mut worst = Worst::of(bands);
    worst
        .iter_mut()
        .try_for_each(|band| band.look(run, At::Now, f64::INFINITY))?;
    Ok(findings(worst, part))
}

fn run_between(
    posed: &Posed,
    from: &Setting,
    to: &Setting,
    along: &[Band],
    samples: u32,
) -> Result<Vec<Finding>, Obstacle> {
    let mut run = Run::new(posed);
    let mut worst = Worst::of(along);
    let (from, to) = (from.clone(), to.clone());
    let motion = Motion::Between { from, to };
    for t in Motion::moments(samples) {
        motion.pose(&mut run.posed, t);
        worst
            .iter_mut()
            .try_for_each(|band| band.look(&run, At::Way(t), f64::INFINITY))?;
    }
    Ok(findings(worst, Part::Whole))
}

fn sweep(
    posed: &Posed,
    dial: &str,
    range: (f64, f64),
    samples: u32,
    pass: &Pass,
) -> Result<Vec<Finding>, Obstacle> {
    let mut run = Run::new(posed);
    let dial = run.dial(dial)?.clone();
    let mut rest = posed.setting().clone();
    rest.active.fill(!pass.let_go);
    run.posed.set(&rest);
    let motion = Motion::sweep(&run.posed, dial.id, range).expect("it was found");
    let mut worst = Worst::of(&pass.bands);
    for t in Motion::moments(samples) {
        motion.pose(&mut run.posed, t);
        let value = motion::between(range.0, range.1, t);
        worst.iter_mut().try_for_each(|band| {
            band.look(&run, At::Dial(value, dial.unit), value - dial.neutral)
        })?;
    }
    let part = if pass.let_go {
        Part::LetGo
    } else {
        Part::Whole
    };
    Ok(findings(worst, part))
}

/// Where a node is against where it belongs, with every dial neutral.
fn place(posed: &Posed, found: &Misplaced) -> Result<Finding, Obstacle> {
    let mut run = Run::new(posed);
    run.posed.set_neutral();
    run.posed.evaluate();
    let [x, y, z] = found.belongs;
    let off = run.point(&found.node)? - Vec3::new(x, y, z);
    let (place, norm) = (found.clone(), off.norm());
    if norm <= found.within {
        return Ok(whole(Kind::InPlace { place, off: norm }));
    }
    let along = |[x, y, z]: [f64; 3]| off.dot(&Vec3::new(x, y, z));
    let towards = found.towards.iter();
    let towards = towards.map(|(name, way)| (along(*way), name.clone()));
    let mut towards: Vec<_> = towards
        .filter(|(part, _)| *part > 0.5 * found.within)
        .collect();
    few::sort(&mut towards, |a, b| b.0.total_cmp(&a.0));
    Ok(whole(Kind::OutOfPlace {
        place,
        off: norm,
        towards,
    }))
}

/// A stretch of the trail along which the gauge stayed within its limit.
#[derive(Clone, Copy)]
struct Stretch {
    low: f64,
    high: f64,
}

/// What a [`Task::Trace`] asks.
struct Asked<'a> {
    node: &'a str,
    centre: &'a str,
    angle: f64,
    gauge: &'a Gauge,
    most: f64,
}

/// The longest stretch of a trail, in degrees round the centre, with the gauge within its limit.
fn trace(posed: &Posed, trail: &[Setting], asked: &Asked) -> Result<Finding, Obstacle> {
    let &Asked {
        node,
        centre,
        angle,
        gauge,
        most,
    } = asked;
    if trail.len() < 2 {
        return Err(Obstacle::NoDrag(node.into()));
    }
    let mut run = Run::new(posed);
    let way = trail.to_vec();
    let motion = Motion::Trace { way };
    motion.pose(&mut run.posed, 0.0);
    let start = run.point(node)? - run.point(centre)?;
    let start_distance = start.norm();
    let mut turn = Turn::default();
    let mut stretch: Option<Stretch> = None;
    let (mut best, mut low, mut high) = (0.0_f64, 0.0_f64, 0.0_f64);
    let mut worst = (run.read(gauge)?, 0.0, start_distance);
    // A fast drag leaves gaps; what lies between is measured too.
    for t in motion.close_moments(1.0) {
        motion.pose(&mut run.posed, t);
        let arm = run.point(node)? - run.point(centre)?;
        let bearing = turn.from(&start, &arm);
        let reading = run.read(gauge)?;
        (low, high) = (low.min(bearing), high.max(bearing));
        if reading.value > worst.0.value {
            worst = (reading, bearing, arm.norm());
        }
        stretch = (reading.value <= most).then(|| match stretch {
            Some(s) => Stretch {
                low: s.low.min(bearing),
                high: s.high.max(bearing),
            },
            None => Stretch {
                low: bearing,
                high: bearing,
            },
        });
        best = stretch.map_or(best, |s| best.max(s.high - s.low));
    }
    let (reading, bearing, distance) = worst;
    let asked = Ring {
        node: node.into(),
        centre: centre.into(),
        angle,
        gauge: gauge.clone(),
        limit: Reading {
            value: most,
            ..reading
        },
    };
    // A tenth of a degree is what the plate can show.
    Ok(whole(if best >= angle - 0.05 {
        let turned = best;
        Kind::Round { asked, turned }
    } else if reading.value > most {
        Kind::Strayed {
            asked,
            value: Seen {
                reading,
                at: At::Round(bearing),
            },
            distance,
            start: start_distance,
        }
    } else {
        let turned = high - low;
        Kind::Short { asked, turned }
    }))
}

/// Signed degrees from a first direction, about the first normal seen.
#[derive(Default)]
struct Turn {
    normal: Option<Vec3>,
}

impl Turn {
    fn from(&mut self, start: &Vec3, arm: &Vec3) -> f64 {
        let cross = start.cross(arm);
        if self.normal.is_none() && cross.norm() > 1e-6 * start.norm() * arm.norm() {
            self.normal = Some(cross.normalize());
        }
        let sine = self.normal.map_or(0.0, |normal| cross.dot(&normal));
        libm::atan2(sine, start.dot(arm)).to_degrees()
    }
}
