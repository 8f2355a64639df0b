//! The three gauges of a press, as rows.
use crate::state::{Session, session};
use leptos::prelude::*;
use workbook::worst::{Told, all};

#[component]
pub fn Worst() -> impl IntoView {
    let Session {
        stage, shell, hand, ..
    } = session();
    let told = Memo::new(move |_| {
        let (cell, tolerance) = (hand.measured.get()?, shell.tolerance.get());
        Some(stage.with(|h| all(h.posed(), &cell, &tolerance)))
    });
    view! {
        <div class="gauges worst" role="group" aria-label="Gauges of the press">
            {(0..3).map(|at| view! { <Row told=Memo::new(move |_| Some(told.get()?[at].clone()))/> }).collect_view()}
        </div>
    }
}

#[component]
fn Row(told: Memo<Option<Told>>) -> impl IntoView {
    const WIDTH: f64 = 200.0;
    let good = move || told.with(|told| told.as_ref()?.good);
    let read = move |of: fn(&Told) -> String| move || told.with(|told| told.as_ref().map(of));
    let x = |part: f64| part.clamp(0.0, 1.0) * WIDTH;
    view! {
        <div class="gauge" class:good=move || good() == Some(true) class:amiss=move || good() == Some(false)>
            <div class="row">
                <span>{read(|told| told.label.clone())}</span>
                <b>{read(|told| told.text.clone())}</b>
            </div>
            <svg viewBox="-6 0 212 18" aria-hidden="true">
                {move || {
                    let (from, to) = told.with(|told| told.as_ref().map_or((0.0, 0.0), |told| told.safe));
                    view! { <rect class="band" x=x(from) y="5" width=x(to) - x(from) height="8"/> }
                }}
                <path class="engraved" d="M0 9H200M0 3v12"/>
                <circle cx=move || x(told.with(|told| told.as_ref().map_or(0.0, |told| told.at))) cy="9" r="4.5"/>
            </svg>
        </div>
    }
}
