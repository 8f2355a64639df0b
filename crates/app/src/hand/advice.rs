//! Advice with its numbers: which digit ends a dial and what would help, each change tried; what
//! misplacing a pivot costs; and the safest order of a joint's turns.
use super::desk::PRESS;
use super::field::{Pick, Switch};
use super::seek::{Seek, built};
use super::{recipe, remake_as};
use crate::session::{Session, session};
use hand::Recipe;
use hand::advice::{Advice, Change, Remedy, advice};
use leptos::prelude::*;

/// Which way which dial goes.
type Way = (String, bool);

/// The fold.
#[component]
pub fn AdviceFold(seek: Seek) -> impl IntoView {
    let session = session();
    seek.read();
    let recipe = recipe(session);
    let way = RwSignal::new(("lift".to_string(), true));
    let found = Memo::new(move |_| {
        let recipe = recipe.get()?;
        Some(advise(session, seek, &recipe, &way.get()))
    });
    let names = PRESS
        .map(|name| (name.to_string(), name.to_string()))
        .to_vec();
    view! {
        <div class="fields">
            <Pick
                label="What ends the"
                choices=names
                chosen=Signal::derive(move || way.with(|w| w.0.clone()))
                set=Callback::new(move |name| { way.update(|w| w.0 = name); true })
            />
            <Switch
                label="Which way"
                choices=vec![(true, "up"), (false, "down")]
                chosen=Signal::derive(move || way.with(|w| Some(w.1)))
                set=Callback::new(move |rising| way.update(|w| w.1 = rising))
            />
        </div>
        {move || match found.get() {
            None => view! { <p class="quiet">"There is no hand to advise on."</p> }.into_any(),
            Some(Err(why)) => view! { <p class="quiet">{why}</p> }.into_any(),
            Some(Ok((first, remedies))) => {
                let list = remedies.into_iter().map(|r| view! { <Try remedy=r/> }).collect_view();
                view! { <p>{first}</p> <ul class="remedies">{list}</ul> }.into_any()
            }
        }}
        <Show when=move || seek.busy.get()>
            <p class="quiet">"Looking for the axis of greatest safe lift."</p>
        </Show>
        <super::orders::Orders/>
    }
}

fn advise(
    session: Session,
    seek: Seek,
    recipe: &Recipe,
    (name, rising): &Way,
) -> Result<(String, Vec<Remedy>), String> {
    let posed = built(recipe).ok_or("This hand cannot be built.")?;
    let document = posed.document();
    let dial = document
        .dial_named(name)
        .ok_or("Nothing is planted, so nothing can slip.")?;
    let axis = seek
        .found
        .get()
        .filter(|_| name == "lift" && *rising && !seek.busy.get());
    let tolerance = session.tolerance.get();
    let Advice {
        value,
        first,
        remedies,
        ..
    } = advice(&posed, dial.id, *rising, tolerance, axis)
        .map_err(|f| format!("{}; {}.", f.what, f.mend))?;
    let who = first.map(|node| super::digit(document, node));
    let first = match who {
        Some(who) => format!(
            "The {name} goes to {value:.1}°; then the {who} slips more than {tolerance} mm."
        ),
        None => format!("Nothing slips as far as the {name} goes, {value:.1}°."),
    };
    Ok((first, remedies))
}

/// A change that was tried, and the button that makes it.
#[component]
fn Try(remedy: Remedy) -> impl IntoView {
    let session = session();
    let Remedy {
        change,
        told,
        recipe,
        ..
    } = remedy;
    let spoken = format!("Try it: {told}");
    let button = match (change, recipe) {
        (_, Some(recipe)) => Some(Callback::new(move |()| {
            remake_as(session, (*recipe).clone());
        })),
        (Change::Release(anchor), None) => Some(Callback::new(move |()| let_go(session, anchor))),
        _ => None,
    };
    view! {
        <li>
            {told}
            " "
            {button
                .map(|act| {
                    view! {
                        <button class="tool" aria-label=spoken on:click=move |_| act.run(())>
                            "Try it"
                        </button>
                    }
                })}
        </li>
    }
}

/// The anchor of the hand as built, by name: its digit is let go where it is.
fn let_go(session: Session, anchor: rig::AnchorId) {
    let built = session
        .stage
        .with_untracked(|h| built(h.document().hand.as_deref()?));
    let name = built.and_then(|posed| Some(posed.rig().anchor(anchor)?.name.clone()));
    let node = session
        .stage
        .with_untracked(|h| Some(h.document().anchor_named(&name?)?.end));
    if let Some(node) = node {
        session.hand_edit(&hand::Edit::Release { node });
    }
}
