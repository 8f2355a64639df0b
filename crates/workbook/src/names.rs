//! What the things of a rig are called on screen. A file's names are ids that open standards and
//! tools share; what a reader sees are words.
use hand::in_words;
use recipe::{DigitPart, Part, spoken};
use rig::{Anchor, Document, Node, Rig};

/// A node: a hand's part as one speaks of it, where an anchor holds by its staple, anything else by
/// its name.
pub fn node(rig: &Rig, node: &Node) -> String {
    let held = rig.anchors.iter().any(|anchor| anchor.end == node.id);
    match &node.part {
        Some(Part::Digit(digit, part)) if !held && node.name.starts_with(digit) => {
            let what = match part {
                DigitPart::Metacarpal => "'s metacarpal",
                DigitPart::Tip => "'s tip",
                DigitPart::Pad => "'s pulp",
                DigitPart::TipContact => "'s end",
                DigitPart::Plant => " staple",
                _ => return in_words(rig, node.id),
            };
            spoken(digit) + what
        }
        Some(Part::Digit(..)) => in_words(rig, node.id),
        Some(Part::WristTarget) => "wrist carrier".to_owned(),
        Some(_) => spoken(&node.name),
        None => match node.name.strip_suffix(" target") {
            Some(whose) if rig.anchors.iter().any(|a| a.target == node.id) => {
                format!("{whose} staple")
            }
            Some(whose) => format!("{whose} carrier"),
            // As who named it has it.
            None => node.name.clone(),
        },
    }
}

/// An anchor: by what it holds.
pub fn anchor(anchor: &Anchor) -> String {
    let name = spoken(&anchor.name);
    name.strip_suffix(" anchor").unwrap_or(&name).to_owned()
}

/// All nodes that are seen, by number.
pub fn nodes(document: &Document) -> Vec<(u32, String)> {
    let seen = document.nodes.iter().filter(|n| !n.hidden);
    seen.map(|n| (n.id.0, node(document, n))).collect()
}
