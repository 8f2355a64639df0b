//! The numbers of lessons 1 to 5, through mechanisms, against SciPy.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use kinematics::solve::bend_gain;
use kinematics::{Anchor, Channel, Mechanism, Node, Order, Pose, Solver, Vec3};
use reference::{FREE, LOCKED, build, node, oracle};
use serde_json::{Value, json};

const PALM: f64 = 90.0;
const BONE: f64 = 40.0;
const PAD: Solver = Solver::TwoBone {
    pole: None,
    softness: 0.0,
    bend: Vec3::new(0.0, 0.0, 1.0),
};

fn hinge(parent: Option<usize>, x: f64) -> Node {
    node(parent, Vec3::x() * x, Order::Xyz, [LOCKED, LOCKED, FREE])
}

fn place(pose: &Pose, node: usize) -> Vec3 {
    pose.world(node).translation.vector
}

fn turn(mechanism: &Mechanism, pose: &mut Pose, node: usize, degrees: f64) {
    pose.set_channel(node, Channel::TurnZ, degrees.to_radians());
    mechanism.evaluate(pose);
}

/// How far `node` is moved by turning node 0.
fn carried(nodes: Vec<Node>, node: usize, degrees: f64) -> f64 {
    let (mechanism, mut pose) = build(nodes, vec![]);
    mechanism.evaluate(&mut pose);
    let before = place(&pose, node);
    turn(&mechanism, &mut pose, 0, degrees);
    (place(&pose, node) - before).norm()
}

/// The wrist halfway, by its dials, between two poses that both keep the knuckle.
fn overshoot() -> f64 {
    let (mechanism, mut pose) = build(vec![hinge(None, 0.0), hinge(Some(0), PALM)], vec![]);
    let mut wrist = |at: Vec3, degrees: f64| {
        pose.set_channel(0, Channel::MoveX, at.x);
        pose.set_channel(0, Channel::MoveY, at.y);
        turn(&mechanism, &mut pose, 0, degrees);
        (place(&pose, 1), place(&pose, 1) - place(&pose, 0))
    };
    let (mark, arm) = wrist(Vec3::zeros(), 0.0);
    let (_, tilted) = wrist(Vec3::zeros(), -40.0);
    let raised = arm - tilted;
    assert!((wrist(raised, -40.0).0 - mark).norm() < 1e-12);
    (wrist(raised * 0.5, -20.0).0 - mark).norm()
}

/// A finger of two bones, its tip anchored `epsilon` short of straight.
fn finger(epsilon: f64) -> (Mechanism, Pose) {
    let nodes = vec![
        hinge(None, 2.0 * BONE - epsilon),
        hinge(None, 0.0),
        hinge(Some(1), BONE),
        hinge(Some(2), BONE),
    ];
    let (mechanism, mut pose) = build(
        nodes,
        vec![Anchor {
            base: 1,
            end: 3,
            target: 0,
            solver: PAD,
        }],
    );
    mechanism.evaluate(&mut pose);
    (mechanism, pose)
}

fn bend(epsilon: f64) -> f64 {
    let (mechanism, pose) = finger(epsilon);
    mechanism.turns(&pose, 2)[2].to_degrees()
}

/// The rest bend whose gain is 5°/mm, by halving.
fn rest_bend() -> f64 {
    let (mut straight, mut bent) = (0.01, 30.0);
    for _ in 0..60 {
        let middle = 0.5 * (straight + bent);
        let (mechanism, pose) = finger(middle);
        if bend_gain(&mechanism, &pose, 0).to_degrees() > 5.0 {
            straight = middle;
        } else {
            bent = middle;
        }
    }
    bend(bent)
}

