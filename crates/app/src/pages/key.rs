//! The key to the plate: what each sign on it means, drawn as the plate draws it.
use crate::state::{Camera, Shell};
use crate::widgets::canvas::paint_on;
use figure::{SAMPLE, Sign, sample};
use leptos::html::{Canvas, H2};
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use workbook::key::told;

/// The signs that the plate shows now. It has the focus when it opens, and gives it back.
#[component]
pub fn Key() -> impl IntoView {
    let Camera { signs, keyed, .. } = expect_context();
    let head = NodeRef::<H2>::new();
    Effect::new(move || {
        if let Some(head) = head.get() {
            let _ = head.focus();
        }
    });
    let close = move || {
        let button = document().get_element_by_id("key-button");
        if let Some(button) = button.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
            let _ = button.focus();
        }
        keyed.set(false);
    };
    let escape = window_event_listener(leptos::ev::keydown, move |e| {
        if e.key() == "Escape" && !e.default_prevented() {
            close();
        }
    });
    on_cleanup(move || escape.remove());
    let shown = move || {
        let signs = signs.get();
        Sign::ALL
            .into_iter()
            .filter(move |s| signs.has(*s))
            .collect::<Vec<_>>()
    };
    view! {
        <div class="key-head">
            <h2 tabindex="-1" node_ref=head>"Key"</h2>
            <button on:click=move |_| close()>"Close"</button>
        </div>
        <ul>
            <For each=shown key=|sign| *sign as u8 let:sign>
                <Row sign/>
            </For>
        </ul>
        <p class="quiet">"Only what is on the plate now is listed."</p>
    }
}

#[component]
fn Row(sign: Sign) -> impl IntoView {
    let shell = expect_context::<Shell>();
    let canvas = NodeRef::<Canvas>::new();
    let weight = move || if shell.projector.get() { 1.6 } else { 1.0 };
    let size = move || (SAMPLE.0 * weight(), SAMPLE.1 * weight());
    paint_on(
        canvas,
        move || Some((sample(sign, weight()), size(), shell.look.get())),
        || {},
    );
    let told = told(sign);
    view! {
        <li>
            <canvas
                node_ref=canvas
                aria-hidden="true"
                style:width=move || format!("{}px", size().0)
                style:height=move || format!("{}px", size().1)
            ></canvas>
            <p>
                <a href=format!("#/glossary/{}", told.word)>{told.sign}</a>
                {told.meaning}
            </p>
        </li>
    }
}
