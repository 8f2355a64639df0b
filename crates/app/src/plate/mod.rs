//! The plate: the figure you drag.
mod fit;
mod handles;
mod keys;
mod lineage;
mod place;
mod pointer;

pub use fit::fit_now;
pub use lineage::Lineage;
pub use place::place_on_plate;

use crate::scene;
use crate::state::{Camera, Session, session};
use crate::timing;
use crate::widgets::canvas::{paint_on, watch_size};
use crate::widgets::switch::Switch;
use course::Viewpoint;
use figure::{Sight, View};
use fit::fit;
use leptos::html::{Canvas, Div};
use leptos::prelude::*;
use rig::Vec3;
use std::cell::{Cell, RefCell};
use workbook::scene::sight;

/// The canvas, its handles and the switches in its corner. `add` is told where a press of an adding
/// tool was; what is inside stands over the figure as its handles do.
#[component]
pub fn Plate(add: Callback<Vec3>, children: Children) -> impl IntoView {
    let session = session();
    let Session {
        stage,
        camera,
        shell,
        ..
    } = session;
    let view = camera.view;
    let frame = NodeRef::<Div>::new();
    let canvas = NodeRef::<Canvas>::new();
    let size = RwSignal::new((0.0, 0.0));

    // The view keeps the whole figure in sight until the reader moves it.
    let sight = Memo::new(move |_| view.with(|v| v.sight));
    Effect::new(move || {
        let (size, sight) = (size.get(), sight.get());
        stage.opened.track();
        // Switches that take more room, and texts that grow with them, leave less.
        camera.covered.track();
        if size.0 < 1.0 {
            return;
        }
        if camera.framed.get() {
            untrack(|| view.update(|v| v.size = size));
        } else {
            untrack(|| fit(session, sight, size));
        }
    });

    let first = Cell::new(true);
    let kept = RefCell::new(scene::Kept::default());
    let drawing = move || {
        let (size, look) = (size.get(), shell.look.get());
        let (shapes, signs) = scene::shapes(session, &mut kept.borrow_mut());
        if camera.signs.get_untracked() != signs {
            camera.signs.set(signs);
        }
        // A step's marks are there before its figure, and are none.
        let there = stage.opened.get() > 0 && !shapes.is_empty();
        (size.0 >= 1.0 && there).then_some((shapes, size, look))
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
    let tools = NodeRef::<Div>::new();
    let tools_size = RwSignal::new((0.0, 0.0));
    watch_size(tools, tools_size);
    Effect::new(move || {
        size.track();
        tools_size.track();
        if let (Some(frame), Some(tools)) = (frame.get(), tools.get()) {
            let (frame, tools) = (
                frame.get_bounding_client_rect(),
                tools.get_bounding_client_rect(),
            );
            let (x, y) = (tools.x() - frame.x(), tools.y() - frame.y());
            let covered = Some([x, y, x + tools.width(), y + tools.height()]);
            if camera.covered.get_untracked() != covered {
                camera.covered.set(covered);
            }
        }
    });
    pointer::listen(canvas, add);

    view! {
        <div
            class="plate"
            node_ref=frame
            data-scale=move || view.with(|v| v.scale.to_string())
            data-cx=move || view.with(|v| v.project(&Vec3::zeros()).0.to_string())
            data-cy=move || view.with(|v| v.project(&Vec3::zeros()).1.to_string())
        >
            <canvas node_ref=canvas aria-hidden="true" data-figure=""></canvas>
            <handles::Handles add/>
            {children()}
            <div class="plate-tools" node_ref=tools>
                <keys::StepSize/>
                <Sights/>
                <KeyButton/>
            </div>
        </div>
    }
}

/// Side, front, top and a free oblique view.
#[component]
fn Sights() -> impl IntoView {
    let session = session();
    let Session { camera, .. } = session;
    let view = camera.view;
    view! {
        <Switch
            label="Seen from"
            choices=vec![
                (Viewpoint::Side, "Side"),
                (Viewpoint::Front, "Front"),
                (Viewpoint::Top, "Top"),
                (Viewpoint::Oblique, "Oblique"),
            ]
            chosen=Signal::derive(move || Some(view.with(viewpoint)))
            set=Callback::new(move |from| camera.turn_to(sight(from)))
        >
            <button title="Bring the whole figure into sight" on:click=move |_| fit_now(session)>"Fit"</button>
        </Switch>
    }
}

/// What opens the key to the figure; the key itself stands beside the plate.
#[component]
fn KeyButton() -> impl IntoView {
    let keyed = expect_context::<Camera>().keyed;
    view! {
        <button
            id="key-button"
            class="key-button"
            aria-expanded=move || keyed.get().to_string()
            aria-controls="key"
            on:click=move |_| keyed.update(|k| *k = !*k)
        >
            "Key"
        </button>
    }
}

fn viewpoint(view: &View) -> Viewpoint {
    match view.sight {
        Sight::Side => Viewpoint::Side,
        Sight::Front => Viewpoint::Front,
        Sight::Top => Viewpoint::Top,
        Sight::Oblique { .. } => Viewpoint::Oblique,
    }
}
