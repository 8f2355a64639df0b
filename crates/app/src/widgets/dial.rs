//! A dial as a row: its name, its value, which can be typed, an engraved rule and a slider.
use super::keys::arrow;
use super::typed::{Left, Typed, Typing};
use crate::state::{OnHand, Session, session, spoken};
use leptos::html::Button;
use leptos::prelude::*;
use rig::{DialId, Edit, Unit};
use web_sys::{HtmlInputElement, KeyboardEvent};
use workbook::desk::{NO_DIAL, Safe, called_within};
use workbook::moving::Moving;
use workbook::number::{plain, tenths};

/// What a dial is, apart from its value: rebuilt only by structural edits.
#[derive(Clone, PartialEq)]
struct About {
    name: String,
    unit: Unit,
    min: f64,
    max: f64,
    neutral: f64,
    soft: bool,
    /// It drives nothing.
    idle: bool,
}

/// `soft`: with its softness, where it has one.
#[component]
pub fn DialRow(
    id: DialId,
    #[prop(default = true)] soft: bool,
    /// Left out of its name, which stands under it.
    #[prop(default = None)]
    within: Option<String>,
) -> impl IntoView {
    let session = session();
    let Session {
        stage, shell, hand, ..
    } = session;
    let about = Memo::new(move |_| {
        stage.with(|h| {
            h.document().dial(id).map(|d| About {
                name: called_within(d, within.as_deref()),
                unit: d.unit,
                min: d.min,
                max: d.max,
                neutral: d.neutral,
                soft: soft && d.softness.is_some(),
                idle: d.drives.is_empty(),
            })
        })
    });
    // A drag moves one dial of many: the others' rows are left alone.
    let value = Memo::new(move |_| {
        stage.with(|stage| {
            let posed = stage.posed();
            if posed.has_dial(id) {
                posed.dial(id)
            } else {
                0.0
            }
        })
    });
    let safe = Memo::new(move |_| hand.span(id));
    let begin = move || {
        let moving = Moving::Dials(vec![id]);
        if !session.goes_on(&moving) {
            session.begin(moving);
        }
    };
    let turn = move |to: f64| {
        if to.is_finite() {
            begin();
            session.edit_live(&Edit::SetDials {
                values: vec![(id, to)],
            });
            session.record();
        }
    };
    // A step of undo by itself.
    let set = Callback::new(move |to: f64| {
        stage.stop();
        session.begin(Moving::Dials(vec![id]));
        turn(to);
        stage.settle();
        shell.say(spoken(session));
    });
    // What a key has begun in the field; none: it is not there.
    let typing = RwSignal::new(None::<Option<String>>);
    move || {
        let field = format!("dial-{}", id.0);
        let About {
            name,
            unit: of,
            min,
            max,
            neutral,
            soft,
            idle,
        } = about.get()?;
        if idle {
            return Some(idle_row(name, field));
        }
        let safe_told = move || safe.with(|safe| Some(safe.as_ref()?.told(of)));
        let spoken_value = move || {
            let value = tenths(value.get(), of);
            let safe = safe.with(|safe| {
                let safe = safe.as_ref()?;
                let span = safe.span();
                Some(span.map_or_else(|| safe.told(of), |span| span.spoken(of)))
            });
            match safe {
                Some(told) => format!("{value}, {told}"),
                None => value,
            }
        };
        let softness = soft.then(|| view! { <Softness id name=name.clone()/> });
        let typed = Typing {
            name: name.clone(),
            id: field.clone(),
            limits: (min, max),
            unit: of,
            begun: String::new(),
            by_key: false,
        };
        let fixed = min >= max;
        Some(view! {
            <div class="dial">
                <div class="row">
                    <label for=field.clone()>{name.clone()}</label>
                    {move || safe_told().map(|told| view! { <span class="safe-told" aria-hidden="true">{told}</span> })}
                    <Value typing value typed set fixed/>
                </div>
                <Rule min max neutral safe/>
                <input
                    id=field
                    type="range"
                    min=min
                    max=max
                    step="any"
                    prop:value=move || value.get()
                    aria-valuetext=spoken_value
                    on:pointerdown=move |_| {
                        stage.stop();
                        session.begin(Moving::Dials(vec![id]));
                    }
                    on:input=move |e| {
                        let to = event_target_value(&e).parse().unwrap_or(f64::NAN);
                        turn(to);
                        // What the dial did not take is not left standing, though it changed nothing.
                        let now = value.get_untracked();
                        if now != to {
                            event_target::<HtmlInputElement>(&e).set_value(&now.to_string());
                        }
                    }
                    on:change=move |_| {
                        stage.settle();
                        shell.say(spoken(session));
                    }
                    on:keydown=move |e| {
                        if let Some(begun) = typed_by(&e) {
                            e.prevent_default();
                            return typing.set(Some(begun));
                        }
                        let Some((right, up)) = arrow(&e) else { return };
                        stage.stop();
                        begin();
                        stage.nudge(format!("dial {}", id.0));
                        turn(value.get_untracked() + (right + up) * shell.step_size.get_untracked());
                        shell.say(spoken(session));
                    }
                    on:keyup=move |_| stage.nudge_ends()
                    on:blur=move |_| stage.settle()
                    on:dblclick=move |_| {
                        turn(neutral);
                        stage.settle();
                    }
                />
                <Ends hand id/>
                {softness}
            </div>
        }
        .into_any())
    }
}

