//! The desk: dials and gauges under the plate, and the tools a step offers.
use crate::session::{Moving, Session, session};
use course::Shown;
use hand::Gauge;
use leptos::prelude::*;
use rig::{DialId, Edit};
use workbook::desk;
use workbook::route::Route;

pub use workbook::desk::tenths;

/// What a drag came to, for screen readers.
pub fn spoken(session: Session) -> String {
    untrack(|| {
        let dials = session.stage.with(|h| {
            let Moving::Dials(ids) = session.moving.get() else {
                return Vec::new();
            };
            ids.iter()
                .filter_map(|id| Some((h.document().dial(*id)?, h.document().value(*id)?)))
                .map(|(d, value)| format!("{} {}", d.name, tenths(value, d.unit)))
                .collect()
        });
        let gauges = gauges(session)
            .into_iter()
            .filter_map(|g| Some(format!("{} {}", g.label, read(session, &g.gauge)?.1)));
        dials
            .into_iter()
            .chain(gauges)
            .collect::<Vec<_>>()
            .join(", ")
    })
}

/// Dials, gauges, tools.
#[component]
pub fn Desk() -> impl IntoView {
    let session = session();
    let dials = Memo::new(move |_| {
        let sketching = session.route.get() == Route::Sketch;
        let chosen = session.selected.get().filter(|_| sketching);
        let step = session.step();
        let lessons = matches!(session.route.get(), Route::Lesson { .. });
        let lesson = session.lesson.get().filter(|_| lessons);
        session.stage.with(|h| {
            let document = h.document();
            let given = desk::dials(document, lesson.as_deref(), step.as_deref());
            let grip = chosen.and_then(|id| crate::session::grip_of(document, id));
            let of_chosen = |d: &rig::Dial| {
                (chosen.is_some() && d.drives.iter().any(|r| r.node() == chosen))
                    || matches!(&grip, Some(Moving::Dials(ids)) if ids.contains(&d.id))
            };
            let few: Vec<_> = document
                .dials
                .iter()
                .filter(|d| of_chosen(d))
                .map(|d| d.id)
                .collect();
            // A long sketch has many dials: the chosen node's are enough.
            if few.is_empty() { given } else { few }
        })
    });
    let gauges = Memo::new(move |_| gauges(session));
    view! {
        <section class="desk" class:pressing=move || mapped(session) aria-label="Dials and gauges">
            <div class="desk-dials">
                <crate::tools::Tools/>
                <div class="dials">
                    <For each=move || dials.get() key=|d| *d let:dial>
                        <DialRow id=dial/>
                    </For>
                </div>
                <div class="gauges">
                    <For each=move || gauges.get().into_iter().enumerate() key=|(i, g)| (*i, g.label.clone()) let:shown>
                        <GaugeRow shown=shown.1/>
                    </For>
                </div>
            </div>
            <Show when=move || mapped(session)>
                <crate::hand::ContactMap/>
            </Show>
        </section>
    }
}

/// Whether the step puts the contact map beside its dials.
pub fn mapped(session: Session) -> bool {
    session
        .step()
        .is_some_and(|s| s.tools.contains(&course::Tool::Map))
}

/// The gauges to show.
fn gauges(session: Session) -> Vec<Shown> {
    let step = session.step();
    let lessons = matches!(session.route.get(), Route::Lesson { .. });
    let lesson = session.lesson.get().filter(|_| lessons);
    session
        .stage
        .with(|stage| desk::gauges(stage.posed(), lesson.as_deref(), step.as_deref()))
}

/// A gauge's value and its text now.
pub fn read(session: Session, gauge: &Gauge) -> Option<(f64, String)> {
    session.stage.with(|h| {
        let reading = gauge.read(h.posed()).ok()?;
        Some((reading.value, reading.to_string()))
    })
}

