//! Gauges, roles and drags against closed forms (DESIGN 3.2 to 3.4, 3.8) worked out by hand.
use rig::*;

fn chain() -> Document {
    read(include_str!(
        "../../../examples/bench-press-chain.hand.json"
    ))
    .expect("a good example")
}

fn id(document: &Document, name: &str) -> NodeId {
    document.node_named(name).expect(name).id
}

fn at_lift(document: &mut Document, degrees: f64) -> Posed {
    document.dials[0].value = degrees;
    Posed::new(document).unwrap()
}

fn close(gauge: &Gauge, document: &Document, posed: &Posed, value: f64, within: f64) {
    let reading = gauge.read(document, posed).unwrap();
    assert!(
        (reading.value - value).abs() <= within,
        "{}: {reading:?}, not {value}",
        gauge.label()
    );
}

fn named(name: &str) -> String {
    name.to_owned()
}

/// sin 20°, from a printed table of sines to 16 places.
const SIN_20: f64 = 0.342_020_143_325_668_7;

#[test]
fn a_full_lift_about_the_right_pivot_slips_nowhere() {
    let mut document = chain();
    let posed = at_lift(&mut document, -40.0);
    close(&Gauge::WorstSlip {}, &document, &posed, 0.0, 1e-10);
    for node in ["knuckle", "tip"] {
        close(
            &Gauge::Slip { node: named(node) },
            &document,
            &posed,
            0.0,
            1e-10,
        );
    }
    for anchor in ["palm", "finger"] {
        close(
            &Gauge::Residual {
                anchor: named(anchor),
            },
            &document,
            &posed,
            0.0,
            1e-10,
        );
    }
    // The wrist is carried at 90 mm from the axis: 2·90·sin 20°.
    let wrist = || named("wrist");
    close(
        &Gauge::Travel { node: wrist() },
        &document,
        &posed,
        180.0 * SIN_20,
        1e-10,
    );
    close(
        &Gauge::Tilt {
            node: wrist(),
            axis: 2,
        },
        &document,
        &posed,
        -40.0,
        1e-10,
    );
    close(
        &Gauge::Tilt {
            node: wrist(),
            axis: 0,
        },
        &document,
        &posed,
        0.0,
        1e-10,
    );
    // Its height over the bench's top, 8 mm below the axis: 8 + 90·sin 40°.
    let height = 8.0 + 90.0 * 0.642_787_609_686_539_3;
    close(
        &Gauge::Height { node: wrist() },
        &document,
        &posed,
        height,
        1e-10,
    );
    let rate = Gauge::Rate {
        node: wrist(),
        axis: 2,
        dial: named("lift"),
    };
    close(&rate, &document, &posed, 1.0, 1e-9);
    close(
        &Gauge::Dial {
            dial: named("lift"),
        },
        &document,
        &posed,
        -40.0,
        0.0,
    );
}

#[test]
fn a_misplaced_pivot_moves_a_rigid_mark_by_its_offset() {
    // Lesson 4's numbers: 6 mm off, 40°, anchors let go: 2·6·sin 20° = 4.10 mm.
    let mut document = chain();
    let [pivot, knuckle] = ["knuckle pivot", "knuckle"].map(|n| id(&document, n));
    let to = Vec3::new(84.0, 0.0, 0.0);
    edit::apply(
        &mut document,
        &Edit::Move {
            node: pivot,
            to,
            keep_children: true,
        },
    )
    .unwrap();
    for anchor in &mut document.anchors {
        anchor.active = false;
    }
    let posed = at_lift(&mut document, -40.0);
    assert!((posed.slip(&document, knuckle).unwrap() - 12.0 * SIN_20).abs() < 1e-10);
    let shown = Gauge::Slip {
        node: named("knuckle"),
    }
    .read(&document, &posed)
    .unwrap();
    assert_eq!(shown.to_string(), "4.10 mm");
}