/// A dial that drives nothing yet: as high as one that does, so that nothing moves when it comes.
fn idle_row(name: String, field: String) -> AnyView {
    view! {
        <div class="dial idle">
            <div class="row">
                <label for=field.clone()>{name}</label>
                <em>{NO_DIAL}</em>
            </div>
            <svg class="rule" viewBox="-14 -12 328 48" aria-hidden="true">
                <path class="neutral" d="M0 12H300"/>
            </svg>
            <input id=field type="range" disabled/>
        </div>
    }
    .into_any()
}

/// What a key on the slider begins to type: a digit itself, Enter with what is there.
fn typed_by(e: &KeyboardEvent) -> Option<Option<String>> {
    if e.ctrl_key() || e.meta_key() || e.alt_key() {
        return None;
    }
    let key = e.key();
    let mut letters = key.chars();
    match (letters.next(), letters.next()) {
        (Some(c), None) if c.is_ascii_digit() || "-.,(".contains(c) => Some(Some(key)),
        _ if key == "Enter" => Some(None),
        _ => None,
    }
}

/// The value; pressed, a field to type it in.
#[component]
fn Value(
    typing: RwSignal<Option<Option<String>>>,
    value: Memo<f64>,
    typed: Typing,
    set: Callback<f64>,
    /// It cannot be turned.
    fixed: bool,
) -> impl IntoView {
    let of = typed.unit;
    let name = typed.name.clone();
    let shown = NodeRef::<Button>::new();
    // Back to where the typing was begun: else the focus would be lost with the field.
    let back = StoredValue::new(false);
    Effect::new(move || {
        if let Some(shown) = shown.get()
            && back.get_value()
        {
            back.set_value(false);
            let _ = shown.focus();
        }
    });
    let done = Callback::new(move |left: Left| {
        back.set_value(left != Left::Away);
        typing.set(None);
        if let Left::Set(to) = left {
            set.run(to);
        }
    });
    move || match typing.get() {
        Some(begun) if !fixed => {
            let by_key = begun.is_some();
            let typing = Typing {
                begun: begun.unwrap_or_else(|| plain(value.get_untracked())),
                by_key,
                ..typed.clone()
            };
            view! { <Typed typing done/> }.into_any()
        }
        _ => {
            let name = name.clone();
            view! {
                <button
                    class="value"
                    node_ref=shown
                    aria-label=move || format!("{}, {name}: type it", tenths(value.get(), of))
                    on:click=move |_| typing.set(Some(None))
                >
                    <output>{move || tenths(value.get(), of)}</output>
                </button>
            }
            .into_any()
        }
    }
}

