//! A hand with its flesh, by its shapes.
#[allow(dead_code)]
mod common;

use common::{bounds, numbers};
use figure::{AxisKind, AxisLine, Layer, Paint, Scene, Seg, Shape, Sight, View, draw, extent};
use hand::{Digit, GroundForm, Hand, Planting, Recipe, Side, Stance, bones};
use rig::*;

const SIZE: (f64, f64) = (900.0, 600.0);
const BELOW: Sight = Sight::Oblique {
    yaw: 0.0,
    pitch: -1.2,
};
const SIGHTS: [Sight; 6] = [
    Sight::Side,
    Sight::Front,
    Sight::Top,
    Sight::Oblique {
        yaw: -0.6,
        pitch: 0.4,
    },
    Sight::Oblique {
        yaw: 2.4,
        pitch: 0.5,
    },
    BELOW,
];

fn planted(with: impl FnOnce(&mut Hand, &mut Planting)) -> Document {
    let (mut hand, mut planting) = (Hand::table(), Planting::default());
    with(&mut hand, &mut planting);
    let recipe = Recipe {
        hand,
        planting: Some(planting),
    };
    hand::document(&recipe).unwrap()
}

fn free() -> Document {
    hand::document(&Recipe::default()).unwrap()
}

fn with_dial(mut document: Document, name: &str, value: f64) -> Document {
    let found = document.dials.iter().position(|d| d.name == name);
    let at = found.unwrap_or_else(|| panic!("no dial {name}"));
    document.setting.dials[at] = value;
    document
}

/// Its shapes as the view that fits it shows them.
fn drawn(document: &Document, sight: Sight, scene: &Scene) -> (View, Vec<Shape>) {
    let posed = Posed::new(document).unwrap();
    let view = View::fit(sight, SIZE, &extent(&posed), 60.0);
    let shapes = draw(&posed, &view, scene);
    (view, shapes)
}

fn stances() -> Vec<Document> {
    let mut all: Vec<Document> = [Stance::Flat, Stance::Fingertips, Stance::Fist, Stance::Edge]
        .into_iter()
        .map(|stance| planted(|_, p| p.stance = stance))
        .collect();
    for form in [GroundForm::Edge, GroundForm::Rail] {
        all.push(planted(|_, p| p.surface.form = form));
    }
    all.push(planted(|h, _| h.side = Side::Left));
    all.push(planted(|h, _| h.arm = Some(Default::default())));
    all.push(with_dial(planted(|_, _| {}), "lift", 35.0));
    all.push(with_dial(planted(|_, _| {}), "lean", -12.0));
    all.push(free());
    all
}

fn area(segs: &[Seg]) -> f64 {
    let (mut twice, mut first, mut at) = (0.0, (0.0, 0.0), (0.0, 0.0));
    for seg in segs {
        let to = match *seg {
            Seg::Move(x, y) => {
                (first, at) = ((x, y), (x, y));
                continue;
            }
            Seg::Line(x, y) | Seg::Cubic(_, _, _, _, x, y) => (x, y),
            Seg::Close => first,
        };
        twice += at.0 * to.1 - to.0 * at.1;
        at = to;
    }
    twice.abs() / 2.0
}

/// Opaque fills of this paint that are flesh: their places in the list, and their areas.
fn fills(shapes: &[Shape], paint: Paint) -> Vec<(usize, f64)> {
    let of = |(i, shape): (usize, &Shape)| match shape {
        Shape::Path {
            layer: Layer::Bone,
            fill: Some(fill),
            fill_opacity,
            segs,
            ..
        } if *fill == paint && *fill_opacity == 1.0 => Some((i, area(segs))),
        _ => None,
    };
    shapes.iter().enumerate().filter_map(of).collect()
}

#[test]
fn every_stance_is_finite_and_not_too_much_in_every_view() {
    for document in stances() {
        for sight in SIGHTS {
            let (_, shapes) = drawn(&document, sight, &Scene::default());
            assert!(
                (90..420).contains(&shapes.len()),
                "{sight:?}: {}",
                shapes.len()
            );
            for shape in &shapes {
                let all = numbers(shape);
                assert!(all.iter().all(|n| n.is_finite()), "{sight:?}: {shape:?}");
            }
        }
    }
}

#[test]
fn any_document_is_finite() {
    for seed in 0..20 {
        let mut document = testkit::random_document(seed);
        for hand in [None, Some(Box::default())] {
            // With a recipe that it was not built from the same nodes are looked at as a hand.
            document.hand = hand;
            for sight in SIGHTS {
                let (_, shapes) = drawn(&document, sight, &Scene::default());
                for shape in &shapes {
                    assert!(numbers(shape).iter().all(|n| n.is_finite()), "{seed}");
                }
            }
        }
    }
}

