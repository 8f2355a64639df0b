//! Fields that show what the document has: a value refused is not left standing in them.
use crate::state::Shell;
use leptos::prelude::*;
use workbook::number::plain;

/// A labelled number. `set` tells whether the document took it.
#[component]
pub fn Number(
    #[prop(into)] label: String,
    #[prop(into)] value: Signal<f64>,
    set: Callback<f64, bool>,
    #[prop(default = "mm")] unit: &'static str,
    /// In a table, whose headings are its label.
    #[prop(default = false)]
    bare: bool,
) -> impl IntoView {
    let shell = expect_context::<Shell>();
    let spoken = if unit.is_empty() {
        label.clone()
    } else {
        format!("{label}, {}", spelt(unit))
    };
    let wrong = format!("{label} must be a number");
    let field = view! {
        <input
            type="number"
            step="any"
            aria-label=spoken
            prop:value=move || plain(value.get())
            on:change=move |e| {
                let input: web_sys::HtmlInputElement = event_target(&e);
                let taken = match input.value().trim().parse::<f64>() {
                    Ok(typed) if typed.is_finite() => set.run(typed),
                    _ => {
                        shell.notice(wrong.clone(), "Nothing was changed.");
                        false
                    }
                };
                if !taken {
                    input.set_value(&plain(value.get_untracked()));
                }
            }
        />
    };
    if bare {
        return field.into_any();
    }
    view! { <label class="field"><span>{label}</span>{field}<span class="unit">{unit}</span></label> }.into_any()
}

fn spelt(unit: &str) -> &str {
    match unit {
        "°" => "degrees",
        "%" => "per cent",
        other => other,
    }
}

/// A labelled list: what each choice is called in the document and on screen.
#[component]
pub fn Pick(
    #[prop(into)] label: String,
    choices: Vec<(String, String)>,
    #[prop(into)] chosen: Signal<String>,
    set: Callback<String, bool>,
) -> impl IntoView {
    let options = choices
        .into_iter()
        .map(|(value, name)| {
            let this = value.clone();
            view! { <option value=value selected=move || chosen.get() == this>{name}</option> }
        })
        .collect_view();
    view! {
        <label class="field">
            <span>{label}</span>
            <select on:change=move |e| {
                let select: web_sys::HtmlSelectElement = event_target(&e);
                if !set.run(select.value()) {
                    select.set_value(&chosen.get_untracked());
                }
            }>{options}</select>
        </label>
    }
}

/// Position in a list of choices, as a list's value.
pub fn choices<T: Copy>(all: &[(T, &str)]) -> Vec<(String, String)> {
    all.iter()
        .enumerate()
        .map(|(at, (_, name))| (at.to_string(), (*name).to_string()))
        .collect()
}

/// Of a value, its position.
pub fn place<T: PartialEq>(all: &[(T, &str)], wanted: &T) -> Option<String> {
    let at = all.iter().position(|(value, _)| value == wanted)?;
    Some(at.to_string())
}

/// Of a position, its value.
pub fn chosen<T: Copy>(all: &[(T, &str)], value: &str) -> Option<T> {
    Some(all.get(value.parse::<usize>().ok()?)?.0)
}

/// A fold whose inside is made only while it is open.
#[component]
pub fn Fold(
    title: &'static str,
    #[prop(default = false)] open: bool,
    /// Hears whether it is open, when that changes.
    #[prop(optional)]
    told: Option<Callback<bool>>,
    children: ChildrenFn,
) -> impl IntoView {
    let open = RwSignal::new(open);
    view! {
        <details
            class="fold"
            open=open.get_untracked()
            on:toggle=move |e| {
                let element: web_sys::Element = event_target(&e);
                let is_open = element.has_attribute("open");
                open.set(is_open);
                if let Some(told) = told {
                    told.run(is_open);
                }
            }
        >
            <summary>{title}</summary>
            <Show when=move || open.get()>
                <div class="fold-inside">{children()}</div>
            </Show>
        </details>
    }
}
