//! A number that is none is a fault of what was drawn, and is told in debug builds; in release
//! builds it does no harm.
#[allow(dead_code)]
mod common;
use common::*;
use figure::{
    Align, Layer, Look, Paint, Scene, Seg, Shape, Sight, Stroke, Text, TextStyle, View, draw,
    extent, svg,
};
use rig::Vec3;

const NAN: f64 = f64::NAN;

fn line(to: Seg, stroke: Stroke) -> Shape {
    Shape::line(Layer::Bone, vec![Seg::Move(1.0, 2.0), to], stroke)
}

fn text(x: f64, size: f64) -> Shape {
    let text = Text {
        x,
        y: 0.0,
        content: "rye".to_owned(),
        size,
        style: TextStyle::Label,
        paint: Paint::Ink,
        align: Align::Start,
        turn: 0.0,
    };
    let layer = Layer::Label;
    Shape::Text { layer, text }
}

/// Shapes with one number each that is not finite.
fn amiss() -> Vec<Shape> {
    let ink = Stroke::solid(Paint::Ink, 1.0);
    let to = Seg::Line(3.0, 4.0);
    let mut opacity = Shape::filled(Layer::Bone, vec![to], Paint::Ink, None);
    if let Shape::Path { fill_opacity, .. } = &mut opacity {
        *fill_opacity = NAN;
    }
    vec![
        line(Seg::Line(NAN, 0.0), ink),
        line(Seg::Move(0.0, f64::INFINITY), ink),
        line(Seg::Cubic(0.0, 0.0, 0.0, NAN, 0.0, 0.0), ink),
        line(to, Stroke::solid(Paint::Ink, NAN)),
        line(to, ink.dashed(1.0, f64::NEG_INFINITY)),
        line(to, ink.faint(NAN)),
        opacity,
        text(NAN, 12.0),
        text(1.0, NAN),
    ]
}

fn written(shape: &Shape) -> String {
    svg(std::slice::from_ref(shape), (100.0, 80.0), Look::Paper, "a")
}

/// The hand with a mark where there is no place.
fn with_mark(at: Vec3) -> Vec<Shape> {
    let (document, lift) = hand();
    let posed = posed_at(&document, lift, 20.0);
    let points = extent(&posed);
    let view = View::fit(Sight::Side, (900.0, 640.0), &points, 40.0);
    let scene = Scene {
        marks: vec![("here".to_owned(), at)],
        trail: vec![at, at],
        ..Scene::default()
    };
    draw(&posed, &view, &scene)
}

#[test]
fn every_number_of_a_shape_is_looked_at() {
    for shape in amiss() {
        assert!(!shape.is_finite(), "{shape:?}");
    }
    let ink = Stroke::solid(Paint::Ink, 1.0).dashed(1.0, 2.0);
    assert!(line(Seg::Close, ink).is_finite() && text(1.0, 2.0).is_finite());
}

#[test]
#[cfg(debug_assertions)]
fn an_svg_tells_which_shape() {
    for shape in amiss() {
        let told = std::panic::catch_unwind(|| written(&shape)).expect_err("a panic");
        let told = told.downcast_ref::<String>().expect("a text");
        assert!(
            told.contains("not finite") && told.contains(&format!("{shape:?}")),
            "{told}"
        );
    }
}

#[test]
#[cfg(debug_assertions)]
#[should_panic(expected = "a place in the figure is not finite")]
fn a_figure_has_no_mark_at_nowhere() {
    with_mark(Vec3::new(NAN, 0.0, 0.0));
}

#[test]
#[cfg(not(debug_assertions))]
fn a_release_build_draws_what_it_can() {
    for shape in amiss() {
        let out = written(&shape);
        assert!(!out.contains("NaN") && !out.contains("inf"), "{out}");
    }
    for shape in with_mark(Vec3::new(NAN, 0.0, 0.0)) {
        assert!(!written(&shape).contains("NaN"));
    }
}
