//! What the hand stands on, and how. Each change builds the hand anew, as one step of undo.
use super::edits::{edit, of_planting, part, recipe, remake};
use crate::state::session;
use crate::widgets::fields::{Number, Pick, choices, chosen, place};
use crate::widgets::switch::Switch;
use hand::{Edit, GroundForm, Hand, Planting, Recipe, Stance};
use leptos::prelude::*;

const STANCES: [(Option<Stance>, &str); 5] = [
    (Some(Stance::Flat), "flat, on the pads"),
    (Some(Stance::Fingertips), "on the fingertips"),
    (Some(Stance::Fist), "a fist, on the knuckles"),
    (Some(Stance::Edge), "on the little finger's edge"),
    (None, "not planted"),
];

const FORMS: [(GroundForm, &str); 3] = [
    (GroundForm::Plane, "a plane"),
    (GroundForm::Edge, "the edge of a bench"),
    (GroundForm::Rail, "a round rail"),
];

/// How the hand stands, and on what.
#[component]
pub fn Standing() -> impl IntoView {
    let session = session();
    let shell = session.shell;
    let recipe = recipe(session.stage);
    let planting = part(recipe, None, |r| Some(r.planting.clone()));
    let planted = move || planting.with(Option::is_some);
    let number = move |of: fn(&Planting) -> f64| {
        Signal::derive(move || planting.with(|p| p.as_ref().map_or(0.0, of)))
    };
    let give = move |change: fn(&mut Planting, f64)| {
        Callback::new(move |value: f64| remake(session, of_planting(|p| change(p, value))))
    };
    let form = move || planting.with(|p| p.as_ref().map_or(GroundForm::Plane, |p| p.surface.form));
    let built = move || recipe.with(Option::is_some);
    view! {
        <Show
            when=built
            fallback=|| view! { <p class="quiet">"This figure was not built from a recipe, so it has no stance to choose. Open one of the hands under Plan."</p> }
        >
            <fieldset class="fields">
                <legend>"Stance"</legend>
                <Pick
                    label="The hand stands"
                    choices=choices(&STANCES)
                    chosen=Signal::derive(move || {
                        place(&STANCES, &planting.with(|p| p.as_ref().map(|p| p.stance))).unwrap_or_default()
                    })
                    set=Callback::new(move |value: String| {
                        chosen(&STANCES, &value).is_some_and(|stance| remake(session, |r| stand(r, stance)))
                    })
                />
                <Show when=planted>
                    <Number
                        label="Fingers bent as planted"
                        unit="°"
                        value=number(|p| p.flexion)
                        set=give(|p, v| p.flexion = v)
                    />
                    <Show when=move || planting.with(|p| p.as_ref().is_some_and(|p| p.stance == Stance::Flat))>
                        <Switch
                            label="Heel of the hand"
                            choices=vec![(false, "heel up"), (true, "heel down")]
                            chosen=Signal::derive(move || planting.with(|p| p.as_ref().map(|p| p.heel)))
                            set=Callback::new(move |heel| {
                                remake(session, of_planting(|p| p.heel = heel));
                            })
                        />
                    </Show>
                </Show>
            </fieldset>
            <Show when=planted>
                <fieldset class="fields">
                    <legend>"Surface"</legend>
                    <Pick
                        label="It presses on"
                        choices=choices(&FORMS)
                        chosen=Signal::derive(move || place(&FORMS, &form()).unwrap_or_default())
                        set=Callback::new(move |value: String| {
                            chosen(&FORMS, &value)
                                .is_some_and(|form| remake(session, of_planting(|p| p.surface.form = form)))
                        })
                    />
                    <Number label="Height" value=number(|p| p.surface.height) set=give(|p, v| p.surface.height = v)/>
                    <Number label="Tilt" unit="°" value=number(|p| p.surface.tilt) set=give(|p, v| p.surface.tilt = v)/>
                    <Show when=move || form() != GroundForm::Plane>
                        <Number label="Radius" value=number(|p| p.surface.radius) set=give(|p, v| p.surface.radius = v)/>
                    </Show>
                </fieldset>
            </Show>
            <div class="tool-row">
                <button
                    class="tool"
                    title="The pose on the plate becomes the planted one; nothing moves"
                    on:click=move |_| {
                        if edit(session, &Edit::Replant) {
                            shell.say("Planted anew as it stands. Nothing moved.");
                        }
                    }
                >
                    "Plant anew as it stands"
                </button>
            </div>
        </Show>
    }
}

/// Another stance, the rest of the planting kept.
fn stand(recipe: &mut Recipe, stance: Option<Stance>) {
    match (stance, &mut recipe.planting) {
        (Some(stance), Some(planting)) => planting.stance = stance,
        (Some(stance), none) => {
            *none = Some(Planting {
                stance,
                digits: fingers(&recipe.hand),
                ..Planting::default()
            });
        }
        (None, planting) => *planting = None,
    }
}

/// The hand's own fingers, by name: what is planted where nothing else is said.
fn fingers(hand: &Hand) -> Vec<String> {
    let fingers = hand.digits.iter().filter(|d| !d.thumb);
    fingers.map(|d| d.name.clone()).collect()
}
