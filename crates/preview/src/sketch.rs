//! The sketch page, empty: the page's `sketch.rs`.
use crate::html::{button, right, switch};
use crate::plate::{Window, figure, size};
use figure::{Sight, View};
use rig::{Fault, Posed};

pub fn sketch(window: Window) -> Result<String, Fault> {
    let posed = Posed::new(&workbook::sketch::blank())?;
    // Nothing to frame: as a plate is before anything stands on it.
    let view = View {
        size: size(window, false),
        ..workbook::scene::unframed()
    };
    let tools = switch(&["Drag", "Add joint", "Add mount"]);
    let files: String = ["New", "Open example", "Open file", "Save file"]
        .map(|name| button("tool", name))
        .concat();
    let desk = format!(
        r#"<section class="desk"><div class="desk-dials given"><div class="tools">{tools}<div class="tool-row">{files}</div><p class="quiet">An empty plate. Choose 'Add joint' and press on the plate: each joint hangs under the one chosen in the lineage.</p></div><div class="dials"></div><div class="gauges"></div></div></section>"#
    );
    debug_assert_eq!(view.sight, Sight::Side);
    Ok(format!(
        r#"<div class="bench sketching"><main class="sketch-title"><h1>Sketch</h1></main>{}</div>"#,
        right(&figure(&posed, &view, None, None, Vec::new()), &desk)
    ))
}
