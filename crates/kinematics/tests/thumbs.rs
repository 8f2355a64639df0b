//! Thumb anchors: reach, the spare freedom and limits by plane geometry. (Against SciPy:
//! tests/reference.)
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod common;
use common::*;
use kinematics::{BuildError, Mechanism, Node, Order, Pose, Rotation, Solver, Transform, Vec3};
use proptest::prelude::*;

const BONES: [f64; 2] = [46.0, 32.0];
const PAD: [f64; 2] = [3.0, -14.0];
const REST: [f64; 2] = [0.3, 0.2];

fn thumb(rest: [f64; 2], slant: f64) -> (Mechanism, Pose) {
    let hinge = |limits| [LOCKED, LOCKED, limits];
    let mut nodes = vec![
        mount(None, [0.0; 3]),
        node(None, [0.0; 3], [(-1.2, 0.4), LOCKED, (-0.6, 0.6)]),
        node(Some(1), [0.0, -BONES[0], 0.0], hinge((-0.1, 0.9))),
        node(Some(2), [0.0, -BONES[1], 0.0], hinge((-0.3, 1.4))),
        mount(Some(3), [PAD[0], PAD[1], 0.0]),
    ];
    nodes[1].order = Order::Xzy;
    nodes[2].rest = Transform::from_parts(
        nodes[2].rest.translation,
        Rotation::from_scaled_axis(Vec3::y() * slant),
    );
    let mechanism = Mechanism::new(
        nodes,
        vec![anchor(
            1,
            4,
            0,
            Solver::Thumb {
                rest,
                contact: None,
            },
        )],
    )
    .unwrap();
    let pose = mechanism.pose();
    (mechanism, pose)
}

/// Where the pad is at these four angles, by the plane geometry of three bones, the second and
/// third lying in a plane turned by `slant` about the first.
fn pad([outer, inner, middle, last]: [f64; 4], slant: f64) -> Vec3 {
    let whole = middle + last;
    let x = BONES[1] * middle.sin() + PAD[0] * whole.cos() - PAD[1] * whole.sin();
    let y = -BONES[0] - BONES[1] * middle.cos() + PAD[0] * whole.sin() + PAD[1] * whole.cos();
    let (x, z) = (x * slant.cos(), -x * slant.sin());
    let (x, y) = (
        x * inner.cos() - y * inner.sin(),
        x * inner.sin() + y * inner.cos(),
    );
    Vec3::new(
        x,
        y * outer.cos() - z * outer.sin(),
        y * outer.sin() + z * outer.cos(),
    )
}

fn flexions(mechanism: &Mechanism, pose: &Pose) -> [f64; 2] {
    [2, 3].map(|joint| mechanism.turns(pose, joint)[2])
}

