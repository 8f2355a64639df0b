//! Small views of the sketch from the other sides; pressing one turns the plate to it.
use super::easel::paint_on;
use crate::session::session;
use figure::{Scene, Sight, View};
use leptos::html::Canvas;
use leptos::prelude::*;
use workbook::route::Route;

/// CSS px; the styles size the canvas alike.
const SIZE: (f64, f64) = (150.0, 104.0);

/// Side, front and top, less the one the plate shows.
#[component]
pub fn Insets() -> impl IntoView {
    let session = session();
    let sight = Memo::new(move |_| session.view.with(|v| v.sight));
    let wanted = move || {
        session.route.get() == Route::Sketch
            && session.stage.with(|h| !h.document().nodes.is_empty())
    };
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
    let canvas = NodeRef::<Canvas>::new();
    let drawing = move || {
        let look = session.look.get();
        session.stage.with(|h| {
            let posed = h.posed();
            let view = View::fit(from, SIZE, &figure::extent(posed), 12.0);
            let scene = Scene {
                roles: crate::scene::roles_now(session, h.document()),
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
            on:click=move |_| {
                session.framed.set(false);
                session.view.update(|v| v.sight = from);
            }
        >
            <canvas node_ref=canvas aria-hidden="true"></canvas>
            <span aria-hidden="true">{name.to_lowercase()}</span>
        </button>
    }
}
