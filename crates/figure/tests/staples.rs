//! Staples of a hand whose contacts roll, by its shapes.
#[allow(dead_code)]
mod common;

use common::{bounds, covers};
use figure::{Layer, Paint, Scene, Shape, Sight, Stroke, View, draw, extent};
use hand::{Planting, Recipe, Stance};
use rig::*;

const SIZE: (f64, f64) = (900.0, 600.0);

fn posed(dials: &[(&str, f64)]) -> Posed {
    let recipe = Recipe {
        planting: Some(Planting::default()),
        ..Recipe::default()
    };
    let mut posed = Posed::new(&hand::document(&recipe).unwrap()).unwrap();
    for (name, value) in dials {
        let dial = posed.rig().dial_named(name).unwrap().id;
        posed.set_dial(dial, *value);
    }
    posed.evaluate();
    posed
}

fn drawn(posed: &Posed, sight: Sight) -> (View, Vec<Shape>) {
    let view = View::fit(sight, SIZE, &extent(posed), 60.0);
    (view, draw(posed, &view, &Scene::default()))
}

/// The anchors of what is planted.
fn digits(posed: &Posed) -> Vec<AnchorId> {
    let rig = posed.rig();
    let planted = |a: &&Shared<Anchor>| rig.plants.iter().any(|p| p.node == a.end);
    rig.anchors.iter().filter(planted).map(|a| a.id).collect()
}

/// Staples: the middle across them, their top and bottom, and their strokes.
fn staples(shapes: &[Shape]) -> Vec<(f64, [f64; 2], Stroke)> {
    let of = |shape: &Shape| match shape {
        Shape::Path {
            layer: Layer::Contact,
            stroke: Some(stroke),
            ..
        } if stroke.paint == Paint::Anchored => {
            let [x0, y0, x1, y1] = bounds(shape);
            Some(((x0 + x1) / 2.0, [y0, y1], *stroke))
        }
        _ => None,
    };
    shapes.iter().filter_map(of).collect()
}

/// Whether a staple of this look stands at a world place, seen from the side.
fn stands(view: &View, shapes: &[Shape], at: &Vec3, look: impl Fn(&Stroke) -> bool) -> bool {
    let (x, y, _) = view.project(at);
    let here = |s: &(f64, [f64; 2], Stroke)| {
        (s.0 - x).abs() < 1e-6 && s.1[0] < y && y < s.1[1] && look(&s.2)
    };
    staples(shapes).iter().any(here)
}

fn slips(shapes: &[Shape]) -> usize {
    let amiss = |s: &&Shape| matches!(s, Shape::Path { layer: Layer::Contact, stroke: Some(k), .. } if k.paint == Paint::Amiss);
    shapes.iter().filter(amiss).count()
}

#[test]
fn a_staple_follows_what_rolls() {
    let posed = posed(&[("roll", 45.0)]);
    let (view, shapes) = drawn(&posed, Sight::Side);
    let mut rolled: f64 = 0.0;
    for anchor in digits(&posed) {
        assert_eq!(posed.hold(anchor), 1.0);
        let (now, then) = (
            posed.foot(anchor).unwrap(),
            posed.planted_foot(anchor).unwrap(),
        );
        rolled = rolled.max((now - then).norm());
        let closed = |s: &Stroke| s.dash.is_none() && s.opacity == 1.0;
        assert!(stands(&view, &shapes, &now, closed));
        assert!(!stands(&view, &shapes, &then, |_| true) || (now - then).norm() < 1e-6);
    }
    assert!(rolled > 2.0, "{rolled}");
    assert_eq!(slips(&shapes), 0);
}

#[test]
fn what_has_rolled_leaves_a_trail() {
    let trails = |posed: &Posed| {
        let (_, shapes) = drawn(posed, Sight::Top);
        let quiet = |s: &&Shape| matches!(s, Shape::Path { layer: Layer::Path, stroke: Some(k), .. } if k.paint == Paint::Anchored);
        shapes.iter().filter(quiet).count()
    };
    assert_eq!(trails(&posed(&[])), 0);
    let posed = posed(&[("roll", 40.0)]);
    let far = |anchor: &AnchorId| {
        let (now, then) = (
            posed.foot(*anchor).unwrap(),
            posed.planted_foot(*anchor).unwrap(),
        );
        (now - then).norm() > 1.0
    };
    let far = digits(&posed).iter().filter(|a| far(a)).count();
    // A line and the dot it comes from.
    assert!(far > 0);
    assert_eq!(trails(&posed), 2 * far);
}

/// Over a whole peel the closed staple is as strong as the hold, the open one as what is left.
#[test]
fn a_staple_eases_with_its_hold() {
    let (mut eased, mut off) = (0, 0);
    for step in 0..=60 {
        let posed = posed(&[("roll", 30.0 + f64::from(step))]);
        let (view, shapes) = drawn(&posed, Sight::Side);
        for anchor in digits(&posed) {
            let hold = posed.hold(anchor);
            let (now, then) = (
                posed.foot(anchor).unwrap(),
                posed.planted_foot(anchor).unwrap(),
            );
            let closed = |s: &Stroke| s.dash.is_none() && (s.opacity - hold).abs() < 1e-12;
            let open = |s: &Stroke| s.dash.is_some() && (s.opacity - (1.0 - hold)).abs() < 1e-12;
            if (0.03..0.97).contains(&hold) {
                eased += 1;
                assert!(stands(&view, &shapes, &now, closed), "{hold}");
                assert!(stands(&view, &shapes, &then, open), "{hold}");
            } else if hold == 0.0 {
                off += 1;
                assert!(stands(&view, &shapes, &then, open));
                assert!(!stands(&view, &shapes, &now, |s| s.dash.is_none()));
            }
        }
    }
    assert!(eased > 3 && off > 3, "{eased} {off}");
}