/// What ends a dial's safe span, in words under the ends of its rule; its place is kept.
#[component]
fn Ends(hand: OnHand, id: DialId) -> impl IntoView {
    let ends = Memo::new(move |_| {
        let safe = hand.span(id)?;
        Some(safe.span().map(workbook::desk::Span::ends))
    });
    move || {
        let told = ends
            .get()?
            .unwrap_or_default()
            .map(|end| view! { <span>{end}</span> });
        Some(view! { <div class="ends" aria-hidden="true">{told.into_iter().collect_view()}</div> })
    }
}

/// The engraved rule over a slider.
#[component]
fn Rule(min: f64, max: f64, neutral: f64, safe: Memo<Option<Safe>>) -> impl IntoView {
    const WIDTH: f64 = 300.0;
    // A dial without a span stands where it is: its mark is in the middle.
    let Some(rule) = workbook::desk::rule(min, max) else {
        return fixed(neutral).into_any();
    };
    let x = move |v: f64| (v - min) / (max - min) * WIDTH;
    view! {
        <svg class="rule" viewBox="-14 -12 328 48" aria-hidden="true">
            {move || {
                safe.with(|safe| {
                        let span = safe.as_ref()?.span()?;
                        let (from, to) = (span.from, span.to);
                        Some(view! {
                            <path class="safe-span" d=format!("M{:.1} 12H{:.1}", x(from), x(to))/>
                            <path class="safe-end" d=format!("M{:.1} 7v10M{:.1} 7v10", x(from), x(to))/>
                            <path class="unsafe" d=format!("M0 12H{:.1}M{:.1} 12H300", x(from), x(to))/>
                        })
                    })
            }}
            <path class="engraved" d="M0 12H300"/>
            {rule.fine.into_iter().map(|v| view! { <path class="engraved fine" d=format!("M{:.1} 12v5", x(v))/> }).collect_view()}
            {rule
                .marks
                .into_iter()
                .map(|v| {
                    view! {
                        <path class="engraved" d=format!("M{:.1} 12v9", x(v))/>
                        <text x=format!("{:.1}", x(v)) y="32">{format!("{}", v + 0.0)}</text>
                    }
                })
                .collect_view()}
            <path class="neutral" d=format!("M{:.1} 0v12", x(neutral))/>
        </svg>
    }
    .into_any()
}

/// The rule of a dial that cannot be turned.
fn fixed(neutral: f64) -> impl IntoView {
    view! {
        <svg class="rule" viewBox="-14 -12 328 48" aria-hidden="true">
            <path class="engraved" d="M0 12H300M150 12v9"/>
            <text x="150" y="32">{format!("{}", neutral + 0.0)}</text>
            <path class="neutral" d="M150 0v12"/>
        </svg>
    }
}

/// How softly a staged dial changes over.
#[component]
pub fn Softness(id: DialId, name: String) -> impl IntoView {
    let session = session();
    let Session { stage, shell, .. } = session;
    let value = Memo::new(move |_| {
        stage
            .with(|h| h.document().dial(id).and_then(|d| d.softness))
            .unwrap_or(0.0)
    });
    let shown = move || format!("{:.1}", value.get());
    view! {
        <label class="softness">
            <span>"Changeover softness"</span>
            <input
                type="number"
                min="0"
                max="30"
                step="0.1"
                aria-label=format!("Changeover softness of {name}, degrees")
                prop:value=shown
                on:change=move |e| {
                    match event_target_value(&e).parse::<f64>() {
                        Ok(softness) if softness.is_finite() && softness >= 0.0 => {
                            session.edit(&Edit::SetSoftness { dial: id, softness });
                            // Also where it is as before, which the memo does not tell.
                            event_target::<HtmlInputElement>(&e).set_value(&untrack(shown));
                        }
                        _ => shell.notice("Softness must be a number of degrees, 0 or more.", "Nothing was changed."),
                    }
                }
            />
            <span>"°"</span>
        </label>
    }
}
