//! Lesson text: `*emphasis*`, live numbers `{slip}`, and claims that hold in some states only:
//! `{slip <= 0.05 ? The staples stay. | A staple has slipped {slip}.}` Without the second part nothing
//! is said in the others. A sentence with a number that cannot be read of the figure is left out.

/// A part of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// As it stands.
    Plain(String),
    /// Leaning.
    Emphasis(String),
    /// A live number, by the name of its reading.
    Live(String),
}

/// What stands in braces.
#[derive(Clone, Debug, PartialEq)]
enum Braced<'a> {
    Live(&'a str),
    Claim {
        name: &'a str,
        /// At most, else at least.
        most: bool,
        limit: f64,
        holds: &'a str,
        fails: &'a str,
    },
}

/// A text in its parts, as it reads where the readings have these values.
///
/// ```
/// use course::prose::{Piece, pieces};
/// let text = "Lift. {slip <= 0.05 ? All stay. | One slips by {slip}.} The {lean} is left out.";
/// let at = |slip| pieces(text, &|name| (name == "slip").then_some(slip));
/// assert_eq!(at(0.0), [Piece::Plain("Lift. All stay.".into())]);
/// let [_, live, _] = &at(2.0)[..] else { panic!() };
/// assert_eq!(*live, Piece::Live("slip".into()));
/// ```
pub fn pieces(text: &str, value: &impl Fn(&str) -> Option<f64>) -> Vec<Piece> {
    let mut said = String::new();
    for sentence in sentences(text) {
        let resolved = resolved(sentence, value).unwrap_or_default();
        if !resolved.trim().is_empty() {
            said += &resolved;
        }
    }
    parted(said.trim_end())
}

/// The names of every reading in a text, and what in braces is neither name nor claim.
pub fn names(text: &str) -> Result<Vec<&str>, &str> {
    let mut names = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find('{') {
        let inside = closed(&rest[at..]).ok_or(&rest[at..])?;
        match braced(inside).ok_or(inside)? {
            Braced::Live(name) => names.push(name),
            Braced::Claim {
                name, holds, fails, ..
            } => {
                names.push(name);
                for part in [holds, fails] {
                    names.extend(self::names(part)?);
                }
            }
        }
        rest = &rest[at + inside.len() + 2..];
    }
    Ok(names)
}

/// A sentence with its claims settled; none if a number in it cannot be read.
fn resolved(text: &str, value: &impl Fn(&str) -> Option<f64>) -> Option<String> {
    let Some(at) = text.find('{') else {
        return Some(text.into());
    };
    let Some(inside) = closed(&text[at..]) else {
        return Some(text.into());
    };
    let (before, after) = (&text[..at], &text[at + inside.len() + 2..]);
    let here = match braced(inside)? {
        Braced::Live(name) => {
            value(name)?;
            format!("{{{name}}}")
        }
        Braced::Claim {
            name,
            most,
            limit,
            holds,
            fails,
        } => {
            let found = value(name)?;
            let is_so = if most { found <= limit } else { found >= limit };
            resolved(if is_so { holds } else { fails }, value)?
        }
    };
    Some(format!("{before}{here}{}", resolved(after, value)?))
}

/// What stands between a brace and the one that closes it.
fn closed(text: &str) -> Option<&str> {
    let mut depth = 0;
    for (at, letter) in text.char_indices() {
        match letter {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return text.get(1..at);
        }
    }
    None
}

fn braced(inside: &str) -> Option<Braced<'_>> {
    let Some((claim, texts)) = inside.split_once('?') else {
        let name = inside
            .chars()
            .all(|c| c.is_alphanumeric() || c == '-' || c == '_');
        return (name && !inside.is_empty()).then_some(Braced::Live(inside));
    };
    let (holds, fails) = texts.split_once('|').unwrap_or((texts, ""));
    let most = claim.contains("<=");
    let (name, limit) = claim.split_once(if most { "<=" } else { ">=" })?;
    Some(Braced::Claim {
        name: name.trim(),
        most,
        limit: limit.trim().parse().ok()?,
        holds: holds.trim(),
        fails: fails.trim(),
    })
}

/// A text cut after each sentence, outside braces.
fn sentences(text: &str) -> Vec<&str> {
    let (mut all, mut from, mut depth) = (Vec::new(), 0, 0);
    let mut ended = false;
    for (at, letter) in text.char_indices() {
        if ended && letter == ' ' && depth == 0 {
            all.push(&text[from..=at]);
            from = at + 1;
        }
        match letter {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        // Emphasis may close after the full stop; a claim is a sentence of its own, or several.
        ended = matches!(letter, '.' | '?' | '!') || ended && matches!(letter, '*' | '}');
    }
    all.push(&text[from..]);
    all
}

/// Its emphasis and its live numbers. A mark that is not closed is plain.
fn parted(text: &str) -> Vec<Piece> {
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

    fn at(text: &str, slip: f64) -> String {
        let told = |piece: &Piece| match piece {
            Piece::Plain(t) => t.clone(),
            Piece::Emphasis(t) => format!("<{t}>"),
            Piece::Live(t) => format!("[{t}]"),
        };
        let value = |name: &str| (name == "slip").then_some(slip);
        pieces(text, &value).iter().map(told).collect()
    }

    #[test]
    fn text_splits_into_pieces() {
        assert_eq!(at("a *b* c {slip}. *open", 1.0), "a <b> c [slip]. *open");
    }

    #[test]
    fn a_claim_is_made_where_it_holds() {
        let text = "Now: {slip <= 0.5 ? *nothing* slips | it slips {slip}}. On.";
        assert_eq!(at(text, 0.5), "Now: <nothing> slips. On.");
        assert_eq!(at(text, 0.6), "Now: it slips [slip]. On.");
        let text = "So. {slip >= 2 ? Too far.} On.";
        assert_eq!(
            [at(text, 2.0), at(text, 1.9)],
            ["So. Too far. On.", "So. On."]
        );
    }

    #[test]
    fn a_sentence_without_its_number_is_left_out() {
        assert_eq!(
            at("One. It slips {none} mm. {none <= 1 ? Well.} Two.", 0.0),
            "One. Two."
        );
        assert_eq!(at("*All of it, {none}.* Two.", 0.0), "Two.");
    }

    #[test]
    fn names_are_found_wherever_they_stand() {
        let found = names("{a} b {c <= 2 ? {d}. | {e}}");
        assert_eq!(found, Ok(vec!["a", "c", "d", "e"]));
        for bad in ["{a", "{}", "{a ? b}", "{a <= x ? b}", "{a b}"] {
            assert!(names(bad).is_err(), "{bad}");
        }
    }
}
