//! The desk of the hand's joints: whom to turn, the dials that turn it, and the joint chosen on the
//! plate: what its angle is made up of.
use super::axis_handles::sentence;
use super::strip;
use crate::state::{OnHand, OnStage, Session, session};
use crate::widgets::desk::Dials;
use crate::widgets::keys::arrow;
use hand::flesh::Overlaps;
use leptos::html::Button;
use leptos::prelude::*;
use rig::{DialId, Document, Edit, Rig, Shared};
use workbook::joints::{self, Chosen, chosen, is_held, set_back, told};
use workbook::strip::digits;
use workbook::worst::depth;

/// So far flesh gives way where a hand closes on itself, mm: chosen here, as for the gestures.
const SOFT: f64 = 1.0;

/// The digit that is turned, as long as the hand has it.
pub fn whom(hand: OnHand, document: &Document) -> Option<String> {
    let name = hand.whom.get()?;
    let known = digits(document).iter().any(|digit| digit.name == name);
    known.then_some(name)
}

/// The dials on the desk, those of the chosen joint with them.
pub fn asked(hand: OnHand, stage: OnStage, document: &Document) -> Vec<DialId> {
    let mut all = joints::dials(document, whom(hand, document).as_deref());
    let of = stage.selected.get().and_then(|node| chosen(document, node));
    for dial in of.into_iter().flat_map(|joint| joint.dials) {
        if !all.contains(&dial) {
            all.push(dial);
        }
    }
    all
}

#[component]
pub fn FingersDesk() -> impl IntoView {
    let (stage, hand) = (expect_context::<OnStage>(), expect_context::<OnHand>());
    let who = Memo::new(move |_| stage.with(|h| whom(hand, h.document())));
    let dials =
        Memo::new(move |_| stage.with(|h| joints::dials(h.document(), who.get().as_deref())));
    let rows = move || {
        let within = who.get().map(|name| recipe::spoken(&name));
        view! { <Dials dials class="dials press" soft=false within/> }
    };
    view! {
        <div class="desk-dials">
            <Whom who/>
            <div class="desk-row">
                {rows}
                <ChosenJoint dials/>
            </div>
        </div>
    }
}

/// Whom to turn: all of them, or one digit.
#[component]
fn Whom(who: Memo<Option<String>>) -> impl IntoView {
    let Session { stage, hand, .. } = session();
    let all = Memo::new(move |_| {
        let digits = stage.with(|h| digits(h.document())).into_iter();
        let digits = digits.map(|digit| (Some(digit.name), sentence(&digit.short)));
        std::iter::once((None, "All".to_owned()))
            .chain(digits)
            .collect::<Vec<_>>()
    });
    view! {
        <div class="whom" role="radiogroup" aria-label="Whom to turn">
            <For each=move || all.get() key=Clone::clone let:one>
                <One one who all hand/>
            </For>
        </div>
    }
}

/// A digit's name, none for all of them, and as its button has it.
type Choice = (Option<String>, String);

#[component]
fn One(
    one: Choice,
    who: Memo<Option<String>>,
    all: Memo<Vec<Choice>>,
    hand: OnHand,
) -> impl IntoView {
    let (name, word) = one;
    let button = NodeRef::<Button>::new();
    let mine = name.clone();
    let on = Memo::new(move |_| who.with(|who| *who == mine));
    let here = name.clone();
    view! {
        <button
            role="radio"
            node_ref=button
            aria-checked=move || on.get().to_string()
            tabindex=move || if on.get() { "0" } else { "-1" }
            on:click=move |_| hand.whom.set(name.clone())
            on:keydown=move |e| {
                let Some((right, up)) = arrow(&e) else { return };
                e.prevent_default();
                let to = all.with_untracked(|all| {
                    let at = all.iter().position(|one| one.0 == here).unwrap_or(0);
                    let step = if right - up > 0.0 { 1 } else { all.len() - 1 };
                    (at + step) % all.len()
                });
                hand.whom.set(all.with_untracked(|all| all[to].0.clone()));
                let row = button.get_untracked().and_then(|button| button.parent_element());
                let next = row.and_then(|row| row.children().item(to as u32));
                if let Some(next) = next {
                    use wasm_bindgen::JsCast;
                    let _ = next.unchecked_into::<web_sys::HtmlElement>().focus();
                }
            }
        >
            {word}
        </button>
    }
}

