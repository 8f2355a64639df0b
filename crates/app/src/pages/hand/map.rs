//! The contact map: how far two press dials go together before something slips, sinks in or is
//! past its limit. Pressing it
//! strikes the pose there.
use super::live_survey::{LiveSurvey, dials, press_choices};
use super::map_text::{MapText, Safe, in_words};
use super::surveyor::Stopped;
use crate::browser::capture;
use crate::state::{OnStage, Session, Shell, session};
use crate::widgets::canvas::{paint_on, watch_size};
use crate::widgets::fields::{Fold, Number, Pick};
use crate::widgets::keys::{arrow, transform};
use crate::widgets::sheet::SheetHandle;
use crate::widgets::switch::Switch;
use figure::map::{Frame, dial_at, map};
use figure::{Layer, Paint, Seg, Shape, Stroke};
use hand::survey::{Cell, Survey, Tolerance, measure};
use leptos::html::{Canvas, Div};
use leptos::prelude::*;
use rig::Edit;
use workbook::moving::Moving;

/// The pose on the plate measured, once for all that tell of it.
pub fn measured(stage: OnStage) -> Memo<Option<Cell>> {
    Memo::new(move |_| {
        stage.with(|h| {
            let planted = !h.document().plants.is_empty();
            planted.then(|| measure(h.posed()))
        })
    })
}

/// A lesson's map, which stands beside its dials; on a phone a sheet of its own.
#[component]
pub fn ContactMap() -> impl IntoView {
    let Session {
        stage, shell, hand, ..
    } = session();
    let live = LiveSurvey::new(stage, shell, hand, || true);
    let measured = measured(stage);
    let sheet = RwSignal::new(false);
    view! {
        <section class="map-panel" class:open=move || sheet.get() aria-label="Contact map">
            <SheetHandle
                open=sheet
                named=|open| if open { "Close the map" } else { "Contact map" }.to_string()
            />
            <Map live measured/>
        </section>
    }
}

/// The map, its choices and what it says.
#[component]
pub fn Map(live: LiveSurvey, measured: Memo<Option<Cell>>) -> impl IntoView {
    let (stage, shell) = (expect_context::<OnStage>(), expect_context::<Shell>());
    let tolerance = shell.tolerance;
    let fault = Memo::new(move |_| live.fault.get());
    let told = Memo::new(move |_| in_words(stage, live, measured, &tolerance.get()));
    view! {
        <div class="map-inside">
            <Choices live/>
            <Stopped surveyor=live.surveyor/>
            <Show
                when=move || fault.with(Option::is_none)
                fallback=move || view! { <p class="map-fault">{move || fault.get()}</p> }
            >
                <Sheet live tolerance told/>
            </Show>
            <MapText live tolerance told/>
            <Fold title="What counts as safe">
                <Tolerances tolerance/>
            </Fold>
        </div>
    }
}

/// How far each may go, mm.
#[component]
fn Tolerances(tolerance: RwSignal<Tolerance>) -> impl IntoView {
    let shell = expect_context::<Shell>();
    let allow = move |mm: f64, of: fn(&mut Tolerance) -> &mut f64| {
        let possible = mm > 0.0 && mm <= 100.0;
        if possible {
            tolerance.update(|tolerance| *of(tolerance) = mm);
        } else {
            shell.notice(
                format!("A tolerance of {mm} mm tells nothing."),
                "Give one above 0 and up to 100 mm.",
            );
        }
        possible
    };
    let slip = Signal::derive(move || tolerance.get().slip);
    let pad = Signal::derive(move || tolerance.get().pad);
    let palm = Signal::derive(move || tolerance.get().palm);
    view! {
        <div class="map-choices">
            <Number label="Slips up to" value=slip set=Callback::new(move |mm| allow(mm, |t| &mut t.slip))/>
            <Number label="Pads sink up to" value=pad set=Callback::new(move |mm| allow(mm, |t| &mut t.pad))/>
            <Number label="Palm sinks up to" value=palm set=Callback::new(move |mm| allow(mm, |t| &mut t.palm))/>
        </div>
    }
}

