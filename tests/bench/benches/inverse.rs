//! Inverse kinematics, position only: two links in closed form and six by damped least
//! squares, beside the Jacobian solver of the `k` crate, at a residual no worse than its.
use bench::{arm, ours, peers};
use criterion::{Criterion, criterion_group, criterion_main};
use k::InverseKinematicsSolver;
use kinematics::{Anchor, Channel, Mechanism, Pose, Solver, Vec3};
use std::hint::black_box;
use std::time::Duration;

/// A micrometre, in mm: where the peer is told to stop. It ends well below, so our
/// iterative solver is told less, to end no higher.
const ENOUGH: f64 = 1e-3;

fn start(links: usize) -> Vec<f64> {
    (0..links).map(|joint| 0.3 + 0.1 * joint as f64).collect()
}

/// Places the end can be at, near the start: turned a little at every joint.
fn targets(links: usize) -> Vec<Vec3> {
    let mechanism = Mechanism::new(ours(&arm(links)), vec![]).expect("a sound mechanism");
    let mut pose = mechanism.pose();
    let mut target = |case: usize| {
        for (joint, turn) in start(links).into_iter().enumerate() {
            let nudge = 0.25 * ((case * 7 + joint * 5) % 11) as f64 / 5.0 - 0.25;
            pose.set_channel(joint, Channel::TurnZ, turn + nudge);
        }
        mechanism.evaluate(&mut pose);
        pose.world(links).translation.vector
    };
    (0..64).map(&mut target).collect()
}

fn send(mechanism: &Mechanism, pose: &mut Pose, to: &Vec3) -> f64 {
    for (axis, channel) in [Channel::MoveX, Channel::MoveY, Channel::MoveZ]
        .into_iter()
        .enumerate()
    {
        pose.set_channel(mechanism.nodes().len() - 1, channel, to[axis]);
    }
    mechanism.evaluate(pose);
    pose.outcome(0).residual
}

fn compare(criterion: &mut Criterion, links: usize, name: &str, solver: Solver) {
    let mut group = criterion.benchmark_group(format!("inverse kinematics, {name}"));
    group
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(2));

    let mut nodes = ours(&arm(links));
    nodes.push(kinematics::Node {
        parent: None,
        rest: kinematics::Transform::identity(),
        ..nodes[0].clone()
    });
    let anchor = Anchor {
        base: 0,
        end: links,
        target: links + 1,
        solver,
    };
    let mechanism = Mechanism::new(nodes, vec![anchor]).expect("a sound mechanism");
    let mut pose = mechanism.pose();
    for (joint, turn) in start(links).into_iter().enumerate() {
        pose.set_channel(joint, Channel::TurnZ, turn);
    }

    let (_chain, theirs) = peers(&arm(links), true);
    let serial = k::SerialChain::from_end(&theirs[links]);
    // Full steps: the fewest iterations it can take. Two links lie in a plane.
    let peer = k::JacobianIkSolver::new(ENOUGH / 1000.0, 1.0, 1.0, 100);
    let place = k::Constraints {
        position_z: links > 2,
        rotation_x: false,
        rotation_y: false,
        rotation_z: false,
        ..k::Constraints::default()
    };
    let turns = start(links);
    let solve = |to: &Vec3| {
        serial.set_joint_positions_unchecked(&turns);
        let metres = to / 1000.0;
        let target = k::Isometry3::translation(metres.x, metres.y, metres.z);
        peer.solve_with_constraints(&serial, &target, &place)
            .is_ok()
    };

    // Only targets that the peer reaches, and each of them reached no worse by us.
    let (mut worst, mut peer_worst) = (0.0f64, 0.0f64);
    let targets: Vec<_> = targets(links)
        .into_iter()
        .filter(|to| {
            let reached = solve(to);
            if reached {
                let end = serial.end_transform().translation.vector * 1000.0;
                peer_worst = peer_worst.max((Vec3::new(end.x, end.y, end.z) - to).norm());
                worst = worst.max(send(&mechanism, &mut pose, to));
            }
            reached
        })
        .collect();
    println!(
        "{name}: {} targets, worst residual ours {worst:.1e} mm, k {peer_worst:.1e} mm",
        targets.len()
    );
    assert!(!targets.is_empty() && worst <= peer_worst);

    let mut case = 0;
    group.bench_function("ours", |bencher| {
        bencher.iter(|| {
            case = (case + 1) % targets.len();
            black_box(send(&mechanism, &mut pose, &targets[case]))
        });
    });
    // The same but for the solve: what depends on the target marked, the chain gathered from its
    // channels, placed and measured. What is left of `ours` is the solver's own.
    pose.set_active(0, false);
    group.bench_function("ours, the anchor off", |bencher| {
        bencher.iter(|| {
            case = (case + 1) % targets.len();
            black_box(send(&mechanism, &mut pose, &targets[case]))
        });
    });
    group.bench_function("k", |bencher| {
        bencher.iter(|| {
            case = (case + 1) % targets.len();
            black_box(solve(&targets[case]))
        });
    });
    group.finish();
}

fn inverse(criterion: &mut Criterion) {
    let closed = Solver::TwoBone {
        pole: None,
        softness: 0.0,
        bend: Vec3::z(),
    };
    compare(criterion, 2, "two links", closed);
    compare(
        criterion,
        6,
        "six links",
        Solver::DampedLeastSquares {
            iterations: 100,
            tolerance: ENOUGH / 20.0,
        },
    );
}

criterion_group!(benches, inverse);
criterion_main!(benches);
