//! Ends that roll on what is round, against SciPy: a circle whose point in contact is at rest, by
//! integration on a rail, on an edge between its flat parts and about a corner; and on a rail the
//! closed form of circle on circle.
#![allow(clippy::disallowed_methods)] // a check does not lean on what it checks
use super::contact::{Case, finger, lying, plant};
use kinematics::{Rotation, Round, Transform, Vec3};
use reference::{PHALANGES, between, numbers, oracle};
use serde_json::json;
use std::f64::consts::PI;

/// The tip's place seen from where it was planted, and the bone's pitch against the target.
fn seen(case: &Case, pose: &kinematics::Pose) -> ([f64; 2], f64) {
    let tip = case.surface.inverse() * *pose.world(3);
    let last = case.surface.rotation.inverse() * pose.world(2).rotation;
    let pitch = (-(last * -Vec3::y()).y).atan2(-(last * Vec3::x()).y);
    assert!(tip.translation.z.abs() < 1e-9, "in one plane");
    ([tip.translation.x, tip.translation.y], pitch)
}

#[test]
fn an_end_rolls_round_a_rail_an_edge_and_a_corner() {
    let mut random = fastrand::Rng::with_seed(21);
    let (mut asked, mut ours) = (Vec::new(), Vec::new());
    let (mut closed, mut round_part) = (0, [0; 4]);
    for index in 0..200 {
        let lengths = PHALANGES[index % 4];
        let radius = between(&mut random, 5.0, 9.0);
        let kind = index / 4 % 4;
        let curve = if kind == 3 {
            0.0
        } else {
            between(&mut random, 8.0, 70.0)
        };
        // A rail; an edge planted on its round part, and on the flat after it; a corner.
        let (ahead, spread) = match kind {
            0 => (0.0, (-PI, PI)),
            1 => (0.0, (-0.05, PI / 2.0)),
            2 => (-between(&mut random, 0.0, 1.0), (-PI / 2.0, 0.0)),
            _ => (0.0, (-PI / 4.0, PI / 4.0)),
        };
        let tip = Vec3::new(0.17, radius - lengths[2], 0.0);
        let bent = [
            0.0,
            between(&mut random, -0.2, 0.1),
            between(&mut random, 0.4, 0.7),
        ];
        let joints = finger(lengths, [(-0.5, 0.5), (-1.5, 1.5), (0.0, 1.9)], tip);
        let (mut contact, at) = plant(&joints, bent, lying(), [radius, 3.0 * radius, -1.0]);
        contact.joints = [0.5; 2];
        contact.round = Some(Round {
            radius: curve,
            ahead,
            aside: 0.0,
            spread,
        });
        let (mut to, mut places) = (Vec::new(), Vec::new());
        for step in 0..40 {
            // Pressed on, its knuckle goes round the surface.
            let by = Vec3::new(0.15, -0.25, 0.0) * f64::from(step);
            let turn = Rotation::from_scaled_axis(Vec3::z() * (0.02 * f64::from(step)));
            let surface = Transform::from_parts((at + by).into(), turn * lying());
            let case = Case {
                joints: joints.clone(),
                lengths,
                tip,
                contact,
                surface,
            };
            let (_, pose) = case.solved();
            let outcome = pose.outcome(0);
            if outcome.hold < 1.0 || outcome.limited {
                continue;
            }
            assert!(outcome.residual < 1e-9, "{outcome:?}");
            let (place, pitch) = seen(&case, &pose);
            if kind == 0 {
                let turn = (pitch - contact.pitch) * radius / (curve + radius);
                let far = curve + radius;
                let off = (place[0] - far * turn.sin()).hypot(place[1] - far * (turn.cos() - 1.0));
                assert!(off < 1e-9, "{index} {step}: {off}");
                closed += 1;
            }
            let far = (place[0] - ahead).atan2(place[1] + curve + radius);
            round_part[kind] += usize::from(far > spread.0 && far < spread.1 && place[0] != 0.0);
            to.push(pitch);
            places.push(place);
        }
        asked.push(
            json!({"radius": radius, "curve": curve, "ahead": ahead, "spread": [spread.0, spread.1],
            "from": contact.pitch, "to": to}),
        );
        ours.push(places);
    }
    let scipy = oracle("contact", &json!({"task": "roll-round", "cases": asked}));
    let (mut count, mut worst) = (0, 0.0_f64);
    for (ours, theirs) in ours.iter().zip(scipy.as_array().expect("a list")) {
        for (ours, theirs) in ours.iter().zip(theirs.as_array().expect("a list")) {
            let theirs = numbers(theirs);
            worst = worst.max((ours[0] - theirs[0]).hypot(ours[1] - theirs[1]));
            count += 1;
        }
    }
    println!(
        "{count} places of a rolling end, {closed} on rails, {round_part:?} on round parts by kind, at most {worst:.1e} mm apart"
    );
    assert!(
        count > 2000 && closed > 500 && worst < 1e-8,
        "{count} {closed} {worst}"
    );
    assert!(
        round_part.iter().all(|&count| count > 200),
        "{round_part:?}"
    );
}