/// Which dials, how near.
#[component]
fn Choices(live: LiveSurvey) -> impl IntoView {
    // The other side takes what this side had, so that no choice is refused.
    let across = move |name: String| {
        live.wanted.update(|w| {
            if w.up == name {
                w.up.clone_from(&w.across);
            }
            w.across = name;
        });
        true
    };
    let up = move |name: String| {
        live.wanted.update(|w| {
            if w.across == name {
                w.across.clone_from(&w.up);
            }
            w.up = name;
        });
        true
    };
    view! {
        <div class="map-choices">
            <Pick
                label="Map of"
                choices=press_choices()
                chosen=Signal::derive(move || live.wanted.with(|w| w.across.clone()))
                set=Callback::new(across)
            />
            <Pick
                label="by"
                choices=press_choices()
                chosen=Signal::derive(move || live.wanted.with(|w| w.up.clone()))
                set=Callback::new(up)
            />
            <Switch
                label="How much of the dials' ranges"
                choices=vec![(false, "near"), (true, "whole")]
                chosen=Signal::derive(move || live.wanted.with(|w| Some(w.whole)))
                set=Callback::new(move |whole| live.wanted.update(|w| w.whole = whole))
            />
        </div>
    }
}

/// Begins to move the map's two dials, unless they are what is moved already.
fn begin(session: Session, survey: &Survey) {
    let moving = Moving::Dials(vec![survey.across.dial, survey.up.dial]);
    if session.stage.moving.with_untracked(|m| *m != moving) {
        session.begin(moving);
    }
}

/// Strikes a pose of the map, as part of a drag.
fn strike(session: Session, survey: &Survey, (across, up): (f64, f64)) {
    let (a, b) = (survey.across.dial, survey.up.dial);
    begin(session, survey);
    // Whole tenths: what the desk shows is what is meant.
    let tenth = |value: f64| (value * 10.0).round() / 10.0;
    session.edit_live(&Edit::SetDials {
        values: vec![(a, tenth(across)), (b, tenth(up))],
    });
    session.record();
}

#[component]
fn Sheet(
    live: LiveSurvey,
    tolerance: RwSignal<Tolerance>,
    told: Memo<(Safe, String)>,
) -> impl IntoView {
    let session = session();
    let Session { stage, shell, .. } = session;
    let frame = NodeRef::<Div>::new();
    let canvas = NodeRef::<Canvas>::new();
    let size = RwSignal::new((0.0, 0.0));
    watch_size(frame, size);
    let weight = move || {
        if shell.projector.get() { 1.3 } else { 1.0 }
    };
    let ground = Memo::new(move |_| {
        let (survey, size) = (live.shown.get()?, size.get());
        let shapes = stage.with_untracked(|h| {
            let mut shapes = map(&survey, h.document(), &tolerance.get(), size, weight());
            shapes.extend(greatest_line(&survey, &tolerance.get(), size, weight()));
            shapes
        });
        Some(shapes)
    });
    // The cross lies over it, so that a drag across the map paints nothing of it anew.
    let drawing = move || {
        let (look, size) = (shell.look.get(), size.get());
        let shapes = ground.get()?;
        (size.0 >= 1.0).then_some((shapes, size, look))
    };
    paint_on(canvas, drawing, || {});

    let held = StoredValue::new(false);
    let point = move |e: &web_sys::PointerEvent| {
        let (Some(survey), size) = (live.shown.get_untracked(), size.get_untracked()) else {
            return;
        };
        let weight = untrack(weight);
        let frame = Frame::new(&survey, size, weight);
        let ((left, top), (right, bottom)) = (frame.top_left(), frame.bottom_right());
        // A drag past the edge goes along it.
        let (x, y) = (
            f64::from(e.offset_x()).clamp(left, right),
            f64::from(e.offset_y()).clamp(top, bottom),
        );
        if let Some(values) = dial_at(&survey, size, weight, x, y) {
            strike(session, &survey, values);
        }
    };
    let on_map = move |e: &web_sys::PointerEvent| {
        live.shown.get_untracked().is_some_and(|survey| {
            let (x, y) = (f64::from(e.offset_x()), f64::from(e.offset_y()));
            dial_at(&survey, size.get_untracked(), untrack(weight), x, y).is_some()
        })
    };
    let let_go = move |_| {
        if held.get_value() {
            held.set_value(false);
            stage.settle();
            shell.say(told.get_untracked().1);
        }
    };
    view! {
        <div class="map-sheet" class:old=move || live.old.get() node_ref=frame>
            <canvas
                node_ref=canvas
                aria-hidden="true"
                on:pointerdown=move |e| {
                    if !on_map(&e) {
                        return;
                    }
                    e.prevent_default();
                    capture(&e);
                    stage.stop();
                    if let Some(survey) = live.shown.get_untracked() {
                        session.begin(Moving::Dials(vec![survey.across.dial, survey.up.dial]));
                    }
                    held.set_value(true);
                    point(&e);
                }
                on:pointermove=move |e| {
                    if held.get_value() {
                        point(&e);
                    }
                }
                on:pointerup=let_go
                on:pointercancel=let_go
            ></canvas>
            <Cross live told size weight=Signal::derive(weight)/>
        </div>
    }
}

