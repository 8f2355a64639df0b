//! The dials of a press: what lifts, rolls, leans and twists the hand, loads and lets go of its
//! digits, and moves the surface. What a drag of a handle turns is here too.
use super::make::{dial, id, made, turn};
use super::rollers::Rollers;
use super::skeleton::Scale;
use super::standing::Touch;
use super::{arm, fingers, make};
use Ramp::{Falling, Rising, RisingPast, Whole};
use recipe::bones::{self, loaded};
use recipe::{Hand, Planting, Stance};
use rig::Channel::{self, MoveX, MoveY, TurnX, TurnY, TurnZ};
use rig::*;

/// Degrees of roll about the knuckles before the tips take over.
const TIPS_FROM: f64 = 35.0;
/// Degrees of changeover of roll and lean, and of lift to the heel.
const SOFTNESS: f64 = 4.0;
const LIFT_SOFTNESS: f64 = 3.0;
/// Degrees of extension that the knuckles keep of what pressing bends them to: the rest of lift and
/// roll together goes on to the tips, whose roll extends a finger's knuckle a little farther. At 15
/// (55° for the table's hand) the middle finger came to its end under 40° of each and was dragged;
/// at 20 it was 0.25 mm deep where lean and twist came in.
const KNUCKLES_KEEP: f64 = 24.0;
/// How far a surface can be turned, degrees.
const TILT: (f64, f64) = (-45.0, 45.0);
/// What an arm's shoulder follows of a lift or a roll, mm per degree in the table's hand:
/// forwards and up. Assumed: about a third of the wrist's own way.
const FOLLOWS: [f64; 2] = [0.2, 0.5];

/// What of a palm's pitch is its wrist's: the forearm has the rest. Chosen here; so a palm that
/// stands a little past upright leaves its fingers straight, and not bent backwards.
const WRISTS: f64 = 2.0 / 3.0;