#[test]
fn bends_and_gains() {
    // Two bones of 40 mm, bent by 2·asin(1/4·…): an isosceles triangle of base 69 mm.
    let mut document = chain();
    let posed = at_lift(&mut document, 0.0);
    let bone = (39.0f64 * 39.0 + 81.0).sqrt();
    // cos(bend) by the dot product of (39, 9) and (39, −9); tan(bend/2) = 9/39.
    let half = libm::atan(9.0 / 39.0);
    let bend = 2.0 * half * 180.0 / std::f64::consts::PI;
    close(
        &Gauge::Bend {
            node: named("finger"),
        },
        &document,
        &posed,
        bend,
        1e-10,
    );
    let gain = Gauge::BendGain {
        anchor: named("finger"),
    };
    let expected = 180.0 / std::f64::consts::PI / (bone * libm::sin(half));
    close(&gain, &document, &posed, expected, 1e-9);
    let margin = Gauge::ReachMargin {
        anchor: named("finger"),
    };
    close(&margin, &document, &posed, 2.0 * bone - 78.0, 1e-10);
    let distance = Gauge::Distance {
        from: named("knuckle"),
        to: named("tip"),
    };
    close(&distance, &document, &posed, 78.0, 1e-10);
    let off = Gauge::OffMark {
        node: named("tip"),
        at: [168.0, 3.0, 4.0],
    };
    close(&off, &document, &posed, 5.0, 1e-10);
    assert!(
        Gauge::Bend { node: named("tip") }
            .read(&document, &posed)
            .is_err()
    );
    // Planar two-link arm: JJᵀ has the product of singular values L²·sin(bend) and the sum of
    // squares |p|² + L² (Craig, Introduction to Robotics, section 5.8, from memory).
    let (product, squares) = (
        bone * bone * libm::sin(2.0 * half),
        78.0 * 78.0 + bone * bone,
    );
    let least = ((squares - (squares * squares - 4.0 * product * product).sqrt()) / 2.0).sqrt();
    let gauge = Gauge::LeastSingularValue {
        anchor: named("finger"),
    };
    close(&gauge, &document, &posed, least, 1e-9);
}

#[test]
fn straight_chains_over_react_without_bound() {
    let mut document = chain();
    let (finger, tip) = (id(&document, "finger"), id(&document, "tip"));
    let at = |x: f64| Vec3::new(x, 0.0, 0.0);
    for anchor in &mut document.anchors {
        anchor.active = false;
    }
    for (node, to) in [(finger, at(130.0)), (tip, at(170.0))] {
        edit::apply(
            &mut document,
            &Edit::Move {
                node,
                to,
                keep_children: true,
            },
        )
        .unwrap();
    }
    let posed = Posed::new(&document).unwrap();
    let gauge = Gauge::BendGain {
        anchor: named("finger"),
    };
    assert_eq!(gauge.read(&document, &posed).unwrap().to_string(), "∞ °/mm");
    close(
        &Gauge::Bend {
            node: named("finger"),
        },
        &document,
        &posed,
        0.0,
        1e-12,
    );
}

#[test]
fn readings_read_well() {
    let shown = |value, unit, decimals| {
        Reading {
            value,
            unit,
            decimals,
        }
        .to_string()
    };
    assert_eq!(shown(33.333, "°", 1), "33.3°");
    assert_eq!(shown(-0.001, "mm", 2), "0.00 mm");
    assert_eq!(shown(-4.104, "mm", 2), "−4.10 mm");
    assert_eq!(shown(f64::NEG_INFINITY, "mm", 2), "−∞ mm");
}

#[test]
fn unknown_names_are_told() {
    let document = chain();
    let posed = Posed::new(&document).unwrap();
    let said = |gauge: Gauge| gauge.read(&document, &posed).unwrap_err();
    assert_eq!(
        said(Gauge::Slip {
            node: named("flour")
        }),
        "there is no node named 'flour'"
    );
    assert_eq!(
        said(Gauge::Slip {
            node: named("wrist")
        }),
        "'wrist' is not planted"
    );
    assert_eq!(
        said(Gauge::Residual { anchor: named("x") }),
        "there is no anchor named 'x'"
    );
    assert_eq!(
        said(Gauge::Dial { dial: named("x") }),
        "there is no dial named 'x'"
    );
    assert!(
        said(Gauge::Tilt {
            node: named("wrist"),
            axis: 6
        })
        .contains("no axis 6")
    );
}

/// Two edge pivots under a palm 80 mm wide, one signed dial; DESIGN 3.8 and lesson 5.
fn edges(softness: f64, lean: f64) -> Document {
    let text = format!(
        r#"{{"format": "handstand/1", "bench": 0, "nodes": [
        {{"name": "inner edge", "kind": "mount", "translation": [0, 0, -40]}},
        {{"name": "outer edge", "kind": "mount", "parent": "inner edge", "translation": [0, 0, 80]}},
        {{"name": "palm", "kind": "joint", "parent": "outer edge", "translation": [0, 0, -40]}},
        {{"name": "low", "kind": "mount", "parent": "palm", "translation": [0, 0, 40]}},
        {{"name": "high", "kind": "mount", "parent": "palm", "translation": [0, 0, -40]}}],
        "dials": [{{"name": "lean", "unit": "deg", "min": -60, "max": 60, "value": {lean:?}, "softness": {softness:?},
        "drives": [{{"node": "inner edge", "channel": "turn_x", "gain": -1, "ramp": "falling"}},
        {{"node": "outer edge", "channel": "turn_x", "gain": 1, "ramp": "rising"}}]}}]}}"#
    );
    read(&text).expect("a good document")
}

