//! Lesson text: `*emphasis*` and `{live numbers}`.
use crate::session::Session;
use course::Lesson;
use leptos::prelude::*;

enum Piece {
    Plain(String),
    Emphasis(String),
    Live(String),
}

fn pieces(text: &str) -> Vec<Piece> {
    let mut out = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(['*', '{']) {
        let (before, from) = rest.split_at(at);
        let close = if from.starts_with('*') { '*' } else { '}' };
        let Some(end) = from[1..].find(close) else {
            break;
        };
        if !before.is_empty() {
            out.push(Piece::Plain(before.into()));
        }
        let inner = from[1..=end].to_string();
        out.push(if close == '*' {
            Piece::Emphasis(inner)
        } else {
            Piece::Live(inner)
        });
        rest = &from[end + 2..];
    }
    if !rest.is_empty() {
        out.push(Piece::Plain(rest.into()));
    }
    out
}

/// A paragraph's inner content.
pub fn rich(session: Session, lesson: &Lesson, text: &str) -> impl IntoView + use<> {
    pieces(text)
        .into_iter()
        .map(|piece| match piece {
            Piece::Plain(text) => text.into_any(),
            Piece::Emphasis(text) => view! { <em>{text}</em> }.into_any(),
            Piece::Live(name) => match lesson.readings.get(&name).cloned() {
                Some(gauge) => {
                    let value = Memo::new(move |_| {
                        crate::desk::read(session, &gauge).map_or_else(|| "—".into(), |r| r.1)
                    });
                    view! { <b class="live">{value}</b> }.into_any()
                }
                None => name.into_any(),
            },
        })
        .collect_view()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_splits_into_pieces() {
        let found: Vec<String> = pieces("a *b* c {d}. *open")
            .iter()
            .map(|p| match p {
                Piece::Plain(t) => format!("p:{t}"),
                Piece::Emphasis(t) => format!("e:{t}"),
                Piece::Live(t) => format!("l:{t}"),
            })
            .collect();
        assert_eq!(found, ["p:a ", "e:b", "p: c ", "l:d", "p:. *open"]);
    }
}
