//! The hand's recipe, field by field. Each change builds the hand anew, as one step of undo.
use super::digits::Digits;
use super::edits::{part, recipe, remake};
use crate::state::{Session, session};
use crate::widgets::fields::{Number, Pick, choices, chosen, place};
use crate::widgets::switch::Switch;
use hand::{Arm, Hand, Measure, Recipe, Sex, Side, Sideways, Size, Survey};
use leptos::prelude::*;

/// Every part of the recipe but how the hand stands, which is the press's, and its pivot.
#[component]
pub fn RecipeForm() -> impl IntoView {
    let session = session();
    let Session { stage, .. } = session;
    let recipe = recipe(stage);
    let any = move || recipe.with(Option::is_some);
    view! {
        <Show
            when=any
            fallback=|| view! { <p class="quiet">"This figure was not built from a recipe. Open one of the hands above."</p> }
        >
            <Switch
                label="Which hand"
                choices=vec![(Side::Right, "Right"), (Side::Left, "Left")]
                chosen=Signal::derive(move || recipe.with(|r| r.as_ref().map(|r| r.hand.side)))
                set=Callback::new(move |side| { remake(session, |r| r.hand.side = side); })
            />
            <Counting recipe/>
            <SizeRow recipe measure=Measure::Length/>
            <SizeRow recipe measure=Measure::Breadth/>
            <Digits recipe/>
            <ArmRow recipe/>
        </Show>
    }
}

const SIDEWAYS: [(Sideways, &str); 2] = [
    (Sideways::Mirrored, "as if seen in a mirror"),
    (Sideways::SameWay, "the way of a right hand's"),
];

/// Which way a left hand's dials of lean and twist count; the pose stays.
#[component]
fn Counting(recipe: Memo<Option<Recipe>>) -> impl IntoView {
    let session = session();
    let left = part(recipe, false, |r| Some(r.hand.side == Side::Left));
    let now = part(recipe, Sideways::Mirrored, |r| Some(r.hand.sideways));
    view! {
        <Show when=move || left.get()>
            <Pick
                label="Its lean and twist count"
                choices=choices(&SIDEWAYS)
                chosen=Signal::derive(move || place(&SIDEWAYS, &now.get()).unwrap_or_default())
                set=Callback::new(move |value: String| {
                    chosen(&SIDEWAYS, &value)
                        .is_some_and(|way| remake(session, |r| r.hand.sideways = way))
                })
            />
        </Show>
    }
}

fn size(hand: &Hand, measure: Measure) -> Size {
    match measure {
        Measure::Length => hand.length,
        Measure::Breadth => hand.breadth,
    }
}

const SEXES: [(Sex, &str); 2] = [(Sex::Female, "women"), (Sex::Male, "men")];
const SURVEYS: [(Survey, &str); 2] = [
    (Survey::Acopla95, "Colombian workers, ACOPLA 95"),
    (Survey::Ansur, "U.S. Army, ANSUR 1988 (approximate)"),
];

/// Length or breadth, in mm or as a percentile of a survey.
#[component]
fn SizeRow(recipe: Memo<Option<Recipe>>, measure: Measure) -> impl IntoView {
    let session = session();
    let name = match measure {
        Measure::Length => "Length",
        Measure::Breadth => "Breadth",
    };
    let now = part(recipe, Size::Mm(0.0), move |r| Some(size(&r.hand, measure)));
    let give = move |size: Size| {
        remake(session, |r| match measure {
            Measure::Length => r.hand.length = size,
            Measure::Breadth => r.hand.breadth = size,
        })
    };
    let in_mm = move || hand::mm(now.get(), measure).unwrap_or(0.0);
    let by = move || matches!(now.get(), Size::Percentile { .. });
    let percentile = move || match now.get() {
        Size::Percentile {
            percent,
            sex,
            survey,
        } => (percent, sex, survey),
        Size::Mm(_) => (50.0, Sex::Female, Survey::Acopla95),
    };
    let give_percentile = move |(percent, sex, survey)| {
        give(Size::Percentile {
            percent,
            sex,
            survey,
        })
    };
    view! {
        <fieldset class="fields">
            <legend>{name}</legend>
            <Show when=move || !by()>
                <Number
                    label=name
                    value=Signal::derive(in_mm)
                    set=Callback::new(move |mm| give(Size::Mm(mm)))
                    bare=true
                />
            </Show>
            <Show when=by>
                <Number
                    label=format!("{name}, percentile")
                    value=Signal::derive(move || percentile().0)
                    unit=""
                    set=Callback::new(move |percent| give_percentile((percent, percentile().1, percentile().2)))
                    bare=true
                />
            </Show>
            <Switch
                label="How it is given"
                choices=vec![(false, "mm"), (true, "percentile")]
                chosen=Signal::derive(move || Some(by()))
                set=Callback::new(move |percentiles| {
                    if percentiles != by() {
                        if percentiles {
                            give_percentile(percentile());
                        } else {
                            give(Size::Mm((in_mm() * 10.0).round() / 10.0));
                        }
                    }
                })
            />
            <Show when=by>
                <Pick
                    label="of"
                    choices=choices(&SEXES)
                    chosen=Signal::derive(move || place(&SEXES, &percentile().1).unwrap_or_default())
                    set=Callback::new(move |value: String| {
                        let (percent, _, survey) = percentile();
                        chosen(&SEXES, &value).is_some_and(|sex| give_percentile((percent, sex, survey)))
                    })
                />
                <Pick
                    label="among"
                    choices=choices(&SURVEYS)
                    chosen=Signal::derive(move || place(&SURVEYS, &percentile().2).unwrap_or_default())
                    set=Callback::new(move |value: String| {
                        let (percent, sex, _) = percentile();
                        chosen(&SURVEYS, &value).is_some_and(|survey| give_percentile((percent, sex, survey)))
                    })
                />
                <span class="quiet">{move || format!("= {:.1} mm", in_mm())}</span>
            </Show>
        </fieldset>
    }
}

/// With or without an arm, and how long.
#[component]
fn ArmRow(recipe: Memo<Option<Recipe>>) -> impl IntoView {
    let session = session();
    let arm = part(recipe, None, |r| Some(r.hand.arm));
    let number =
        move |of: fn(&Arm) -> f64| Signal::derive(move || of(&arm.get().unwrap_or_default()));
    let give = move |change: fn(&mut Arm, f64)| {
        Callback::new(move |value: f64| {
            remake(session, |r| {
                if let Some(arm) = &mut r.hand.arm {
                    change(arm, value);
                }
            })
        })
    };
    view! {
        <fieldset class="fields">
            <legend>"Arm"</legend>
            <Switch
                label="Arm"
                choices=vec![(false, "hand alone"), (true, "with an arm")]
                chosen=Signal::derive(move || Some(arm.get().is_some()))
                set=Callback::new(move |wanted: bool| {
                    if wanted != arm.get_untracked().is_some() {
                        remake(session, |r| r.hand.arm = wanted.then(Arm::default));
                    }
                })
            />
            <Show when=move || arm.get().is_some()>
                <Number label="Upper arm" value=number(|a| a.upper) set=give(|a, v| a.upper = v)/>
                <Number label="Forearm" value=number(|a| a.lower) set=give(|a, v| a.lower = v)/>
                <Number
                    label="Twist taken halfway along"
                    unit="%"
                    value=number(|a| a.twist_share * 100.0)
                    set=give(|a, v| a.twist_share = v / 100.0)
                />
            </Show>
        </fieldset>
    }
}
