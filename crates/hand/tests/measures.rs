//! Gauges against closed forms (docs/mathematics.md 2 to 4, 6) worked out by hand.
mod common;
use common::{at_lift, chain, id};
use hand::Gauge;
use rig::*;

fn close(gauge: &Gauge, posed: &Posed, value: f64, within: f64) {
    let reading = gauge.read(posed).unwrap();
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
    let posed = at_lift(&mut document, 40.0);
    close(&Gauge::WorstSlip {}, &posed, 0.0, 1e-10);
    for node in ["knuckle", "tip"] {
        close(&Gauge::Slip { node: named(node) }, &posed, 0.0, 1e-10);
    }
    for anchor in ["palm", "finger"] {
        close(
            &Gauge::Residual {
                anchor: named(anchor),
            },
            &posed,
            0.0,
            1e-10,
        );
    }
    // The wrist is carried at 90 mm from the axis: 2·90·sin 20°.
    let wrist = || named("wrist");
    close(
        &Gauge::Travel { node: wrist() },
        &posed,
        180.0 * SIN_20,
        1e-10,
    );
    close(
        &Gauge::Tilt {
            node: wrist(),
            axis: WorldAxis::Z,
        },
        &posed,
        -40.0,
        1e-10,
    );
    close(
        &Gauge::Tilt {
            node: wrist(),
            axis: WorldAxis::X,
        },
        &posed,
        0.0,
        1e-10,
    );
    // Its height over the bench's top, 8 mm below the axis: 8 + 90·sin 40°.
    let height = 8.0 + 90.0 * 0.642_787_609_686_539_3;
    close(&Gauge::Height { node: wrist() }, &posed, height, 1e-10);
    let rate = Gauge::Rate {
        node: wrist(),
        axis: WorldAxis::Z,
        dial: named("lift"),
    };
    // About z, counter-clockwise as seen, lifting turns the wrist the other way.
    close(&rate, &posed, -1.0, 1e-9);
    close(
        &Gauge::Dial {
            dial: named("lift"),
        },
        &posed,
        40.0,
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
    document.setting.active.fill(false);
    let posed = at_lift(&mut document, 40.0);
    assert!((posed.slip(knuckle).unwrap() - 12.0 * SIN_20).abs() < 1e-10);
    let shown = Gauge::Slip {
        node: named("knuckle"),
    }
    .read(&posed)
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
        &posed,
        bend,
        1e-10,
    );
    let gain = Gauge::BendGain {
        anchor: named("finger"),
    };
    let expected = 180.0 / std::f64::consts::PI / (bone * libm::sin(half));
    close(&gain, &posed, expected, 1e-9);
    let margin = Gauge::ReachMargin {
        anchor: named("finger"),
    };
    close(&margin, &posed, 2.0 * bone - 78.0, 1e-10);
    let distance = Gauge::Distance {
        from: named("knuckle"),
        to: named("tip"),
    };
    close(&distance, &posed, 78.0, 1e-10);
    let off = Gauge::OffMark {
        node: named("tip"),
        at: [168.0, 3.0, 4.0],
    };
    close(&off, &posed, 5.0, 1e-10);
    assert!(Gauge::Bend { node: named("tip") }.read(&posed).is_err());
    // Planar two-link arm: JJᵀ has the product of singular values L²·sin(bend) and the sum of
    // squares |p|² + L² (Craig, Introduction to Robotics, section 5.8).
    let (product, squares) = (
        bone * bone * libm::sin(2.0 * half),
        78.0 * 78.0 + bone * bone,
    );
    let least = ((squares - (squares * squares - 4.0 * product * product).sqrt()) / 2.0).sqrt();
    let gauge = Gauge::LeastSingularValue {
        anchor: named("finger"),
    };
    close(&gauge, &posed, least, 1e-9);
}

#[test]
fn straight_chains_over_react_without_bound() {
    let mut document = chain();
    let (finger, tip) = (id(&document, "finger"), id(&document, "tip"));
    let at = |x: f64| Vec3::new(x, 0.0, 0.0);
    document.setting.active.fill(false);
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
    assert_eq!(gauge.read(&posed).unwrap().to_string(), "∞ °/mm");
    close(
        &Gauge::Bend {
            node: named("finger"),
        },
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

/// A joint with turns about all three axes, its middle one at so many degrees in its order.
fn turned(order: Order, middle: f64) -> Posed {
    let text = format!(
        r#"{{"format": "handstand/2", "nodes": [
        {{"name": "wrist", "kind": "joint", "translation": [3, 4, 5], "width": 20, "order": "{}",
        "limits": {{"turn_x": [-80, 80], "turn_y": [-20, 30], "turn_z": [-70, 80]}}}},
        {{"name": "tip", "kind": "joint", "parent": "wrist", "translation": [40, 0, 0], "width": 9}}],
        "dials": [{{"name": "middle", "unit": "deg", "min": -90, "max": 90, "value": {middle:?},
        "drives": [{{"node": "wrist", "channel": "turn_{}"}}]}}]}}"#,
        format!("{order:?}").to_uppercase(),
        ["x", "y", "z"][order.axes()[1]]
    );
    Posed::new(&read(&text).expect("a good document")).unwrap()
}