/// A turn that a dial gives a control: which, about what, by how much, from when.
type Turn = (&'static str, Channel, f64, Ramp);

/// A dial's name, limits, softness and turns.
type Staged = (&'static str, f64, f64, Option<f64>, &'static [Turn]);

/// The press dials, then the raw angle of each pivot they stage. A turn about z is negative
/// where it raises the wrist; about x, where it raises the little finger's side. The limits of the
/// four are a little beyond where the table's hand has let go with every finger that lets go.
const STAGED: [Staged; 8] = [
    (
        "lift",
        -30.0,
        75.0,
        Some(LIFT_SOFTNESS),
        &[
            ("knuckles", TurnZ, -1.0, Whole),
            // What the heel takes over is taken back.
            ("knuckles", TurnZ, -1.0, Falling),
            ("heel", TurnZ, 1.0, Falling),
        ],
    ),
    (
        "roll",
        -30.0,
        100.0,
        Some(SOFTNESS),
        &[
            ("heel", TurnZ, 1.0, Falling),
            ("knuckles", TurnZ, -1.0, Rising),
            ("knuckles", TurnZ, 1.0, RisingPast(TIPS_FROM)),
            ("tips", TurnZ, -1.0, RisingPast(TIPS_FROM)),
        ],
    ),
    (
        "lean",
        -25.0,
        25.0,
        Some(SOFTNESS),
        &[
            ("inner edge", TurnX, -1.0, Rising),
            ("outer edge", TurnX, 1.0, Falling),
        ],
    ),
    ("twist", -15.0, 15.0, None, &[("twist", TurnY, 1.0, Whole)]),
    (
        "raw tips",
        -90.0,
        90.0,
        None,
        &[("tips", TurnZ, -1.0, Whole)],
    ),
    (
        "raw inner edge",
        -45.0,
        45.0,
        None,
        &[("inner edge", TurnX, -1.0, Whole)],
    ),
    (
        "raw outer edge",
        -45.0,
        45.0,
        None,
        &[("outer edge", TurnX, 1.0, Whole)],
    ),
    (
        "raw heel",
        -60.0,
        60.0,
        None,
        &[("heel", TurnZ, 1.0, Whole)],
    ),
];

pub(super) fn add_press(
    document: &mut Document,
    hand: &Hand,
    planting: &Planting,
    touch: &Touch,
    rollers: &Rollers,
    scale: Scale,
) {
    let follows = match document.node_named("shoulder") {
        Some(shoulder) => vec![(shoulder.id, scale.long)],
        None => Vec::new(),
    };
    for (name, min, max, softness, turns) in STAGED {
        let mut drives = Vec::new();
        for &(node, channel, gain, ramp) in turns {
            let pivot = id(document, node);
            drives.push(Drive {
                ramp,
                ..turn(pivot, channel, gain)
            });
            if let Some((channel, mm)) = rollers.travel(node, channel) {
                drives.push(Drive {
                    ramp,
                    ..turn(pivot, channel, gain * mm)
                });
            }
        }
        let share = match name {
            "lift" => Some(Whole),
            "roll" => Some(Rising),
            _ => None,
        };
        for (&(shoulder, long), ramp) in follows.iter().zip(share) {
            for (channel, mm) in [MoveX, MoveY].into_iter().zip(FOLLOWS) {
                drives.push(Drive {
                    ramp,
                    ..turn(shoulder, channel, mm * long)
                });
            }
        }
        dial(document, name, (min, max), drives).softness = softness;
    }
    if matches!(planting.stance, Stance::Flat | Stance::Fingertips) {
        add_links(document, hand, rollers);
    }
    add_surface(document, planting.surface.tilt);
    add_plants(document);
    let knuckle = |name: &str| touch.knuckles.iter().find(|(of, _)| of == name);
    fingers::add_shapes(document, hand, |digit| {
        knuckle(&digit.name).map(|(_, flexion)| *flexion)
    });
    if planting.stance == Stance::Fist {
        // A fist has its flexion by its curl.
        for (name, value) in [("rest flexion", 0.0), ("curl", 100.0)] {
            let dial = document.dial_named(name).expect("just made").id;
            document.set_value(dial, value);
        }
    }
    arm::add_dials(document);
    fingers::add_joints(document, hand);
    grip(document);
}

/// The knuckles pass on to the tips what they cannot turn; and relaxed fingers follow the wrist,
/// as tendons that run over it make them: a palm whose fingertips rise against its forearm closes
/// them. Fingers that are held have no say in it.
fn add_links(document: &mut Document, hand: &Hand, rollers: &Rollers) {
    let [knuckles, tips, heel] = ["knuckles", "tips", "heel"].map(|name| id(document, name));
    let passed = |node, channel, gain| Passed {
        node,
        channel,
        gain,
    };
    let mut to = vec![passed(tips, TurnZ, 1.0)];
    to.extend(
        rollers
            .travel("tips", TurnZ)
            .map(|(channel, mm)| passed(tips, channel, mm)),
    );
    document.links.push(Link {
        node: knuckles,
        channel: TurnZ,
        share: Share::Past {
            from: loaded::knuckle_flexion(hand.suppleness).0 + KNUCKLES_KEEP,
            softness: SOFTNESS,
        },
        to,
    });
    let mut to = Vec::new();
    for digit in hand.digits.iter().filter(|digit| !digit.thumb) {
        for (joint, gain) in fingers::FLEXES.into_iter().zip(bones::FOLLOWS_WRIST) {
            let joint = id(document, &format!("{}-{joint}", digit.name));
            to.push(passed(joint, TurnZ, WRISTS * gain));
        }
    }
    for node in [tips, heel, knuckles] {
        document.links.push(Link {
            node,
            channel: TurnZ,
            share: Share::All { from: 0.0 },
            to: to.clone(),
        });
    }
}

/// A surface that moves carries all that is planted on it, and every control.
fn add_surface(document: &mut Document, tilt: f64) {
    let surface = id(document, "surface");
    // Up and forwards in the world, along the axes of a surface that is tilted.
    let (s, c) = libm::sincos(tilt.to_radians());
    for (name, [x, y]) in [("surface height", [s, c]), ("surface travel", [c, 0.0 - s])] {
        let drives = vec![turn(surface, MoveX, x), turn(surface, MoveY, y)];
        dial(document, name, make::TRAVEL, drives).unit = Unit::Millimetres;
    }
    let drives = vec![turn(surface, TurnZ, 1.0)];
    dial(document, "surface tilt", TILT, drives);
}

/// Letting go of each planted digit, the thumb first, and the load on the fingers' last joints.
fn add_plants(document: &mut Document) {
    let held = document.anchors.iter().zip(&document.setting.active);
    let held = held.filter_map(|(anchor, &active)| active.then_some(anchor));
    let mut held: Vec<_> = held
        .filter(|anchor| matches!(anchor.solver, Solver::Finger { .. } | Solver::Thumb { .. }))
        .map(|anchor| (anchor.id, anchor.name.clone(), anchor.solver))
        .collect();
    let later = |solver: &Solver| !matches!(solver, Solver::Thumb { .. });
    few::sort(&mut held, |a, b| later(&a.2).cmp(&later(&b.2)));
    for (anchor, name, _) in &held {
        let drive = Drive {
            target: Target::Hold(*anchor),
            gain: -0.01,
            ramp: Whole,
        };
        let name = format!("release {name}");
        dial(document, &name, (0.0, 100.0), vec![drive]).unit = Unit::Percent;
    }
    // At 100 % a loaded last joint stays straight, past that it bows back.
    let loads = |anchor: &AnchorId| Drive {
        target: Target::Collapse(*anchor),
        gain: bones::COUPLING / 100.0,
        ramp: Whole,
    };
    held.retain(|(.., solver)| matches!(solver, Solver::Finger { .. }));
    let all: Vec<_> = held.iter().map(|(anchor, ..)| loads(anchor)).collect();
    let each = held
        .iter()
        .map(|(anchor, name, _)| (format!("collapse {name}"), vec![loads(anchor)]));
    let each: Vec<_> = each.collect();
    if all.is_empty() {
        return;
    }
    for (name, drives) in std::iter::once(("collapse".to_owned(), all)).chain(each) {
        dial(document, &name, (0.0, 150.0), drives).unit = Unit::Percent;
    }
}

/// What is dragged turns what moves it.
fn grip(document: &mut Document) {
    for (node, dials) in [
        ("wrist", &["lift"] as &[&str]),
        ("roll handle", &["roll"]),
        ("lean handle", &["lean"]),
        ("twist handle", &["twist"]),
        ("surface", &["surface travel", "surface height"]),
        ("shoulder", &["shoulder forward", "shoulder up"]),
        ("elbow pole", &["elbow swing"]),
    ] {
        let dials = dials
            .iter()
            .filter_map(|name| document.dial_named(name).map(|dial| dial.id));
        let dials: Vec<_> = dials.collect();
        if !dials.is_empty() && document.node_named(node).is_some() {
            made(document, node).grip = Grip::Dials(dials);
        }
    }
}
