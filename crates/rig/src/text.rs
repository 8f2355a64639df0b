//! Other people's words in a line of ours. A name or a path can hold anything: here it becomes
//! text that cannot steer a terminal, break a line or fill a screen.

/// Longest name in a message, characters.
const NAME: usize = 60;
/// Most names that a message lists.
const LISTED: usize = 8;

/// The text with what would act in place of showing written as an escape, and its middle left out
/// where it has more characters than `most`.
pub fn line(text: &str, most: usize) -> String {
    // No character is shown by less than itself, so a longer text is cut before it is looked at.
    if text.len() <= most.saturating_mul(4) {
        let whole: String = text.chars().flat_map(shown).collect();
        if whole.chars().count() <= most {
            return whole;
        }
    }
    let room = most.saturating_sub(1);
    let (head, tail) = (room - room / 3, room / 3);
    let mut start = String::new();
    fill(text.chars(), head, |c| start.extend(shown(c)));
    let mut end = Vec::new();
    fill(text.chars().rev(), tail, |c| end.push(c));
    end.reverse();
    start.push('…');
    start.extend(end.into_iter().flat_map(shown));
    start
}

/// A name in quotes, as messages have it.
pub fn quoted(name: &str) -> String {
    format!("'{}'", line(name, NAME))
}

/// The first few names in quotes, and how many more there are.
pub fn choices<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let mut names = names;
    let listed: Vec<_> = names.by_ref().take(LISTED).map(quoted).collect();
    let listed = listed.join(", ");
    match names.count() {
        0 => listed,
        more => format!("{listed} or {more} more"),
    }
}

/// Takes characters while what shows them fits.
fn fill(from: impl Iterator<Item = char>, room: usize, mut take: impl FnMut(char)) {
    let mut used = 0;
    for c in from {
        used += shown(c).count();
        if used > room {
            return;
        }
        take(c);
    }
}

/// A character, or its escape where it would move the cursor, end the line, turn the direction
/// of the text around it, or has no width, so that two names look alike.
fn shown(c: char) -> impl Iterator<Item = char> {
    let turns = matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let unseen = matches!(c, '\u{200b}' | '\u{2060}' | '\u{feff}');
    let acts = c.is_control() || turns || unseen;
    let escape = acts.then(|| c.escape_default());
    let itself = (!acts).then_some(c);
    escape.into_iter().flatten().chain(itself)
}
