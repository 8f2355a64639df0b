//! What must never be, and how it is told.

use std::fmt;

/// What must never be.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    pub kind: Kind,
    pub said: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The program has panicked.
    Stopped,
    /// The browser complains of an error or warns.
    Complaint,
    /// NaN, infinity or undefined on screen.
    Senseless,
    /// Another site was asked for something.
    Foreign,
    /// The page does not answer.
    Mute,
    /// Undoing everything does not give the first document.
    NotTakenBack,
    /// Making everything again does not give the last document.
    NotMadeAgain,
    /// What comes back is not what was left.
    NotKept,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let what = match self.kind {
            Kind::Stopped => "the program stopped",
            Kind::Complaint => "the browser complains",
            Kind::Senseless => "no number",
            Kind::Foreign => "a foreign request",
            Kind::Mute => "the page does not answer",
            Kind::NotTakenBack => "undoing everything does not give the first document",
            Kind::NotMadeAgain => "making everything again does not give the last document",
            Kind::NotKept => "what comes back is not what was left",
        };
        write!(f, "{what}: {}", self.said)
    }
}

impl Fault {
    pub(super) fn new(kind: Kind, said: impl Into<String>) -> Fault {
        Fault {
            kind,
            said: said.into(),
        }
    }

    /// Whether another is most likely the same fault: of the same kind and, but for numbers and
    /// names, in the same words.
    pub fn is_like(&self, other: &Fault) -> bool {
        let words = |said: &str| -> String {
            let kept = said.chars().filter(|c| c.is_ascii_alphabetic());
            kept.take(24).collect()
        };
        let spoken = matches!(self.kind, Kind::Stopped | Kind::Complaint);
        self.kind == other.kind && (!spoken || words(&self.said) == words(&other.said))
    }
}

/// Where two documents part.
pub(super) fn differ(slot: &str, wanted: &str, found: &str) -> String {
    let parts = wanted.bytes().zip(found.bytes());
    let at = parts.take_while(|(a, b)| a == b).count();
    let around = |text: &str| -> String {
        let start = text.floor_char_boundary(at.saturating_sub(60));
        let end = text.floor_char_boundary((at + 60).min(text.len()));
        text[start..end]
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
    };
    format!(
        "{slot}, at byte {at}: …{}… was …{}…",
        around(found),
        around(wanted)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_is_known_again_by_its_words_but_not_its_numbers() {
        let stopped = |said| Fault::new(Kind::Stopped, said);
        assert!(stopped("no node 7 of 9").is_like(&stopped("no node 12 of 90")));
        assert!(!stopped("no node 7").is_like(&stopped("index out of bounds")));
        let numbers = |said| Fault::new(Kind::Senseless, said);
        assert!(numbers("M NaN").is_like(&numbers("canvas lineTo(NaN)")));
        assert!(!numbers("x").is_like(&stopped("x")));
    }
}
