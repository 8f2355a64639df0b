//! A mount above a joint that takes the joint's rest in: in two acts, so that each is seen.
use rig::{DEGREES, Edit, Kind, Node, NodeId, Posed, Rotation};

/// How far a joint's mount has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mounted {
    /// There is none that was not there to begin with.
    Not,
    /// It hangs there and turns nothing yet.
    Hung(NodeId),
    /// It is turned.
    Turned(NodeId),
}

/// How far the mount above a joint has come since the figure was given.
pub fn mounted(given: &Posed, now: &Posed, joint: &Node) -> Mounted {
    // By name: a figure that was kept has other ids when it is read again.
    let above = joint.parent.and_then(|parent| now.rig().node(parent));
    let made = above
        .filter(|above| above.kind == Kind::Mount && given.rig().node_named(&above.name).is_none());
    match made {
        None => Mounted::Not,
        Some(mount) if turn(&mount.rest().rotation) > 0.0 => Mounted::Turned(mount.id),
        Some(mount) => Mounted::Hung(mount.id),
    }
}

/// Hangs a mount above a joint, where the joint is.
pub fn mount(now: &Posed, joint: &Node) -> Edit {
    Edit::InsertPivot {
        above: joint.id,
        name: format!("{} mount", joint.name),
        at: now.point(joint.id),
    }
}

/// How a joint rests: what its channels turn it by in the figure as it was given, seen from its
/// parent. None where that has no such joint.
pub fn rest(given: &Posed, joint: &str) -> Option<Rotation> {
    let node = given.rig().node_named(joint)?;
    let own = node.rest().rotation;
    let turned = match node.parent {
        Some(parent) => given.world(parent).rotation.inverse() * given.world(node.id).rotation,
        None => given.world(node.id).rotation,
    };
    Some(turned * own.inverse())
}

/// Degrees of a turn, whatever its axis.
pub fn turn(by: &Rotation) -> f64 {
    2.0 * libm::atan2(by.coords.xyz().norm(), libm::fabs(by.coords.w)) * DEGREES
}

/// Turns a mount by a rest, which its own parent sees as it was.
pub fn take_in(now: &Posed, mount: NodeId, rest: &Rotation) -> Edit {
    let above = now.rig().node(mount).and_then(|mount| mount.parent);
    let seen = above.map_or_else(Rotation::identity, |above| now.world(above).rotation);
    Edit::Rotate {
        node: mount,
        by: seen * rest * seen.inverse(),
        keep_children: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rig::{Vec3, edit::apply};

    /// A bench turned by a quarter of a turn carries a joint that rests at 25° about its own z.
    fn figure() -> Posed {
        let half = libm::sqrt(0.5);
        let text = format!(
            r#"{{"format": "handstand/2", "name": "rye", "nodes": [
            {{"name": "bench", "kind": "mount", "translation": [0, 0, 0], "rotation": [0, {half}, 0, {half}]}},
            {{"name": "knuckle", "kind": "joint", "parent": "bench", "translation": [5, 0, 0], "width": 20}},
            {{"name": "tip", "kind": "joint", "parent": "knuckle", "translation": [40, 0, 0], "width": 9}}],
            "dials": [{{"name": "curl", "unit": "deg", "min": -15, "max": 90, "value": 25,
            "drives": [{{"node": "knuckle", "channel": "turn_z", "gain": -1}}]}}]}}"#
        );
        let document = rig::read(&text).expect("a good document");
        Posed::new(&document).expect("it can be posed")
    }

    fn edited(now: &Posed, edit: &Edit) -> Posed {
        let mut document = now.document().clone();
        apply(&mut document, edit).expect("it is made");
        // As it is kept and read again.
        let kept = rig::read(&rig::write(&document)).expect("a good document");
        Posed::new(&kept).expect("it can be posed")
    }

    fn named<'a>(posed: &'a Posed, name: &str) -> &'a Node {
        posed.rig().node_named(name).expect("it is there")
    }

    fn tip(posed: &Posed) -> Vec3 {
        posed.point(named(posed, "tip").id)
    }

    #[test]
    fn a_mount_takes_the_rest_in_by_steps_that_are_seen() {
        let given = figure();
        let knuckle = |posed: &Posed| named(posed, "knuckle").clone();
        assert_eq!(mounted(&given, &given, &knuckle(&given)), Mounted::Not);
        let rest = rest(&given, "knuckle").expect("it is there");
        assert!((turn(&rest) - 25.0).abs() < 1e-12);

        let hung = edited(&given, &mount(&given, &knuckle(&given)));
        let Mounted::Hung(id) = mounted(&given, &hung, &knuckle(&hung)) else {
            panic!("it hangs");
        };
        assert!((tip(&hung) - tip(&given)).norm() < 1e-12);

        let mut twice = edited(&hung, &take_in(&hung, id, &rest));
        let state = mounted(&given, &twice, &knuckle(&twice));
        assert!(matches!(state, Mounted::Turned(_)), "{state:?}");
        // The chord of 25° at 40 mm: the rest counts twice.
        let chord = 80.0 * libm::sin(12.5 / DEGREES);
        assert!(((tip(&twice) - tip(&given)).norm() - chord).abs() < 1e-12);

        let curl = twice.rig().dial_named("curl").expect("it is there").id;
        twice.set_dial(curl, 0.0);
        twice.evaluate();
        assert!((tip(&twice) - tip(&given)).norm() < 1e-12);
    }
}
