//! The desk: dials and gauges under the plate, and the tools a step offers.
use crate::session::{Moving, Session, session};
use course::Shown;
use hand::Gauge;
use leptos::prelude::*;
use rig::{DialId, Edit, Unit};
use workbook::route::Route;

/// A unit after a number.
pub fn unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Degrees => "°",
        Unit::Millimetres => " mm",
        Unit::Percent => " %",
    }
}

/// A dial's value to a tenth; one that rounds to nothing has no sign.
pub fn tenths(value: f64, of: Unit) -> String {
    let rounded = (value * 10.0).round() / 10.0 + 0.0;
    format!("{rounded:.1}{}", unit(of))
}

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
        let wanted = wanted(session);
        session.stage.with(|h| {
            let document = h.document();
            if !wanted.is_empty() {
                let found = wanted.iter().filter_map(|name| document.dial_named(name));
                return found.map(|d| d.id).collect();
            }
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
            if few.is_empty() {
                document.dials.iter().map(|d| d.id).collect()
            } else {
                few
            }
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
                {session.parts.hand.show(|hand| (hand.contact_map)())}
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

/// Names of the dials the step, else the lesson, puts on the desk.
fn wanted(session: Session) -> Vec<String> {
    if !matches!(session.route.get(), Route::Lesson { .. }) {
        return Vec::new();
    }
    let of_step = session.step().map(|s| s.desk.clone()).unwrap_or_default();
    if !of_step.is_empty() {
        return of_step;
    }
    session
        .lesson
        .with(|l| l.as_ref().map(|l| l.desk.clone()).unwrap_or_default())
}

/// The gauges to show: the step's, else the lesson's, else one for each plant and anchor.
fn gauges(session: Session) -> Vec<Shown> {
    if let Some(step) = session.step()
        && !step.gauges.is_empty()
    {
        return step.gauges.clone();
    }
    let of_lesson = session
        .lesson
        .with(|l| l.as_ref().map(|l| l.gauges.clone()).unwrap_or_default());
    let in_lesson = matches!(session.route.get(), Route::Lesson { .. });
    if in_lesson && !of_lesson.is_empty() {
        // A step's own figure need not have everything the lesson measures.
        return of_lesson
            .into_iter()
            .filter(|g| read(session, &g.gauge).is_some())
            .collect();
    }
    session.stage.with(|h| {
        let document = h.document();
        let slips = document
            .plants
            .iter()
            .filter_map(|p| document.node(p.node))
            .map(|n| Shown {
                label: format!("slip at {}", n.name),
                gauge: Gauge::Slip {
                    node: n.name.clone(),
                },
                scale: 10.0,
                tolerance: Some((0.0, 0.5)),
            });
        let margins = document.anchors.iter().map(|a| Shown {
            label: format!("reach left, {}", a.name),
            gauge: Gauge::ReachMargin {
                anchor: a.name.clone(),
            },
            scale: 50.0,
            tolerance: Some((0.0, f64::INFINITY)),
        });
        let gains = document
            .anchors
            .iter()
            .filter(|a| matches!(a.solver, rig::Solver::TwoBone { .. }))
            .map(|a| Shown {
                label: format!("bend gain, {}", a.name),
                gauge: Gauge::BendGain {
                    anchor: a.name.clone(),
                },
                scale: 20.0,
                tolerance: Some((0.0, 5.0)),
            });
        slips.chain(margins).chain(gains).collect()
    })
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
    let span = max - min;
    if span <= 0.0 {
        return fixed(neutral).into_any();
    }
    let step = [
        0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 90.0, 180.0, 360.0,
    ]
    .into_iter()
    .find(|s| span / s <= 8.0)
    .unwrap_or(span);
    let x = move |v: f64| (v - min) / span * WIDTH;
    let first = (min / step).ceil() * step;
    let marks: Vec<f64> = (0..)
        .map(|i| first + f64::from(i) * step)
        .take_while(|v| *v <= max + 1e-9)
        .collect();
    let ticks: Vec<f64> = (0..=(span / (step / 3.0)) as u32)
        .map(|i| min + f64::from(i) * step / 3.0)
        .collect();
    view! {
        <svg class="rule" viewBox="-14 -12 328 48" aria-hidden="true">
            <path class="engraved" d="M0 12H300"/>
            {ticks.into_iter().map(|v| view! { <path class="engraved fine" d=format!("M{:.1} 12v5", x(v))/> }).collect_view()}
            {marks
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
