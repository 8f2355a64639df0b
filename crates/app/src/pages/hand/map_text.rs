//! The contact map in words.
use super::live_survey::{LiveSurvey, State, dials};
use crate::state::{OnStage, read};
use figure::map::letters;
use hand::Gauge;
use leptos::prelude::*;
use workbook::number::tenths;

/// The present pose in words.
pub fn in_words(stage: OnStage, live: LiveSurvey, tolerance: f64) -> String {
    let Some(survey) = live.shown.get() else {
        return "Nothing is measured yet.".into();
    };
    let Some([across, up]) = dials(stage, &survey) else {
        return String::new();
    };
    let pose = format!(
        "{} {}, {} {}",
        across.0.name,
        tenths(across.1, across.0.unit),
        up.0.name,
        tenths(up.1, up.0.unit)
    );
    let Some((slip, shown)) = read(stage, &Gauge::WorstSlip {}) else {
        return pose;
    };
    let at = survey.up.nearest(up.1) * survey.across.count + survey.across.nearest(across.1);
    let cell = &survey.cells[at];
    let at_digit =
        |id| stage.with_untracked(|h| format!(" at the {}", hand::in_words(h.document(), id)));
    if slip <= tolerance {
        let limit = cell.limit.and_then(|l| {
            stage.with_untracked(|h| {
                h.document()
                    .anchor(l.anchor)
                    .map(|a| a.name.replace('-', " "))
            })
        });
        let limit = limit.map_or(String::new(), |l| format!("; the {l} is at a limit"));
        format!("{pose}: slip {shown}, safe{limit}")
    } else {
        let who = cell.slipping.map_or(String::new(), at_digit);
        format!("{pose}: slip {shown}{who}, not safe")
    }
}

/// What the map says: the pose, the way left, what the letters stand for, how far the measuring is.
#[component]
pub fn MapText(live: LiveSurvey, tolerance: RwSignal<f64>) -> impl IntoView {
    let stage = expect_context::<OnStage>();
    let reading = Memo::new(move |_| in_words(stage, live, tolerance.get()));
    let safe = move || reading.with(|r| !r.ends_with("not safe"));
    let verdict = Memo::new(move |_| {
        let survey = live.shown.get()?;
        if live.state.get() != State::Done {
            return None;
        }
        stage.with_untracked(|h| survey.verdict(h.document(), tolerance.get()).err())
    });
    let key = Memo::new(move |_| {
        let survey = live.shown.get()?;
        let all = stage.with_untracked(|h| letters(&survey, h.document()));
        let all: Vec<_> = all
            .iter()
            .map(|(l, n)| format!("{l} {}", n.replace('-', " ")))
            .collect();
        Some(all.join(", "))
    });
    let measuring = move || match live.state.get() {
        State::Measuring(Some(part)) => Some(format!("measuring: {:.0} %", part * 100.0)),
        State::Stopped => Some("stopped: coarse as it is".to_string()),
        _ => None,
    };
    view! {
        <Show when=move || live.shown.with(Option::is_some)>
            <p class="map-told" class:good=safe class:amiss=move || !safe()>
                <span aria-hidden="true">{move || if safe() { "✓ " } else { "✗ " }}</span>
                {reading}
            </p>
        </Show>
        {move || verdict.get().map(|why| view! { <p class="map-fault">{why}</p> })}
        {move || live.farthest.get().map(|text| view! { <p class="quiet map-note">{text}</p> })}
        {move || key.get().map(|k| view! { <p class="quiet map-note">{format!("Hatched: who slips first. {k}.")}</p> })}
        {move || {
            measuring()
                .map(|text| {
                    let stopped = live.state.get() == State::Stopped;
                    view! {
                        <p class="map-note">
                            {text}
                            " "
                            <button
                                class="tool"
                                on:click=move |_| if stopped { live.go_on(stage) } else { live.stop() }
                            >
                                {if stopped { "Go on" } else { "Stop" }}
                            </button>
                        </p>
                    }
                })
        }}
    }
}