#[test]
fn a_hand_of_one_finger_and_no_thumb_is_drawn_too() {
    for names in [
        &["index-finger"][..],
        &["thumb", "ring-finger"],
        &["index-finger", "middle-finger", "ring-finger"],
    ] {
        let recipe = Recipe {
            hand: Hand {
                digits: Hand::table()
                    .digits
                    .into_iter()
                    .filter(|d: &Digit| names.contains(&d.name.as_str()))
                    .collect(),
                ..Hand::table()
            },
            planting: None,
        };
        let document = hand::document(&recipe).unwrap();
        for sight in SIGHTS {
            let (_, shapes) = drawn(&document, sight, &Scene::default());
            assert!(fills(&shapes, Paint::Still).len() > 3 * names.len());
            for shape in &shapes {
                assert!(numbers(shape).iter().all(|n| n.is_finite()));
            }
        }
    }
}

/// From the palm's side the ball of the thumb covers the palm, from the back the palm covers it.
#[test]
fn what_is_nearer_is_painted_later() {
    let document = free();
    let thumb = |n: &Node| n.name.starts_with("thumb");
    let roles = document
        .nodes
        .iter()
        .map(|n| (n.id, if thumb(n) { Role::Carried } else { Role::Still }))
        .collect();
    let scene = Scene {
        roles,
        ..Scene::default()
    };
    for (sight, thumb_is_nearer) in [(BELOW, true), (Sight::Top, false)] {
        let (_, shapes) = drawn(&document, sight, &scene);
        let greatest = |paint| {
            let all = fills(&shapes, paint);
            all.into_iter()
                .max_by(|a, b| a.1.total_cmp(&b.1))
                .unwrap()
                .0
        };
        let (ball, palm) = (greatest(Paint::Carried), greatest(Paint::Still));
        assert_eq!(ball > palm, thumb_is_nearer, "{sight:?}");
    }
}

#[test]
fn fingers_are_painted_in_the_order_of_their_distance() {
    let document = free();
    let posed = Posed::new(&document).unwrap();
    // Seen from the little finger's side and from the thumb's, each finger as the only carried one.
    for (sight, side) in [
        (Sight::Side, 1.0),
        (
            Sight::Oblique {
                yaw: std::f64::consts::PI,
                pitch: 0.0,
            },
            -1.0,
        ),
    ] {
        let mut order: Vec<(f64, usize)> = bones::DIGITS[1..]
            .iter()
            .map(|digit| {
                let mine = |n: &Node| n.name.starts_with(digit.name);
                let role = |n: &Node| if mine(n) { Role::Carried } else { Role::Still };
                let scene = Scene {
                    roles: document.nodes.iter().map(|n| (n.id, role(n))).collect(),
                    ..Scene::default()
                };
                let (_, shapes) = drawn(&document, sight, &scene);
                let name = format!("{}-phalanx-intermediate", digit.name);
                let depth = posed.point(document.node_named(&name).unwrap().id).z * side;
                (depth, fills(&shapes, Paint::Carried).last().unwrap().0)
            })
            .collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert!(order.is_sorted_by_key(|o| o.1), "{order:?}");
    }
}

#[test]
fn roles_show_on_flesh_by_fill_and_hatch() {
    let document = planted(|_, _| {});
    let lift = document.dial_named("lift").unwrap().id;
    let scene = Scene {
        roles: rig::roles(&document, &[lift]),
        ..Scene::default()
    };
    let (_, shapes) = drawn(&document, Sight::Top, &scene);
    assert!(!fills(&shapes, Paint::Carried).is_empty());
    let hatched = |s: &&Shape| matches!(s, Shape::Path { layer: Layer::Bone, fill: Some(Paint::Hatch), fill_opacity, .. } if *fill_opacity < 1.0);
    // Each planted finger's bones after the first.
    assert!(shapes.iter().filter(hatched).count() >= 8);
    assert!(
        !drawn(&document, Sight::Top, &Scene::default())
            .1
            .iter()
            .any(|s| hatched(&s))
    );
}

/// Soft flesh rests on the bench and does not sink into it.
#[test]
fn planted_flesh_stays_on_the_bench() {
    let document = planted(|_, _| {});
    let (view, shapes) = drawn(&document, Sight::Side, &Scene::default());
    let bench = view.project(&Vec3::zeros()).1;
    let lowest = shapes
        .iter()
        .filter(|s| s.layer() == Layer::Bone)
        .map(|s| bounds(s)[3])
        .fold(f64::NEG_INFINITY, f64::max);
    // Ink is half its width outside the flesh.
    assert!((lowest - bench).abs() < 1.5, "{lowest} {bench}");
}