/// The pose as a cross the keyboard moves.
#[component]
fn Cross(
    live: LiveSurvey,
    told: Memo<(Safe, String)>,
    size: RwSignal<(f64, f64)>,
    weight: Signal<f64>,
) -> impl IntoView {
    let session = session();
    let Session { stage, shell, .. } = session;
    let place = move || {
        let survey = live.shown.get()?;
        let [(_, across), (_, up)] = dials(stage, &survey)?;
        let frame = Frame::new(&survey, size.get(), weight.get());
        let within = |value: f64, from: f64, to: f64| value.clamp(from, to);
        let (x, y) = frame.place((
            within(across, survey.across.from, survey.across.to),
            within(up, survey.up.from, survey.up.to),
        ));
        Some((transform(x, y), frame.holds((across, up))))
    };
    let place = Memo::new(move |_| place());
    let outside = move || !place.with(|place| place.as_ref().is_some_and(|(_, holds)| *holds));
    let key = move |e: web_sys::KeyboardEvent| {
        let Some((right, higher)) = arrow(&e) else {
            return;
        };
        let Some(survey) = live.shown.get_untracked() else {
            return;
        };
        let Some([(_, across), (_, up)]) = untrack(|| dials(stage, &survey)) else {
            return;
        };
        stage.stop();
        begin(session, &survey);
        stage.nudge("map");
        let step = shell.step_size.get_untracked();
        strike(
            session,
            &survey,
            (across + right * step, up + higher * step),
        );
        shell.say(told.get_untracked().1);
    };
    view! {
        <button
            class="handle map-cross"
            class:outside=outside
            style:transform=move || place.get().map_or_else(String::new, |(place, _)| place)
            aria-label=move || format!("Pose on the map. {}", told.get().1)
            aria-description="Arrow keys move it; the step switch sets how far."
            on:keydown=key
            on:keyup=move |_| stage.nudge_ends()
            on:blur=move |_| stage.settle()
        >
            // Twice: a light line under the dark one keeps it plain on hatching.
            <svg viewBox="-16 -16 32 32" aria-hidden="true" style:scale=move || format!("{:.1}", weight.get())>
                <path class="under" d="M-9 0H9M0 -9V9"/>
                <path d="M-9 0H9M0 -9V9"/>
                <circle r="5"/>
            </svg>
        </button>
    }
}

/// Greatest value across at each value up: where it ends inside the map.
fn greatest_line(
    survey: &Survey,
    tolerance: &Tolerance,
    size: (f64, f64),
    weight: f64,
) -> Option<Shape> {
    let frame = Frame::new(survey, size, weight);
    let mut segs = Vec::new();
    let mut drawn = false;
    for (row, reach) in survey.reach(tolerance).into_iter().enumerate() {
        let end = reach.map(|r| r.1).filter(|&end| end < survey.across.to);
        if let Some(end) = end {
            let (x, y) = frame.place((end, survey.up.value(row)));
            segs.push(if drawn {
                Seg::Line(x, y)
            } else {
                Seg::Move(x, y)
            });
        }
        drawn = end.is_some();
    }
    // A band, since it runs along the boundary wherever that is what ends the dial.
    let stroke = Stroke::solid(Paint::Mover, 7.0 * weight).faint(0.55);
    (segs.len() > 1).then(|| Shape::line(Layer::Path, segs, stroke))
}
