//! First and second derivatives of the rolled place against central differences.
use super::super::link::Link;
use super::super::pad::{Frame, Pad};
use super::super::roll::surface::Surface;
use super::super::saddle::Saddle;
use super::lying::Planted;
use super::reach::Reach;
use super::roll::Rolling;
use super::view::Looking;
use crate::{Channel, Contact, Node, Order, Rotation, Transform, Vec3};
use core::cell::Cell;
use nalgebra::Vector4;

const FREE: (f64, f64) = (-1.4, 1.4);
const LOCKED: (f64, f64) = (0.0, 0.0);

fn link(at: [f64; 3], turned: [f64; 3], turns: [(f64, f64); 3]) -> Link {
    let mut limits = [FREE; Channel::ALL.len()];
    limits[..3].copy_from_slice(&turns);
    let node = Node {
        parent: None,
        rest: Transform::from_parts(
            Vec3::from(at).into(),
            Rotation::from_scaled_axis(Vec3::from(turned)),
        ),
        order: Order::Xzy,
        limits,
    };
    Link::new(
        &node,
        &[0.0, 0.3, 0.0, 0.0, 0.0, 0.0],
        Transform::identity(),
    )
}

#[test]
fn slopes_and_curves_are_those_of_differences() {
    let base = link([1.0, 2.0, 3.0], [0.3, 0.8, -0.2], [FREE, LOCKED, FREE]);
    let hinge = [LOCKED, LOCKED, FREE];
    let middle = link([2.0, -46.0, 1.0], [0.1, 0.4, 0.2], hinge);
    let last = link([0.0, -32.0, -1.0], [-0.1, 0.2, 0.1], hinge);
    let saddle = Saddle::new(&base);
    let seen = |v| saddle.seen(&base, v);
    let pad = Pad::new(&middle, &last, Vec3::new(0.5, -20.0, 0.3), seen);
    let frame = Frame::new(&middle, &last, Vec3::new(0.5, -20.0, 0.3), seen);
    let mut reach = Reach::default();
    reach.make(&pad, &saddle, [FREE, FREE], [0.3, 0.2]);
    // Pitches on the pad and on the tip.
    let mut arcs = [0; 2];
    for case in 0..1600 {
        let part = |step: f64| libm::remainder(f64::from(case) * step, 1.0);
        let contact = Contact {
            radius: 9.0,
            pad: 50.0,
            changeover: 0.3 + 0.4 * part(0.17),
            joints: [11.0, 10.0],
            pitch: 0.5 * part(0.37),
            tilt: part(0.29),
            heading: 3.0 * part(0.41),
            round: None,
        };
        let turned =
            Rotation::from_scaled_axis(Vec3::new(part(0.23), part(0.31), part(0.47)) * 3.0);
        let target = Vec3::new(
            60.0 * part(0.59),
            -60.0 + 40.0 * part(0.61),
            60.0 * part(0.53),
        );
        let target = Transform::from_parts(target.into(), turned);
        let surface = saddle.surface(Surface::new(&target, &contact));
        let rolling = Rolling {
            frame: &frame,
            planted: Planted::new(surface, &contact),
        };
        let looking = Looking {
            reach: &reach,
            pad: &pad,
            sight: saddle.towards(surface.at),
            rolling: Some(&rolling),
            used: Cell::new(0),
        };
        let x = Vector4::new(part(0.13), part(0.19), part(0.67), part(0.71));
        let view = looking.view(&x);
        let place = view.place.as_ref().unwrap();
        let over = place.lying.pitch - contact.changeover;
        let far = |from: f64, by: f64| libm::fabs(from) > by;
        // Away from where pieces meet, headings turn round, and the hinge is upright.
        if !far(over, 1e-3) {
            continue;
        }
        if !place.is_smooth() {
            continue;
        }
        arcs[usize::from(over > 0.0)] += 1;
        for j in 0..4 {
            let by = Vector4::from_fn(|i, _| if i == j { 1e-5 } else { 0.0 });
            let (more, less) = (looking.view(&(x + by)), looking.view(&(x - by)));
            let slope = (more.error - less.error) / 2e-5;
            let scale = 1.0 + view.slopes[j].norm();
            assert!(
                (slope - view.slopes[j]).norm() < 1e-6 * scale,
                "case {case}: {j}"
            );
            for i in 0..=j {
                let by = Vector4::from_fn(|k, _| if k == i { 1e-5 } else { 0.0 });
                let (more, less) = (looking.view(&(x + by)), looking.view(&(x - by)));
                let curve = (more.slopes[j] - less.slopes[j]) / 2e-5;
                let scale = 100.0 + curve.norm();
                let ours = view.curve(i, j);
                assert!(
                    (curve - ours).norm() < 1e-5 * scale,
                    "case {case}: {i} {j}: {curve} {ours}"
                );
            }
        }
    }
    assert!(arcs.iter().all(|&count| count > 10), "{arcs:?}");
}
