//! What the gauges of a step speak of and the rig itself does not show: the hoops of a joint's
//! turns, and the mirror that a hand is held to.
use course::Shown;
use hand::Gauge;
use rig::{NodeId, Posed, RADIANS, Rotation, Vec3, WorldAxis};
use std::f64::consts::TAU;

/// From the outermost to the innermost: its name and its radius, mm.
const HOOPS: [(&str, f64); 3] = [("outer", 50.0), ("middle", 44.0), ("inner", 38.0)];
/// Pieces of a hoop.
const PIECES: u32 = 60;
/// How far a mirror goes beyond what is seen in it, mm.
const MARGIN: f64 = 25.0;

/// Lines by name, world mm.
pub(super) fn of(posed: &Posed, gauges: &[Shown]) -> Vec<(String, Vec<Vec3>)> {
    let mut lines = Vec::new();
    for shown in gauges {
        let found = |name: &str| posed.rig().node_named(name);
        match &shown.gauge {
            Gauge::Leap { node } => lines.extend(found(node).map(|n| hoops(posed, n.id))),
            Gauge::OffMirror { axis, at, .. } => lines.push(vec![mirror(posed, *axis, *at)]),
            _ => {}
        }
    }
    lines.into_iter().flatten().collect()
}

/// A hoop for each turn, round about its axis: where two lie in one plane, two turns are one.
fn hoops(posed: &Posed, node: NodeId) -> Vec<(String, Vec<Vec3>)> {
    let Some(order) = posed.rig().node(node).map(|node| node.order) else {
        return Vec::new();
    };
    let (at, turns) = (posed.point(node), posed.turns(node).map(|t| t * RADIANS));
    let own = posed.world(node).rotation;
    let mut carried = own * order.compose(turns).inverse();
    let hoops = order.axes().into_iter().zip(HOOPS);
    let hoops = hoops.map(|(axis, (name, radius))| {
        let across = carried * Vec3::ith((axis + 1) % 3, radius);
        let up = carried * Vec3::ith((axis + 2) % 3, radius);
        let line = (0..=PIECES).map(|piece| {
            let (s, c) = libm::sincos(TAU * f64::from(piece) / f64::from(PIECES));
            at + across * c + up * s
        });
        let line = (name.to_owned(), line.collect());
        carried *= Rotation::from_scaled_axis(Vec3::ith(axis, turns[axis]));
        line
    });
    hoops.collect()
}

/// The frame of a mirror, as large as the figure with every dial at neutral.
fn mirror(posed: &Posed, axis: WorldAxis, at: f64) -> (String, Vec<Vec3>) {
    let mut rest = posed.clone();
    rest.set_neutral();
    rest.evaluate();
    let (mut low, mut high) = (Vec3::repeat(f64::INFINITY), Vec3::repeat(-f64::INFINITY));
    for node in posed.rig().nodes.iter().filter(|node| !node.hidden) {
        // Halfway between a place and its image is on the mirror.
        let place = rest.point(node.id);
        let foot = (place + rig::measure::mirrored(&place, axis, at)) * 0.5;
        low = low.inf(&foot);
        high = high.sup(&foot);
    }
    let flat = axis as usize % 3;
    let mut margin = Vec3::repeat(MARGIN);
    margin[flat] = 0.0;
    let (low, high) = (low - margin, high + margin);
    let (one, two) = ((flat + 1) % 3, (flat + 2) % 3);
    let corner = |first: bool, second: bool| {
        let mut corner = low;
        corner[one] = if first { high[one] } else { low[one] };
        corner[two] = if second { high[two] } else { low[two] };
        corner
    };
    let corners = [
        (true, true),
        (false, true),
        (false, false),
        (true, false),
        (true, true),
    ];
    let corners = corners.map(|(first, second)| corner(first, second));
    ("mirror".to_owned(), corners.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(text: &str) -> Posed {
        let document = rig::read(text).expect("a good document");
        Posed::new(&document).expect("it can be posed")
    }

    fn shown(gauge: Gauge) -> Shown {
        Shown {
            label: String::new(),
            gauge,
            scale: 1.0,
            tolerance: None,
        }
    }

    /// The line that a hoop lies square to.
    fn normal((_, line): &(String, Vec<Vec3>), at: Vec3) -> Vec3 {
        let quarter = line.len() / 4;
        (line[0] - at).cross(&(line[quarter] - at)).normalize()
    }

    #[test]
    fn two_hoops_lie_in_one_plane_at_the_lock() {
        for (middle, apart) in [(0.0, 0.0), (60.0, libm::sqrt(0.75)), (90.0, 1.0)] {
            let posed = figure(&format!(
                r#"{{"format": "handstand/2", "name": "rye", "nodes": [
                {{"name": "wrist", "kind": "joint", "translation": [1, 2, 3], "width": 20, "order": "XZY"}}],
                "dials": [{{"name": "bend", "unit": "deg", "min": -90, "max": 90, "value": {middle:?},
                "drives": [{{"node": "wrist", "channel": "turn_z"}}]}},
                {{"name": "roll", "unit": "deg", "min": -90, "max": 90, "value": 20,
                "drives": [{{"node": "wrist", "channel": "turn_x"}}]}}]}}"#
            ));
            let node = "wrist".to_owned();
            let lines = of(&posed, &[shown(Gauge::Leap { node })]);
            let names: Vec<_> = lines.iter().map(|line| line.0.as_str()).collect();
            assert_eq!(names, ["outer", "middle", "inner"]);
            let at = Vec3::new(1.0, 2.0, 3.0);
            let [outer, between, inner] = [0, 1, 2].map(|hoop| normal(&lines[hoop], at));
            // The outer one is square to what carries the joint, whatever its turns.
            assert!((outer - Vec3::x()).norm() < 1e-12);
            assert!(libm::fabs(outer.dot(&between)) < 1e-12);
            assert!((libm::fabs(outer.dot(&inner)) - apart).abs() < 1e-12);
        }
    }

    #[test]
    fn a_mirror_stands_where_it_is_said_to() {
        let posed = figure(
            r#"{"format": "handstand/2", "name": "rye", "nodes": [
            {"name": "tip", "kind": "joint", "translation": [10, 20, 40], "width": 20},
            {"name": "left tip", "kind": "joint", "translation": [-10, 0, -40], "width": 20}]}"#,
        );
        let gauge = Gauge::OffMirror {
            node: "left tip".into(),
            of: "tip".into(),
            axis: WorldAxis::MinusZ,
            at: 5.0,
        };
        let lines = of(&posed, &[shown(gauge)]);
        let [(name, line)] = &lines[..] else {
            panic!("{lines:?}")
        };
        assert_eq!((name.as_str(), line.len()), ("mirror", 5));
        assert!(line.iter().all(|p| (p.z + 5.0).abs() < 1e-12));
        assert_eq!(line[0], Vec3::new(10.0 + MARGIN, 20.0 + MARGIN, -5.0));
        assert_eq!(line[2], Vec3::new(-10.0 - MARGIN, -MARGIN, -5.0));
    }
}
