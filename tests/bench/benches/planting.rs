//! A whole hand with five planted digits, and one digit by itself in reach, out of reach and
//! held by a limit of its knuckle.
use bench::{DIGITS, planted_hand, rolling_hand};
use criterion::{Criterion, criterion_group, criterion_main};
use kinematics::{Channel, Mechanism, Pose};
use std::hint::black_box;
use std::time::Duration;

/// Turns and shifts of the wrist's control. The pads stay where they were planted.
fn frames(size: f64) -> Vec<[f64; 3]> {
    (0..64)
        .map(|frame| f64::from(frame) * 0.1)
        .map(|at| {
            [
                size * libm::sin(at),
                size * libm::sin(1.7 * at + 1.0),
                size * libm::sin(2.3 * at + 2.0),
            ]
        })
        .collect()
}

fn lift(mechanism: &Mechanism, pose: &mut Pose, [lift, lean, twist]: [f64; 3]) {
    pose.set_channel(0, Channel::TurnZ, lift);
    pose.set_channel(0, Channel::TurnY, lean);
    pose.set_channel(0, Channel::TurnX, twist);
    mechanism.evaluate(pose);
}

/// How many of the digits miss their pads, and how many stand at a limit, over all frames.
fn counted(mechanism: &Mechanism, pose: &mut Pose, frames: &[[f64; 3]]) -> (usize, usize) {
    let (mut missed, mut limited) = (0, 0);
    for &frame in frames {
        lift(mechanism, pose, frame);
        for anchor in 0..mechanism.anchors().len() {
            missed += usize::from(pose.outcome(anchor).residual > 1e-9);
            limited += usize::from(pose.outcome(anchor).limited);
        }
    }
    (missed, limited)
}

fn planting(criterion: &mut Criterion) {
    for (digits, rolls, name) in [
        (&DIGITS[..0], false, "no digit planted"),
        (&DIGITS[..], false, "five digits planted"),
        (
            &DIGITS[..],
            true,
            "five digits planted, the fingers rolling",
        ),
        (&DIGITS[1..2], false, "one finger planted"),
        (&DIGITS[1..2], true, "one finger rolling"),
        (&DIGITS[..1], false, "the thumb planted"),
    ] {
        let mut group = criterion.benchmark_group(format!("a hand, {name}"));
        group
            .warm_up_time(Duration::from_millis(500))
            .measurement_time(Duration::from_secs(2));
        for size in [0.03, 0.3, 1.0] {
            let (mechanism, mut pose) = if rolls {
                rolling_hand(digits)
            } else {
                planted_hand(digits)
            };
            let frames = frames(size);
            let (missed, limited) = counted(&mechanism, &mut pose, &frames);
            println!(
                "{name}, control turned by {size}: of {} solves {missed} miss, {limited} at a limit",
                64 * digits.len()
            );
            let mut frame = 0;
            group.bench_function(format!("control turned by {size}"), |bencher| {
                bencher.iter(|| {
                    frame = (frame + 1) % 64;
                    lift(&mechanism, &mut pose, frames[frame]);
                    black_box(pose.world(20));
                });
            });
        }
        group.finish();
    }
}

criterion_group!(benches, planting);
criterion_main!(benches);