/// What shades the surfaces: how dark each step is, and how many outlines it has.
fn shades(document: &Document, sight: Sight) -> Vec<(f64, usize)> {
    let (_, shapes) = drawn(document, sight, &Scene::default());
    let shaded = |s: &Shape| match s {
        Shape::Path {
            layer: Layer::Bench,
            fill: Some(Paint::Shade),
            fill_opacity,
            segs,
            ..
        } => {
            let outlines = segs.iter().filter(|s| matches!(s, Seg::Move(..)));
            Some((*fill_opacity, outlines.count()))
        }
        _ => None,
    };
    shapes.iter().filter_map(shaded).collect()
}

/// Each step is one shape, the next darker and on top: so soft under what hovers, dark under
/// what bears, and no step so dark that it would show as a band.
#[test]
fn what_touches_is_shaded_and_what_is_high_is_not() {
    let over = |height: i32| {
        let mut free = free();
        free.bench = Some(f64::from(height));
        free
    };
    let high = over(-120);
    // Raised until it is shaded at all: flesh hovers some 7 to 11 mm over it then.
    let hovers = (-30..0)
        .map(|h| over(4 * h))
        .find(|d| !shades(d, Sight::Top).is_empty());
    let hovers = hovers.unwrap();
    for sight in SIGHTS {
        let steps = shades(&planted(|_, _| {}), sight);
        assert!(steps.len() >= 6, "{sight:?}: {steps:?}");
        assert!(steps.is_sorted_by(|a, b| a.0 < b.0), "{steps:?}");
        assert!(steps.iter().all(|s| s.0 < 0.2), "{steps:?}");
        assert_eq!(shades(&high, sight), [], "{sight:?}");
        let soft = shades(&hovers, sight);
        assert!(
            !soft.is_empty() && soft.len() < steps.len(),
            "{sight:?}: {soft:?}"
        );
    }
    // The darkest is under the pads of the four fingers that bear.
    let darkest = *shades(&planted(|_, _| {}), Sight::Top).last().unwrap();
    assert!(darkest.1 >= 4, "{darkest:?}");
    let released = with_dial(planted(|_, _| {}), "lift", -15.0);
    let steps = shades(&released, Sight::Top);
    assert!(
        steps.iter().all(|s| s.0 < darkest.0) || steps.last().unwrap().1 < 4,
        "{steps:?}"
    );
}

#[test]
fn a_left_hand_is_a_right_ones_mirror() {
    let outline = |side| {
        let document = planted(|h, _| h.side = side);
        let (_, shapes) = drawn(&document, Sight::Front, &Scene::default());
        let mut all: Vec<[f64; 4]> = shapes
            .iter()
            .filter(|s| {
                matches!(s, Shape::Path { layer: Layer::Bone, fill: Some(Paint::Still), fill_opacity, .. } if *fill_opacity == 1.0)
            })
            .map(bounds)
            .collect();
        if side == Side::Left {
            for b in &mut all {
                (b[0], b[2]) = (SIZE.0 - b[2], SIZE.0 - b[0]);
            }
        }
        all.sort_by(|a, b| a[0].total_cmp(&b[0]));
        all
    };
    let (right, left) = (outline(Side::Right), outline(Side::Left));
    assert_eq!(right.len(), left.len());
    for (a, b) in right.iter().zip(&left) {
        assert!(
            a.iter().zip(b).all(|(x, y)| (x - y).abs() < 0.5),
            "{a:?} {b:?}"
        );
    }
}

/// A rail's section is a circle of its radius, its top at the surface's origin.
#[test]
fn a_rail_is_as_thick_as_it_is() {
    let document = planted(|_, p| {
        p.surface.form = GroundForm::Rail;
        p.surface.radius = 24.0;
    });
    let surface = document.node_named("surface").unwrap().id;
    let posed = Posed::new(&document).unwrap();
    let (view, shapes) = drawn(&document, Sight::Side, &Scene::default());
    let of = |s: &&Shape| {
        matches!(
            s,
            Shape::Path {
                layer: Layer::Bench,
                fill: Some(Paint::Bench),
                ..
            }
        )
    };
    let rail = bounds(shapes.iter().find(of).unwrap());
    let (x, y, _) = view.project(&posed.point(surface));
    let r = 24.0 * view.scale;
    let expected = [x - r, y, x + r, y + 2.0 * r];
    assert!(
        rail.iter()
            .zip(expected)
            .all(|(a, b)| (a - b).abs() < 0.01 * r),
        "{rail:?} {expected:?}"
    );
}

