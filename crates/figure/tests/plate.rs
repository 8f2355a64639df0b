//! What the plate shows of a document, by its shapes.
#[allow(dead_code)]
mod common;

use common::{Maker, bounds, everything, hand, numbers, posed_at};
use figure::{
    Align, Layer, Look, Paint, Scene, Seg, Shape, Sight, Text, TextStyle, View, draw, extent,
    picture, svg,
};
use rig::*;

const SIZE: (f64, f64) = (1000.0, 640.0);
const OBLIQUE: Sight = Sight::Oblique {
    yaw: 0.5,
    pitch: 0.5,
};
const SIGHTS: [Sight; 5] = [
    Sight::Side,
    Sight::Front,
    Sight::Top,
    OBLIQUE,
    Sight::Oblique {
        yaw: 3.0,
        pitch: -0.7,
    },
];

fn texts(shapes: &[Shape]) -> Vec<&Text> {
    shapes
        .iter()
        .filter_map(|s| {
            if let Shape::Text { text, .. } = s {
                Some(text)
            } else {
                None
            }
        })
        .collect()
}

fn of(shapes: &[Shape], layer: Layer) -> Vec<&Shape> {
    shapes.iter().filter(|s| s.layer() == layer).collect()
}

fn fills(shapes: &[Shape], layer: Layer) -> Vec<Paint> {
    of(shapes, layer)
        .iter()
        .filter_map(|s| {
            if let Shape::Path { fill, .. } = s {
                *fill
            } else {
                None
            }
        })
        .collect()
}

fn view(sight: Sight, posed: &Posed) -> View {
    View::fit(sight, SIZE, &extent(posed), 110.0)
}

#[test]
fn everything_at_once_is_finite_in_every_view() {
    let (document, lift) = hand();
    let (ghost, posed) = (
        posed_at(&document, lift, 0.0),
        posed_at(&document, lift, 34.0),
    );
    for sight in SIGHTS {
        for weight in [0.0, 1.0, 1.6] {
            let scene = Scene {
                weight,
                ..everything(&document, lift, &posed, &ghost)
            };
            let shapes = draw(&posed, &view(sight, &posed), &scene);
            assert!(shapes.len() > 30);
            for shape in &shapes {
                assert!(
                    numbers(shape).iter().all(|n| n.is_finite()),
                    "{sight:?}: {shape:?}"
                );
            }
            for text in texts(&shapes) {
                assert!(text.size >= 12.0 && text.turn.abs() <= 90.0 + 1e-6);
                assert!(
                    (0.0..SIZE.0).contains(&text.x) && (0.0..SIZE.1).contains(&text.y),
                    "{sight:?}: {text:?}"
                );
            }
        }
    }
}

#[test]
fn roles_show_by_fill_and_the_mover_by_its_ring() {
    let (document, lift) = hand();
    let posed = posed_at(&document, lift, 20.0);
    let id = |name: &str| document.node_named(name).unwrap().id;
    let view = view(Sight::Side, &posed);
    let bones = |roles: &[(NodeId, Role)]| {
        let scene = Scene {
            roles: roles.to_vec(),
            ..Scene::default()
        };
        let mut fills = fills(&draw(&posed, &view, &scene), Layer::Bone);
        fills.reverse(); // children are drawn first
        fills
    };
    let [wrist, knuckle, finger] = ["wrist", "knuckle", "finger"].map(id);
    assert_eq!(bones(&[]), [Paint::Still; 3]);
    assert_eq!(
        bones(&[
            (wrist, Role::Mover),
            (knuckle, Role::Carried),
            (finger, Role::Anchored)
        ]),
        [Paint::Carried, Paint::Carried, Paint::Hatch]
    );
    let shapes = draw(&posed, &view, &Scene::default());
    let (x, y, _) = view.project(&posed.point(wrist));
    let ring = of(&shapes, Layer::Joint).into_iter().find(|s| {
        let b = bounds(s);
        matches!(s, Shape::Path { stroke: Some(k), .. } if k.paint == Paint::Mover && k.width >= 3.0)
            && ((b[0] + b[2]) / 2.0 - x).abs() < 1e-6
            && ((b[1] + b[3]) / 2.0 - y).abs() < 1e-6
    });
    assert!(ring.is_some());
}

