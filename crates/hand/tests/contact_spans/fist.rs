//! A fist on its knuckles and middle joints, leaned and lifted.
use super::watch::{dial, example};
use rig::{NodeId, Posed, Transform, Vec3};

/// A ball of flesh that rolls on the bench while it touches: the point of it that is lowest is at
/// rest (the definition of rolling).
struct Ball {
    node: NodeId,
    radius: f64,
    last: Option<(Vec3, Transform)>,
    slipped: Vec3,
    slip: f64,
}

/// mm over the bench that still touches.
const TOUCHES: f64 = 1e-6;

impl Ball {
    fn depth(&self, posed: &Posed) -> f64 {
        let depth = self.radius - posed.point(self.node).y;
        assert!(depth.is_finite());
        depth
    }

    /// Adds what its lowest point has gone along the bench since the last pose, touching in both:
    /// the one that was lowest midway.
    fn roll_on(&mut self, posed: &Posed) {
        if self.depth(posed) < -TOUCHES {
            self.last = None;
            return;
        }
        let frame = *posed.world(self.node);
        let here = frame.rotation.inverse() * (Vec3::y() * -self.radius);
        if let Some((there, before)) = self.last {
            let midway = ((here + there) * 0.5).into();
            let mut step =
                frame.transform_point(&midway).coords - before.transform_point(&midway).coords;
            step.y = 0.0;
            self.slipped += step;
            self.slip = self.slip.max(self.slipped.norm());
        }
        self.last = Some((here, frame));
    }
}

/// ±10° of lift and ±6° of lean, alone and together: nothing sinks, something always touches, and
/// what touches rolls.
#[test]
fn a_fist_rolls_on_what_is_lowest() {
    let document = example("fist-knead");
    let fingers = [
        "index-finger",
        "middle-finger",
        "ring-finger",
        "pinky-finger",
    ];
    for lift in [-10.0, 0.0, 10.0] {
        for lean in [-6.0, 0.0, 6.0] {
            let mut posed = Posed::new(&document).unwrap();
            let joints = ["phalanx-proximal", "phalanx-intermediate"];
            let joints = fingers
                .iter()
                .flat_map(|finger| joints.map(|joint| format!("{finger}-{joint}")));
            let mut balls: Vec<_> = joints
                .map(|name| {
                    let node = document.node_named(&name).unwrap();
                    Ball {
                        node: node.id,
                        radius: 0.5 * node.width,
                        last: None,
                        slipped: Vec3::zeros(),
                        slip: 0.0,
                    }
                })
                .collect();
            let (mut deepest, mut highest) = (f64::NEG_INFINITY, f64::INFINITY);
            for step in 0..=200 {
                let part = f64::from(step) / 200.0;
                posed.set_dial(dial(&document, "lift"), lift * part);
                posed.set_dial(dial(&document, "lean"), lean * part);
                posed.evaluate();
                let depths = balls.iter().map(|ball| ball.depth(&posed));
                let deep = depths.fold(f64::NEG_INFINITY, f64::max);
                (deepest, highest) = (deepest.max(deep), highest.min(deep));
                balls.iter_mut().for_each(|ball| ball.roll_on(&posed));
            }
            let slip = balls.iter().fold(0.0f64, |most, ball| most.max(ball.slip));
            println!("lift {lift} lean {lean}: depth {highest:e} to {deepest:e}, slip {slip:.3}");
            assert!(deepest < 1e-9 && highest > -1e-9, "lift {lift} lean {lean}");
            assert!(slip <= 0.3, "lift {lift} lean {lean}: {slip} mm");
        }
    }
}