/// A digit that has let go is far from where it was planted and does not slip; one that is held
/// and cannot follow does.
#[test]
fn only_what_is_held_slips() {
    let posed = posed(&[("lift", -18.0)]);
    let digits = digits(&posed);
    assert!(digits.iter().all(|a| posed.hold(*a) == 0.0));
    let away = |a: &AnchorId| posed.outcome(*a).residual;
    assert!(digits.iter().map(away).fold(0.0, f64::max) > 5.0);
    for sight in [Sight::Side, Sight::Front, Sight::Top] {
        assert_eq!(slips(&drawn(&posed, sight).1), 0, "{sight:?}");
    }
    // A point that is held and cannot follow.
    let mut document = posed.document().clone();
    for anchor in &mut document.anchors {
        let mut own = (**anchor).clone();
        if let Solver::Finger { contact, .. } | Solver::Thumb { contact, .. } = &mut own.solver {
            *contact = None;
        }
        *anchor = own.into();
    }
    let posed = Posed::new(&document).unwrap();
    assert!(slips(&drawn(&posed, Sight::Side).1) > 0);
}

/// From straight above a fingertip lies over its staple, of which only the ends show; of a staple
/// that is nearest to the eye nothing is hidden.
#[test]
fn flesh_hides_the_staple_under_it() {
    let posed = posed(&[]);
    let order = |sight| {
        let (_, shapes) = drawn(&posed, sight);
        let staple = shapes.iter().rposition(is_staple).unwrap();
        let [x0, y0, x1, y1] = bounds(&shapes[staple]);
        let at = ((x0 + x1) / 2.0, (y0 + y1) / 2.0);
        let over =
            |(i, shape): &(usize, &Shape)| is_flesh(shape) && covers(shape, at) && *i > staple;
        shapes.iter().enumerate().filter(over).count()
    };
    assert!(order(Sight::Top) > 0);
    let above = Sight::Oblique {
        yaw: -0.6,
        pitch: 0.4,
    };
    assert_eq!(order(above), 0);
}

fn is_staple(shape: &Shape) -> bool {
    matches!(shape, Shape::Path { layer: Layer::Contact, stroke: Some(k), .. } if k.paint == Paint::Anchored)
}

fn is_flesh(shape: &Shape) -> bool {
    matches!(shape, Shape::Path { layer: Layer::Bone, fill: Some(Paint::Still | Paint::Carried), fill_opacity, .. } if *fill_opacity == 1.0)
}

/// H9: behind the thumb nothing of the staples of the other fingertips is drawn over it, though
/// only a corner of one may lie behind it.
#[test]
fn h9_no_staple_is_drawn_over_the_thumb_before_it() {
    let recipe = Recipe {
        planting: Some(Planting {
            stance: Stance::Fingertips,
            ..Planting::default()
        }),
        ..Recipe::default()
    };
    let document = hand::document(&recipe).unwrap();
    let posed = Posed::new(&document).unwrap();
    let mut behind = 0;
    for turn in 0..12 {
        let sight = Sight::Oblique {
            yaw: 2.3 + 0.05 * f64::from(turn),
            pitch: 0.5,
        };
        let view = View::fit(sight, SIZE, &extent(&posed), 60.0);
        let thumb = |n: &Node| n.name.starts_with("thumb");
        let role = |n: &Node| if thumb(n) { Role::Carried } else { Role::Still };
        let roles = document.nodes.iter().map(|n| (n.id, role(n))).collect();
        let scene = Scene {
            roles,
            ..Scene::default()
        };
        let shapes = draw(&posed, &view, &scene);
        for (i, shape) in shapes.iter().enumerate() {
            let thumbs = matches!(
                shape,
                Shape::Path {
                    fill: Some(Paint::Carried),
                    ..
                }
            );
            if !(thumbs && is_flesh(shape)) {
                continue;
            }
            for (k, staple) in shapes.iter().enumerate().filter(|s| is_staple(s.1)) {
                let [x0, y0, x1, y1] = bounds(staple);
                let corners = [(x0, y0), (x1, y0), (x0, y1), (x1, y1)];
                let over = corners.iter().filter(|&&at| covers(shape, at)).count();
                behind += over;
                // Its own stands before it.
                let own = posed.point(document.node_named("thumb-tip").unwrap().id);
                let (x, y, _) = view.project(&own);
                let own = apart((x0 + x1) / 2.0 - x, (y0 + y1) / 2.0 - y) < 12.0 * view.scale;
                assert!(over == 0 || k < i || own, "{sight:?}: {k} over {i}");
            }
        }
    }
    assert!(behind > 4, "{behind}");
}

fn apart(x: f64, y: f64) -> f64 {
    (x * x + y * y).sqrt()
}