proptest! {
    /// Every place that a pose within the limits has is reached, by flexions no farther from the
    /// rest than that pose's.
    #[test]
    fn what_can_be_reached_is(
        outer in -1.2..0.4, inner in -0.6..0.6, middle in -0.1..0.9, last in -0.3..1.4_f64, slant in -1.0..1.0,
    ) {
        let (mechanism, mut pose) = thumb(REST, slant);
        send(&mechanism, &mut pose, 0, pad([outer, inner, middle, last], slant));
        prop_assert!(pose.outcome(0).residual < 1e-9, "{:?}", pose.outcome(0));
        let unrest = |[a, b]: [f64; 2]| (a - REST[0]).powi(2) + (b - REST[1]).powi(2);
        prop_assert!(unrest(flexions(&mechanism, &pose)) <= unrest([middle, last]) + 1e-9);
        // What was found places the pad where the plane geometry says.
        let [x, _, z] = mechanism.turns(&pose, 1);
        let [middle, last] = flexions(&mechanism, &pose);
        prop_assert!((place(&pose, 4) - pad([x, z, middle, last], slant)).norm() < 1e-11);
    }

    /// At its rest flexions the thumb rests.
    #[test]
    fn at_the_rest_the_rest_is_found(outer in -1.2..0.4, inner in -0.6..0.6, slant in -1.0..1.0) {
        let (mechanism, mut pose) = thumb(REST, slant);
        send(&mechanism, &mut pose, 0, pad([outer, inner, REST[0], REST[1]], slant));
        prop_assert!(pose.outcome(0).residual < 1e-12);
        for (found, rest) in flexions(&mechanism, &pose).into_iter().zip(REST) {
            prop_assert!((found - rest).abs() < 1e-9);
        }
    }

    /// Out of reach, the pad stops on the line to the target; the margin says by how much.
    #[test]
    fn beyond_reach_the_thumb_is_straight(outer in -1.1..0.3, inner in -0.2..0.2, over in 0.1..30.0_f64) {
        let (mechanism, mut pose) = thumb(REST, 0.0);
        // Straight: base, middle joint and pad in line as nearly as the flexions allow.
        let steps = |from: f64, to: f64| (0..=2000).map(move |step| from + (to - from) * f64::from(step) / 2000.0);
        let straight = steps(-0.1, 0.9)
            .flat_map(|middle| [-0.3, -0.25, -0.2, -0.15, -0.1, 0.0].map(|last| [0.0, 0.0, middle, last]))
            .chain(steps(-0.3, 0.3).map(|last| [0.0, 0.0, 0.0, last]))
            .map(|angles| pad(angles, 0.0).norm())
            .fold(0.0_f64, f64::max);
        let rough = pad([outer, inner, 0.0, 0.0], 0.0).normalize();
        let margin = |by: f64, pose: &mut Pose| {
            send(&mechanism, pose, 0, rough * (straight + by));
            *pose.outcome(0)
        };
        let (near, far) = (margin(over, &mut pose), margin(over + 10.0, &mut pose));
        prop_assert!((near.reach_margin + near.residual).abs() < 1e-9, "{near:?}");
        prop_assert!((far.residual - near.residual - 10.0).abs() < 1e-9);
        prop_assert!(near.residual <= over + 1e-9);
    }

    /// The mirror of a thumb has the mirrored pose.
    #[test]
    fn thumbs_mirror(x in -60.0..60.0, y in -95.0..-40.0, z in -60.0..60.0, slant in -1.0..1.0) {
        let (mechanism, mut pose) = thumb(REST, slant);
        send(&mechanism, &mut pose, 0, Vec3::new(x, y, z));
        // Mirrored in z: turns about x and y change sign, the limits of x change places.
        let (other, _) = thumb(REST, -slant);
        let mut nodes: Vec<Node> = other.nodes().to_vec();
        nodes[1].limits[0] = (-0.4, 1.2);
        let other = Mechanism::new(nodes, other.anchors().to_vec()).unwrap();
        let mut mirrored = other.pose();
        send(&other, &mut mirrored, 0, Vec3::new(x, y, -z));
        let at = place(&pose, 4);
        prop_assert!((place(&mirrored, 4) - Vec3::new(at.x, at.y, -at.z)).norm() < 1e-6);
        for (one, other) in flexions(&mechanism, &pose).into_iter().zip(flexions(&other, &mirrored)) {
            prop_assert!((one - other).abs() < 1e-6);
        }
    }
}

/// Along a path through open reach, a limit of the base and a place out of reach, the pose
/// follows without a jump, and does not depend on where the target was before.
#[test]
fn the_pose_follows_its_target_without_a_jump() {
    let (mechanism, mut pose) = thumb(REST, 0.4);
    let (mut before, mut limited, mut missed) = (None, 0, 0);
    // 0.04 mm a step: a thumb of ours comes straight by the root of twice that over 20 mm or so.
    let most = 0.06;
    for step in 0..=2000 {
        let part = f64::from(step) / 2000.0;
        let target = pad([-0.4, -0.1, 0.35, 0.3], 0.4) + Vec3::new(50.0, 5.0, -60.0) * part;
        send(&mechanism, &mut pose, 0, target);
        let mut afresh = mechanism.pose();
        send(&mechanism, &mut afresh, 0, target);
        assert_eq!(pose.world(4), afresh.world(4), "{part}");
        limited += usize::from(pose.outcome(0).limited);
        missed += usize::from(pose.outcome(0).residual > 1e-9);
        let now = [1, 2, 3].map(|joint| mechanism.turns(&pose, joint));
        if let Some(before) = before.replace(now) {
            for (now, before) in now.iter().flatten().zip(before.iter().flatten()) {
                assert!((now - before).abs() < most, "{part}: {now} after {before}");
            }
        }
    }
    assert!(
        limited > 100 && missed > 100 && missed < 1900,
        "{limited} {missed}"
    );
}

