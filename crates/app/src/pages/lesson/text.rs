//! Lesson text on the page.
use crate::state::{OnStage, read};
use course::Lesson;
use course::prose::{Piece, names, pieces};
use hand::Gauge;
use leptos::prelude::*;

/// A paragraph's inner content; what of it speaks of the figure's state follows that.
pub fn rich(stage: OnStage, lesson: &Lesson, text: &str) -> AnyView {
    if !text.contains('{') {
        return laid(stage, &[], pieces(text, &|_| None));
    }
    let readings: Vec<(String, Gauge)> = names(text)
        .unwrap_or_default()
        .into_iter()
        .filter_map(|name| Some((name.to_owned(), lesson.readings.get(name)?.clone())))
        .collect();
    let text = text.to_owned();
    let of = readings.clone();
    // A number that changes is one text node; the sentences change only where a claim does.
    let parts = Memo::new(move |_| {
        pieces(&text, &|name| {
            let (_, gauge) = of.iter().find(|(known, _)| known == name)?;
            Some(read(stage, gauge)?.value)
        })
    });
    (move || laid(stage, &readings, parts.get())).into_any()
}

fn laid(stage: OnStage, readings: &[(String, Gauge)], parts: Vec<Piece>) -> AnyView {
    let one = |piece| match piece {
        Piece::Plain(text) => text.into_any(),
        Piece::Emphasis(text) => view! { <em>{text}</em> }.into_any(),
        Piece::Live(name) => {
            let gauge = readings.iter().find(|(known, _)| *known == name);
            let gauge = gauge.map(|(_, gauge)| gauge.clone());
            let value = Memo::new(move |_| {
                let told = gauge.as_ref().and_then(|gauge| read(stage, gauge));
                told.map(|told| told.text).unwrap_or_default()
            });
            view! { <b class="live">{value}</b> }.into_any()
        }
    };
    parts.into_iter().map(one).collect_view().into_any()
}
