//! The sketch's desk: its tools, the dials of the chosen node, and a gauge for each plant and anchor.
use super::tools::SketchTools;
use crate::shell::copies::Copies;
use crate::state::{OnStage, gauges_of};
use crate::widgets::desk::DeskRows;
use leptos::prelude::*;
use rig::{Dial, DialId, Document, NodeId};
use workbook::moving::{Moving, grip_of};

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

/// A long sketch has many dials: the chosen node's are enough, if it has any.
fn dials_of(document: &Document, chosen: Option<NodeId>) -> Vec<DialId> {
    let grip = chosen.and_then(|id| grip_of(document, id));
    let of_chosen = |d: &Dial| {
        (chosen.is_some() && d.drives.iter().any(|r| r.node() == chosen))
            || matches!(&grip, Some(Moving::Dials(ids)) if ids.contains(&d.id))
    };
    let all = || document.dials.iter();
    let few: Vec<_> = all().filter(|d| of_chosen(d)).map(|d| d.id).collect();
    if few.is_empty() {
        all().map(|d| d.id).collect()
    } else {
        few
    }
}