#[test]
fn ramps_share_the_dial_between_the_pivots() {
    let palm_y = |d: &Document| Posed::new(d).unwrap().point(id(d, "palm")).y;
    for lean in [-50.0, -10.0, -2.0, 0.0, 1.0, 2.0, 20.0, 50.0] {
        // Sharp: the centre's height is a V, 40·sin|θ|, and nothing goes below the bench.
        let document = edges(0.0, lean);
        let height = 40.0 * libm::sin(lean.abs() * std::f64::consts::PI / 180.0);
        assert!((palm_y(&document) - height).abs() < 1e-12, "{lean}");
        let posed = Posed::new(&document).unwrap();
        let gauge = Gauge::Penetration {
            nodes: vec![named("low"), named("high")],
        };
        close(&gauge, &document, &posed, 0.0, 1e-12);
        // Soft: by the formula of DESIGN 3.8 with w = 4°.
        let x = lean.abs();
        let turned = if x < 4.0 { x * x / 8.0 } else { x - 2.0 };
        let height = 40.0 * libm::sin(turned * std::f64::consts::PI / 180.0);
        assert!((palm_y(&edges(4.0, lean)) - height).abs() < 1e-12, "{lean}");
    }
    // Leaning about the middle instead puts the low edge 40·sin 20° = 13.7 mm into the bench.
    let mut document = edges(0.0, 0.0);
    let by = Rotation::from_axis_angle(
        &nalgebra::Vector3::x_axis(),
        20.0 * std::f64::consts::PI / 180.0,
    );
    let node = id(&document, "palm");
    edit::apply(
        &mut document,
        &Edit::Rotate {
            node,
            by,
            keep_children: false,
        },
    )
    .unwrap();
    let posed = Posed::new(&document).unwrap();
    let gauge = Gauge::Penetration {
        nodes: vec![named("low"), named("high")],
    };
    close(&gauge, &document, &posed, 40.0 * SIN_20, 1e-12);
}

#[test]
fn a_surface_takes_its_plants_along() {
    let mut document = chain();
    let (bench, tip) = (id(&document, "bench"), id(&document, "tip"));
    document.plants[1].surface = Some(bench);
    document.plants[1].at = [78.0, 0.0, 0.0];
    let to = Vec3::new(300.0, 50.0, 20.0);
    edit::apply(
        &mut document,
        &Edit::Move {
            node: bench,
            to,
            keep_children: false,
        },
    )
    .unwrap();
    let posed = Posed::new(&document).unwrap();
    assert!(posed.slip(&document, tip).unwrap() < 1e-10);
    assert!(posed.slip(&document, id(&document, "knuckle")).unwrap() > 200.0);
}

fn role_names(document: &Document, roles: &[(NodeId, Role)]) -> Vec<(String, Role)> {
    roles
        .iter()
        .map(|(n, r)| (document.node(*n).unwrap().name.clone(), *r))
        .collect()
}

#[test]
fn roles_while_the_pivot_turns() {
    use Role::*;
    let mut document = chain();
    let lift = document.dials[0].id;
    let expected = |roles: [Role; 8]| -> Vec<(String, Role)> {
        document
            .nodes
            .iter()
            .map(|n| n.name.clone())
            .zip(roles)
            .collect()
    };
    let anchored = expected([
        Still, Mover, Carried, Anchored, Anchored, Anchored, Still, Still,
    ]);
    let loose = expected([
        Still, Mover, Carried, Carried, Carried, Carried, Still, Still,
    ]);
    let idle = expected([
        Still, Still, Still, Anchored, Anchored, Anchored, Still, Still,
    ]);
    assert_eq!(role_names(&document, &roles(&document, &[lift])), anchored);
    assert_eq!(role_names(&document, &roles(&document, &[])), idle);
    for anchor in &mut document.anchors {
        anchor.active = false;
    }
    assert_eq!(role_names(&document, &roles(&document, &[lift])), loose);
}

