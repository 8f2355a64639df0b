//! Surfaces in the world: how far a point is from one, and where it would touch.
use crate::{Form, NodeId, Posed, Transform, Vec3};

/// A surface where it is now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surface {
    /// Its frame: the origin on the surface, y off it.
    pub frame: Transform,
    /// Its shape.
    pub form: Form,
    /// The node that carries it; none: the document's bench.
    pub node: Option<NodeId>,
}

impl Surface {
    /// Distance of a world point from the surface, mm; negative inside the solid.
    pub fn distance(&self, at: &Vec3) -> f64 {
        distance(self.form, &self.local(at))
    }

    /// Unit direction off the surface at the world point's foot.
    pub fn normal(&self, at: &Vec3) -> Vec3 {
        self.frame.rotation * normal(self.form, &self.local(at))
    }

    /// The place on the surface nearest to a world point.
    pub fn foot(&self, at: &Vec3) -> Vec3 {
        at - self.normal(at) * self.distance(at)
    }

    fn local(&self, at: &Vec3) -> Vec3 {
        self.frame.inverse_transform_point(&(*at).into()).coords
    }
}

/// Every surface of a posed document, the bench first.
pub fn surfaces(posed: &Posed) -> Vec<Surface> {
    let rig = posed.rig();
    let bench = rig.bench.map(|height| Surface {
        frame: Transform::translation(0.0, height, 0.0),
        form: Form::Plane,
        node: None,
    });
    let carried = rig.nodes.iter().filter_map(|node| {
        Some(Surface {
            frame: *posed.world(node.id),
            form: node.surface?,
            node: Some(node.id),
        })
    });
    bench.into_iter().chain(carried).collect()
}

/// Distance of a point in the surface's frame, mm; negative inside the solid.
pub fn distance(form: Form, at: &Vec3) -> f64 {
    match form {
        Form::Plane => at.y,
        Form::Rail { radius } => libm::hypot(at.x, at.y + radius) - radius,
        Form::Edge { radius } => {
            // Round the corner of the quarter space x < −r, y < −r, grown by r.
            let (x, y) = (at.x + radius, at.y + radius);
            if x > 0.0 && y > 0.0 {
                libm::hypot(x, y) - radius
            } else if x > y {
                x - radius
            } else {
                y - radius
            }
        }
    }
}

/// Unit direction in which [`distance`] grows fastest, in the surface's frame.
pub fn normal(form: Form, at: &Vec3) -> Vec3 {
    let round = |x: f64, y: f64| {
        let far = libm::hypot(x, y);
        // In the middle of a rail every way out is as short: off its top, as at its origin.
        if far > 0.0 {
            Vec3::new(x / far, y / far, 0.0)
        } else {
            Vec3::y()
        }
    };
    match form {
        Form::Plane => Vec3::y(),
        Form::Rail { radius } => round(at.x, at.y + radius),
        Form::Edge { radius } => {
            let (x, y) = (at.x + radius, at.y + radius);
            if x > 0.0 && y > 0.0 {
                round(x, y)
            } else if x > y {
                Vec3::x()
            } else {
                Vec3::y()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn form() -> impl Strategy<Value = Form> {
        prop_oneof![
            Just(Form::Plane),
            (1.0..80.0).prop_map(|radius| Form::Rail { radius }),
            (0.0..40.0).prop_map(|radius| Form::Edge { radius }),
        ]
    }

    proptest! {
        /// Outside, a distance field falls by what one walks against its normal, and the foot
        /// is on the surface (Hart 1996, Sphere tracing).
        #[test]
        fn the_foot_is_on_the_surface(
            form in form(),
            x in -200.0..200.0, y in -200.0..200.0, z in -50.0..50.0,
        ) {
            let at = Vec3::new(x, y, z);
            let d = distance(form, &at);
            let n = normal(form, &at);
            prop_assert!((n.norm() - 1.0).abs() < 1e-12);
            prop_assume!(d > 0.0);
            prop_assert!(distance(form, &(at - n * d)).abs() < 1e-9);
        }

        /// The surface is nowhere nearer than its distance says.
        #[test]
        fn nothing_is_nearer(form in form(), x in -90.0..90.0, y in 0.1..90.0, dx in -1.0..1.0, dy in -1.0..1.0) {
            let at = Vec3::new(x, y, 0.0);
            let d = distance(form, &at);
            prop_assume!(d > 0.0);
            let step = Vec3::new(dx, dy, 0.0);
            prop_assume!(step.norm() > 1e-3 && step.norm() <= 1.0);
            prop_assert!(distance(form, &(at + step * d * 0.999)) > 0.0);
        }
    }

    #[test]
    fn the_origin_is_on_every_surface() {
        for form in [
            Form::Plane,
            Form::Rail { radius: 20.0 },
            Form::Edge { radius: 0.0 },
        ] {
            assert_eq!(distance(form, &Vec3::zeros()), 0.0);
        }
        // A rounded edge's frame is at the corner that was rounded off.
        let corner = distance(Form::Edge { radius: 10.0 }, &Vec3::zeros());
        assert!((corner - 10.0 * (std::f64::consts::SQRT_2 - 1.0)).abs() < 1e-12);
    }
}
