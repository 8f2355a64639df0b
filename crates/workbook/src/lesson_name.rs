//! By what a lesson is addressed: its file's name, so that another one put before it changes no link.
use serde::Deserialize;
use std::fmt::{self, Debug, Display, Formatter};

/// Longest name, letters.
const MOST: usize = 32;

/// Under which number the first lessons were addressed, from 1. Such an address still leads to its
/// lesson, and what was kept of one is kept under it.
const NUMBERED: [&str; 9] = [
    "carry",
    "anchor",
    "anchor-together",
    "pivot-above",
    "side-lean",
    "whole-hand",
    "roll",
    "limits",
    "gestures-and-layers",
];

/// A lesson's name: small letters, digits and hyphens, 32 at most.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(try_from = "String")]
pub struct LessonName {
    letters: [u8; MOST],
    length: u8,
}

impl LessonName {
    /// As an address has it; a bare number is one of the first lessons'.
    pub fn read(text: &str) -> Option<Self> {
        let numbered = text.parse::<usize>().ok();
        let known = numbered.and_then(|number| NUMBERED.get(number.checked_sub(1)?));
        let text = known.copied().unwrap_or(text).as_bytes();
        let fits = (1..=MOST).contains(&text.len());
        let plain = |c: &u8| c.is_ascii_lowercase() || c.is_ascii_digit() || *c == b'-';
        if !fits || !text.iter().all(plain) {
            return None;
        }
        let mut letters = [0; MOST];
        letters[..text.len()].copy_from_slice(text);
        let length = text.len() as u8;
        Some(Self { letters, length })
    }

    /// Of a file of the course: `06-zero.lesson.json`.
    pub fn of_file(file: &str) -> Option<Self> {
        let stem = file.rsplit('/').next()?.strip_suffix(".lesson.json")?;
        Self::read(stem.split_once('-')?.1)
    }

    /// Its letters.
    pub fn as_str(&self) -> &str {
        str::from_utf8(&self.letters[..usize::from(self.length)]).unwrap_or_default()
    }

    /// By what its work is kept: the first lessons' number, as it was before they had names.
    pub fn kept(&self) -> String {
        let at = NUMBERED.iter().position(|name| *name == self.as_str());
        at.map_or_else(|| self.as_str().to_owned(), |at| (at + 1).to_string())
    }
}

impl TryFrom<String> for LessonName {
    type Error = &'static str;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        Self::read(&text).ok_or("a lesson's name is small letters, digits and hyphens")
    }
}

impl Display for LessonName {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl Debug for LessonName {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", self.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn old_numbers_lead_on_and_files_have_names() {
        let name = |text| LessonName::read(text).expect(text);
        assert_eq!(name("6"), name("whole-hand"));
        assert_eq!(
            LessonName::of_file("lessons/08-whole-hand.lesson.json"),
            Some(name("6"))
        );
        assert_eq!(name("side-lean").as_str(), "side-lean");
        assert_eq!([name("7").kept(), name("zero").kept()], ["7", "zero"]);
        // There was never a tenth.
        assert_eq!(name("10").as_str(), "10");
        for none in ["", "Carry", "a/b", "a b", "é", &"x".repeat(33)] {
            assert_eq!(LessonName::read(none), None, "{none}");
        }
        assert_eq!(LessonName::of_file("index.json"), None);
    }
}
