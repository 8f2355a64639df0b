//! Forward kinematics against Pinocchio, channel orders against SciPy.
use kinematics::{Node, Order, Rotation, Transform, Vec3};
use reference::{FREE, between, build, describe, letters, numbers, oracle, rotation, set, vector};
use serde_json::{Value, json};

fn matrix_error(ours: &Rotation, theirs: &Value) -> f64 {
    let ours = ours.to_rotation_matrix();
    let mut worst = 0.0f64;
    for (row, theirs) in theirs.as_array().expect("rows").iter().enumerate() {
        for (column, theirs) in numbers(theirs).into_iter().enumerate() {
            worst = worst.max((ours[(row, column)] - theirs).abs());
        }
    }
    worst
}

#[test]
fn random_trees_agree_with_pinocchio_and_orders_with_scipy() {
    let mut random = fastrand::Rng::with_seed(1);
    let (mut trees, mut posed) = (Vec::new(), Vec::new());
    for size in 1..=50 {
        // Mostly the last node's child: deeper than 30, and still branching.
        let nodes: Vec<_> = (0..size)
            .map(|index: usize| Node {
                parent: (index > 0).then(|| index - 1 - (index - 1).min(random.usize(..5) / 4)),
                rest: Transform::from_parts(
                    vector(&mut random, 100.0).into(),
                    rotation(&mut random),
                ),
                order: Order::ALL[random.usize(..6)],
                limits: [FREE; 6],
            })
            .collect();
        let (mechanism, mut pose) = build(nodes, vec![]);
        let mut described = Vec::new();
        for (index, node) in mechanism.nodes().iter().enumerate() {
            // At least one channel is at work in every node.
            let busy = random.usize(..6);
            let channels = std::array::from_fn(|channel| match channel {
                _ if channel != busy && random.bool() => 0.0,
                0..3 => between(&mut random, -3.2, 3.2),
                _ => between(&mut random, -50.0, 50.0),
            });
            set(&mut pose, index, channels);
            described.push(describe(node, channels));
        }
        mechanism.evaluate(&mut pose);
        trees.push(described);
        posed.push((mechanism, pose));
    }
    let turns: Vec<_> = (0..600)
        .map(|index| {
            let order = Order::ALL[index % 6];
            let axes = order.axes();
            let mut angles = [between(&mut random, -3.1, 3.1); 3];
            angles[axes[1]] = between(&mut random, -1.5, 1.5);
            angles[axes[2]] = between(&mut random, -3.1, 3.1);
            (order, angles)
        })
        .collect();
    let asked: Vec<_> = turns
        .iter()
        .map(|(order, angles)| json!({"order": letters(*order), "angles": angles}))
        .collect();
    let answer = oracle("fk", &json!({"trees": trees, "turns": asked}));

    let (mut place, mut turn, mut depth) = (0.0f64, 0.0f64, 0);
    for ((mechanism, pose), tree) in posed.iter().zip(answer["trees"].as_array().expect("trees")) {
        // The way from the root to each node: what a relative error is relative to.
        let mut ways: Vec<(f64, usize)> = Vec::new();
        for (index, theirs) in tree.as_array().expect("nodes").iter().enumerate() {
            let (way, level) = mechanism.nodes()[index]
                .parent
                .map_or((0.0, 0), |parent| ways[parent]);
            let way = way + pose.local(index).translation.vector.norm();
            ways.push((way, level + 1));
            depth = depth.max(level + 1);
            let at = Vec3::from_column_slice(&numbers(&theirs["at"]));
            place = place.max((pose.world(index).translation.vector - at).norm() / way);
            turn = turn.max(matrix_error(&pose.world(index).rotation, &theirs["matrix"]));
        }
    }
    println!(
        "forward: worst relative position error {place:.1e}, rotation {turn:.1e}, depth {depth}"
    );
    assert!(depth >= 30);
    assert!(place <= 1e-13 && turn <= 1e-13);

    let (mut composed, mut decomposed) = (0.0f64, 0.0f64);
    for ((order, angles), theirs) in turns.iter().zip(answer["turns"].as_array().expect("turns")) {
        let ours = order.compose(*angles);
        composed = composed.max(matrix_error(&ours, &theirs["matrix"]));
        let found = order.decompose(&ours);
        for (ours, theirs) in found.into_iter().zip(numbers(&theirs["angles"])) {
            // Near gimbal lock the angles themselves are ill-conditioned.
            decomposed = decomposed.max((ours - theirs).abs() * order.distance_to_lock(*angles));
        }
    }
    println!(
        "orders: worst matrix element {composed:.1e}, angle times distance to lock {decomposed:.1e}"
    );
    assert!(composed <= 1e-14 && decomposed <= 1e-13);
}