#[test]
fn a_mirror_place_is_as_far_behind_the_mirror() {
    let posed = turned(Order::Xyz, 0.0);
    // The tip at (43, 4, 5), seen in a mirror at z = 2 or at y = -1, is at z = -1 or at y = -6.
    for (axis, at, off) in [
        (WorldAxis::Z, 2.0, libm::hypot(40.0, 6.0)),
        (WorldAxis::MinusZ, -2.0, libm::hypot(40.0, 6.0)),
        (WorldAxis::MinusY, 1.0, libm::hypot(40.0, 10.0)),
    ] {
        let gauge = Gauge::OffMirror {
            node: named("wrist"),
            of: named("tip"),
            axis,
            at,
        };
        close(&gauge, &posed, off, 1e-12);
    }
}

/// By the middle turn alone in the order that the limits were measured in; a locked one in no order
/// that has it elsewhere. The other numbers are SciPy's (reference/lessons.rs).
#[test]
fn the_lock_is_a_quarter_turn_less_what_the_middle_turn_reaches() {
    let lock = |measured| Gauge::Lock {
        node: named("wrist"),
        measured,
    };
    for (order, most) in Order::ALL
        .into_iter()
        .zip([30.0, 80.0, 80.0, 80.0, 80.0, 30.0])
    {
        close(&lock(order), &turned(order, 0.0), 90.0 - most, 1e-9);
        close(&lock(order), &turned(order, 20.0), 90.0 - most, 1e-9);
    }
    let (posed, text) = (turned(Order::Xyz, 0.0), "distance of the wrist to the lock");
    assert_eq!(lock(Order::Zyx).label(), text);
    assert!(lock(Order::Zyx).read(&posed).unwrap().value < 10.0);
}

#[test]
fn the_leap_is_one_over_the_cosine_of_the_middle_turn() {
    let leap = Gauge::Leap {
        node: named("wrist"),
    };
    for order in Order::ALL {
        close(&leap, &turned(order, 0.0), 1.0, 0.0);
        // From a table of cosines: 60° and 20°.
        let at = if order.axes()[1] == 1 {
            (20.0, 0.939_692_620_785_908_4)
        } else {
            (60.0, 0.5)
        };
        close(&leap, &turned(order, at.0), 1.0 / at.1, 1e-12);
    }
    let mut free = turned(Order::Xzy, 0.0).document().clone();
    let edit = Edit::SetLimits {
        node: id(&free, "wrist"),
        channel: Channel::TurnZ,
        limits: None,
    };
    edit::apply(&mut free, &edit).unwrap();
    let values = vec![(free.dials[0].id, 90.0)];
    edit::apply(&mut free, &Edit::SetDials { values }).unwrap();
    let posed = Posed::new(&free).unwrap();
    assert_eq!(leap.read(&posed).unwrap().to_string(), "∞ °/°");
}

#[test]
fn unknown_names_are_told() {
    let document = chain();
    let posed = Posed::new(&document).unwrap();
    let said = |gauge: Gauge| gauge.read(&posed).unwrap_err();
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
    for gauge in [
        Gauge::Leap { node: named("rye") },
        Gauge::Lock {
            node: named("rye"),
            measured: Order::Xyz,
        },
        Gauge::OffMirror {
            node: named("wrist"),
            of: named("rye"),
            axis: WorldAxis::X,
            at: 0.0,
        },
    ] {
        assert_eq!(said(gauge), "there is no node named 'rye'");
    }
    assert_eq!(
        said(Gauge::Dial { dial: named("x") }),
        "there is no dial named 'x'"
    );
}

/// Two edge pivots under a palm 80 mm wide, one signed dial; docs/mathematics.md 6 and lesson 5.
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
        close(&gauge, &posed, 0.0, 1e-12);
        // Soft: by the formula of docs/mathematics.md 6 with w = 4°.
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
    close(&gauge, &posed, 40.0 * SIN_20, 1e-12);
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
    assert!(posed.slip(tip).unwrap() < 1e-10);
    assert!(posed.slip(id(&document, "knuckle")).unwrap() > 200.0);
}
