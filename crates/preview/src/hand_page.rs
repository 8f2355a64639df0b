//! The hand page: the page's `hand/`.
use crate::desk;
use crate::html::{button, current, right};
use crate::plate::{Window, figure, size};
use course::Viewpoint;
use rig::{Fault, Posed};
use workbook::example::Example;
use workbook::route::Route;
use workbook::scene::{Frame, extent, sight};

pub fn hand(example: Example, window: Window) -> Result<String, Fault> {
    let posed = Posed::new(&example.document()?)?;
    let frame = Frame::of(posed.document());
    let view = frame.fit(
        sight(Viewpoint::Oblique),
        size(window, true),
        &extent(&posed),
    );
    let examples: String = Example::all()
        .map(|other| {
            format!(
                r#"<a href="{}"{}>{}</a>"#,
                Route::Hand(other).link(),
                current(other == example, "page"),
                other.name()
            )
        })
        .collect();
    let poses: String = ["Flat", "Relaxed", "Planted", "Start again"]
        .map(|name| button("", name))
        .concat();
    let desk = format!(
        r#"<section class="desk pressing"><div class="desk-dials given"><div class="dials press">{}</div>{}</div>{}</section>"#,
        desk::rows(&posed, &hand::press_dials(posed.document())),
        folds(&["Gauges", "More dials"]),
        desk::MAP
    );
    Ok(format!(
        r#"<div class="bench"><main class="page hand-page">{}<div class="page-text"><h1>A hand that presses</h1><p>The planted digits stay while the wrist lifts, rolls, leans and twists. Drag a handle on the plate or a dial under it; the map shows how far the hand goes before something slips.</p><nav class="examples" aria-label="Hands to begin with">{examples}</nav><div class="actions">{poses}</div>{}</div></main>{}</div>"#,
        button("sheet-handle", "The hand"),
        folds(&["The hand", "Pivots and axes", "Advice"]),
        right(&figure(&posed, &view, None, Some(&frame)), &desk)
    ))
}

/// Folds that do not open yet.
fn folds(titles: &[&str]) -> String {
    let fold =
        |title| format!(r#"<details class="fold" inert><summary>{title}</summary></details>"#);
    titles.iter().map(fold).collect()
}
