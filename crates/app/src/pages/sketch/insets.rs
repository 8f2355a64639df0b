//! Small views of the sketch from the other sides; pressing one turns the plate to it.
use crate::scene::roles_now;
use crate::state::{Camera, OnStage, Session, session};
use crate::widgets::canvas::paint_on;
use figure::{Scene, Sight, View};
use leptos::html::Canvas;
use leptos::prelude::*;

/// CSS px; the styles size the canvas alike.
const SIZE: (f64, f64) = (150.0, 104.0);

/// Side, front and top, less the one the plate shows.
#[component]
pub fn Insets() -> impl IntoView {
    let (stage, camera) = (expect_context::<OnStage>(), expect_context::<Camera>());
    let sight = Memo::new(move |_| camera.view.with(|v| v.sight));
    let wanted = move || stage.with(|h| !h.document().nodes.is_empty());
    let all = [
        ("Side", Sight::Side),
        ("Front", Sight::Front),
        ("Top", Sight::Top),
    ];
    view! {
        <Show when=wanted>
            <div class="insets">
                {all
                    .map(|(name, from)| {
                        view! {
                            <Show when=move || sight.get() != from>
                                <Inset name from/>
                            </Show>
                        }
                    })
                    .collect_view()}
            </div>
        </Show>
    }
}

#[component]
fn Inset(name: &'static str, from: Sight) -> impl IntoView {
    let session = session();
    let Session {
        stage,
        camera,
        shell,
        ..
    } = session;
    let canvas = NodeRef::<Canvas>::new();
    let drawing = move || {
        let look = shell.look.get();
        stage.with(|h| {
            let posed = h.posed();
            let view = View::fit(from, SIZE, &figure::extent(posed), 12.0);
            let scene = Scene {
                roles: roles_now(session, h.posed()),
                weight: 0.7,
                ..Scene::default()
            };
            Some((figure::draw(posed, &view, &scene), SIZE, look))
        })
    };
    paint_on(canvas, drawing, || {});
    view! {
        <button
            class="inset"
            aria-label=format!("Turn the plate to the {} view", name.to_lowercase())
            on:click=move |_| camera.turn_to(from)
        >
            <canvas node_ref=canvas aria-hidden="true"></canvas>
            <span aria-hidden="true">{name.to_lowercase()}</span>
        </button>
    }
}
