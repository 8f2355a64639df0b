//! A pressing hand of five digits whose contacts roll, beside the same hand held by points and
//! SciPy's time for the same fingers, in one run; and the survey of the shipped hand on its bench.
mod press;

use bench::{DIGITS, rolling_hand};
use criterion::{Criterion, criterion_group, criterion_main};
use hand::survey::Survey;
use kinematics::{Channel, Solver};
use press::{Stand, document, frames, set, sweeps};
use rig::Posed;
use serde_json::{Value, json};
use std::hint::black_box;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

fn five(criterion: &mut Criterion) {
    for (stand, name) in [
        (Stand::Reached, "all reachable"),
        (Stand::TwoLetGo, "two fingers let go"),
        (Stand::ThumbOut, "the thumb out of reach"),
    ] {
        let frames = frames(stand);
        let mut group = criterion.benchmark_group(format!("five digits, {name}"));
        group
            .warm_up_time(Duration::from_millis(500))
            .measurement_time(Duration::from_secs(2));
        for (rolls, how) in [(true, "in contact"), (false, "held by points")] {
            let mut posed = Posed::new(&document(true, rolls)).expect("it is sound");
            let mut at = 0;
            group.bench_function(how, |bencher| {
                bencher.iter(|| {
                    at = (at + 1) % frames.len();
                    set(&mut posed, &frames[at]);
                    black_box(posed.document());
                });
            });
        }
        group.finish();
    }
}

fn survey(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("survey 61×61, lift × lean, the shipped bench-press");
    group.sample_size(20);
    for (thumb, digits) in [(false, "four fingers"), (true, "five digits")] {
        for (rolls, how) in [(true, "in contact"), (false, "held by points")] {
            let document = document(thumb, rolls);
            let posed = Posed::new(&document).expect("it is sound");
            let [lift, lean] = sweeps(&document, (0.0, 35.0), 3.0);
            group.bench_function(format!("{digits} {how}"), |bencher| {
                bencher.iter(|| Survey::run(&posed, lift, lean).map(|s| s.cells.len()));
            });
        }
    }
    group.finish();
}

/// How a hand with four rolling fingers is turned, small enough that all reach.
fn turned() -> impl Iterator<Item = [f64; 3]> {
    let turns = (0..64).map(|frame| f64::from(frame) * 0.1);
    turns.map(|at| [at, 1.7 * at + 1.0, 2.3 * at + 2.0].map(|at| 0.03 * libm::sin(at)))
}

/// The same four fingers by the core and by SciPy's root, or where limits are in the way its bounded
/// least squares: one as the checks of `tests/reference` ask it.
fn scipy(_: &mut Criterion) {
    let (mechanism, mut pose) = rolling_hand(&DIGITS[1..]);
    let mut cases = Vec::new();
    let mut core = Duration::ZERO;
    for turn in turned() {
        let channels = [Channel::TurnZ, Channel::TurnY, Channel::TurnX];
        let began = Instant::now();
        for (channel, value) in channels.into_iter().zip(turn) {
            pose.set_channel(0, channel, value);
        }
        mechanism.evaluate(&mut pose);
        core += began.elapsed();
        for anchor in mechanism.anchors() {
            let Solver::Finger {
                coupling,
                contact: Some(contact),
                ..
            } = anchor.solver
            else {
                unreachable!("four fingers that roll")
            };
            let nodes = mechanism.nodes();
            let above = nodes[anchor.base]
                .parent
                .expect("a knuckle hangs from a metacarpal");
            let knuckle = pose.world(above) * nodes[anchor.base].rest;
            let seen = knuckle.inv_mul(pose.world(anchor.target));
            let frame = seen.rotation.to_rotation_matrix();
            let rows = [0, 1, 2].map(|i| [0, 1, 2].map(|j| frame[(i, j)]));
            let length = |node: usize| nodes[node].rest.translation.vector.norm();
            let limits = |node: usize, axis: usize| nodes[node].limits[axis];
            let [at, tip] = [&seen, &nodes[anchor.end].rest];
            let [at, tip] = [at, tip].map(|frame| <[f64; 3]>::from(frame.translation.vector));
            cases.push(json!({
                "lengths": [length(anchor.base + 1), length(anchor.base + 2), 0.0],
                "coupling": coupling, "tip": tip, "surface": rows, "at": at, "stiff": 10.0,
                "bounds": [limits(anchor.base, 0), limits(anchor.base, 2), limits(anchor.base + 1, 2)],
                "contact": {
                    "radius": contact.radius, "pad": contact.pad, "changeover": contact.changeover,
                    "pitch": contact.pitch, "tilt": contact.tilt, "heading": contact.heading,
                },
            }));
        }
    }
    match asked(&cases) {
        Ok((seconds, worst)) => {
            assert!(
                worst < 1e-7,
                "SciPy leaves {worst} mm of what the core reaches"
            );
            let (hands, core) = (64.0, core.as_secs_f64());
            println!(
                "four fingers that roll, a hand: the core {:.2} µs, SciPy {:.0} µs, {:.0} times as long",
                1e6 * core / hands,
                1e6 * seconds / hands,
                seconds / core
            );
        }
        Err(why) => println!("SciPy left out: {why}"),
    }
}

/// SciPy's seconds for all cases, and the most it leaves, mm.
fn asked(cases: &[Value]) -> Result<(f64, f64), String> {
    const TIMED: &str = "import json, sys, time
sys.path.insert(0, sys.argv[1])
import oracle_contact
cases = json.load(open(sys.argv[2]))
oracle_contact.solve(cases[0])
began = time.perf_counter()
left = [oracle_contact.solve(case)[0] for case in cases]
print(json.dumps([time.perf_counter() - began, max(left)]))";
    let python = std::env::var_os("HANDSTAND_PYTHON").ok_or("HANDSTAND_PYTHON is not set")?;
    let oracles = Path::new(env!("CARGO_MANIFEST_DIR")).join("../reference");
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("scipy-contact.json");
    let told = |error: std::io::Error| error.to_string();
    std::fs::write(&file, Value::from(cases.to_vec()).to_string()).map_err(told)?;
    let mut command = Command::new(python);
    let run = command.args(["-c", TIMED]).arg(oracles).arg(&file);
    let output = run.output().map_err(told)?;
    let text = String::from_utf8_lossy(&output.stdout);
    serde_json::from_str(&text).map_err(|_| String::from_utf8_lossy(&output.stderr).into_owned())
}

criterion_group!(benches, five, survey, scipy);
criterion_main!(benches);
