//! Lesson text on the page.
use crate::state::{OnStage, read};
use course::Lesson;
use leptos::prelude::*;
use workbook::prose::{Piece, pieces};

/// A paragraph's inner content.
pub fn rich(stage: OnStage, lesson: &Lesson, text: &str) -> impl IntoView + use<> {
    pieces(text)
        .into_iter()
        .map(|piece| match piece {
            Piece::Plain(text) => text.into_any(),
            Piece::Emphasis(text) => view! { <em>{text}</em> }.into_any(),
            Piece::Live(name) => match lesson.readings.get(&name).cloned() {
                Some(gauge) => {
                    let value = Memo::new(move |_| {
                        read(stage, &gauge).map_or_else(|| "—".into(), |r| r.text)
                    });
                    view! { <b class="live">{value}</b> }.into_any()
                }
                None => name.into_any(),
            },
        })
        .collect_view()
}
