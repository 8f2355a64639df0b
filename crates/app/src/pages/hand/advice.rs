//! Advice with its numbers: which digit lets go or ends a dial and what would help, each change
//! tried; what each digit has left; and the safest order of a joint's turns.
use super::axis_search::AxisSearch;
use super::edits::{edit, recipe, remake_as};
use super::live_survey::press_choices;
use super::pace::rested;
use super::surveyor::Stopped;
use super::turn_order::TurnOrder;
use crate::state::{OnStage, Session, Shell, session};
use crate::widgets::fields::Pick;
use crate::widgets::switch::Switch;
use hand::Edit;
use hand::survey::Tolerance;
use leptos::prelude::*;
use survey_job::{Advised, Answer, Help, How, Lane, Question, Stays};

/// The fold.
#[component]
pub fn Advice(search: AxisSearch) -> impl IntoView {
    let shell = expect_context::<Shell>();
    search.read();
    let stage = expect_context::<OnStage>();
    let recipe = recipe(stage);
    let at_rest = rested(stage);
    // Which dial goes which way.
    let way = RwSignal::new(("lift".to_string(), true));
    // What was told last stays until the next is known.
    let found = RwSignal::new(None);
    Effect::new(move || {
        at_rest.track();
        if recipe.with(Option::is_none) {
            search.surveyor.leave(Lane::Advice);
            return found.set(None);
        }
        let (dial, rising) = way.get();
        let tolerance = shell.tolerance.get();
        let axis = (search.found.get()).filter(|_| dial == "lift" && rising && !search.busy.get());
        stage.with_untracked(|hand| {
            let posed = hand.posed();
            let asked = (posed.rig().dial_named(&dial))
                .and_then(|known| Question::advice(posed, known.id, rising, tolerance, axis));
            let Some(question) = asked else {
                search.surveyor.leave(Lane::Advice);
                return found.set(Some(Err("Nothing is planted, so nothing can slip.".into())));
            };
            let dial = dial.clone();
            search
                .surveyor
                .ask_about(posed.document(), question, move |reply| {
                    found.set(match reply.answer {
                        Answer::Advice(advised) => {
                            Some(Ok((reach_told(&dial, &tolerance, &advised), advised.helps)))
                        }
                        Answer::Refused(why) => Some(Err(why)),
                        _ => None,
                    });
                });
        });
    });
    view! {
        <div class="fields">
            <Pick
                label="What ends the"
                choices=press_choices()
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
        <Stopped surveyor=search.surveyor/>
        {move || match found.get() {
            None if recipe.with(Option::is_some) => ().into_any(),
            None => view! { <p class="quiet">"There is no hand to advise on."</p> }.into_any(),
            Some(Err(why)) => view! { <p class="quiet">{why}</p> }.into_any(),
            Some(Ok((first, helps))) => {
                let list = helps.into_iter().map(|help| view! { <Try help/> }).collect_view();
                view! { <p>{first}</p> <ul class="remedies">{list}</ul> }.into_any()
            }
        }}
        <Show when=move || search.busy.get()>
            <p class="quiet">"Looking for the axis of greatest lift."</p>
        </Show>
        <TurnOrder/>
    }
}

/// How far a dial is safe, how far all stay down, who ends each, and what each digit has left.
fn reach_told(name: &str, tolerance: &Tolerance, advised: &Advised) -> String {
    let reach = &advised.reach;
    let safe = match &reach.ended {
        None => format!("Safe as far as the {name} goes, {:.1}°.", reach.value),
        Some(ended) => {
            let who = &ended.who;
            let then = match ended.how {
                How::Slips => format!("slips more than {} mm", tolerance.slip),
                How::PalmSinks => format!("sinks in more than {} mm", tolerance.palm),
                How::Sinks => format!("sinks in more than {} mm", tolerance.pad),
                How::Limit => "passes its limit".to_owned(),
                How::Reach => "is out of reach".to_owned(),
            };
            format!(
                "The {name} is safe to {:.1}°; then the {who} {then}.",
                reach.value
            )
        }
    };
    let left: Vec<_> = advised
        .left
        .iter()
        .map(|(who, mm)| format!("{} {mm:.1} mm", who.who.replace(" finger", "")))
        .collect();
    let left = if left.is_empty() {
        String::new()
    } else {
        format!(" Surface left here: {}.", left.join(", "))
    };
    format!("{safe} {}{left}", stays_told(&reach.stays, &advised.back))
}

/// 'All four stay down from −5.0° to 48.2°; past 48.2° the little finger lets go.'
fn stays_told(ahead: &Stays, back: &Stays) -> String {
    if ahead.count == 0 {
        return format!("{} down.", ahead.told());
    }
    let (low, high) = if ahead.value < back.value {
        (ahead.value, back.value)
    } else {
        (back.value, ahead.value)
    };
    let then = ahead.first.as_ref().map_or_else(String::new, |first| {
        format!("; past {:.1}° the {} lets go", ahead.value, first.who)
    });
    format!("{} down from {low:.1}° to {high:.1}°{then}.", ahead.told())
}

/// A change that was tried, and the button that makes it.
#[component]
fn Try(help: Help) -> impl IntoView {
    let session = session();
    let Help {
        told,
        recipe,
        lets_go,
        ..
    } = help;
    let spoken = format!("Try it: {told}");
    let button = match (recipe, lets_go) {
        (Some(recipe), _) => Some(Callback::new(move |()| {
            remake_as(session, (*recipe).clone());
        })),
        (None, Some(anchor)) => Some(Callback::new(move |()| let_go(session, &anchor))),
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

/// The digit that an anchor of the hand holds is let go where it is.
fn let_go(session: Session, anchor: &str) {
    let node = session
        .stage
        .with_untracked(|h| Some(h.document().anchor_named(anchor)?.end));
    if let Some(node) = node {
        edit(session, &Edit::Release { node });
    }
}