/// Hinges along the base's inner axis leave the flexions open when the outer turn is at its
/// limit: a whole curve of poses misses alike. The one nearest the rest is taken, as a dense
/// search along that curve finds it, and it follows the target without a jump.
#[test]
fn of_poses_that_miss_alike_the_one_nearest_the_rest_is_taken() {
    let (mechanism, mut pose) = thumb(REST, 0.0);
    let mut before: Option<[f64; 2]> = None;
    for step in 0..=200 {
        let middle = 0.2 + 0.002 * f64::from(step);
        let target = pad([0.9, 0.1, middle, 0.6], 0.0);
        send(&mechanism, &mut pose, 0, target);
        let residual = pose.outcome(0).residual;
        assert!(residual > 1.0 && pose.outcome(0).limited);
        let unrest = |[a, b]: [f64; 2]| (a - REST[0]).powi(2) + (b - REST[1]).powi(2);
        let found = flexions(&mechanism, &pose);
        // With the outer turn at 0.4: the pad's distance from the outer limit's plane is given,
        // its place in that plane wanted; the last flexion that has the distance by halving.
        let out = |middle: f64, last: f64| pad([0.0, 0.0, middle, last], 0.0).norm();
        let wanted = out(found[0], found[1]);
        for at in 0..=1000 {
            let middle = -0.1 + 0.001 * f64::from(at);
            let (mut low, mut high) = (-0.2, 1.4);
            if out(middle, low) < wanted || out(middle, high) > wanted || middle > 0.9 {
                continue;
            }
            for _ in 0..60 {
                let last = 0.5 * (low + high);
                if out(middle, last) > wanted {
                    low = last;
                } else {
                    high = last;
                }
            }
            assert!(
                unrest(found) <= unrest([middle, low]) + 1e-6,
                "{step}: {found:?}"
            );
        }
        if let Some(before) = before.replace(found) {
            let moved = [found[0] - before[0], found[1] - before[1]];
            assert!(moved.iter().all(|by| by.abs() < 0.01), "{step}: {moved:?}");
        }
    }
}

#[test]
fn what_is_not_a_thumb_is_refused() {
    let (mechanism, _) = thumb(REST, 0.0);
    let refusal = |change: &dyn Fn(&mut Vec<Node>, &mut Solver)| {
        let (mut nodes, mut anchors) = (mechanism.nodes().to_vec(), mechanism.anchors().to_vec());
        change(&mut nodes, &mut anchors[0].solver);
        Mechanism::new(nodes, anchors).err()
    };
    let not_a_thumb = Some(BuildError::NotAFinger { anchor: 0 });
    assert_eq!(refusal(&|_, _| ()), None);
    assert_eq!(refusal(&|nodes, _| nodes[1].limits[1] = FREE), not_a_thumb);
    assert_eq!(refusal(&|nodes, _| nodes[3].limits[0] = FREE), not_a_thumb);
    for rest in [[f64::NAN, 0.0], [0.0, f64::INFINITY]] {
        assert_eq!(
            refusal(&|_, solver| *solver = Solver::Thumb {
                rest,
                contact: None
            }),
            not_a_thumb
        );
    }
    let bones = Some(BuildError::WrongBoneCount {
        anchor: 0,
        bones: 2,
    });
    assert_eq!(refusal(&|nodes, _| nodes[2].limits[2] = LOCKED), bones);
}
