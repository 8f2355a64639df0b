//! What `cargo xtask bench --only counted` counts the instructions of: `list` prints the names,
//! each with how many acts it is; a name does it. Only what runs inside [`measured`] counts.
#[path = "../benches/press/mod.rs"]
mod press;

use bench::{DIGITS, ours, planted_hand};
use figure::{Scene, Sight, View, draw, extent};
use hand::survey::Survey;
use kinematics::{Channel, Mechanism};
use press::Stand;
use rig::pull::pull;
use rig::{Document, Posed, Vec3, roles};
use std::hint::black_box;

/// Poses that a mean is taken over.
const FRAMES: u64 = 64;
const POSES: u64 = press::POSES as u64;
/// Frames of a drag.
const DRAGGED: u64 = 16;

type Work = fn();

/// The name, what one act of it is, how many there are, and the work.
const WORKS: [(&str, u64, Work); 11] = [
    ("evaluate 26 joints, every dial changed", FRAMES, forward),
    ("evaluate a hand, five digits planted", FRAMES, planted),
    ("survey 61×61, lift × lean, four fingers", 1, survey),
    ("the same, its digits held by points", 1, || {
        surveyed(false, false)
    }),
    ("the same, five digits in contact", 1, || {
        surveyed(true, true)
    }),
    ("press, five digits in contact", POSES, || {
        pressed(Stand::Reached, true)
    }),
    ("press, two fingers let go", POSES, || {
        pressed(Stand::TwoLetGo, true)
    }),
    ("press, the thumb out of reach", POSES, || {
        pressed(Stand::ThumbOut, true)
    }),
    ("press, five digits held by points", POSES, || {
        pressed(Stand::Reached, false)
    }),
    ("draw a hand with its ghost, oblique", 1, drawn),
    ("a frame of a drag: pull, repose, draw", DRAGGED, dragged),
];

/// Valgrind counts from here to its end, by its name.
#[inline(never)]
fn measured(work: &mut dyn FnMut()) {
    work();
}

fn forward() {
    let mechanism = Mechanism::new(ours(&bench::hand()), vec![]).expect("a sound mechanism");
    let mut pose = mechanism.pose();
    let turn = |frame: u64, joint: usize| 0.01 * ((frame * 7 + joint as u64 * 13) % 97) as f64;
    measured(&mut || {
        for frame in 0..FRAMES {
            for joint in 0..26 {
                pose.set_channel(joint, Channel::TurnZ, turn(frame, joint));
            }
            mechanism.evaluate_all(&mut pose);
            black_box(pose.world(25));
        }
    });
}

fn planted() {
    let (mechanism, mut pose) = planted_hand(&DIGITS);
    // Small enough that every pad stays where it was planted.
    let turns: Vec<[f64; 3]> = (0..FRAMES)
        .map(|frame| 0.1 * frame as f64)
        .map(|at| [at, 1.7 * at + 1.0, 2.3 * at + 2.0].map(|at| 0.03 * libm::sin(at)))
        .collect();
    measured(&mut || {
        for [lift, lean, twist] in &turns {
            pose.set_channel(0, Channel::TurnZ, *lift);
            pose.set_channel(0, Channel::TurnY, *lean);
            pose.set_channel(0, Channel::TurnX, *twist);
            mechanism.evaluate(&mut pose);
            black_box(pose.world(20));
        }
    });
}

fn shipped() -> (Document, Posed) {
    let text = include_str!("../../../examples/bench-press.hand.json");
    let document = hand::read(text).expect("a shipped hand");
    let posed = Posed::new(&document).expect("it is sound");
    (document, posed)
}

fn survey() {
    surveyed(false, true);
}

fn surveyed(thumb: bool, rolls: bool) {
    let document = press::document(thumb, rolls);
    let posed = Posed::new(&document).expect("it is sound");
    let [across, up] = press::sweeps(&document, (0.0, 35.0), 3.0);
    measured(&mut || {
        black_box(Survey::run(&posed, across, up).expect("it can be swept"));
    });
}

/// A hand set to one pose after another of a kind.
fn pressed(stand: Stand, rolls: bool) {
    let frames = press::frames(stand);
    let mut posed = Posed::new(&press::document(true, rolls)).expect("it is sound");
    press::set(&mut posed, &frames[0]);
    measured(&mut || {
        for frame in &frames {
            press::set(&mut posed, frame);
            black_box(posed.document());
        }
    });
}

fn view(posed: &Posed) -> View {
    let sight = Sight::Oblique {
        yaw: -0.6,
        pitch: 0.4,
    };
    View::fit(sight, (900.0, 600.0), &extent(posed), 60.0)
}

fn drawn() {
    let (document, ghost) = shipped();
    let lift = document.dial_named("lift").expect("a press dial").id;
    let mut posed = ghost.clone();
    posed.set_dial(lift, 20.0);
    posed.evaluate();
    let view = view(&posed);
    let scene = Scene {
        roles: roles(&document, &[lift]),
        ghost: Some(&ghost),
        ..Scene::default()
    };
    measured(&mut || {
        black_box(draw(&posed, &view, &scene));
    });
}

/// The wrist is pulled upwards by the lift, 2 mm a frame.
fn dragged() {
    let (document, ghost) = shipped();
    let lift = document.dial_named("lift").expect("a press dial").id;
    let wrist = document.node_named("wrist").expect("a hand's wrist").id;
    let mut posed = ghost.clone();
    let view = view(&posed);
    let scene = Scene {
        roles: roles(&document, &[lift]),
        ghost: Some(&ghost),
        ..Scene::default()
    };
    let (start, sight) = (posed.point(wrist), Vec3::z());
    measured(&mut || {
        for frame in 1..=DRAGGED {
            let to = start + Vec3::new(0.0, 2.0 * frame as f64, 0.0);
            let mut setting = posed.setting().clone();
            for (id, value) in pull(&mut posed.clone(), wrist, &[lift], to, sight) {
                setting.set_dial(posed.rig(), id, value);
            }
            posed.set(&setting);
            black_box(draw(&posed, &view, &scene));
        }
    });
    let risen = posed.point(wrist).y - start.y;
    assert!(risen > 20.0, "the wrist rose by {risen} mm only");
}

fn main() {
    let wanted = std::env::args().nth(1).unwrap_or_default();
    if wanted == "list" {
        for (name, acts, _) in WORKS {
            println!("{name}\t{acts}");
        }
        return;
    }
    let work = WORKS.iter().find(|(name, ..)| *name == wanted);
    let (_, _, work) = work.expect("a name that `list` prints");
    work();
}
