//! The plate: the figure you drag.
mod easel;
mod handles;
mod insets;
pub mod keys;
mod pointer;
pub mod timing;

pub use easel::paint_on;

use crate::scene;
use crate::session::{Session, session};
use leptos::html::{Canvas, Div};
use leptos::prelude::*;
use std::cell::Cell;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use workbook::scene::{Frame, extent};

/// The canvas, its handles and the switches in its corner.
#[component]
pub fn Plate() -> impl IntoView {
    let session = session();
    let frame = NodeRef::<Div>::new();
    let canvas = NodeRef::<Canvas>::new();
    let size = RwSignal::new((0.0, 0.0));

    // The view keeps the whole figure in sight until the reader moves it.
    let sight = Memo::new(move |_| session.view.with(|v| v.sight));
    let opened = Memo::new(move |_| session.opened.get());
    Effect::new(move || {
        let (size, sight) = (size.get(), sight.get());
        opened.track();
        if size.0 < 1.0 {
            return;
        }
        if session.framed.get() {
            untrack(|| session.view.update(|v| v.size = size));
        } else {
            untrack(|| fit(session, sight, size));
        }
    });

    let first = Cell::new(true);
    let drawing = move || {
        let (size, look) = (size.get(), session.look.get());
        let shapes = scene::shapes(session);
        (size.0 >= 1.0 && !shapes.is_empty()).then_some((shapes, size, look))
    };
    paint_on(canvas, drawing, move || {
        timing::end();
        if first.replace(false)
            && let Some(performance) = window().performance()
        {
            let _ = performance.mark("figure-drawn");
        }
    });

    watch_size(frame, size);
    pointer::listen(canvas);

    view! {
        <div
            class="plate"
            node_ref=frame
            data-scale=move || session.view.with(|v| v.scale.to_string())
            data-cx=move || session.view.with(|v| v.project(&rig::Vec3::zeros()).0.to_string())
            data-cy=move || session.view.with(|v| v.project(&rig::Vec3::zeros()).1.to_string())
        >
            <canvas node_ref=canvas aria-hidden="true" data-figure=""></canvas>
            <handles::Handles/>
            <crate::hand::AxisHandles/>
            <insets::Insets/>
            <div class="plate-tools">
                <keys::StepSize/>
                <Sights/>
            </div>
        </div>
    }
}

/// Brings the whole figure into sight.
pub fn fit_now(session: Session) {
    let (sight, size) = session.view.with_untracked(|v| (v.sight, v.size));
    session.framed.set(false);
    untrack(|| fit(session, sight, size));
}

fn fit(session: Session, sight: figure::Sight, size: (f64, f64)) {
    let fitted = session.stage.with(|stage| {
        let points = extent(stage.posed());
        let frame = || Frame::of(stage.document());
        (!points.is_empty()).then(|| frame().fit(sight, size, &points))
    });
    match fitted {
        None => session.view.update(|v| v.size = size),
        Some(fitted) if session.view.with_untracked(|v| *v != fitted) => session.view.set(fitted),
        Some(_) => {}
    }
}

/// Keeps `size` at what the element measures, CSS px.
pub fn watch_size(frame: NodeRef<Div>, size: RwSignal<(f64, f64)>) {
    Effect::new(move || {
        let Some(element) = frame.get() else { return };
        let target = element.clone();
        let measure = Closure::<dyn FnMut()>::new(move || {
            size.set((
                f64::from(target.client_width()),
                f64::from(target.client_height()),
            ));
        });
        if let Ok(observer) = web_sys::ResizeObserver::new(measure.as_ref().unchecked_ref()) {
            observer.observe(&element);
            // The element lives about as long as the page, and so does its observer.
            measure.forget();
        }
    });
}

/// Side, front, top and a free oblique view.
#[component]
fn Sights() -> impl IntoView {
    let session = session();
    let choices = [
        ("Side", figure::Sight::Side),
        ("Front", figure::Sight::Front),
        ("Top", figure::Sight::Top),
        (
            "Oblique",
            figure::Sight::Oblique {
                yaw: 0.6,
                pitch: 0.45,
            },
        ),
    ];
    view! {
        <div class="switch" role="group" aria-label="Seen from">
            {choices
                .map(|(name, sight)| {
                    let on = move || {
                        session.view.with(|v| std::mem::discriminant(&v.sight) == std::mem::discriminant(&sight))
                    };
                    view! {
                        <button
                            aria-pressed=move || on().to_string()
                            on:click=move |_| {
                                session.framed.set(false);
                                session.view.update(|v| v.sight = sight);
                            }
                        >
                            {name}
                        </button>
                    }
                })
                .collect_view()}
            <button title="Bring the whole figure into sight" on:click=move |_| fit_now(session)>"Fit"</button>
        </div>
    }
}