/// The joint chosen on the plate. `dials`: those that the desk shows anyway.
#[component]
fn ChosenJoint(dials: Memo<Vec<DialId>>) -> impl IntoView {
    let stage = expect_context::<OnStage>();
    let joint = Memo::new(move |_| {
        let node = stage.selected.get()?;
        stage.with(|h| chosen(h.document(), node))
    });
    view! {
        <section class="chosen-joint" aria-label="The chosen joint">
            {move || match joint.get() {
                None => view! { <p class="quiet">"Choose a joint on the hand: a dot bends it, a ring at a tip pulls the whole finger."</p> }.into_any(),
                Some(joint) => view! { <Joint joint dials/> }.into_any(),
            }}
            <Overlapping/>
        </section>
    }
}

/// What no hand can do: flesh in other flesh or in the bench, deeper than skin gives way.
#[component]
fn Overlapping() -> impl IntoView {
    let Session {
        stage, shell, hand, ..
    } = session();
    let sunk = Memo::new(move |_| {
        let (cell, tolerance) = (hand.measured.get()?, shell.tolerance.get());
        let deep = stage.with(|h| depth(h.posed(), &cell, &tolerance));
        (deep.good == Some(false)).then(|| format!("{} in the bench: {}", deep.label, deep.text))
    });
    let pairs = StoredValue::new(None::<(Shared<Rig>, Overlaps)>);
    let told = Memo::new(move |_| {
        stage.with(|h| {
            let posed = h.posed();
            pairs.update_value(|known| {
                let same = known
                    .as_ref()
                    .is_some_and(|known| known.0.is_same(posed.rig()));
                if !same {
                    *known = Some((posed.rig().clone(), Overlaps::of(posed.rig())));
                }
            });
            let deepest = pairs.with_value(|known| known.as_ref()?.1.deepest(posed))?;
            (deepest.mm > SOFT).then(|| deepest.told(posed.rig()))
        })
    });
    view! {
        <p class="overlapping amiss" role="status">
            {move || told.get().map(|told| format!("✗ Flesh in flesh: {told}. "))}
            {move || sunk.get().map(|told| format!("✗ {}.", sentence(&told)))}
        </p>
    }
}

#[component]
fn Joint(joint: Chosen, dials: Memo<Vec<DialId>>) -> impl IntoView {
    let session = session();
    let Session { stage, shell, .. } = session;
    let joint = StoredValue::new(joint);
    let (name, own) = joint.with_value(|joint| (joint.name.clone(), joint.dials.clone()));
    let here = name.clone();
    let rows = Memo::new(move |_| {
        let shown = |dial: &DialId| dials.with(|all| all.contains(dial));
        own.iter()
            .copied()
            .filter(|dial| !shown(dial))
            .collect::<Vec<_>>()
    });
    let lines = Memo::new(move |_| {
        stage.with(|h| {
            joint.with_value(|joint| match h.posed().has(joint.node) {
                true => told(h.posed(), joint),
                false => Vec::new(),
            })
        })
    });
    let held = Memo::new(move |_| {
        stage.with(|h| joint.with_value(|joint| is_held(h.posed(), joint.node)))
    });
    let back = Memo::new(move |_| {
        stage.with(|h| {
            let document = h.document();
            let all = joint.with_value(|joint| set_back(document, joint));
            let off = |(dial, to): &(DialId, f64)| document.value(*dial) != Some(*to);
            all.iter().any(off).then_some(all)
        })
    });
    let put_back = move |_| {
        let Some(values) = back.get_untracked() else {
            return;
        };
        stage.stop();
        stage.settle();
        session.edit_live(&Edit::SetDials { values });
        stage.name_step(&format!("set back: {here}"));
        stage.settle();
        shell.say("Set back.");
    };
    let free = move || {
        let digit = stage.with_untracked(|h| {
            let document = h.document();
            let node = joint.with_value(|joint| joint.node);
            let part = document.node(node)?.part.as_ref()?;
            let name = part.digit()?;
            digits(document)
                .into_iter()
                .find(|digit| digit.name == name)
        });
        if let Some(digit) = digit {
            strip::press(session, &digit);
        }
    };
    view! {
        <h2>{name.clone()}</h2>
        <Dials dials=rows class="dials" soft=false within=Some(name.replace(',', ""))/>
        {move || lines.get().into_iter().map(|(turn, line)| view! { <p><b>{turn}</b>" "{line}</p> }).collect_view()}
        <Show when=move || held.get()>
            <p class="quiet">
                "Its digit is down: contact holds it. "
                <button class="tool" on:click=move |_| free()>"Let it go"</button>
            </p>
        </Show>
        <button class="tool" disabled=move || back.with(Option::is_none) on:click=put_back>"Set back"</button>
    }
}
