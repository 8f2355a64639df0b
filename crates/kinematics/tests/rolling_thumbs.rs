//! A thumb that rolls: the law recomputed here from where its bones are, continuity, letting go,
//! limits and mirrors. (Against SciPy and the no-slip condition: tests/reference.)
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod common;
use common::*;
use kinematics::{Channel, Contact, Mechanism, Node, Order, Pose, Rotation, Solver, Vec3};
use nalgebra::Quaternion;

/// Of the flesh, mm and radians: half a width of 19 mm drawn, and what follows (chosen, as the
/// fingers').
const RADIUS: f64 = 9.12;
const PAD: f64 = 57.0;
const CHANGEOVER: f64 = 5.0 * std::f64::consts::PI / 180.0;
const JOINTS: [f64; 2] = [11.0, 9.5];
const REST: [f64; 2] = [8.0, 10.0];
/// Of the nodes below.
const PIVOT: usize = 0;
const BASE: usize = 2;
const MIDDLE: usize = 3;
const LAST: usize = 4;
const END: usize = 5;
const TARGET: usize = 6;

fn about(axis: Vec3, degrees: f64) -> Rotation {
    Rotation::from_scaled_axis(axis * degrees.to_radians())
}

/// A right hand's thumb under a palm that lies 18 mm over a bench and turns about a pivot at its
/// knuckles (bones after Buryanov & Kotiuk 2010, places and the rest assumed). `side` −1: a left one.
fn nodes(side: f64) -> Vec<Node> {
    let hinge = |low: f64, high: f64| [LOCKED, LOCKED, (low.to_radians(), high.to_radians())];
    let range = |low: f64, high: f64| (low.to_radians(), high.to_radians());
    // In numbers that a mirror leaves alone.
    let half = std::f64::consts::FRAC_1_SQRT_2;
    let down = Rotation::new_unchecked(Quaternion::new(0.0, half, -half, 0.0));
    let splay =
        about(Vec3::x(), -40.6 * side) * about(Vec3::z(), 2.5) * about(Vec3::y(), 70.0 * side);
    let fan = about(Vec3::x(), -28.4 * side) * about(Vec3::y(), 70.0 * side);
    let at = |parent, at: [f64; 3], rotation, limits| {
        let mut node = node(parent, [at[0], at[1], at[2]], limits);
        node.rest.rotation = rotation;
        node.order = Order::Xzy;
        node
    };
    let flat = Rotation::identity();
    let across = if side > 0.0 {
        range(-70.0, 10.0)
    } else {
        range(-10.0, 70.0)
    };
    vec![
        at(None, [0.0; 3], flat, [FREE; 3]),
        at(Some(0), [-90.0, 18.0, 0.0], down, [LOCKED; 3]),
        at(
            Some(1),
            [4.0, -18.0, 22.0 * side],
            splay,
            [across, LOCKED, range(-20.0, 15.0)],
        ),
        at(
            Some(2),
            [0.0, -46.2, 0.0],
            splay.inverse() * fan,
            hinge(-8.0, 50.0),
        ),
        at(Some(3), [0.0, -31.6, 0.0], flat, hinge(-20.0, 80.0)),
        at(Some(4), [0.21, -(27.4 - RADIUS), 0.0], flat, [LOCKED; 3]),
        at(None, [0.0; 3], flat, [LOCKED; 3]),
    ]
}

/// What of a pitch is on the pad's arc.
fn on_pad(pitch: f64) -> f64 {
    (pitch - CHANGEOVER).min(0.0)
}

/// How the flesh lies on a level surface: pitch, tilt, heading, and the core from the tip's centre.
fn lie(rotation: &Rotation) -> ([f64; 3], Vec3) {
    let [x, b, z] = [Vec3::x(), -Vec3::y(), Vec3::z()].map(|axis| rotation * axis);
    let pitch = (-b.y).atan2(-x.y);
    let forward = z.cross(&Vec3::y());
    let normal = |pitch: f64| x * pitch.cos() + b * pitch.sin();
    let core = (normal(CHANGEOVER + on_pad(pitch)) - normal(CHANGEOVER)) * (PAD - RADIUS);
    ([pitch, (-z.y).asin(), (-forward.z).atan2(forward.x)], core)
}

