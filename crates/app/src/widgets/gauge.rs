//! A gauge as a row: its label, its value, and where that is on a line with its band.
use crate::state::{OnStage, read};
use course::Shown;
use leptos::prelude::*;

#[component]
pub fn GaugeRow(shown: Shown) -> impl IntoView {
    const WIDTH: f64 = 200.0;
    let stage = expect_context::<OnStage>();
    let gauge = shown.gauge.clone();
    let reading = Memo::new(move |_| read(stage, &gauge));
    let band = shown.tolerance;
    let good = move || reading.with(|told| told.as_ref()?.good(band));
    let scale = shown.scale;
    let x = move |value: f64| (value / scale * WIDTH).clamp(0.0, WIDTH);
    view! {
        <div class="gauge" class:good=move || good() == Some(true) class:amiss=move || good() == Some(false)>
            <div class="row">
                <span>{shown.label}</span>
                <b>{move || reading.get().map_or_else(|| "no reading".into(), |r| r.text)}</b>
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
                <circle cx=move || reading.get().map_or(0.0, |r| x(r.value)) cy="9" r="4.5"/>
            </svg>
        </div>
    }
}
