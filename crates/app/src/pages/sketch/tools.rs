//! The sketch page's tools.
use super::anchors::AnchorTools;
use super::card::NodeCard;
use crate::shell::files::Files;
use crate::state::{Camera, OnStage};
use crate::widgets::rig_tools::Rehang;
use crate::widgets::switch::Switch;
use leptos::prelude::*;
use workbook::pencil::Tool;

/// All tools of the sketch page.
#[component]
pub fn SketchTools() -> impl IntoView {
    let (stage, camera) = (expect_context::<OnStage>(), expect_context::<Camera>());
    let empty = move || stage.with(|h| h.document().nodes.is_empty());
    view! {
        <div class="tools">
            <Switch
                label="A press on the plate"
                choices=vec![(Tool::Hand, "Drag"), (Tool::AddJoint, "Add joint"), (Tool::AddMount, "Add mount")]
                chosen=Signal::derive(move || Some(camera.tool.get()))
                set=Callback::new(move |tool| camera.tool.set(tool))
            />
            <Files/>
            <Show when=empty>
                <p class="quiet">
                    "An empty plate. Choose 'Add joint' and press on the plate: each joint hangs under the one chosen in the lineage."
                </p>
            </Show>
            <Show when=move || !empty()>
                <NodeCard/>
                <AnchorTools/>
                <Rehang/>
            </Show>
        </div>
    }
}