/// The law: where the core is to be, the last bone having been turned by `turn` since it was planted.
fn rolled(contact: &Contact, [pitch, _, heading]: [f64; 3], turn: &Rotation) -> Vec3 {
    let mut by = heading - contact.heading;
    by -= (by / std::f64::consts::TAU).round() * std::f64::consts::TAU;
    let angle = contact.heading + 0.5 * by;
    let level = Vec3::new(angle.cos(), 0.0, -angle.sin());
    turn.scaled_axis().cross(&Vec3::y()) * RADIUS
        + level * ((PAD - RADIUS) * (on_pad(pitch) - on_pad(contact.pitch)))
}

struct Thumb {
    mechanism: Mechanism,
    pose: Pose,
    contact: Contact,
    planted: (Vec3, Rotation),
}

/// Planted: brought down by its abduction until the flesh touches.
fn thumb(side: f64) -> Thumb {
    let mut nodes = nodes(side);
    let free = Mechanism::new(nodes.clone(), vec![]).unwrap();
    let mut pose = free.pose();
    let mut core = |across: f64| {
        pose.set_channel(BASE, Channel::TurnX, across.to_radians() * side);
        pose.set_channel(MIDDLE, Channel::TurnZ, REST[0].to_radians());
        pose.set_channel(LAST, Channel::TurnZ, REST[1].to_radians());
        free.evaluate(&mut pose);
        let (lies, core) = lie(&pose.world(LAST).rotation);
        (place(&pose, END) + core, lies)
    };
    let (mut low, mut high) = (-70.0, 10.0);
    for _ in 0..60 {
        let across = 0.5 * (low + high);
        if core(across).0.y > RADIUS {
            high = across;
        } else {
            low = across;
        }
    }
    assert!(high < 9.0, "it comes down within its range");
    let (at, [pitch, tilt, heading]) = core(0.5 * (low + high));
    let turned = pose.world(LAST).rotation;
    nodes[TARGET].rest.translation = at.into();
    let contact = Contact {
        radius: RADIUS,
        pad: PAD,
        changeover: CHANGEOVER,
        joints: JOINTS,
        pitch,
        tilt,
        heading,
        round: None,
    };
    let solver = Solver::Thumb {
        rest: REST.map(f64::to_radians),
        contact: Some(contact),
    };
    let mechanism = Mechanism::new(nodes, vec![anchor(BASE, END, TARGET, solver)]).unwrap();
    let pose = mechanism.pose();
    Thumb {
        mechanism,
        pose,
        contact,
        planted: (at, turned),
    }
}

impl Thumb {
    /// Lifts, leans and twists the palm, degrees, about the pivot.
    fn press(&mut self, [lift, lean, twist]: [f64; 3]) {
        let turns = [lean, twist, lift].map(f64::to_radians);
        set_turns(&mut self.pose, PIVOT, turns);
        self.mechanism.evaluate(&mut self.pose);
    }

    fn turns(&self) -> [f64; 4] {
        let [outer, _, inner] = self.mechanism.turns(&self.pose, BASE);
        let [middle, last] = [MIDDLE, LAST].map(|node| self.mechanism.turns(&self.pose, node)[2]);
        [outer, inner, middle, last]
    }

    /// The core from where it is to have rolled, and how it lies.
    fn missed(&self) -> (f64, [f64; 3]) {
        let rotation = self.pose.world(LAST).rotation;
        let (lies, core) = lie(&rotation);
        let at = place(&self.pose, END) + core;
        let (planted, before) = self.planted;
        let turn = rotation * before.inverse();
        (
            (at - planted - rolled(&self.contact, lies, &turn)).norm(),
            lies,
        )
    }
}