#[test]
fn a_bone_is_as_thick_as_its_nodes() {
    let (document, lift) = hand();
    let posed = posed_at(&document, lift, 0.0);
    let view = view(Sight::Side, &posed);
    let shapes = draw(&posed, &view, &Scene::default());
    let palm = bounds(of(&shapes, Layer::Bone)[2]);
    // Wrist 18 mm, knuckle 12 mm thick, 90 mm apart.
    assert!(
        ((palm[3] - palm[1]) / view.scale - 18.0).abs() < 0.2,
        "{}",
        (palm[3] - palm[1]) / view.scale
    );
    let knuckle = view.project(&Vec3::new(90.0, 9.0, 0.0)).0;
    assert!(((palm[2] - knuckle) / view.scale - 6.0).abs() < 1e-6);
}

#[test]
fn a_pivot_put_between_two_joints_leaves_the_bone() {
    let (mut document, lift) = hand();
    let count = |d: &Document| {
        let posed = posed_at(d, lift, 0.0);
        of(
            &draw(&posed, &view(Sight::Side, &posed), &Scene::default()),
            Layer::Bone,
        )
        .len()
    };
    assert_eq!(count(&document), 3);
    let above = document.node_named("knuckle").unwrap().id;
    rig::edit::apply(
        &mut document,
        &Edit::InsertPivot {
            above,
            name: "between".into(),
            at: Vec3::new(50.0, 30.0, 0.0),
        },
    )
    .unwrap();
    assert_eq!(count(&document), 3);
}

#[test]
fn what_is_hidden_is_not_drawn() {
    let (document, lift) = hand();
    let posed = posed_at(&document, lift, 0.0);
    let view = view(Sight::Side, &posed);
    let hide = |name: &str| {
        let mut d = document.clone();
        d.nodes.iter_mut().find(|n| n.name == name).unwrap().hidden = true;
        let label = vec![(d.node_named(name).unwrap().id, "secret".to_owned())];
        draw(
            &Posed::new(&d).unwrap(),
            &view,
            &Scene {
                labels: label,
                ..Scene::default()
            },
        )
    };
    let all = draw(&posed, &view, &Scene::default());
    let tipless = hide("tip");
    assert_eq!(
        of(&tipless, Layer::Bone).len(),
        of(&all, Layer::Bone).len() - 1
    );
    assert_eq!(
        of(&tipless, Layer::Joint).len(),
        of(&all, Layer::Joint).len() - 1
    );
    assert!(texts(&tipless).is_empty());
    let pivotless = hide("knuckle pivot");
    assert_eq!(of(&pivotless, Layer::Bone), of(&all, Layer::Bone));
    // The cross and its square.
    assert_eq!(
        of(&pivotless, Layer::Contact).len(),
        of(&all, Layer::Contact).len() - 2
    );
}

#[test]
fn a_staple_stands_on_the_bench_when_the_flesh_does() {
    let (mut document, lift) = hand();
    document.plants.truncate(1);
    document.retain_anchors(|_| false);
    let posed = posed_at(&document, lift, 0.0);
    let view = view(Sight::Side, &posed);
    let staple = |d: &Document| {
        let shapes = draw(&Posed::new(d).unwrap(), &view, &Scene::default());
        let of = |s: &&Shape| matches!(s, Shape::Path { stroke: Some(k), .. } if k.paint == Paint::Anchored);
        bounds(shapes.iter().find(of).unwrap())
    };
    let bench = view.project(&Vec3::zeros()).1;
    let on = staple(&document);
    assert!(on[1] < bench && bench < on[3], "{on:?} {bench}");
    document.bench = Some(-60.0);
    let (x, y, _) = view.project(&Vec3::from(document.plants[0].at));
    let off = staple(&document);
    assert!(
        off[0] < x && x < off[2] && off[1] < y && y < off[3],
        "{off:?}"
    );
}

