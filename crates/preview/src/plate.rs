//! The figure of a place as it is come to, as SVG.
use course::Step;
use figure::{Layer, Seg, View};
use rig::{NodeId, Posed};
use std::fmt::Write;
use workbook::plate::Plate;
use workbook::scene::{Frame, Shown, Ways, extent, scene};
use workbook::svg::inside;

/// The window a piece is for: the styles' own breakpoint divides them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Window {
    Wide,
    /// At most 760 px wide.
    Narrow,
}

impl Window {
    pub const ALL: [(Self, &'static str); 2] = [(Self::Wide, "wide"), (Self::Narrow, "narrow")];
}

/// How far the bench is drawn beyond the picture, px: plates are wider and higher than the one that
/// is drawn for.
const BEYOND: (f64, f64) = (2000.0, 1500.0);

/// The figure on a plate of this many px. `first.js` frames it on the plate there is, from
/// `data-fit`: what is kept free at a wide plate's left, top and foot, then the figure's box in
/// these pixels, and how much larger it may become. `data-origin`, for tests, is where the world's
/// origin is, and px to a mm.
/// `away`: nodes whose handles the place does not show.
pub fn figure(
    posed: &Posed,
    view: &View,
    step: Option<&Step>,
    frame: Option<&Frame>,
    away: Vec<NodeId>,
) -> String {
    let shown = Shown {
        put_away: away,
        ..Shown::on_arrival(posed, view, step)
    };
    let mut shapes = figure::draw(posed, view, &scene(shown, &mut Ways::default()));
    let far = View {
        size: (view.size.0 + 2.0 * BEYOND.0, view.size.1 + 2.0 * BEYOND.1),
        ..*view
    };
    let bench = figure::draw(
        posed,
        &far,
        &scene(Shown::on_arrival(posed, &far, step), &mut Ways::default()),
    );
    let on_bench = |shape: &figure::Shape| shape.layer() == Layer::Bench;
    let last = shapes.iter().position(|shape| !on_bench(shape));
    shapes.drain(..last.unwrap_or(shapes.len()));
    let bench = bench.into_iter().take_while(on_bench).map(nearer);
    shapes.splice(..0, bench);
    let (x, y, _) = view.project(&rig::Vec3::zeros());
    let fit = frame.map_or_else(String::new, |frame| fit(posed, view, step, frame));
    format!(
        r#"<svg class="first-figure given" aria-hidden="true" data-size="{} {}" data-origin="{x:.2} {y:.2} {:.4}"{fit}>{}</svg>"#,
        view.size.0,
        view.size.1,
        view.scale,
        inside(&shapes)
    )
}

/// A shape of the bench, in the picture's own pixels.
fn nearer(mut shape: figure::Shape) -> figure::Shape {
    if let figure::Shape::Path { segs, .. } = &mut shape {
        let at = |x: f64, y: f64| (x - BEYOND.0, y - BEYOND.1);
        for seg in segs {
            *seg = match *seg {
                Seg::Move(x, y) => Seg::Move(at(x, y).0, at(x, y).1),
                Seg::Line(x, y) => Seg::Line(at(x, y).0, at(x, y).1),
                Seg::Cubic(a, b, c, d, x, y) => {
                    let [(a, b), (c, d), (x, y)] = [at(a, b), at(c, d), at(x, y)];
                    Seg::Cubic(a, b, c, d, x, y)
                }
                Seg::Close => Seg::Close,
            };
        }
    }
    shape
}

fn fit(posed: &Posed, view: &View, step: Option<&Step>, frame: &Frame) -> String {
    let points: Vec<_> = extent(posed, step)
        .iter()
        .map(|p| view.project(p))
        .map(|(x, y, _)| [x, y])
        .collect();
    let side = |axis: usize, pick: fn(f64, f64) -> f64| {
        points.iter().map(|p| p[axis]).reduce(pick).unwrap_or(0.0)
    };
    let mut out = String::from(r#" data-fit=""#);
    let free = frame.free(Plate::of((f64::INFINITY, f64::INFINITY)));
    let boxed = [
        side(0, f64::min),
        side(1, f64::min),
        side(0, f64::max),
        side(1, f64::max),
    ];
    for number in free.into_iter().chain(boxed) {
        let _ = write!(out, "{number:.2} ");
    }
    let _ = write!(out, r#"{:.4}""#, Frame::MOST_SCALE / view.scale);
    out
}

/// The size a place is drawn at, px: its plate's in a window of 1440 by 900, or of 390 by 844. A
/// plate between shows the wide one smaller: a third would be a third more for the service worker
/// to keep.
pub fn size(window: Window, mapped: bool) -> (f64, f64) {
    match (window, mapped) {
        (Window::Wide, true) => (1040.0, 488.0),
        (Window::Wide, false) => (1040.0, 720.0),
        (Window::Narrow, _) => (390.0, 439.0),
    }
}
