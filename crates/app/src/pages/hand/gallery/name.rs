//! A name asked for in place.
use leptos::html::Input;
use leptos::prelude::*;

/// The field and its buttons. `done` hears the name, and says what is wrong with it; or none, when
/// it was thought better of.
#[component]
pub fn Name(
    label: &'static str,
    /// What stands in the field at first.
    begun: String,
    act: &'static str,
    done: Callback<Option<String>, Result<(), String>>,
) -> impl IntoView {
    let field = NodeRef::<Input>::new();
    let text = RwSignal::new(begun.clone());
    let fault = RwSignal::new(None::<String>);
    Effect::new(move || {
        if let Some(field) = field.get() {
            let _ = field.focus();
            field.select();
        }
    });
    let take = move || {
        // What does can have taken the field away with all that is its own.
        if let Err(why) = done.run(Some(text.get_untracked())) {
            fault.set(Some(why));
        }
    };
    let leave = move || {
        let _ = done.run(None);
    };
    view! {
        <div class="gallery-name">
            <label class="field">
                <span>{label}</span>
                <input
                    type="text"
                    node_ref=field
                    autocomplete="off"
                    enterkeyhint="done"
                    aria-invalid=move || fault.with(Option::is_some).to_string()
                    aria-describedby=move || fault.with(Option::is_some).then_some("gallery-name-amiss")
                    value=begun
                    on:input=move |e| {
                        text.set(event_target_value(&e));
                        fault.set(None);
                    }
                    on:keydown=move |e| match e.key().as_str() {
                        "Enter" => {
                            e.prevent_default();
                            take();
                        }
                        "Escape" => {
                            e.prevent_default();
                            leave();
                        }
                        _ => {}
                    }
                />
            </label>
            <button class="tool" on:click=move |_| take()>{act}</button>
            <button class="tool" on:click=move |_| leave()>"Cancel"</button>
            <span class="typed-amiss" id="gallery-name-amiss" role="alert">{move || fault.get()}</span>
        </div>
    }
}