#[test]
fn bubbles_carry_their_text_and_keep_apart() {
    let (document, lift) = hand();
    let posed = posed_at(&document, lift, 0.0);
    // In the front view all planted points fall on one another.
    for sight in [Sight::Side, Sight::Front] {
        let scene = Scene {
            bubbles: (0..4)
                .map(|i| figure::Bubble {
                    at: Vec3::new(120.0 + 3.0 * f64::from(i), 9.0, 0.0),
                    name: String::new(),
                    text: format!("{i}.25 mm"),
                    good: i < 2,
                })
                .collect(),
            ..Scene::default()
        };
        let shapes = draw(&posed, &view(sight, &posed), &scene);
        let said: Vec<_> = texts(&shapes)
            .iter()
            .map(|t| (t.content.as_str(), t.paint))
            .collect();
        let (good, amiss) = (Paint::Good, Paint::Amiss);
        assert_eq!(
            said,
            [
                ("0.25 mm", good),
                ("1.25 mm", good),
                ("2.25 mm", amiss),
                ("3.25 mm", amiss)
            ]
        );
        let pills: Vec<_> = of(&shapes, Layer::Measure)
            .into_iter()
            .filter(|s| {
                matches!(
                    s,
                    Shape::Path {
                        fill: Some(Paint::Page),
                        ..
                    }
                )
            })
            .map(bounds)
            .collect();
        assert_eq!(pills.len(), 4);
        for (i, a) in pills.iter().enumerate() {
            for b in &pills[i + 1..] {
                assert!(
                    a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1],
                    "{a:?} {b:?}"
                );
            }
        }
    }
}

/// Where the page's switches lie over the picture no bubble is put.
#[test]
fn bubbles_keep_off_what_is_covered() {
    let (document, lift) = hand();
    let posed = posed_at(&document, lift, 0.0);
    let view = view(Sight::Side, &posed);
    let mut scene = Scene {
        bubbles: vec![figure::Bubble {
            at: Vec3::new(120.0, 9.0, 0.0),
            name: String::new(),
            text: "0.25 mm".into(),
            good: true,
        }],
        ..Scene::default()
    };
    let pill = |scene: &Scene| {
        let shapes = draw(&posed, &view, scene);
        let page = |s: &&Shape| {
            matches!(
                s,
                Shape::Path {
                    fill: Some(Paint::Page),
                    ..
                }
            )
        };
        let pills = of(&shapes, Layer::Measure).into_iter();
        pills.filter(page).map(bounds).next().unwrap()
    };
    let free = pill(&scene);
    scene.covered = vec![[free[0] - 2.0, free[1] - 2.0, free[2] + 2.0, free[3] + 2.0]];
    let moved = pill(&scene);
    assert!(
        moved[2] <= free[0] || free[2] <= moved[0] || moved[3] <= free[1] || free[3] <= moved[1],
        "{free:?} {moved:?}"
    );
}

#[test]
fn labels_keep_apart_and_inside() {
    let (document, lift) = hand();
    let posed = posed_at(&document, lift, 0.0);
    let labels = document
        .nodes
        .iter()
        .map(|n| (n.id, n.name.clone()))
        .collect();
    let scene = Scene {
        labels,
        ..Scene::default()
    };
    let shapes = draw(&posed, &view(Sight::Side, &posed), &scene);
    // Boxes narrower than reckoned with: half an em a letter.
    let boxes: Vec<_> = texts(&shapes)
        .iter()
        .map(|t| {
            let wide = t.content.len() as f64 * t.size * 0.5;
            let x0 = match t.align {
                Align::Start => t.x,
                Align::Middle => t.x - wide / 2.0,
                Align::End => t.x - wide,
            };
            [x0, t.y - 0.7 * t.size, x0 + wide, t.y + 0.2 * t.size]
        })
        .collect();
    assert_eq!(boxes.len(), document.nodes.len());
    for (i, a) in boxes.iter().enumerate() {
        assert!(a[0] >= 0.0 && a[1] >= 0.0 && a[2] <= SIZE.0 && a[3] <= SIZE.1);
        for b in &boxes[i + 1..] {
            assert!(
                a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1],
                "{a:?} {b:?}"
            );
        }
    }
}