#[test]
fn roles_while_a_carrier_moves_its_targets() {
    use Role::*;
    // Drag the tip's staple: the finger's chain is led by it, the palm's stays.
    let document = chain();
    let placed = role::roles_placing(&document, id(&document, "tip staple"));
    let of = |name: &str| {
        placed
            .iter()
            .find(|(n, _)| *n == id(&document, name))
            .unwrap()
            .1
    };
    assert_eq!(of("tip staple"), Mover);
    assert_eq!([of("finger"), of("tip"), of("knuckle")], [Carried; 3]);
    assert_eq!([of("wrist"), of("bench"), of("knuckle staple")], [Still; 3]);
    // Moving a pivot's place leaves its children where they are.
    let placed = role::roles_placing(&document, id(&document, "knuckle pivot"));
    let of = |name: &str| {
        placed
            .iter()
            .find(|(n, _)| *n == id(&document, name))
            .unwrap()
            .1
    };
    assert_eq!([of("knuckle pivot"), of("wrist")], [Mover, Still]);
}

#[test]
fn a_pull_finds_the_nearest_point() {
    let mut document = chain();
    let lift = document.dials[0].id;
    let wrist = id(&document, "wrist");
    for degrees in [-70.0, -40.0, -1.0, 10.0f64] {
        let mut posed = at_lift(&mut document, 0.0);
        // The wrist runs on a circle of 90 mm about the knuckle; the pointer may be far off it.
        let turn = degrees * std::f64::consts::PI / 180.0;
        let outwards = -Vec3::new(libm::cos(turn), libm::sin(turn), 0.0);
        for (far, off) in [(90.0, 0.0), (300.0, 25.0), (40.0, -9.0)] {
            let to = Vec3::new(90.0, 0.0, off) + outwards * far;
            let values = pull::pull(&mut posed, wrist, &[lift], to, Vec3::z());
            assert!(
                (values[0].1 - degrees).abs() < 1e-6,
                "{values:?}, not {degrees}"
            );
            assert_eq!(posed.dial(lift), values[0].1);
        }
    }
    // Past the limit it stops there.
    let mut posed = at_lift(&mut document, 0.0);
    let values = pull::pull(
        &mut posed,
        wrist,
        &[lift],
        Vec3::new(90.0, 200.0, 0.0),
        Vec3::z(),
    );
    assert_eq!(values, [(lift, -75.0)]);
    // And comes back.
    let values = pull::pull(
        &mut posed,
        wrist,
        &[lift],
        Vec3::new(0.0, 0.0, 0.0),
        Vec3::z(),
    );
    assert!(values[0].1.abs() < 1e-6);
    // Where its dial does nothing to it, nothing happens.
    let pivot = id(&document, "knuckle pivot");
    let values = pull::pull(
        &mut posed,
        pivot,
        &[lift],
        Vec3::new(5.0, 5.0, 0.0),
        Vec3::z(),
    );
    assert!(values[0].1.abs() < 1e-6);
}

#[test]
fn two_dials_pull_a_point_anywhere() {
    // A planar two-link arm reaches any point of its ring (closed form: any robotics text).
    let text = r#"{"format": "handstand/1", "nodes": [
        {"name": "a", "kind": "joint", "translation": [0, 0, 0]},
        {"name": "b", "kind": "joint", "parent": "a", "translation": [60, 0, 0]},
        {"name": "c", "kind": "joint", "parent": "b", "translation": [40, 0, 0], "grip": ["p", "q"]}],
        "dials": [{"name": "p", "unit": "deg", "min": -180, "max": 180, "value": 20, "drives": [{"node": "a", "channel": "turn_z"}]},
        {"name": "q", "unit": "deg", "min": 5, "max": 150, "value": 30, "neutral": 5, "drives": [{"node": "b", "channel": "turn_z"}]}]}"#;
    let document = read(text).unwrap();
    let dials = [document.dials[0].id, document.dials[1].id];
    let c = id(&document, "c");
    let mut posed = Posed::new(&document).unwrap();
    for (x, y) in [(70.0, 30.0), (20.0, 60.0), (-30.0, 50.0), (-50.0, 20.0)] {
        let to = Vec3::new(x, y, 0.0);
        pull::pull(&mut posed, c, &dials, to, Vec3::z());
        assert!(
            (posed.point(c) - to).norm() < 1e-6,
            "{to:?}: {:?}",
            posed.point(c)
        );
    }
    // Out of reach it stretches as far as the second dial lets it, pointing there.
    let values = pull::pull(&mut posed, c, &dials, Vec3::new(0.0, 500.0, 0.0), Vec3::z());
    assert!(
        (values[1].1 - 5.0).abs() < 1e-6 && values[1].1 >= 5.0,
        "{values:?}"
    );
    assert!(
        posed.point(c).x.abs() < 1e-6,
        "{values:?} {:?}",
        posed.point(c)
    );
}
