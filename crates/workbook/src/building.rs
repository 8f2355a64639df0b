//! Where a mount would be put: at the joint that is pressed, or where the press was.
use course::build::{AT, rested};
use figure::View;
use rig::{Kind, NodeId, Posed, Vec3};

/// A finger's half width, px: a press this near to a joint means it.
const FINGER: f64 = 22.0;
/// Where no joint is meant, places are whole half millimetres.
const GRID: f64 = 0.5;

/// A place for a mount.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// The joint that is meant.
    pub joint: Option<NodeId>,
    /// World mm; a joint's own place at rest, for the mount is put at rest.
    pub at: Vec3,
    /// 'at the knuckle, 0.0 mm'
    pub said: String,
}

/// The place meant by a point of the picture, which is a world point in some depth.
pub fn spot(posed: &Posed, view: &View, at: Vec3) -> Spot {
    let seen = |point: &Vec3| {
        let (x, y, _) = view.project(point);
        (x, y)
    };
    let (x, y) = seen(&at);
    let off = |id: NodeId| {
        let (px, py) = seen(&posed.point(id));
        libm::hypot(px - x, py - y)
    };
    let joints = posed.rig().nodes.iter();
    let joints = joints.filter(|node| node.kind == Kind::Joint && !node.hidden);
    let nearest = joints
        .map(|node| (off(node.id), node))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((off, node)) = nearest else {
        let at = on_grid(at);
        let said = String::new();
        return Spot {
            joint: None,
            at,
            said,
        };
    };
    let name = &node.name;
    if off <= (AT * view.scale).max(FINGER) {
        return Spot {
            joint: Some(node.id),
            at: rested(posed).point(node.id),
            said: format!("at the {name}, 0.0 mm"),
        };
    }
    let at = on_grid(at);
    let far = (posed.point(node.id) - at).norm();
    Spot {
        joint: None,
        at,
        said: format!("{far:.1} mm from the {name}"),
    }
}

fn on_grid(at: Vec3) -> Vec3 {
    at.map(|v| (v / GRID).round() * GRID)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::unframed;

    #[test]
    fn a_press_near_a_joint_means_it_and_another_its_own_place() {
        let text = include_str!("../../../lessons/04-pivot-above.lesson.json");
        let lesson = course::read(text).expect("a good lesson");
        let posed = lesson.figure(&lesson.steps[0]);
        let view = unframed();
        let knuckle = posed.rig().node_named("knuckle").expect("there").id;
        let near = spot(posed, &view, Vec3::new(6.5, 1.0, 0.0));
        assert_eq!((near.joint, near.at), (Some(knuckle), Vec3::zeros()));
        assert_eq!(near.said, "at the knuckle, 0.0 mm");
        let apart = spot(posed, &view, Vec3::new(12.1, 0.2, 0.0));
        assert_eq!((apart.joint, apart.at), (None, Vec3::new(12.0, 0.0, 0.0)));
        assert_eq!(apart.said, "12.0 mm from the knuckle");
        // Far out 6 mm are few pixels, and a finger is no narrower.
        let out = View { scale: 1.0, ..view };
        let wide = spot(posed, &out, Vec3::new(-70.0, 0.0, 0.0));
        assert_eq!(wide.at, Vec3::new(-90.0, 0.0, 0.0));
    }
}