/// Worst slip of a palm aimed at the knuckle's staple, the wrist going straight from one
/// ray to another 40° apart, the given distances from the staple.
fn worst_slip(mechanism: &Mechanism, pose: &mut Pose, radii: [f64; 2], steps: u32) -> f64 {
    let (low, high) = (
        Vec3::x() * radii[0],
        Vec3::new(40f64.to_radians().cos(), 40f64.to_radians().sin(), 0.0) * radii[1],
    );
    let mut worst = 0.0f64;
    for step in 0..=steps {
        let at = low + (high - low) * (f64::from(step) / f64::from(steps));
        pose.set_channel(1, Channel::MoveX, at.x);
        pose.set_channel(1, Channel::MoveY, at.y);
        mechanism.evaluate(pose);
        worst = worst.max(pose.outcome(0).residual);
    }
    worst
}

#[test]
fn lesson_numbers_agree_with_scipy_and_with_the_page() {
    let theirs = oracle("lessons", &json!(null));
    let palm = vec![
        hinge(None, 0.0),
        hinge(Some(0), PALM),
        hinge(Some(1), BONE),
        hinge(Some(2), BONE),
    ];
    // The pivot 6 mm from where the knuckle is.
    let misplaced = vec![hinge(None, 0.0), hinge(Some(0), 6.0)];
    let edges = vec![hinge(None, 0.0), hinge(Some(0), -40.0)];
    let (mechanism, mut pose) = build(edges, vec![]);
    turn(&mechanism, &mut pose, 0, 20.0);
    let low_edge = -place(&pose, 1).y;

    let numbers = [
        ("carried_tip", "88.0", carried(palm.clone(), 3, 30.0), 1e-12),
        ("overshoot", "5.43", overshoot(), 1e-12),
        ("first_bend", "18.1", bend(1.0), 1e-10),
        ("second_bend", "7.5", bend(2.0) - bend(1.0), 1e-10),
        // SciPy's is by differences.
        ("rest_bend", "33.3", rest_bend(), 1e-5),
        ("knuckle_slip", "61.6", carried(palm, 1, 40.0), 1e-12),
        (
            "misplaced_pivot",
            "4.10",
            carried(misplaced, 1, 40.0),
            1e-12,
        ),
        ("low_edge", "13.7", low_edge, 1e-12),
    ];
    for (name, page, ours, tolerance) in numbers {
        let theirs = theirs[name].as_f64().expect("a number");
        println!("{name}: page {page}, ours {ours}, SciPy {theirs}");
        assert!(
            (ours - theirs).abs() <= tolerance * theirs,
            "{name}: {ours} against {theirs}"
        );
        let places = page.len() - page.find('.').expect("a decimal point") - 1;
        assert_eq!(format!("{ours:.places$}"), page);
    }
    straight_paths(&theirs["straight_path"]);
}

/// Lesson 3: no straight path slips less than 2.80 mm, and one slips no more.
fn straight_paths(theirs: &Value) {
    let aim = Anchor {
        base: 1,
        end: 2,
        target: 0,
        solver: Solver::Aim,
    };
    let (mechanism, mut pose) = build(
        vec![hinge(None, 0.0), hinge(None, 0.0), hinge(Some(1), PALM)],
        vec![aim],
    );
    let slip = theirs["slip"].as_f64().expect("a number");
    let radii: [f64; 2] = reference::numbers(&theirs["radii"])
        .try_into()
        .expect("two");
    let ours = worst_slip(&mechanism, &mut pose, radii, 2000);
    // Every pair of ends on a grid of half millimetres, then of hundredths about the best.
    let (mut best, mut centre) = (f64::INFINITY, [PALM; 2]);
    for (spacing, reach) in [(0.5, 20), (0.05, 12), (0.01, 8)] {
        let about = centre;
        for i in -reach..=reach {
            for j in -reach..=reach {
                let radii = [
                    about[0] + spacing * f64::from(i),
                    about[1] + spacing * f64::from(j),
                ];
                let worst = worst_slip(&mechanism, &mut pose, radii, 40);
                if worst < best {
                    (best, centre) = (worst, radii);
                }
            }
        }
    }
    println!(
        "straight path: page 2.80, ours {ours} on SciPy's, {best} on our grid's, SciPy {slip}"
    );
    assert!((ours - slip).abs() < 1e-6);
    assert!(best > slip - 1e-6 && best < slip + 0.02);
    assert_eq!(format!("{slip:.2}"), "2.80");
}
