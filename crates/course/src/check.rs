//! Exercises checked by measurement, with the fault named.
use crate::lesson::{Band, Misplaced, Run as Pass, Task};
use crate::measure::{Run, Worst, between, blend, capital};
use rig::{DialId, Document, Gauge, Unit, Vec3};

/// What the reader did.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Attempt {
    /// Dial values along the freehand drag since the exercise (re)started, in order.
    pub trail: Vec<Vec<(DialId, f64)>>,
    /// The two stored poses: every dial's value.
    pub poses: [Option<Vec<(DialId, f64)>>; 2],
    /// Re-hangs that were tried and refused: (node, under).
    pub refused: Vec<(String, String)>,
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

/// Checks an exercise on the document as the reader left it. Errors are sentences
/// ('Store both poses first.').
///
/// # Errors
/// When there is nothing to measure yet, or a node or dial the exercise needs is gone.
pub fn check(document: &Document, task: &Task, attempt: &Attempt) -> Result<Mark, String> {
    let findings = match task {
        Task::Trace {
            node,
            centre,
            angle,
            gauge,
            most,
        } => {
            vec![trace(
                document,
                &attempt.trail,
                node,
                centre,
                *angle,
                gauge,
                *most,
            )?]
        }
        Task::Hold { bands } => held(&Run::new(document)?, bands, "")?,
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
                let mut run = Run::new(document)?;
                run.set(pose);
                findings.extend(held(&run, bands, which)?);
            }
            findings.extend(run_between(document, from, to, along, *samples)?);
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
                findings.push(place(document, found)?);
            }
            for pass in runs {
                findings.extend(sweep(document, dial, *range, *samples, pass)?);
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
    document: &Document,
    from: &[(DialId, f64)],
    to: &[(DialId, f64)],
    along: &[Band],
    samples: u32,
) -> Result<Vec<Finding>, String> {
    let mut run = Run::new(document)?;
    let mut worst = Worst::of(along);
    for i in 0..=samples {
        let t = f64::from(i) / f64::from(samples);
        run.set(&blend(from, to, t));
        let at = match i {
            0 => "at the start".into(),
            i if i == samples => "at the end".into(),
            i if 2 * i == samples => "half way".into(),
            _ => format!("{:.0} % of the way", 100.0 * t),
        };
        worst
            .iter_mut()
            .try_for_each(|band| band.look(&run, &at, f64::INFINITY))?;
    }
    Ok(findings(worst, ""))
}

fn sweep(
    document: &Document,
    dial: &str,
    range: (f64, f64),
    samples: u32,
    pass: &Pass,
) -> Result<Vec<Finding>, String> {
    let mut run = Run::new(document)?;
    let dial = run.dial(dial)?;
    run.hold(!pass.let_go);
    let unit = if dial.unit == Unit::Degrees {
        "°"
    } else {
        " mm"
    };
    let mut worst = Worst::of(&pass.bands);
    for i in 0..=samples {
        let value = between(range.0, range.1, f64::from(i) / f64::from(samples));
        run.set(&[(dial.id, value)]);
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
fn place(document: &Document, found: &Misplaced) -> Result<Finding, String> {
    let mut run = Run::new(document)?;
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
    document: &Document,
    trail: &[Vec<(DialId, f64)>],
    node: &str,
    centre: &str,
    angle: f64,
    gauge: &Gauge,
    most: f64,
) -> Result<Finding, String> {
    if trail.len() < 2 {
        return Err(format!("Drag the {node} first."));
    }
    let mut run = Run::new(document)?;
    run.set(&trail[0]);
    let start = run.point(node)? - run.point(centre)?;
    let start_distance = start.norm();
    let mut turn = Turn::default();
    let mut stretch: Option<Stretch> = None;
    let (mut best, mut low, mut high) = (0.0_f64, 0.0_f64, 0.0_f64);
    let mut worst = (run.read(gauge)?, 0.0, start_distance);
    for (step, pair) in trail.windows(2).enumerate() {
        // A fast drag leaves gaps; what lies between is measured too.
        let gap = blend(&pair[0], &pair[1], 1.0)
            .iter()
            .zip(&pair[0])
            .fold(0.0_f64, |gap, ((_, b), (_, a))| gap.max(libm::fabs(b - a)));
        let pieces = libm::ceil(gap).clamp(1.0, 400.0) as u32;
        for i in u32::from(step > 0)..=pieces {
            run.set(&blend(&pair[0], &pair[1], f64::from(i) / f64::from(pieces)));
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
