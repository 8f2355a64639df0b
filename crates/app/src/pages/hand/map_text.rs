//! The contact map in words.
use super::live_survey::{LiveSurvey, State, dials};
use crate::state::OnStage;
use figure::map::{letters, patterns};
use hand::flesh::Kind;
use hand::gauge::Hold;
use hand::press_dials;
use hand::survey::{Cell, Ends, Limit, LimitKind, Survey, Tolerance};
use leptos::prelude::*;
use rig::{Dial, Posed};
use workbook::number::tenths;

/// Who of what is planted is not down, in words that follow others: '; the index finger is up'.
fn away(posed: &Posed) -> String {
    let rig = posed.rig();
    let told = rig.plants.iter().filter_map(|plant| {
        let anchor = rig.anchors.iter().find(|a| a.end == plant.node)?;
        let hold = Hold::of(posed, anchor.id);
        let who = hand::in_words(rig, plant.node);
        (hold != Hold::Down).then(|| format!("; the {who} is {hold}"))
    });
    told.collect()
}

/// Where the map ends, for a pose that lies off it: '; off the map, which ends at lift 60.0°'.
fn off(survey: &Survey, dials: [&(Dial, f64); 2]) -> String {
    let sides = [&survey.across, &survey.up].into_iter().zip(dials);
    let ends = sides.filter_map(|(sweep, (dial, value))| {
        let (low, high) = if sweep.from < sweep.to {
            (sweep.from, sweep.to)
        } else {
            (sweep.to, sweep.from)
        };
        let end = match *value {
            value if value < low => low,
            value if value > high => high,
            _ => return None,
        };
        Some(format!("{} {}", dial.name, tenths(end, dial.unit)))
    });
    let ends: Vec<_> = ends.collect();
    if ends.is_empty() {
        return String::new();
    }
    format!("; off the map, which ends at {}", ends.join(" and "))
}

/// Whether a pose is safe; none: it presses nothing, however safe.
pub type Safe = Option<bool>;

/// The present pose: whether it is safe, and that in words.
pub fn in_words(
    stage: OnStage,
    live: LiveSurvey,
    measured: Memo<Option<Cell>>,
    tolerance: &Tolerance,
) -> (Safe, String) {
    let Some(survey) = live.shown.get() else {
        return (None, "Nothing is measured yet.".into());
    };
    let Some([across, up]) = dials(stage, &survey) else {
        return (None, String::new());
    };
    let pose = format!(
        "{} {}, {} {}",
        across.0.name,
        tenths(across.1, across.0.unit),
        up.0.name,
        tenths(up.1, up.0.unit)
    );
    stage.with(|h| {
        let (posed, rig) = (h.posed(), h.document());
        let cell = measured.get().unwrap_or_default();
        let press = press_dials(rig).into_iter();
        let others = press.filter(|dial| ![across.0.id, up.0.id].contains(dial));
        let others = others.filter_map(|dial| {
            let (dial, value) = (rig.dial(dial)?, posed.dial(dial));
            let told = format!(", {} {}", dial.name, tenths(value, dial.unit));
            (value != dial.neutral).then_some(told)
        });
        let pose = pose + &others.collect::<String>();
        let presses = cell.down.count() > 0;
        // What has let go has no slip to tell of.
        let slip = match presses {
            false => "nothing is fully down".to_owned(),
            true => format!("slip {:.2} mm", cell.slip),
        };
        let who = |node| hand::in_words(rig, node);
        let whose = |limit: Limit| {
            let anchor = rig.anchor(limit.anchor);
            anchor.map_or_else(|| "?".to_owned(), |anchor| recipe::spoken(&anchor.name))
        };
        let ends = cell.ends(tolerance);
        let told = match ends {
            None if !presses => format!("{pose}: {slip}, nothing amiss"),
            None => {
                let limit = cell.limit.map(whose);
                let limit = limit.map_or(String::new(), |l| format!("; the {l} is at a limit"));
                format!("{pose}: {slip}, safe{limit}")
            }
            Some(Ends::Slips(node)) => format!("{pose}: {slip} at the {}, not safe", who(node)),
            Some(Ends::Sinks(node, kind)) => {
                let deep = cell.sunk(kind).by;
                let who = match kind {
                    Kind::Palm => "palm".to_owned(),
                    Kind::Pad => who(node),
                };
                format!("{pose}: the {who} is {deep:.2} mm in, not safe")
            }
            Some(Ends::Limit(limit)) => {
                let how = match limit.kind {
                    LimitKind::Reach => "out of reach",
                    LimitKind::Joint { .. } => "past its limit",
                };
                format!("{pose}: the {} is {how}, not safe", whose(limit))
            }
        };
        let safe = match ends {
            Some(_) => Some(false),
            None => presses.then_some(true),
        };
        (safe, told + &away(posed) + &off(&survey, [&across, &up]))
    })
}

/// What the map says: the pose, the way left, what the letters stand for, how far the measuring is.
#[component]
pub fn MapText(
    live: LiveSurvey,
    tolerance: RwSignal<Tolerance>,
    told: Memo<(Safe, String)>,
) -> impl IntoView {
    let stage = expect_context::<OnStage>();
    let safe = move || told.with(|told| told.0);
    let verdict = Memo::new(move |_| {
        let survey = live.shown.get()?;
        if live.state.get() != State::Done {
            return None;
        }
        stage.with_untracked(|h| survey.verdict(h.document(), &tolerance.get()).err())
    });
    let key = Memo::new(move |_| {
        let survey = live.shown.get()?;
        let (all, told) = stage.with_untracked(|h| {
            let (document, tolerance) = (h.document(), tolerance.get());
            (
                letters(&survey, document, &tolerance),
                patterns(&survey, document, &tolerance),
            )
        });
        let all: Vec<_> = all
            .iter()
            .map(|(l, n)| format!("{l} {}", recipe::spoken(n)))
            .collect();
        let letters = format!("Letters: {}.", all.join(", "));
        if told.is_empty() {
            return Some(letters);
        }
        Some(format!("Patterns: {}. {letters}", told.join("; ")))
    });
    let measuring = move || match live.state.get() {
        State::Measuring(Some(part)) => Some(format!("measuring: {:.0} %", part * 100.0)),
        State::Stopped => Some("stopped: coarse as it is".to_string()),
        _ => None,
    };
    view! {
        <div class="map-words">
            <Show when=move || live.shown.with(Option::is_some)>
                <p
                    class="map-told"
                    class:good=move || safe() == Some(true)
                    class:amiss=move || safe() == Some(false)
                >
                    <span aria-hidden="true">{move || match safe() {
                        Some(true) => "✓ ",
                        Some(false) => "✗ ",
                        None => "– ",
                    }}</span>
                    {move || told.get().1}
                </p>
            </Show>
            {move || verdict.get().map(|why| view! { <p class="map-fault">{why}</p> })}
            {move || live.farthest.get().map(|text| view! { <p class="quiet map-note">{text}</p> })}
            {move || key.get().map(|k| view! { <p class="quiet map-note">{k}</p> })}
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
        </div>
    }
}
