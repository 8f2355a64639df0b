//! Lesson text: `*emphasis*` and `{live numbers}`.

/// A part of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    Plain(String),
    Emphasis(String),
    /// A live number, by the name of its reading.
    Live(String),
}

/// A text in its parts. A mark that is not closed is plain.
pub fn pieces(text: &str) -> Vec<Piece> {
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