#[test]
fn a_dimensions_text_runs_along_its_line() {
    let (document, lift) = hand();
    let posed = posed_at(&document, lift, 0.0);
    let view = view(Sight::Side, &posed);
    // Up a slope of atan(3/4), to the right and back, and straight up.
    for (to, turn) in [
        ((40.0, 39.0), -36.869_897_645_844_02),
        ((40.0, -21.0), 36.869_897_645_844_02),
        ((0.0, 60.0), -90.0),
        ((0.0, -40.0), -90.0),
    ] {
        let scene = Scene {
            dimensions: vec![(
                Vec3::new(0.0, 9.0, 0.0),
                Vec3::new(to.0, to.1, 0.0),
                "50 mm".into(),
            )],
            ..Scene::default()
        };
        let shapes = draw(&posed, &view, &scene);
        let text = texts(&shapes)[0];
        assert!(
            (text.turn - turn).abs() < 1e-9 && text.style == TextStyle::Number,
            "{text:?}"
        );
    }
}

#[test]
fn an_arc_keeps_its_radius_and_goes_when_seen_edge_on() {
    let (document, lift) = hand();
    let posed = posed_at(&document, lift, 0.0);
    let apex = Vec3::new(90.0, 9.0, 0.0);
    let scene = Scene {
        arcs: vec![(
            apex,
            Vec3::new(0.0, 9.0, 0.0),
            Vec3::new(90.0, 99.0, 0.0),
            "90°".into(),
        )],
        ..Scene::default()
    };
    let side = view(Sight::Side, &posed);
    let shapes = draw(&posed, &side, &scene);
    let (ax, ay, _) = side.project(&apex);
    let Shape::Path { segs, .. } = of(&shapes, Layer::Measure)[0] else {
        panic!()
    };
    let on: Vec<_> = segs
        .iter()
        .map(|s| {
            if let Seg::Move(x, y) | Seg::Line(x, y) = *s {
                (x - ax, y - ay)
            } else {
                panic!()
            }
        })
        .collect();
    assert!(
        on.iter()
            .all(|p| (libm::hypot(p.0, p.1) - 62.0).abs() < 1e-6)
    );
    assert!((on[0].0 + 62.0).abs() < 1e-6 && (on.last().unwrap().1 + 62.0).abs() < 1e-6);
    assert!(texts(&draw(&posed, &view(Sight::Top, &posed), &scene)).is_empty());
}

