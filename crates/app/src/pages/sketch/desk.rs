//! The sketch's desk: its tools, the dials of the chosen node, and a gauge for each plant and anchor.
use super::tools::SketchTools;
use crate::shell::copies::Copies;
use crate::state::OnStage;
use crate::widgets::desk::DeskRows;
use leptos::prelude::*;
use workbook::desk::gauges_of;
use workbook::sketch::dials_of;

/// The desk.
#[component]
pub fn SketchDesk() -> impl IntoView {
    let stage = expect_context::<OnStage>();
    let dials = Memo::new(move |_| {
        let chosen = stage.selected.get();
        stage.with(|h| dials_of(h.document(), chosen))
    });
    let gauges = Memo::new(move |_| stage.with(|h| gauges_of(h.document())));
    view! {
        <section class="desk" aria-label="Dials and gauges">
            <DeskRows dials gauges>
                <Copies/>
                <SketchTools/>
            </DeskRows>
        </section>
    }
}
