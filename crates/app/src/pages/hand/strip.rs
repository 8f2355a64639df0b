//! The digits' strip: who is down and what it slips, and a press lets a digit go or puts it down.
use super::edits::{edit, remake};
use crate::state::{Session, session};
use hand::{Edit as HandEdit, Recipe};
use leptos::prelude::*;
use rig::{AnchorId, DialId, Edit};
use workbook::moving::Moving;
use workbook::strip::{Digit, Press, digits};

/// A button for each digit.
#[component]
pub fn Strip() -> impl IntoView {
    let Session { stage, .. } = session();
    let all = Memo::new(move |_| stage.with(|h| digits(h.document())));
    view! {
        <Show
            when=move || all.with(|all| !all.is_empty())
            fallback=|| view! { <p class="quiet">"This figure is not a hand that was built here. Open one of the hands under Plan."</p> }
        >
            <div class="strip" role="group" aria-label="Who is down: press a digit to let it go or to put it down">
                <For each=move || all.get() key=Digit::clone let:digit>
                    <Cell digit/>
                </For>
            </div>
        </Show>
    }
}

#[component]
fn Cell(digit: Digit) -> impl IntoView {
    let session = session();
    let Session { stage, shell, .. } = session;
    let of = digit.clone();
    let told = Memo::new(move |_| stage.with(|h| (of.is_held(h.posed()), of.told(h.posed()))));
    let slips = move || told.with(|(_, (_, slip))| *slip);
    let fine = move || slips().map(|mm| mm <= shell.tolerance.get().slip);
    let slip = move || slips().map_or(String::new(), |mm| format!("{mm:.2} mm"));
    // Half let go says how far, in little room.
    let word = move || {
        told.with(|(_, (word, _))| match word.strip_prefix("letting go, ") {
            Some(left) => left.trim_end_matches(" down").to_owned(),
            None => word.clone(),
        })
    };
    // Begins with what is seen.
    let (short, spoken) = (digit.short.clone(), digit.spoken.clone());
    let label = move || {
        let slip = slip();
        let gap = if slip.is_empty() { "" } else { " " };
        let act = if told.with(|(held, _)| *held) {
            format!("let the {spoken} go")
        } else {
            format!("put the {spoken} down")
        };
        format!("{short} {}{gap}{slip}: {act}", word())
    };
    view! {
        <button
            class="digit"
            class:down=move || told.with(|(_, (word, _))| word == "down")
            class:amiss=move || fine() == Some(false)
            aria-pressed=move || told.with(|(held, _)| held.to_string())
            aria-label=label
            on:click=move |_| press(session, &digit)
        >
            // Spaces, for what is seen to be words in its name too.
            <b>{digit.short.clone()}</b>
            " "
            <span>{word}</span>
            " "
            <span class="quiet">{slip}</span>
        </button>
    }
}

/// Lets a digit go or puts it down, whichever it is not.
pub fn press(session: Session, digit: &Digit) {
    let who = &digit.spoken;
    session.stage.stop();
    let act = session.stage.with_untracked(|h| digit.press(h.posed()));
    let (made, told) = match act {
        Press::Turn(dial, to) if to > 0.0 => (turn(session, dial, to, who, "let go"), "let go"),
        Press::Turn(dial, to) => (turn(session, dial, to, who, "put down"), "down again"),
        Press::Hold(anchor, on) => {
            let word = if on { "down again" } else { "let go" };
            (hold(session, anchor, on, &format!("{word}: {who}")), word)
        }
        Press::Unplant(node) => (edit(session, &HandEdit::Release { node }), "let go"),
        Press::Plant => (
            remake(session, |recipe| plant(recipe, &digit.name)),
            "planted",
        ),
    };
    if made {
        session.shell.say(format!("{who}: {told}."));
    }
}

fn turn(session: Session, dial: DialId, to: f64, who: &str, act: &str) -> bool {
    session.begin(Moving::Dials(vec![dial]));
    let made = session.edit_live(&Edit::SetDials {
        values: vec![(dial, to)],
    });
    session.record();
    session.stage.name_step(&format!("{act}: {who}"));
    session.stage.settle();
    made
}

fn hold(session: Session, anchor: AnchorId, on: bool, label: &str) -> bool {
    let stage = session.stage;
    let mut setting = stage.setting();
    stage.with_untracked(|h| {
        let anchors = h.document().anchors.iter().zip(&mut setting.active);
        for (_, active) in anchors.filter(|(known, _)| known.id == anchor) {
            *active = on;
        }
    });
    stage.settle();
    let made = session.edit_live(&Edit::Set { setting });
    stage.name_step(label);
    stage.settle();
    made
}

/// In the hand's order, so that a digit taken up and planted again leaves the recipe as it was.
fn plant(recipe: &mut Recipe, name: &str) {
    let planting = recipe.planting.get_or_insert_with(|| hand::Planting {
        digits: Vec::new(),
        ..hand::Planting::default()
    });
    if !planting.digits.iter().any(|known| known == name) {
        planting.digits.push(name.to_owned());
    }
    let place = |name: &String| recipe.hand.digits.iter().position(|d| d.name == *name);
    planting.digits.sort_by_key(place);
}
