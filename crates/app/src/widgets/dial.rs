//! A dial as a row: its name, its value, an engraved rule and a slider.
use super::keys::arrow;
use crate::state::{Session, session, spoken};
use leptos::prelude::*;
use rig::{DialId, Edit};
use web_sys::HtmlInputElement;
use workbook::moving::Moving;
use workbook::number::tenths;

/// How far dials go safely either way, as far as it is known: given by a page that finds out.
#[derive(Clone, Copy)]
pub struct SafeSpans(RwSignal<Vec<(DialId, (f64, f64))>>);

impl SafeSpans {
    pub fn new() -> Self {
        Self(RwSignal::default())
    }

    /// Nothing is told anew that is as before.
    pub fn set(self, spans: Vec<(DialId, (f64, f64))>) {
        if self.0.with_untracked(|known| *known != spans) {
            self.0.set(spans);
        }
    }

    fn of(self, dial: DialId) -> Option<(f64, f64)> {
        let find = |known: &Vec<_>| {
            let (_, span) = known.iter().find(|(of, _)| *of == dial)?;
            Some(*span)
        };
        self.0.with(find)
    }
}

#[component]
pub fn DialRow(id: DialId) -> impl IntoView {
    let session = session();
    let Session { stage, shell, .. } = session;
    // What the dial is, apart from its value: rebuilt only by structural edits.
    let about = Memo::new(move |_| {
        stage.with(|h| {
            h.document().dial(id).map(|d| {
                (
                    d.name.clone(),
                    d.unit,
                    d.min,
                    d.max,
                    d.neutral,
                    d.softness.is_some(),
                )
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
    let spans = use_context::<SafeSpans>();
    let safe = Memo::new(move |_| spans?.of(id));
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
    move || {
        let (name, of, min, max, neutral, soft) = about.get()?;
        let field = format!("dial-{}", id.0);
        let safe_told = move || {
            let (from, to) = safe.get()?;
            Some(workbook::desk::safe_told(from, to, of))
        };
        let spoken_value = move || {
            let value = tenths(value.get(), of);
            match safe_told() {
                Some(told) => format!("{value}, {told}"),
                None => value,
            }
        };
        let softness = soft.then(|| view! { <Softness id name=name.clone()/> });
        Some(view! {
            <div class="dial">
                <div class="row">
                    <label for=field.clone()>{name.clone()}</label>
                    {move || safe_told().map(|told| view! { <span class="safe-told" aria-hidden="true">{told}</span> })}
                    <output>{move || tenths(value.get(), of)}</output>
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
                {softness}
            </div>
        })
    }
}

/// The engraved rule over a slider.
#[component]
fn Rule(min: f64, max: f64, neutral: f64, safe: Memo<Option<(f64, f64)>>) -> impl IntoView {
    const WIDTH: f64 = 300.0;
    // A dial without a span stands where it is: its mark is in the middle.
    let Some(rule) = workbook::desk::rule(min, max) else {
        return fixed(neutral).into_any();
    };
    let x = move |v: f64| (v - min) / (max - min) * WIDTH;
    view! {
        <svg class="rule" viewBox="-14 -12 328 48" aria-hidden="true">
            {move || {
                safe.get()
                    .map(|(from, to)| {
                        view! {
                            <path class="safe-span" d=format!("M{:.1} 12H{:.1}", x(from), x(to))/>
                            <path class="safe-end" d=format!("M{:.1} 7v10M{:.1} 7v10", x(from), x(to))/>
                        }
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
fn Softness(id: DialId, name: String) -> impl IntoView {
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
