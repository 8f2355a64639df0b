//! A mount above a joint, in two acts that are seen: it is hung, then it is turned by the rest.
use crate::state::{Session, session};
use course::mounts::{Mounted, mount, mounted, rest, take_in, turn};
use leptos::prelude::*;
use workbook::desk::whole;

/// Both acts for each of these joints.
#[component]
pub fn Mounts(joints: Vec<String>) -> impl IntoView {
    let rows = joints
        .into_iter()
        .map(|joint| view! { <Acts joint/> })
        .collect_view();
    view! { <div class="acts">{rows}</div> }
}

#[component]
fn Acts(joint: String) -> impl IntoView {
    let session = session();
    let Session { course, stage, .. } = session;
    // The step's figure as it is given: its pose is the rest.
    let given = {
        let lesson = course.lesson.get_untracked();
        let step = course.step_now();
        let figure = lesson.zip(step).map(|(l, s)| l.figure(&s).clone());
        StoredValue::new(figure)
    };
    let named = joint.clone();
    let state = Memo::new(move |_| {
        stage.with(|stage| {
            given.with_value(|given| {
                let node = stage.document().node_named(&named)?;
                Some(mounted(given.as_ref()?, stage.history().posed(), node))
            })
        })
    });
    let by = given.with_value(|given| rest(given.as_ref()?, &joint));
    let of = joint.clone();
    let hang = move |_| {
        let edit = stage.with_untracked(|stage| {
            let node = stage.document().node_named(&of)?;
            Some(mount(stage.history().posed(), node))
        });
        if let Some(edit) = edit {
            session.edit_named(&[edit], &format!("hang a mount above the {of}"));
            session
                .shell
                .say("A mount hangs above it. Nothing on the plate moved.");
        }
    };
    let of = joint.clone();
    let take = move |_| {
        let (Some(Mounted::Hung(mount)), Some(by)) = (state.get_untracked(), by) else {
            return;
        };
        let edit = stage.with_untracked(|stage| take_in(stage.history().posed(), mount, &by));
        session.edit_named(&[edit], &format!("turn the mount of the {of} by the rest"));
        session
            .shell
            .say("The mount is turned, and takes along what it carries.");
    };
    let group = format!("The {joint}");
    let turned = format!(
        "Turn the mount by {}",
        whole(by.map_or(0.0, |by| turn(&by)))
    );
    view! {
        <div class="tool-row" role="group" aria-label=group>
            <span class="act-of">{joint.clone()}</span>
            <button
                class="tool"
                aria-label=format!("Mount above, {joint}")
                disabled=move || state.get() != Some(Mounted::Not)
                on:click=hang
            >
                "Mount above"
            </button>
            <button
                class="tool"
                aria-label=format!("{turned}, {joint}")
                disabled=move || !matches!(state.get(), Some(Mounted::Hung(_)))
                on:click=take
            >
                {turned.clone()}
            </button>
        </div>
    }
}
