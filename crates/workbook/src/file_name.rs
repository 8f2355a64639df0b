//! Names of files: those we give and those we are given.

/// A document's name as a file's: no separators, nothing that a shell or a screen would mind.
pub fn stem(name: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() { c } else { '-' };
    let stem: String = name.chars().take(60).map(plain).collect();
    let stem = stem.trim_matches('-');
    if stem.is_empty() { "sketch" } else { stem }.into()
}

/// A file's name, short enough for a sentence.
pub fn shortened(name: &str) -> String {
    const MOST: usize = 60;
    let plain: String = name.chars().filter(|c| !c.is_control()).collect();
    if plain.chars().count() <= MOST {
        return plain;
    }
    let begin: String = plain.chars().take(MOST / 2).collect();
    let end: Vec<char> = plain.chars().rev().take(MOST / 2).collect();
    format!("{begin}…{}", end.into_iter().rev().collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_files_are_plain_and_short() {
        assert_eq!(stem("flour-flick sketch"), "flour-flick-sketch");
        assert_eq!(stem("../../etc"), "etc");
        assert_eq!(stem("\u{1b}[31m"), "31m");
        assert_eq!(stem(""), "sketch");
        assert!(stem(&"x".repeat(4000)).len() <= 60);
        assert_eq!(shortened("mine.hand.json"), "mine.hand.json");
        assert!(shortened(&"y".repeat(4000)).chars().count() <= 61);
    }
}
