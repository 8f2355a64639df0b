//! Exercises checked by measurement, with the fault named.
use crate::lesson::{Band, Misplaced, Run as Pass, Task};
use crate::measure::{Run, Worst, capital};
use hand::Gauge;
use motion::Motion;
use rig::{Posed, Rig, Setting, Unit, Vec3};

/// What the reader did.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Attempt {
    /// Settings along the freehand drag since the exercise (re)started, in order.
    pub trail: Vec<Setting>,
    /// The two kept poses.
    pub poses: [Option<Setting>; 2],
    /// Re-hangs that were tried and refused: (node, under).
    pub refused: Vec<(String, String)>,
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

/// One measured line of the answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Whether it holds.
    pub ok: bool,
    /// A sentence with the number.
    pub text: String,
}

/// The answer: passed, and what was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Whether every finding holds.
    pub passed: bool,
    /// In the order of the task.
    pub findings: Vec<Finding>,
}

impl Mark {
    fn of(findings: Vec<Finding>) -> Self {
        Self {
            passed: findings.iter().all(|finding| finding.ok),
            findings,
        }
    }
}

/// Checks an exercise on the figure as the reader left it, whose rig the attempt is of. Errors are
/// sentences
/// ('Store both poses first.').
///
/// # Errors
/// When there is nothing to measure yet, or a node or dial the exercise needs is gone.
pub fn check(posed: &Posed, task: &Task, attempt: &Attempt) -> Result<Mark, String> {
    let findings = match task {
        Task::Trace {
            node,
            centre,
            angle,
            gauge,
            most,
        } => {
            vec![trace(
                posed,
                &attempt.trail,
                node,
                centre,
                *angle,
                gauge,
                *most,
            )?]
        }
        Task::Hold { bands } => held(&Run::new(posed), bands, "")?,
        Task::Between {
            first,
            second,
            along,
            samples,
        } => {
            let [Some(from), Some(to)] = &attempt.poses else {
                return Err("Store both poses first.".into());
            };
            let mut findings = Vec::new();
            for (pose, bands, which) in
                [(from, first, "First pose: "), (to, second, "Second pose: ")]
            {
                let mut run = Run::new(posed);
                run.posed.set(pose);
                findings.extend(held(&run, bands, which)?);
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
        Task::TryRehang { node, under } => {
            let tried = attempt.refused.iter().any(|(n, u)| n == node && u == under);
            let text = if tried {
                format!("You tried to hang the {node} under the {under}, and it was refused.")
            } else {
                format!("Not tried yet: drag the {node}'s bead onto the {under}'s.")
            };
            vec![Finding { ok: tried, text }]
        }
        _ => return Err("A prediction is compared, not marked.".into()),
    };
    Ok(Mark::of(findings))
}

fn findings(worst: Vec<Worst>, before: &str) -> Vec<Finding> {
    let said = worst.into_iter().map(Worst::verdict);
    said.map(|(ok, text)| Finding {
        ok,
        text: format!(
            "{before}{}",
            if before.is_empty() {
                capital(&text)
            } else {
                text
            }
        ),
    })
    .collect()
}

fn held(run: &Run, bands: &[Band], before: &str) -> Result<Vec<Finding>, String> {
    let mut worst = Worst::of(bands);
    worst
        .iter_mut()
        .try_for_each(|band| band.look(run, "now", f64::INFINITY))?;
    Ok(findings(worst, before))
}

fn run_between(
    posed: &Posed,
    from: &Setting,
    to: &Setting,
    along: &[Band],
    samples: u32,
) -> Result<Vec<Finding>, String> {
    let mut run = Run::new(posed);
    let mut worst = Worst::of(along);
    let (from, to) = (from.clone(), to.clone());
    let motion = Motion::Between { from, to };
    for t in Motion::moments(samples) {
        motion.pose(&mut run.posed, t);
        let at = match t {
            0.0 => "at the start".into(),
            0.5 => "half way".into(),
            1.0 => "at the end".into(),
            _ => format!("{:.0} % of the way", 100.0 * t),
        };
        worst
            .iter_mut()
            .try_for_each(|band| band.look(&run, &at, f64::INFINITY))?;
    }
    Ok(findings(worst, ""))
}

fn sweep(
    posed: &Posed,
    dial: &str,
    range: (f64, f64),
    samples: u32,
    pass: &Pass,
) -> Result<Vec<Finding>, String> {
    let mut run = Run::new(posed);
    let dial = run.dial(dial)?.clone();
    let mut rest = posed.setting().clone();
    rest.active.fill(!pass.let_go);
    run.posed.set(&rest);
    let motion = Motion::sweep(&run.posed, dial.id, range).expect("it was found");
    let unit = if dial.unit == Unit::Degrees {
        "°"
    } else {
        " mm"
    };
    let mut worst = Worst::of(&pass.bands);
    for t in Motion::moments(samples) {
        motion.pose(&mut run.posed, t);
        let value = motion::between(range.0, range.1, t);
        // Two decimals at most, and none when there are none.
        let at = format!("{}{unit}", libm::round(value * 100.0) / 100.0 + 0.0).replace('-', "−");
        worst
            .iter_mut()
            .try_for_each(|band| band.look(&run, &at, value - dial.neutral))?;
    }
    Ok(findings(
        worst,
        if pass.let_go { "Anchors let go: " } else { "" },
    ))
}

/// Where a node is against where it belongs, with every dial neutral.
fn place(posed: &Posed, found: &Misplaced) -> Result<Finding, String> {
    let mut run = Run::new(posed);
    run.posed.set_neutral();
    run.posed.evaluate();
    let [x, y, z] = found.belongs;
    let off = run.point(&found.node)? - Vec3::new(x, y, z);
    let called = &found.called;
    if off.norm() <= found.within {
        return Ok(Finding {
            ok: true,
            text: capital(&format!("{called} is where it belongs.")),
        });
    }
    let mut parts: Vec<(f64, &str)> = found
        .towards
        .iter()
        .map(|(name, [x, y, z])| (off.dot(&Vec3::new(*x, *y, *z)), name.as_str()))
        .filter(|(part, _)| *part > 0.5 * found.within)
        .collect();
    parts.sort_by(|a, b| b.0.total_cmp(&a.0));
    let text = match parts.as_slice() {
        [] => format!("{called} is {:.1} mm from where it belongs.", off.norm()),
        parts => {
            let parts: Vec<String> = parts
                .iter()
                .map(|(part, name)| format!("{part:.1} mm {name}"))
                .collect();
            format!("{called} is {}.", parts.join(" and "))
        }
    };
    Ok(Finding {
        ok: false,
        text: capital(&text),
    })
}

/// A stretch of the trail along which the gauge stayed within its limit.
#[derive(Clone, Copy)]
struct Stretch {
    low: f64,
    high: f64,
}

/// The longest stretch of a trail, in degrees round the centre, with the gauge within its limit.
fn trace(
    posed: &Posed,
    trail: &[Setting],
    node: &str,
    centre: &str,
    angle: f64,
    gauge: &Gauge,
    most: f64,
) -> Result<Finding, String> {
    if trail.len() < 2 {
        return Err(format!("Drag the {node} first."));
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
    let limit = rig::Reading {
        value: most,
        ..worst.0
    };
    let label = gauge.label();
    // A tenth of a degree is what the plate can show.
    if best >= angle - 0.05 {
        return Ok(Finding {
            ok: true,
            text: format!("{best:.1}° round the {centre} with the {label} at most {limit}."),
        });
    }
    let text = if worst.0.value > most {
        let (reading, bearing, distance) = worst;
        let aside = distance - start_distance;
        let side = if aside < 0.0 { "too near" } else { "too far" };
        format!(
            "{} {reading} at {:.0}° round; the limit is {limit}. There the {node} was {distance:.1} mm from the {centre}, {:.1} mm {side}: keep the distance it starts with.",
            capital(&label),
            libm::fabs(bearing),
            libm::fabs(aside),
        )
    } else {
        format!(
            "You went {:.1}° round, and {angle:.0}° are asked: go on along the same ring.",
            high - low
        )
    };
    Ok(Finding { ok: false, text })
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
