//! Tools on the desk: what this step lets one change about the rig itself.
use super::acts::BuildTools;
use super::mounts::Mounts;
use super::signs::Signs;
use super::turns::Turns;
use crate::acts::play;
use crate::state::{Session, session};
use crate::widgets::rig_tools::{LetGo, Rehang};
use course::Tool;
use leptos::prelude::*;
use rig::Edit;

/// The row of tools.
#[component]
pub fn Tools() -> impl IntoView {
    let session = session();
    let course = session.course;
    let offered = Memo::new(move |_| course.step().map(|s| s.tools.clone()).unwrap_or_default());
    let has = move |tool: Tool| offered.with(|o| o.contains(&tool));
    view! {
        <Show when=move || offered.with(|o| !o.is_empty()) || session.building().is_some()>
            <div class="tools">
                <BuildTools/>
                <Show when=move || has(Tool::LetGo)>
                    <LetGo/>
                </Show>
                <Show when=move || has(Tool::Rehang)>
                    <Rehang/>
                </Show>
                <Show when=move || has(Tool::Poses)>
                    <Poses/>
                </Show>
                {move || offered.get().into_iter().map(of_nodes).collect_view()}
            </div>
        </Show>
    }
}

/// A tool that is for certain nodes.
fn of_nodes(tool: Tool) -> Option<AnyView> {
    match tool {
        Tool::Mounts(joints) => Some(view! { <Mounts joints/> }.into_any()),
        Tool::Signs(under) => Some(view! { <Signs under/> }.into_any()),
        Tool::Order(node) => Some(view! { <Turns node/> }.into_any()),
        Tool::LetGo | Tool::Rehang | Tool::Poses | Tool::Map => None,
    }
}

/// Keeps two poses and plays between them.
#[component]
fn Poses() -> impl IntoView {
    let session = session();
    let Session {
        stage,
        course,
        shell,
        ..
    } = session;
    let kept = move |which: usize| course.attempt.with(|a| a.poses[which].is_some());
    let keep = move |which: usize| {
        let setting = stage.setting();
        course.attempt.update(|a| a.poses[which] = Some(setting));
        course.mark.set(None);
        shell.say(if which == 0 {
            "First pose kept."
        } else {
            "Second pose kept."
        });
    };
    let back = move |which: usize| {
        if let Some(setting) = course.attempt.with_untracked(|a| a.poses[which].clone()) {
            session.edit(&Edit::Set { setting });
        }
    };
    view! {
        <div class="tool-row">
            {[(0, "first"), (1, "second")]
                .map(|(which, name)| {
                    view! {
                        <button class="tool" class:kept=move || kept(which) on:click=move |_| keep(which)>
                            {move || if kept(which) { format!("Keep as {name} again") } else { format!("Keep as {name}") }}
                        </button>
                        <Show when=move || kept(which)>
                            <button class="tool" on:click=move |_| back(which)>
                                {format!("Go to {name}")}
                            </button>
                        </Show>
                    }
                })
                .collect_view()}
            <button class="tool" disabled=move || !(kept(0) && kept(1)) on:click=move |_| play::between(session)>
                "Play between"
            </button>
        </div>
    }
}
