//! Evaluating allocates nothing: a global allocator that counts, in a process of its own.
// Counting needs an allocator, and an allocator is unsafe by its trait.
#![allow(unsafe_code)]
mod common;
use common::*;
use kinematics::{Channel, Mechanism, Solver, Vec3};
use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

struct Counting;

thread_local! {
    // By thread: the test harness allocates on its own.
    static CALLS: Cell<usize> = const { Cell::new(0) };
}

unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        CALLS.set(CALLS.get() + 1);
        unsafe { System.alloc(layout) }
    }
    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        CALLS.set(CALLS.get() + 1);
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

#[test]
fn evaluating_allocates_nothing() {
    let solvers = [
        Solver::Aim,
        two_bone(Vec3::z()),
        Solver::DampedLeastSquares {
            iterations: 30,
            tolerance: 1e-9,
        },
        Solver::Fabrik {
            iterations: 30,
            tolerance: 1e-9,
        },
    ];
    // One target, and for each solver a chain of as many joints as it takes, half of it limited.
    let (mut nodes, mut anchors) = (vec![mount(None, [30.0, 20.0, 10.0])], Vec::new());
    for (solver, joints) in solvers.into_iter().zip([1, 2, 6, 6]) {
        let base = nodes.len();
        for index in 0..joints {
            let parent = (index > 0).then(|| base + index - 1);
            let limits = if index % 2 == 0 {
                [FREE; 3]
            } else {
                [(-0.5, 0.5); 3]
            };
            nodes.push(node(parent, [10.0, 0.0, 0.0], limits));
        }
        nodes.push(mount(Some(base + joints - 1), [10.0, 0.0, 0.0]));
        anchors.push(anchor(base, base + joints, 0, solver));
    }
    let count = nodes.len();
    let mechanism = Mechanism::new(nodes, anchors).unwrap();
    let mut pose = mechanism.pose();

    let before = CALLS.get();
    for round in 0..50 {
        for node in 0..count {
            for channel in Channel::ALL {
                pose.set_channel(
                    node,
                    channel,
                    0.02 * (round * (node + 1) % 17 + channel.index()) as f64,
                );
            }
        }
        mechanism.evaluate(&mut pose);
        pose.set_channel(0, Channel::MoveX, -60.0 + 5.0 * round as f64);
        mechanism.evaluate(&mut pose);
        mechanism.evaluate_all(&mut pose);
        pose.set_active(round % 4, round % 8 < 4);
        mechanism.evaluate(&mut pose);
    }
    assert_eq!(CALLS.get() - before, 0);
    drop(vec![0u8; 8]);
    assert_eq!(CALLS.get() - before, 2, "the allocator counts");

    // A clone brings the room that solving takes.
    pose.set_active(0, true);
    let mut clone = pose.clone();
    let before = CALLS.get();
    for joint in 0..count {
        clone.set_channel(joint, Channel::TurnY, 0.3);
    }
    (0..4).for_each(|at| clone.set_hold(at, 0.5));
    mechanism.evaluate(&mut clone);
    assert_eq!(CALLS.get() - before, 0);
}

#[test]
fn planting_a_digit_allocates_nothing() {
    let flat = kinematics::Contact {
        radius: 7.0,
        pad: 45.0,
        changeover: 0.1,
        joints: [8.0, 7.5],
        pitch: 0.4,
        tilt: 0.0,
        heading: 1.6,
        round: None,
    };
    let round = kinematics::Contact {
        round: Some(kinematics::Round {
            radius: 20.0,
            ahead: 0.0,
            aside: 0.1,
            spread: (-3.0, 3.0),
        }),
        ..flat
    };
    for contact in [None, Some(flat), Some(round)] {
        plant(Solver::Finger {
            coupling: 2.0 / 3.0,
            rest: 0.2,
            give: 0.1,
            contact,
        });
    }
    // On a flat surface this one is at a limit all the while.
    for contact in [None, Some(round)] {
        plant(Solver::Thumb {
            rest: [0.2, 0.1],
            contact,
        });
    }
}

fn plant(solver: Solver) {
    let locked = LOCKED;
    let mut nodes = vec![
        mount(None, [0.0; 3]),
        node(None, [0.0; 3], [(-0.1, 0.1), locked, (-0.8, 1.6)]),
        node(Some(1), [0.0, -40.0, 0.0], [locked, locked, (0.0, 1.7)]),
        node(Some(2), [0.0, -25.0, 0.0], [locked, locked, (0.0, 1.5)]),
        mount(Some(3), [4.0, -12.0, 0.0]),
    ];
    nodes[1].order = kinematics::Order::Xzy;
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 4, 0, solver)]).unwrap();
    let mut pose = mechanism.pose();
    let before = CALLS.get();
    let mut limited = 0;
    for round in 0..100 {
        pose.set_channel(0, Channel::MoveX, 0.6 * round as f64);
        pose.set_channel(0, Channel::MoveY, -70.0 + 0.3 * round as f64);
        pose.set_channel(0, Channel::MoveZ, -20.0 + 0.5 * round as f64);
        pose.set_collapse(0, 0.3 * (round % 3) as f64);
        pose.set_hold(0, 1.0 - 0.2 * (round % 4) as f64);
        mechanism.evaluate(&mut pose);
        limited += usize::from(pose.outcome(0).limited);
    }
    assert_eq!(CALLS.get() - before, 0);
    assert!(
        limited > 0 && limited < 100,
        "both ways are tried: {limited}"
    );
}