#[component]
pub fn DialRow(id: DialId) -> impl IntoView {
    let session = session();
    // What the dial is, apart from its value: rebuilt only by structural edits.
    let about = Memo::new(move |_| {
        session.stage.with(|h| {
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
    let value = move || {
        session.stage.with(|stage| {
            let posed = stage.posed();
            if posed.has_dial(id) {
                posed.dial(id)
            } else {
                0.0
            }
        })
    };
    let begin = move || {
        let moving = Moving::Dials(vec![id]);
        if session.moving.with_untracked(|m| *m != moving)
            || session.attempt.with_untracked(|a| a.trail.is_empty())
        {
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
        let softness = soft.then(|| view! { <Softness id name=name.clone()/> });
        Some(view! {
            <div class="dial">
                <div class="row">
                    <label for=field.clone()>{name.clone()}</label>
                    <output>{move || tenths(value(), of)}</output>
                </div>
                <Rule min max neutral/>
                <input
                    id=field
                    type="range"
                    min=min
                    max=max
                    step="any"
                    prop:value=value
                    aria-valuetext=move || tenths(value(), of)
                    on:pointerdown=move |_| {
                        session.stop();
                        session.begin(Moving::Dials(vec![id]));
                    }
                    on:input=move |e| turn(event_target_value(&e).parse().unwrap_or(f64::NAN))
                    on:change=move |_| {
                        session.settle();
                        session.say(spoken(session));
                    }
                    on:keydown=move |e| {
                        let by = match e.key().as_str() {
                            "ArrowLeft" | "ArrowDown" => -1.0,
                            "ArrowRight" | "ArrowUp" => 1.0,
                            _ => return,
                        };
                        e.prevent_default();
                        session.stop();
                        begin();
                        session.nudge(format!("dial {}", id.0));
                        turn(value() + by * session.step_size.get_untracked());
                        session.say(spoken(session));
                    }
                    on:keyup=move |_| session.nudge_ends()
                    on:blur=move |_| session.settle()
                    on:dblclick=move |_| {
                        turn(neutral);
                        session.settle();
                    }
                />
                {softness}
            </div>
        })
    }
}

/// The engraved rule over a slider.
#[component]
fn Rule(min: f64, max: f64, neutral: f64) -> impl IntoView {
    const WIDTH: f64 = 300.0;
    // A dial without a span stands where it is: its mark is in the middle.
    let Some(rule) = desk::rule(min, max) else {
        return fixed(neutral).into_any();
    };
    let x = move |v: f64| (v - min) / (max - min) * WIDTH;
    view! {
        <svg class="rule" viewBox="-14 -12 328 48" aria-hidden="true">
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
    let value = move || {
        session
            .stage
            .with(|h| h.document().dial(id).and_then(|d| d.softness))
            .unwrap_or(0.0)
    };
    view! {
        <label class="softness">
            <span>"Changeover softness"</span>
            <input
                type="number"
                min="0"
                max="30"
                step="0.1"
                aria-label=format!("Changeover softness of {name}, degrees")
                prop:value=move || format!("{:.1}", value())
                on:change=move |e| {
                    match event_target_value(&e).parse::<f64>() {
                        Ok(softness) if softness.is_finite() && softness >= 0.0 => {
                            session.edit(&Edit::SetSoftness { dial: id, softness });
                        }
                        _ => session.notice("Softness must be a number of degrees, 0 or more.", "Nothing was changed."),
                    }
                }
            />
            <span>"°"</span>
        </label>
    }
}

#[component]
fn GaugeRow(shown: Shown) -> impl IntoView {
    const WIDTH: f64 = 200.0;
    let session = session();
    let gauge = shown.gauge.clone();
    let reading = Memo::new(move |_| read(session, &gauge));
    let band = shown.tolerance;
    let good = move || match (reading.get(), band) {
        (Some((value, _)), Some((least, most))) => Some(value >= least && value <= most),
        _ => None,
    };
    let scale = shown.scale;
    let x = move |value: f64| (value / scale * WIDTH).clamp(0.0, WIDTH);
    view! {
        <div class="gauge" class:good=move || good() == Some(true) class:amiss=move || good() == Some(false)>
            <div class="row">
                <span>{shown.label}</span>
                <b>{move || reading.get().map_or_else(|| "no reading".into(), |r| r.1)}</b>
            </div>
            <svg viewBox="-6 0 212 18" aria-hidden="true">
                {band.map(|(least, most)| {
                    let (a, b) = (x(least), x(most));
                    view! {
                        <rect class="band" x=a y="5" width=b - a height="8"/>
                        <path class="engraved" d=format!("M{b:.1} 3v12")/>
                    }
                })}
                <path class="engraved" d="M0 9H200M0 3v12"/>
                <circle cx=move || reading.get().map_or(0.0, |r| x(r.0)) cy="9" r="4.5"/>
            </svg>
        </div>
    }
}
