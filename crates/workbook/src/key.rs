//! What the key to the plate says of each sign.
use figure::Sign;

/// A row of the key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Told {
    /// What it looks like.
    pub sign: &'static str,
    /// What that says of the figure.
    pub meaning: &'static str,
    /// The glossary's word for it.
    pub word: &'static str,
}

/// What is said of a sign.
pub const fn told(sign: Sign) -> Told {
    let (sign, meaning, word) = match sign {
        Sign::Ring => ("ring", "what you move", "mover"),
        Sign::Place => ("crossed ring", "drag it to place the pivot", "pivot"),
        Sign::Solid => (
            "solid",
            "carried: it moves with what it hangs from",
            "carried",
        ),
        Sign::Hatch => (
            "hatched",
            "held by an anchor, as far as it can reach",
            "anchored",
        ),
        Sign::Staple => ("staple", "planted here, or held here", "plant"),
        Sign::Open => ("broken staple", "the place of what has let go", "hold"),
        Sign::Pivot => ("squared cross", "a pivot: the rest turns about it", "pivot"),
        Sign::Mount => ("small squared cross", "a mount that carries", "mount"),
        Sign::Mark => ("cross in a circle", "a place to reach", "mark"),
        Sign::Way => ("dashed line", "the way it can take", "way"),
        Sign::Trail => ("thick line", "the way it took", "trail"),
        Sign::Pencil => ("pencil", "drawn by you", "prediction"),
        Sign::Truth => ("green", "what really happens", "truth"),
        Sign::Bubble => ("bubble", "slip in mm of the part it names", "slip"),
        Sign::Slip => ("red line", "off its staple by this much", "slip"),
        Sign::Rolled => (
            "thin line from a dot",
            "the way a contact has rolled",
            "plant",
        ),
        Sign::Ghost => ("dotted outline", "where it was before", "ghost"),
    };
    Told {
        sign,
        meaning,
        word,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::glossary::GLOSSARY;

    #[test]
    fn every_sign_leads_to_a_word_and_has_a_name_of_its_own() {
        let mut names = Vec::new();
        for sign in Sign::ALL {
            let told = told(sign);
            let known = GLOSSARY.iter().any(|entry| entry.word == told.word);
            assert!(known, "the glossary lacks {}", told.word);
            assert!(!names.contains(&told.sign), "{} twice", told.sign);
            names.push(told.sign);
        }
    }
}
