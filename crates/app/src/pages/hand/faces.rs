//! The page's corners: which of its three faces is up.
use crate::browser::typing_in;
use crate::state::{OnHand, Session, session};
use crate::widgets::keys::arrow;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use workbook::face::Face;

/// The page's text, which a corner shows another of.
pub const TEXT: &str = "page-text";

/// A corner's id.
pub fn id(face: Face) -> String {
    format!("face-{}", face.key())
}

/// The corners; on a phone a row under the plate.
#[component]
pub fn Faces() -> impl IntoView {
    let Session { hand, shell, .. } = session();
    let choose = move |face: Face| {
        hand.turn_to(face);
        shell.say(format!("{} face.", face.name()));
    };
    let numbers = window_event_listener(leptos::ev::keydown, move |e| {
        let plain = !(e.ctrl_key() || e.meta_key() || e.alt_key() || e.shift_key());
        let number = e.key().parse::<usize>().ok().filter(|_| plain);
        let face = number.and_then(|n| Face::ALL.get(n.checked_sub(1)?).copied());
        let target = e
            .target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok());
        let (Some(face), Some(target)) = (face, target) else {
            return;
        };
        let here = target.closest(".page, .stage, .faces");
        if here.ok().flatten().is_some() && !typing_in(&target) {
            e.prevent_default();
            choose(face);
        }
    });
    on_cleanup(move || numbers.remove());
    view! {
        <section class="faces" aria-label="Faces of the page">
            <div role="tablist" aria-label="Faces">
                {Face::ALL.map(|face| view! { <Corner hand face choose=Callback::new(choose)/> })}
            </div>
        </section>
    }
}

#[component]
fn Corner(hand: OnHand, face: Face, choose: Callback<Face>) -> impl IntoView {
    let on = move || hand.face.get() == face;
    let number = Face::ALL
        .iter()
        .position(|known| *known == face)
        .unwrap_or(0)
        + 1;
    view! {
        <button
            role="tab"
            id=id(face)
            title=format!("Key {number}, while the page or the plate has the focus")
            aria-selected=move || on().to_string()
            aria-controls=TEXT
            tabindex=move || if on() { "0" } else { "-1" }
            on:click=move |_| choose.run(face)
            on:keydown=move |e| {
                let all = Face::ALL;
                let at = all.iter().position(|known| *known == face).unwrap_or(0);
                let to = match e.key().as_str() {
                    "Home" => 0,
                    "End" => all.len() - 1,
                    _ => {
                        let Some((right, up)) = arrow(&e) else { return };
                        let step = if right - up > 0.0 { 1 } else { all.len() - 1 };
                        (at + step) % all.len()
                    }
                };
                e.prevent_default();
                choose.run(all[to]);
                let corner = document().get_element_by_id(&id(all[to]));
                if let Some(corner) = corner.and_then(|c| c.dyn_into::<web_sys::HtmlElement>().ok()) {
                    let _ = corner.focus();
                }
            }
        >
            {face.name()}
        </button>
    }
}