/// Ways of pressing, in parts of 1, and how far the palm goes along them either way, degrees.
const WAYS: [([f64; 3], f64, f64); 9] = [
    ([1.0, 0.0, 0.0], -62.0, 6.0),
    ([0.0, 1.0, 0.0], -24.0, 24.0),
    ([0.0, 0.0, 1.0], -24.0, 24.0),
    ([1.0, 0.5, 0.0], -30.0, 6.0),
    ([1.0, -0.5, 0.0], -30.0, 6.0),
    ([1.0, 0.0, 0.4], -30.0, 6.0),
    ([1.0, 0.0, -0.4], -30.0, 6.0),
    ([0.2, 1.0, 0.4], -15.0, 15.0),
    ([-0.2, 1.0, -0.6], -15.0, 15.0),
];

/// Along every way: held fully the flesh is where the law has it, what it misses otherwise is told,
/// and the pose does not depend on the ones before.
#[test]
fn held_flesh_is_where_it_has_rolled() {
    let mut thumb = thumb(1.0);
    thumb.press([0.0; 3]);
    for (turn, rest) in thumb.turns()[2..].iter().zip(REST) {
        assert!((turn.to_degrees() - rest).abs() < 1e-9, "{turn}");
    }
    let (mut held, mut eased, mut gone, mut padded) = (0, 0, 0, 0);
    for (way, from, to) in WAYS {
        for step in 0..=300 {
            let by = from + (to - from) * f64::from(step) / 300.0;
            thumb.press(way.map(|way| way * by));
            let outcome = *thumb.pose.outcome(0);
            let (missed, [pitch, ..]) = thumb.missed();
            assert!(
                (outcome.residual - missed).abs() < 1e-9,
                "{way:?} {by}: {outcome:?} {missed}"
            );
            if outcome.hold == 1.0 {
                held += 1;
                padded += usize::from(pitch < CHANGEOVER);
                assert!(missed < 1e-9, "{way:?} {by}: {missed} {outcome:?}");
            } else if outcome.hold > 0.0 {
                eased += 1;
            } else {
                gone += 1;
            }
            let mut afresh = thumb.mechanism.pose();
            set_turns(
                &mut afresh,
                PIVOT,
                [way[1] * by, way[2] * by, way[0] * by].map(f64::to_radians),
            );
            thumb.mechanism.evaluate(&mut afresh);
            assert_eq!(afresh.world(END), thumb.pose.world(END));
        }
    }
    assert!(
        held > 1000 && eased > 100 && gone > 10 && padded > 50,
        "{held} {eased} {gone} {padded}"
    );
}

/// How far a joint moves at most in one step of a way, degrees by degree, and where.
fn fastest(thumb: &mut Thumb, way: [f64; 3], from: f64, to: f64, step: f64) -> (f64, f64) {
    let mut most = (0.0, 0.0);
    let mut before: Option<[f64; 4]> = None;
    for index in 0..=((to - from) / step) as i32 {
        let by = from + f64::from(index) * step;
        thumb.press(way.map(|way| way * by));
        let now = thumb.turns();
        if let Some(before) = before.replace(now) {
            for (now, before) in now.iter().zip(before) {
                let speed = (now - before).abs().to_degrees() / step;
                if speed > most.0 {
                    most = (speed, by);
                }
            }
        }
    }
    most
}

/// Along every way no joint turns by more than 1.2° in a tenth of a degree; nor does it jump: in
/// a thousandth of that, near the fastest place, it turns by no more than 0.03°.
#[test]
fn no_joint_jumps() {
    let mut thumb = thumb(1.0);
    for (way, from, to) in WAYS {
        let coarse = fastest(&mut thumb, way, from, to, 0.1);
        let fine = fastest(&mut thumb, way, coarse.1 - 0.3, coarse.1 + 0.3, 0.0001);
        assert!(coarse.0 < 12.0, "{way:?}: {coarse:?}");
        // In a thousandth of the step a jump would be as far as before.
        assert!(fine.0 < 300.0, "{way:?}: {coarse:?} {fine:?}");
    }
}

