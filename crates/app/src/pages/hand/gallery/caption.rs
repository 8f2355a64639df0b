//! The gallery's caption: how much of the chosen gesture, for whom; and what can be done with one
//! of the user's own.
use super::super::edits::recipe;
use super::chosen::{Chosen, PERCENT, focus};
use super::name::Name;
use crate::state::{Session, session};
use hand::gesture::Gesture;
use leptos::prelude::*;
use rig::Unit;
use wasm_bindgen::JsCast;
use workbook::gallery::{put_back, remove, rename, stays};
use workbook::number::tenths;
use workbook::typed::comes_to;

const BACK: &str = "gallery-back";

/// What is asked about the chosen one, or what to do first.
#[component]
pub fn Caption(chosen: Chosen) -> impl IntoView {
    let name = Memo::new(move |_| chosen.gesture.with(|g| g.as_ref().map(|g| g.name.clone())));
    view! {
        <div class="gallery-caption">
            {move || match (name.get(), chosen.removed.get()) {
                (Some(name), _) => view! { <Asks chosen name/> }.into_any(),
                (None, Some((at, gesture))) => view! { <Removed chosen at gesture/> }.into_any(),
                (None, None) => {
                    view! { <p class="quiet">"Press one; how much of it is asked here."</p> }.into_any()
                }
            }}
        </div>
    }
}

#[component]
fn Asks(chosen: Chosen, name: String) -> impl IntoView {
    let Session { stage, .. } = session();
    let recipe = recipe(stage);
    let digits = Memo::new(move |_| {
        let all = recipe.with(|r| r.as_ref().map(|r| r.hand.digits.clone()));
        let named = |d: hand::Digit| (d.name.clone(), d.spoken());
        all.unwrap_or_default()
            .into_iter()
            .map(named)
            .collect::<Vec<_>>()
    });
    // Another hand may lack whom it was for.
    Effect::new(move || {
        let there = digits.with(|all| all.iter().any(|(name, _)| chosen.digit.with(|d| d == name)));
        if !there && !chosen.digit.with_untracked(String::is_empty) {
            chosen.digit.set(String::new());
        }
    });
    let stay = Memo::new(move |_| {
        let digit = chosen.digit.get();
        stage.with(|s| stays(s.posed(), &digit))
    });
    let sum = move || {
        let sum = chosen.percent.with(|text| comes_to(text, Unit::Percent));
        sum.map(|sum| format!("= {}", tenths(sum, Unit::Percent)))
    };
    let own = chosen.is_own(&name);
    let renaming = RwSignal::new(false);
    let mine = StoredValue::new(name.clone());
    let keys = move |e: web_sys::KeyboardEvent| {
        let typing = e
            .target()
            .is_some_and(|at| at.dyn_ref::<web_sys::HtmlInputElement>().is_some());
        match e.key().as_str() {
            "Enter" if typing => {
                e.prevent_default();
                chosen.apply();
            }
            "Escape" => {
                e.prevent_default();
                let _ = to_figure();
                chosen.gesture.set(None);
            }
            _ => {}
        }
    };
    view! {
        <div role="group" aria-label=format!("Mix in {name}")>
            <div class="gallery-asks" on:keydown=keys>
                <label>
                    "Mix in "
                    <input
                        type="text"
                        id=PERCENT
                        size="5"
                        autocomplete="off"
                        spellcheck="false"
                        enterkeyhint="done"
                        aria-label=format!("Per cent of {name}; a sum such as 60/2 will do")
                        aria-invalid=move || chosen.fault.with(Option::is_some).to_string()
                        aria-describedby="gallery-amiss"
                        prop:value=move || chosen.percent.get()
                        on:input=move |e| {
                            chosen.percent.set(event_target_value(&e));
                            chosen.fault.set(None);
                        }
                    />
                    " %"
                </label>
                <span class="quiet">{sum}</span>
                <span>"of "<b>{name.clone()}</b></span>
                <label>
                    "for "
                    <select
                        aria-label="For whom"
                        on:change=move |e| chosen.digit.set(event_target_value(&e))
                    >
                        <option value="" selected=move || chosen.digit.with(String::is_empty)>"all digits"</option>
                        {move || {
                            digits
                                .get()
                                .into_iter()
                                .map(|(name, spoken)| {
                                    let this = name.clone();
                                    view! {
                                        <option value=name selected=move || chosen.digit.with(|d| *d == this)>
                                            {spoken}
                                        </option>
                                    }
                                })
                                .collect_view()
                        }}
                    </select>
                </label>
                <button class="tool" on:click=move |_| chosen.apply()>"Apply"</button>
            </div>
            <span class="typed-amiss" id="gallery-amiss" role="alert">{move || chosen.fault.get()}</span>
            <p class="quiet gallery-stays">{move || stay.get()}</p>
            <Show when=move || own && !renaming.get()>
                <div class="gallery-asks">
                    <button class="tool" on:click=move |_| renaming.set(true)>"Rename"</button>
                    <button class="tool" on:click=move |_| taken_away(chosen, &mine.get_value())>"Remove"</button>
                </div>
            </Show>
            <Show when=move || renaming.get()>
                <Name
                    label="Its name"
                    begun=mine.get_value()
                    act="Rename"
                    done=Callback::new(move |typed: Option<String>| {
                        if let Some(typed) = typed {
                            renamed(chosen, &mine.get_value(), &typed)?;
                        }
                        let _ = renaming.try_set(false);
                        Ok(())
                    })
                />
            </Show>
        </div>
    }
}

/// The focus goes back to what was chosen.
fn to_figure() -> Option<()> {
    let figure = document()
        .query_selector(".gesture[aria-pressed=true]")
        .ok()??;
    figure.dyn_into::<web_sys::HtmlElement>().ok()?.focus().ok()
}

fn renamed(chosen: Chosen, from: &str, to: &str) -> Result<(), String> {
    let mut now = None;
    chosen.change(|own| {
        now = Some(rename(own, from, to)?);
        Ok(())
    })?;
    chosen.gesture.set(now);
    focus(PERCENT);
    Ok(())
}

fn taken_away(chosen: Chosen, name: &str) {
    let mut taken = None;
    let made = chosen.change(|own| {
        taken = Some(remove(own, name)?);
        Ok(())
    });
    match made {
        Err(why) => chosen.fault.set(Some(why)),
        Ok(()) => {
            chosen.removed.set(taken);
            chosen.gesture.set(None);
            focus(BACK);
        }
    }
}

#[component]
fn Removed(chosen: Chosen, at: usize, gesture: Gesture) -> impl IntoView {
    let name = gesture.name.clone();
    let fault = RwSignal::new(None::<String>);
    let back = move |_| {
        let gesture = gesture.clone();
        match chosen.change(|own| put_back(own, at, gesture.clone())) {
            Err(why) => fault.set(Some(why)),
            Ok(()) => {
                chosen.removed.set(None);
                chosen.gesture.set(Some(gesture));
                focus(PERCENT);
            }
        }
    };
    view! {
        <div class="gallery-asks" role="status">
            <span>{format!("‘{name}’ is removed.")}</span>
            <button class="tool" id=BACK on:click=back>"Put it back"</button>
            <span class="typed-amiss" role="alert">{move || fault.get()}</span>
        </div>
    }
}
