//! Inverse kinematics against SciPy's bounded least squares: never worse by more than
//! 1e-6 of the chain length, on targets that random poses within the limits reach.
use kinematics::{Anchor, Mechanism, Node, Order, Solver, Vec3};
use reference::{FREE, LOCKED, between, build, describe, node, numbers, oracle, set};
use serde_json::json;

const CASES: usize = 1000;

/// A chain from node 0 to its last node, and the turns of one pose of it.
struct Case {
    kind: &'static str,
    chain: Vec<Node>,
    start: Vec<[f64; 6]>,
    target: Vec3,
    length: f64,
}

fn limits(random: &mut fastrand::Rng) -> (f64, f64) {
    (between(random, -1.5, -0.1), between(random, 0.1, 1.5))
}

/// A turn within limits, or within ±`wide` where there are none.
fn turn((min, max): (f64, f64), wide: f64, random: &mut fastrand::Rng) -> f64 {
    if min == max {
        0.0
    } else if min.is_finite() {
        between(random, min, max)
    } else {
        between(random, -wide, wide)
    }
}

fn case(index: usize, random: &mut fastrand::Rng) -> Case {
    let limited = index % 2 == 1;
    let mut free = || if limited { limits(random) } else { FREE };
    let (kind, turns): (_, Vec<[(f64, f64); 3]>) = match index / 2 % 4 {
        0 => (
            "two bones, planar",
            (0..2).map(|_| [LOCKED, LOCKED, free()]).collect(),
        ),
        1 => (
            "two bones, spatial",
            vec![[free(), free(), free()], [LOCKED, LOCKED, free()]],
        ),
        2 => (
            "six links, planar",
            (0..6).map(|_| [LOCKED, LOCKED, free()]).collect(),
        ),
        _ => (
            "six links, spatial",
            (0..6)
                .map(|joint| {
                    let mut turns = [LOCKED; 3];
                    turns[2 - joint % 3] = free();
                    turns
                })
                .collect(),
        ),
    };
    let mut chain = Vec::new();
    for (joint, turns) in turns.into_iter().enumerate() {
        let at = if joint == 0 {
            Vec3::zeros()
        } else {
            Vec3::x() * between(random, 20.0, 50.0)
        };
        chain.push(node(
            joint.checked_sub(1),
            at,
            Order::ALL[random.usize(..6)],
            turns,
        ));
    }
    let joints = chain.len();
    chain.push(node(
        Some(joints - 1),
        Vec3::x() * between(random, 20.0, 50.0),
        Order::Xyz,
        [LOCKED; 3],
    ));
    let length = chain
        .iter()
        .map(|node| node.rest.translation.vector.norm())
        .sum();
    let mut pose = |wide: f64| -> Vec<[f64; 6]> {
        let turns = |node: &Node| [0, 1, 2].map(|axis| turn(node.limits[axis], wide, random));
        chain
            .iter()
            .map(turns)
            .map(|[x, y, z]| [x, y, z, 0.0, 0.0, 0.0])
            .collect()
    };
    let (goal, start) = (pose(3.0), pose(1.0));
    let (mechanism, mut posed) = build(chain.clone(), vec![]);
    for (node, &channels) in goal.iter().enumerate() {
        set(&mut posed, node, channels);
    }
    mechanism.evaluate(&mut posed);
    let target = posed.world(joints).translation.vector;
    Case {
        kind,
        chain,
        start,
        target,
        length,
    }
}

/// Our residual from the same start, by one solver.
fn residual(case: &Case, solver: Solver) -> f64 {
    let (mut nodes, end) = (case.chain.clone(), case.chain.len() - 1);
    nodes.push(node(None, case.target, Order::Xyz, [LOCKED; 3]));
    let anchor = Anchor {
        base: 0,
        end,
        target: end + 1,
        solver,
    };
    let (mechanism, mut pose): (Mechanism, _) = build(nodes, vec![anchor]);
    for (node, &channels) in case.start.iter().enumerate() {
        set(&mut pose, node, channels);
    }
    mechanism.evaluate(&mut pose);
    let within = |node: usize| {
        let turns = mechanism.turns(&pose, node);
        (0..3).all(|axis| {
            let (min, max) = mechanism.nodes()[node].limits[axis];
            turns[axis] >= min - 1e-12 && turns[axis] <= max + 1e-12
        })
    };
    let limited = case.chain[0]
        .limits
        .iter()
        .take(3)
        .any(|(min, max)| min < max && min.is_finite());
    assert!(
        !limited || (0..end).all(within),
        "{}: outside its limits",
        case.kind
    );
    pose.outcome(0).residual
}

#[test]
fn residuals_are_never_worse_than_scipys() {
    let mut random = fastrand::Rng::with_seed(2);
    let cases: Vec<_> = (0..CASES).map(|index| case(index, &mut random)).collect();
    let asked: Vec<_> = cases
        .iter()
        .map(|case| {
            let nodes: Vec<_> = case
                .chain
                .iter()
                .zip(&case.start)
                .map(|(node, &turns)| describe(node, turns))
                .collect();
            json!({"nodes": nodes, "target": case.target.as_slice()})
        })
        .collect();
    let scipy = numbers(&oracle("ik", &json!(asked)));
    assert_eq!(scipy.len(), CASES);

    let damped = Solver::DampedLeastSquares {
        iterations: 100,
        tolerance: 1e-9,
    };
    let closed = Solver::TwoBone {
        pole: None,
        softness: 0.0,
        bend: Vec3::z(),
    };
    let mut worse = Vec::new();
    for (name, solver) in [("closed form", closed), ("damped least squares", damped)] {
        let (mut worst, mut ours_missed, mut scipy_missed, mut count) =
            (f64::NEG_INFINITY, 0, 0, 0);
        for (case, &theirs) in cases.iter().zip(&scipy) {
            if solver == closed && case.chain.len() != 3 {
                continue;
            }
            let ours = residual(case, solver);
            let excess = (ours - theirs) / case.length;
            count += 1;
            ours_missed += usize::from(ours > 1e-6 * case.length);
            scipy_missed += usize::from(theirs > 1e-6 * case.length);
            worst = worst.max(excess);
            if excess > 1e-6 {
                worse.push(format!(
                    "{name}, {}: {ours} against {theirs} of {}",
                    case.kind, case.length
                ));
            }
        }
        println!(
            "{name}: {count} cases, worst excess {worst:.1e} of the length; short of the target: ours {ours_missed}, SciPy {scipy_missed}"
        );
    }
    assert!(
        worse.is_empty(),
        "{} worse:\n{}",
        worse.len(),
        worse.join("\n")
    );
}