#[test]
fn the_nearer_bone_lies_over_the_farther() {
    let mut m = Maker(Document::default());
    for (name, z) in [("near", 40.0), ("far", -40.0), ("middle", 0.0)] {
        let root = m.node(name, Kind::Joint, None, [0.0, 0.0, z], 10.0);
        m.node(
            &format!("{name} end"),
            Kind::Joint,
            Some(root),
            [80.0, 0.0, 0.0],
            10.0,
        );
    }
    let posed = Posed::new(&m.0).unwrap();
    for (sight, far_to_near) in [
        (Sight::Side, true),
        (OBLIQUE, true),
        (
            Sight::Oblique {
                yaw: 2.8,
                pitch: 0.3,
            },
            false,
        ),
    ] {
        let view = View::fit(sight, SIZE, &extent(&posed), 40.0);
        let shapes = draw(&posed, &view, &Scene::default());
        let drawn: Vec<_> = of(&shapes, Layer::Bone)
            .iter()
            .map(|s| bounds(s))
            .map(|b| ((b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0))
            .collect();
        let mut z = [-40.0, 0.0, 40.0];
        if !far_to_near {
            z.reverse();
        }
        for (at, z) in drawn.iter().zip(z) {
            let (x, y, _) = view.project(&Vec3::new(40.0, 0.0, z));
            assert!(libm::hypot(at.0 - x, at.1 - y) < 1.0, "{sight:?}");
        }
    }
}

#[test]
fn the_ghost_is_only_of_what_has_moved() {
    let (document, lift) = hand();
    let (ghost, posed) = (
        posed_at(&document, lift, 0.0),
        posed_at(&document, lift, 34.0),
    );
    let view = view(Sight::Side, &posed);
    let count = |posed: &Posed| {
        of(
            &draw(
                posed,
                &view,
                &Scene {
                    ghost: Some(&ghost),
                    ..Scene::default()
                },
            ),
            Layer::Ghost,
        )
        .len()
    };
    assert_eq!((count(&posed), count(&ghost)), (1, 0));
    // A ghost from before a joint was added casts none of it.
    let mut before = document.clone();
    before.nodes.retain(|n| n.name != "tip");
    let last = before.anchors.last().unwrap().id;
    before.retain_anchors(|anchor| anchor.id != last);
    before.plants.pop();
    let older = posed_at(&before, lift, 34.0);
    for sight in [Sight::Side, OBLIQUE] {
        let view = View { sight, ..view };
        let scene = Scene {
            ghost: Some(&older),
            ..Scene::default()
        };
        assert!(of(&draw(&posed, &view, &scene), Layer::Ghost).is_empty());
    }
}

#[test]
fn a_placing_handle_stands_off_its_node_and_shows_even_for_a_secret() {
    let (mut document, lift) = hand();
    let pivot = document
        .nodes
        .iter_mut()
        .find(|n| n.name == "knuckle pivot")
        .unwrap();
    (pivot.grip, pivot.hidden) = (Grip::Place([0.0, 25.0, 0.0]), true);
    let posed = posed_at(&document, lift, 0.0);
    let view = view(Sight::Side, &posed);
    let shapes = draw(&posed, &view, &Scene::default());
    let (x, y, _) = view.project(&Vec3::new(90.0, 34.0, 0.0));
    let near = |s: &&&Shape| {
        let b = bounds(s);
        libm::hypot((b[0] + b[2]) / 2.0 - x, (b[1] + b[3]) / 2.0 - y) < 1e-6
    };
    assert_eq!(of(&shapes, Layer::Contact).iter().filter(near).count(), 2);
    // Nothing leads from it to where the secret is.
    let (_, node, _) = view.project(&Vec3::new(90.0, 9.0, 0.0));
    assert!(of(&shapes, Layer::Contact).iter().all(|s| {
        let b = bounds(s);
        !(b[0] < x && x < b[2] && b[3] > node - 1.0 && b[1] < node)
    }));
}

// Well-formed by a parser of its own (roxmltree), with the parts that a reader and a screen reader need.
#[test]
fn a_picture_is_well_formed_and_speaks() {
    let (mut document, lift) = hand();
    document.name = "rye & <spelt>".into();
    let posed = posed_at(&document, lift, 20.0);
    let ghost = posed_at(&document, lift, 0.0);
    for look in [Look::Paper, Look::Slate] {
        let scene = everything(&document, lift, &posed, &ghost);
        let full = svg(
            &draw(&posed, &view(OBLIQUE, &posed), &scene),
            SIZE,
            look,
            &document.name,
        );
        for out in [full, picture(&posed, Sight::Side, SIZE, look)] {
            let parsed = roxmltree::Document::parse(&out).unwrap();
            let root = parsed.root_element();
            assert_eq!(
                (root.tag_name().name(), root.attribute("role")),
                ("svg", Some("img"))
            );
            assert_eq!(
                root.first_element_child().unwrap().text(),
                Some("rye & <spelt>")
            );
            assert_eq!(root.attribute("viewBox"), Some("0 0 1000 640"));
            assert!(!out.contains("NaN") && !out.contains("inf"));
        }
    }
}

#[test]
fn an_empty_document_is_an_empty_bench() {
    let mut document = Document::default();
    let posed = Posed::new(&document).unwrap();
    for sight in SIGHTS {
        assert!(draw(&posed, &view(sight, &posed), &Scene::default()).is_empty());
    }
    document.bench = Some(0.0);
    let posed = Posed::new(&document).unwrap();
    for sight in SIGHTS {
        let shapes = draw(&posed, &view(sight, &posed), &Scene::default());
        assert!(
            !shapes.is_empty()
                && shapes
                    .iter()
                    .all(|s| s.layer() == Layer::Bench && numbers(s).iter().all(|n| n.is_finite()))
        );
    }
}

/// B5: a plane can lie as far off as a number may be, and is drawn where the picture is.
#[test]
fn b5_a_plane_far_off_has_no_more_ticks_than_the_picture_holds() {
    for (far, rotation) in [
        ([1e9, 0.0, 0.0], [0.0, 0.0, 0.6, 0.8]),
        ([-1e9, -40.0, 1e9], [0.0, 0.0, 0.0, 1.0]),
        ([0.0, -40.0, 0.0], [0.0, 0.0, 0.6, 0.8]),
    ] {
        let (mut document, lift) = hand();
        document.bench = None;
        let mut maker = Maker(document);
        let id = maker.node("far", Kind::Mount, None, far, 0.0);
        let node = maker.0.nodes.iter_mut().find(|n| n.id == id).unwrap();
        (node.rotation, node.hidden, node.surface) = (rotation, true, Some(Form::Plane));
        let document = maker.0;
        let posed = posed_at(&document, lift, 0.0);
        for scale in [1.0, 1e15] {
            let view = View {
                scale,
                ..view(Sight::Side, &posed)
            };
            let shapes = draw(&posed, &view, &Scene::default());
            assert!(shapes.iter().all(Shape::is_finite));
            let segs = shapes.iter().map(|shape| match shape {
                Shape::Path { segs, .. } => segs.len(),
                Shape::Text { .. } => 0,
            });
            let most = segs.max().unwrap();
            assert!(most < 1000, "{far:?} at {scale}: {most}");
        }
    }
}

/// What is kept of a ghost is what is made of it anew: over other poses, in other views, and when
/// the ghost or the rig is another.
#[test]
fn a_ghost_that_is_kept_is_the_ghost_there_is() {
    let read = |name: &str| {
        let path = format!(
            "{}/../../examples/{name}.hand.json",
            env!("CARGO_MANIFEST_DIR")
        );
        hand::read(&std::fs::read_to_string(path).unwrap()).unwrap()
    };
    let mut ghosts = figure::Ghosts::default();
    let mut drawn = 0;
    for name in ["bench-press", "rail-lean", "bench-press"] {
        let document = read(name);
        let lift = document.dial_named("lift").unwrap().id;
        for from in [0.0, 8.0] {
            let then = posed_at(&document, lift, from);
            for (to, sight) in [(12.0, Sight::Side), (25.0, OBLIQUE), (30.0, Sight::Front)] {
                let now = posed_at(&document, lift, to);
                let mut view = view(sight, &now);
                view.scale *= 1.0 + to / 50.0;
                let scene = Scene {
                    ghost: Some(&then),
                    ..Scene::default()
                };
                let kept = figure::draw_on(&now, &view, &scene, &mut ghosts).0;
                assert_eq!(kept, draw(&now, &view, &scene), "{name} {from} {to}");
                drawn += of(&kept, Layer::Ghost).len();
            }
        }
    }
    assert!(drawn > 20, "{drawn} lines of ghosts");
}
