//! The table of digits: their bones as built, more and fewer of them.
use super::edits::{part, remake};
use crate::state::{Session, session};
use crate::widgets::fields::Number;
use hand::{Digit, Hand, Measure, Recipe, bones, mm};
use leptos::prelude::*;

/// What keeps a digit's row, whatever its numbers.
type Row = (usize, String, bool, usize);

/// The table.
#[component]
pub fn Digits(recipe: Memo<Option<Recipe>>) -> impl IntoView {
    let session = session();
    let rows = Memo::new(move |_| {
        let row = |(at, d): (usize, &Digit)| (at, d.name.clone(), d.thumb, d.bones.len());
        recipe.with(|r| {
            r.as_ref().map_or(Vec::new(), |r| {
                r.hand.digits.iter().enumerate().map(row).collect()
            })
        })
    });
    let thumbless = move || rows.with(|r: &Vec<Row>| !r.iter().any(|row| row.2));
    view! {
        <fieldset class="fields digits">
            <legend>"Digits"</legend>
            <div class="scroll" tabindex="0" role="group" aria-label="Table of digits">
                <table>
                    <caption>"Bones as built, mm"</caption>
                    <thead>
                        <tr>
                            <th scope="col">"digit"</th>
                            <th scope="col">"meta\u{ad}carpal"</th>
                            <th scope="col" colspan="3">"phalanges"</th>
                            <td></td>
                        </tr>
                    </thead>
                    <tbody>
                        <For each=move || rows.get() key=Row::clone let:row>
                            <DigitRow recipe row/>
                        </For>
                    </tbody>
                </table>
            </div>
            <div class="tool-row">
                <button class="tool" on:click=move |_| { remake(session, add_finger); }>"Add a finger"</button>
                <Show when=thumbless>
                    <button class="tool" on:click=move |_| { remake(session, add_thumb); }>"Add a thumb"</button>
                </Show>
            </div>
        </fieldset>
    }
}

#[component]
fn DigitRow(recipe: Memo<Option<Recipe>>, row: Row) -> impl IntoView {
    let session = session();
    let (at, name, _, bones) = row;
    let spoken = ::recipe::spoken(&name);
    let fields = (0..bones)
        .map(|bone| {
            let length = part(recipe, 0.0, move |r| {
                Some(r.hand.digits.get(at)?.bones.get(bone)? * scale(&r.hand))
            });
            let which = if bone == 0 {
                "metacarpal".to_string()
            } else {
                format!("phalanx {bone}")
            };
            view! {
                <td>
                    <Number
                        label=format!("{spoken}, {which}")
                        value=length
                        set=Callback::new(move |mm: f64| set_bone(session, at, bone, mm))
                        bare=true
                    />
                </td>
            }
        })
        .collect_view();
    view! {
        <tr>
            <th scope="row">{spoken.trim_end_matches(" finger").to_string()}</th>
            {fields}
            {(bones < 4).then(|| view! { <td></td> })}
            <td>
                <button
                    class="tool"
                    aria-label=format!("Remove the {spoken}")
                    on:click=move |_| {
                        remake(session, |r| remove(r, at));
                    }
                >
                    "×"
                </button>
            </td>
        </tr>
    }
}

/// Bones of the recipe are those of a hand of the table's length; this makes them as built.
fn scale(hand: &Hand) -> f64 {
    mm(hand.length, Measure::Length).map_or(1.0, |length| length / bones::LENGTH)
}

fn set_bone(session: Session, digit: usize, bone: usize, mm: f64) -> bool {
    remake(session, |r| {
        let scale = scale(&r.hand);
        if let Some(length) = r
            .hand
            .digits
            .get_mut(digit)
            .and_then(|d| d.bones.get_mut(bone))
        {
            *length = mm / scale;
        }
    })
}

fn remove(recipe: &mut Recipe, at: usize) {
    let gone = recipe.hand.digits.remove(at);
    if let Some(planting) = &mut recipe.planting {
        planting.digits.retain(|d| *d != gone.name);
    }
}

/// Beside the outermost finger and like it: the row goes on as it ran between the last two.
fn add_finger(recipe: &mut Recipe) {
    let digits = &mut recipe.hand.digits;
    let fingers: Vec<&Digit> = digits.iter().filter(|d| !d.thumb).collect();
    let mut made = match fingers.as_slice() {
        [] => Hand::table().digits.swap_remove(2),
        [one] => moved(one, [-2.0, -10.0, -2.0], [-20.0, -3.0]),
        [.., before, last] => {
            let step = |a: f64, b: f64| b - a;
            let base = [0, 1, 2].map(|i| step(before.base[i], last.base[i]));
            let head = [0, 1].map(|i| step(before.head[i], last.head[i]));
            moved(last, base, head)
        }
    };
    let taken = |name: &str| digits.iter().any(|d| d.name == name);
    if taken(&made.name) {
        made.name = (digits.len() + 1..)
            .map(|i| format!("finger-{i}"))
            .find(|name| !taken(name))
            .unwrap_or_default();
    }
    if let Some(planting) = &mut recipe.planting {
        planting.digits.push(made.name.clone());
    }
    digits.push(made);
}

fn moved(like: &Digit, base: [f64; 3], head: [f64; 2]) -> Digit {
    let mut made = like.clone();
    made.base = [0, 1, 2].map(|i| like.base[i] + base[i]);
    made.head = [0, 1].map(|i| like.head[i] + head[i]);
    made
}

fn add_thumb(recipe: &mut Recipe) {
    recipe
        .hand
        .digits
        .insert(0, Hand::table().digits.swap_remove(0));
}