#[test]
fn axes_differ_by_their_line_and_show_what_is_off_them() {
    let document = free();
    let axis = |kind| AxisLine {
        from: Vec3::new(60.0, 20.0, 0.0),
        to: Vec3::new(120.0, 20.0, 0.0),
        label: "axis".into(),
        kind,
        off: vec![(Vec3::new(80.0, 32.0, 0.0), "12 mm".into())],
    };
    for (kind, dashed) in [(AxisKind::Fitted, true), (AxisKind::Safest, false)] {
        let scene = Scene {
            axes: vec![axis(kind)],
            ..Scene::default()
        };
        let (view, shapes) = drawn(&document, Sight::Side, &scene);
        let measures: Vec<&Shape> = shapes
            .iter()
            .filter(|s| s.layer() == Layer::Measure)
            .collect();
        let Shape::Path {
            stroke: Some(line), ..
        } = measures[0]
        else {
            panic!()
        };
        assert_eq!(line.dash.is_some(), dashed);
        // The axis, two grips, and a line square to it from the place.
        let (x, y, _) = view.project(&Vec3::new(80.0, 32.0, 0.0));
        let (_, foot, _) = view.project(&Vec3::new(80.0, 20.0, 0.0));
        let b = bounds(measures[3]);
        let expected = [x, y, x, foot];
        assert!(b.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-9));
        let said = |what: &str| {
            shapes
                .iter()
                .any(|s| matches!(s, Shape::Text { text, .. } if text.content == what))
        };
        assert!(said("axis") && said("12 mm"));
    }
}

#[test]
fn the_ghost_of_a_hand_is_what_has_moved_of_it() {
    let document = planted(|_, _| {});
    let still = Posed::new(&document).unwrap();
    let ghosts = |document: &Document| {
        let scene = Scene {
            ghost: Some(&still),
            ..Scene::default()
        };
        let (_, shapes) = drawn(document, Sight::Side, &scene);
        shapes.iter().filter(|s| s.layer() == Layer::Ghost).count()
    };
    assert_eq!(ghosts(&document), 0);
    assert!(ghosts(&with_dial(document.clone(), "lift", 20.0)) > 2);
}

fn joint_of(name: &str, parent: &str) -> String {
    format!(
        r#"{{"name": "{name}", "kind": "joint", "parent": "{parent}", "translation": [1, 0, 0], "width": 1}}"#
    )
}

/// A hand's wrist with chains of joints below it, and the joints of each listed deepest first.
fn with_chains(chains: usize, joints: usize) -> Document {
    let mut nodes = Vec::new();
    for chain in 0..chains {
        for joint in (0..joints).rev() {
            let parent = match joint {
                0 => "wrist".to_owned(),
                _ => format!("{chain} {}", joint - 1),
            };
            nodes.push(joint_of(&format!("{chain} {joint}"), &parent));
        }
    }
    nodes.push(joint_of("wrist", "root"));
    let nodes = nodes.join(",");
    let root = r#"{"name": "root", "kind": "joint", "translation": [0, 0, 0], "width": 1}"#;
    hand::read(&format!(
        r#"{{"format": "handstand/1", "hand": {{}}, "nodes": [{nodes},{root}]}}"#
    ))
    .unwrap()
}

/// B5: what takes in a figure, and paints it, does not grow with the square of its nodes.
#[test]
fn b5_hands_of_the_most_nodes_are_drawn() {
    for (chains, joints) in [(1, 19_998), (4_999, 4)] {
        let (_, shapes) = drawn(&with_chains(chains, joints), Sight::Side, &Scene::default());
        assert!(shapes.iter().all(Shape::is_finite));
    }
}

/// More digits than any hand has are no hand: their bones are strokes.
#[test]
fn b5_flesh_is_drawn_of_as_many_digits_as_a_recipe_may_have() {
    let most = recipe::MOST_DIGITS;
    // A joint of a bone that flesh covers shows no dot.
    let dots = |chains, joints| {
        let (_, shapes) = drawn(&with_chains(chains, joints), Sight::Side, &Scene::default());
        shapes.iter().filter(|s| s.layer() == Layer::Joint).count()
    };
    assert_eq!(dots(most, 5), 0);
    assert_eq!(dots(most + 1, 5), 5 * (most + 1) + 2);
    assert_eq!(dots(1, 500), 502);
}

/// A view of a hand with an arm takes in the hand, and what its wrist is held to.
#[test]
fn a_view_frames_the_hand_and_not_its_arm() {
    let document = with_chains(2, 5);
    let framed = figure::framed(&document);
    for (node, framed) in document.nodes.iter().zip(framed) {
        assert_eq!(framed, node.name != "root", "{}", node.name);
    }
    let document = planted(|hand, _| hand.arm = Some(hand::Arm::default()));
    let framed = figure::framed(&document);
    let wrist = document.node_named("wrist").unwrap();
    let anchor = document.anchors.iter().find(|a| a.end == wrist.id).unwrap();
    for (node, framed) in document.nodes.iter().zip(framed) {
        let expected = document.is_below(node.id, wrist.id)
            || document.is_below(anchor.target, node.id)
            || document.is_below(node.id, anchor.target);
        assert_eq!(framed, expected, "{}", node.name);
    }
    assert!(figure::framed(&free()).iter().all(|&framed| framed));
}
