//! The gallery of gestures: the three poses, the twenty to start from and the user's own, each as a
//! small figure of the present hand.
mod caption;
mod chosen;
mod name;
mod thumbs;

pub use thumbs::Thumbs;

use super::poses::Poses;
use crate::keep::is_gestures;
use crate::state::{Session, session};
use caption::Caption;
use chosen::{Chosen, focus};
use hand::gesture::{Gesture, starters};
use leptos::prelude::*;
use name::Name;
use workbook::gallery::{SIZE, add};

const KEEP: &str = "gallery-keep";

/// The whole; the poses alone where the figure is no hand.
#[component]
pub fn Gallery(thumbs: Thumbs) -> impl IntoView {
    let Session { stage, .. } = session();
    let is_hand = Memo::new(move |_| stage.with(|h| h.document().hand.is_some()));
    view! {
        <section aria-label="Poses">
            <Poses/>
        </section>
        <Show when=move || is_hand.get()>
            <Gestures thumbs/>
        </Show>
    }
}

#[component]
fn Gestures(thumbs: Thumbs) -> impl IntoView {
    let chosen = Chosen::new();
    let other_tab = window_event_listener(leptos::ev::storage, move |e| {
        // A store that is cleared has no key to tell.
        if e.key().is_none_or(|key| is_gestures(&key)) {
            chosen.look();
        }
    });
    on_cleanup(move || {
        other_tab.remove();
        thumbs.want(Vec::new());
    });
    Effect::new(move || thumbs.want(starters().chain(chosen.own.get()).collect()));
    view! {
        <section class="gallery" aria-label="Gestures">
            <h2>"Gestures"</h2>
            <Caption chosen/>
            <div class="gestures">
                {starters().map(|gesture| view! { <Figure chosen thumbs gesture/> }).collect_view()}
            </div>
            <h2>"Yours"</h2>
            <div class="gestures">
                <For each=move || chosen.own.get() key=workbook::gallery::key let:gesture>
                    <Figure chosen thumbs gesture/>
                </For>
            </div>
            <Keep chosen/>
        </section>
    }
}

#[component]
fn Figure(chosen: Chosen, thumbs: Thumbs, gesture: Gesture) -> impl IntoView {
    let gesture = StoredValue::new(gesture);
    let name = gesture.with_value(|g| g.name.clone());
    let inside = Memo::new(move |_| gesture.with_value(|g| thumbs.inside(g)));
    let pressed = move || gesture.with_value(|g| chosen.gesture.with(|c| c.as_ref() == Some(g)));
    view! {
        <button
            class="gesture"
            aria-pressed=move || pressed().to_string()
            on:click=move |e| gesture.with_value(|g| chosen.press(g, e.detail() == 0))
        >
            <svg viewBox=format!("0 0 {} {}", SIZE.0, SIZE.1) aria-hidden="true" inner_html=move || inside.get()></svg>
            <span>{name}</span>
        </button>
    }
}

/// Keeps the hand's shape as it is now, under a name that is asked for here.
#[component]
fn Keep(chosen: Chosen) -> impl IntoView {
    let Session { stage, shell, .. } = session();
    let asks = RwSignal::new(false);
    let done = move |typed: Option<String>| {
        if let Some(typed) = typed {
            stage.stop();
            let gesture = stage.with_untracked(|s| Gesture::of(s.posed(), &typed));
            chosen.change(|own| add(own, gesture))?;
            shell.say(format!("Kept: {}.", typed.trim()));
        }
        asks.set(false);
        focus(KEEP);
        Ok(())
    };
    view! {
        <Show
            when=move || asks.get()
            fallback=move || {
                view! { <button id=KEEP on:click=move |_| asks.set(true)>"Keep this gesture"</button> }
            }
        >
            <Name label="Its name" begun=String::new() act="Keep" done=Callback::new(done)/>
        </Show>
    }
}
