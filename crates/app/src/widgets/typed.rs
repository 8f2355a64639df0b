//! A value that is typed: pressed, it becomes a field that takes a number or a little arithmetic.
use leptos::html::Input;
use leptos::prelude::*;
use rig::Unit;
use workbook::number::tenths;
use workbook::typed::{comes_to, value};

/// What is typed, and for what.
#[derive(Clone)]
pub struct Typing {
    /// What it is called, and what its field's id begins with.
    pub name: String,
    pub id: String,
    /// Least and most.
    pub limits: (f64, f64),
    pub unit: Unit,
    /// What stands in the field at first; chosen as a whole, so that typing replaces it, unless a
    /// key has begun it.
    pub begun: String,
    pub by_key: bool,
}

/// How the field is left.
#[derive(Clone, Copy, PartialEq)]
pub enum Left {
    Set(f64),
    /// Without a number, by a key.
    Back,
    /// For something else.
    Away,
}

/// The field, until it is left.
#[component]
pub fn Typed(typing: Typing, done: Callback<Left>) -> impl IntoView {
    let Typing {
        name,
        id,
        limits,
        unit,
        begun,
        by_key,
    } = typing;
    let field = NodeRef::<Input>::new();
    let text = RwSignal::new(begun.clone());
    let fault = RwSignal::new(None::<String>);
    // Asked once: what is set closes the field, which blurs it.
    let open = StoredValue::new(true);
    let close = move |left: Left| {
        if open.try_get_value() == Some(true) {
            open.set_value(false);
            done.run(left);
        }
    };
    Effect::new(move || {
        if let Some(field) = field.get() {
            let _ = field.focus();
            if by_key {
                let end = field.value().len() as u32;
                let _ = field.set_selection_range(end, end);
            } else {
                field.select();
            }
        }
    });
    let amiss = format!("{id}-amiss");
    let describes = amiss.clone();
    view! {
        <span class="typed">
            <input
                type="text"
                node_ref=field
                id=format!("{id}-typed")
                size="9"
                autocomplete="off"
                spellcheck="false"
                enterkeyhint="done"
                aria-label=format!("{name}, typed; a sum such as 60/2 will do")
                aria-invalid=move || fault.with(Option::is_some).to_string()
                aria-describedby=move || fault.with(Option::is_some).then(|| describes.clone())
                value=begun
                on:input=move |e| {
                    text.set(event_target_value(&e));
                    fault.set(None);
                }
                on:keydown=move |e| match e.key().as_str() {
                    "Enter" => {
                        e.prevent_default();
                        match value(&text.get_untracked(), limits, unit) {
                            Ok(to) => close(Left::Set(to)),
                            Err(why) => fault.set(Some(why)),
                        }
                    }
                    "Escape" => {
                        e.prevent_default();
                        close(Left::Back);
                    }
                    _ => {}
                }
                on:blur=move |_| close(Left::Away)
            />
            <span class="typed-is" aria-hidden="true">
                {move || text.with(|text| comes_to(text, unit)).map(|sum| format!("= {}", tenths(sum, unit)))}
            </span>
        </span>
        <span class="typed-amiss" id=amiss role="alert">{move || fault.get()}</span>
    }
}