/// The mirror of a thumb has the mirrored pose, to the bit.
#[test]
fn rolling_thumbs_mirror() {
    let (mut right, mut left) = (thumb(1.0), thumb(-1.0));
    for (way, from, to) in WAYS {
        for step in 0..=40 {
            let by = from + (to - from) * f64::from(step) / 40.0;
            let [lift, lean, twist] = way.map(|way| way * by);
            right.press([lift, lean, twist]);
            left.press([lift, -lean, -twist]);
            let [outer, inner, middle, last] = right.turns();
            assert_eq!([-outer, inner, middle, last], left.turns(), "{way:?} {by}");
            assert_eq!(right.pose.outcome(0), left.pose.outcome(0));
        }
    }
}

/// Let go it rests: no sphere of its flesh is in the surface as long as its base is not at a limit, and high over it
/// the thumb has its channels' pose. Partly let go its tip does not sink.
#[test]
fn let_go_it_rests_on_the_surface() {
    let mut thumb = thumb(1.0);
    let relaxed = [-0.2, 0.05, 0.15, 0.2];
    let [outer, inner, middle, last] = relaxed;
    set_turns(&mut thumb.pose, BASE, [outer, 0.0, inner]);
    set_turns(&mut thumb.pose, MIDDLE, [0.0, 0.0, middle]);
    set_turns(&mut thumb.pose, LAST, [0.0, 0.0, last]);
    let (mut resting, mut blocked) = (0, 0);
    for (way, from, to) in WAYS {
        for step in 0..=200 {
            let by = from + (to - from) * f64::from(step) / 200.0;
            for hold in [0.0, 0.3, 0.9] {
                thumb.pose.set_active(0, hold > 0.0);
                thumb.pose.set_hold(0, hold);
                thumb.press(way.map(|way| way * by));
                let outcome = *thumb.pose.outcome(0);
                assert!(outcome.hold <= hold);
                let tip = place(&thumb.pose, END).y - RADIUS;
                if outcome.limited {
                    blocked += 1;
                }
                // A palm that leans on its thumb leaves it no way out but through its limit; one that
                // lifts lets it bend under.
                let lifts = way[1] == 0.0 && way[2] == 0.0;
                let room = match (outcome.limited, lifts && hold == 0.0) {
                    (false, _) => 1e-8,
                    (true, true) => 1.0,
                    (true, false) => continue,
                };
                assert!(tip > -room, "{way:?} {by} {hold}: {tip}");
                if hold > 0.0 {
                    continue;
                }
                for (node, radius) in [(MIDDLE, JOINTS[0]), (LAST, JOINTS[1])] {
                    let depth = radius - place(&thumb.pose, node).y;
                    assert!(depth < room, "{way:?} {by}: {node} {depth}");
                }
                let moved = (thumb.turns()[0] - outer).abs();
                resting += usize::from(moved > 1e-12);
                if !outcome.limited {
                    for (turn, relaxed) in thumb.turns().into_iter().zip(relaxed).skip(1) {
                        assert!((turn - relaxed).abs() < 1e-12);
                    }
                }
            }
        }
    }
    assert!(resting > 500 && blocked < 1500, "{resting} {blocked}");
    thumb.pose.set_active(0, false);
    send(&thumb.mechanism, &mut thumb.pose, PIVOT, Vec3::y() * 90.0);
    for (turn, relaxed) in thumb.turns().into_iter().zip(relaxed) {
        assert!((turn - relaxed).abs() < 1e-12);
    }
}

/// Held by nobody it is not sought, and its reach is told from where it was planted.
#[test]
fn let_go_its_reach_is_told_from_where_it_was_planted() {
    let mut thumb = thumb(1.0);
    thumb.pose.set_active(0, false);
    let mut margins = [0.0, 40.0].map(|lift| {
        thumb.pose.set_channel(PIVOT, Channel::MoveY, lift);
        thumb.mechanism.evaluate(&mut thumb.pose);
        let place = |node| thumb.pose.world(node).translation.vector;
        let outcome = thumb.pose.outcome(0);
        assert_eq!((outcome.hold, outcome.iterations), (0.0, 0));
        outcome.reach_margin + (place(BASE) - place(TARGET)).norm()
    });
    margins[1] -= margins[0];
    assert!(margins[0] > 60.0 && margins[1].abs() < 1e-12, "{margins:?}");
}
