//! The words that are used in one sense only, and what the trade at large calls them.

/// A word of the house.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// As it stands on the page.
    pub word: &'static str,
    /// What it means here, and nothing else.
    pub meaning: &'static str,
    /// The trade's general term; a dash where it has none.
    pub trade: &'static str,
}

const fn entry(word: &'static str, meaning: &'static str, trade: &'static str) -> Entry {
    Entry {
        word,
        meaning,
        trade,
    }
}

/// The glossary page's title.
pub const TITLE: &str = "The words used here";
/// What is said before the words.
pub const INTRO: &str = "Each word means one thing on every page, in every file and in the code. The last column has what the trade at large calls it.";
/// The heads of the columns.
pub const COLUMNS: [&str; 3] = ["word", "meaning", "the trade's general term"];

/// What a reader meets, in the order in which one needs it. `DEVELOPERS.md` has the same, and the
/// code's own words besides.
pub const GLOSSARY: [Entry; 31] = [
    entry("node", "a joint or a mount", "transform"),
    entry(
        "mount",
        "a plain frame without a bone: a pivot, a carrier, a target",
        "offset frame, group",
    ),
    entry(
        "anchor",
        "keeps a chain's end at a target; the solve is part of it",
        "inverse-kinematics goal and solver",
    ),
    entry(
        "dial",
        "one named channel with a unit, a neutral value and limits",
        "control channel",
    ),
    entry(
        "setting",
        "where every dial and every switch of a rig stands",
        "pose values",
    ),
    entry("rig", "nodes, anchors and dials, however they stand", "rig"),
    entry(
        "document",
        "a rig and its setting: what a file holds",
        "scene file",
    ),
    entry("mover", "what is moved, and carries others along", "–"),
    entry("nought", "what a dial reads when it does nothing", "zero"),
    entry(
        "turn order",
        "which of a joint's turns carries which, outermost first",
        "rotation order",
    ),
    entry(
        "lock",
        "where a joint's outer and inner turn are one, its middle turn at 90°",
        "gimbal lock",
    ),
    entry(
        "carried",
        "what comes along, because what it hangs from moves",
        "inherits the parent's transform",
    ),
    entry(
        "anchored",
        "what stays, because an anchor holds it",
        "constrained",
    ),
    entry("lineage", "who carries whom", "hierarchy"),
    entry(
        "pivot",
        "a mount that something turns about",
        "pivot, centre of rotation",
    ),
    entry("mark", "a named place on the plate, to reach", "locator"),
    entry("way", "where one dial can take its mover", "motion path"),
    entry("trail", "the way that a mover took", "motion trail"),
    entry(
        "ghost",
        "the outline of where the figure was before",
        "ghost",
    ),
    entry(
        "prediction",
        "what is drawn on the plate before the figure moves",
        "–",
    ),
    entry("truth", "what really happens, laid over a prediction", "–"),
    entry("gauge", "one live measurement with a unit", "–"),
    entry(
        "plant",
        "a contact kept, on which surface",
        "world-space lock",
    ),
    entry(
        "hold",
        "how fully a contact is kept: 100 % down, less while it lets go, 0 up",
        "blend weight of a lock",
    ),
    entry(
        "slip",
        "mm between a planted point and where it was planted, as its surface sees it; of flesh that rolls, what of its way is not rolling",
        "foot slide, of a hand",
    ),
    entry(
        "survey",
        "press dials swept over a grid, every plant measured",
        "parameter sweep",
    ),
    entry(
        "contact map",
        "a survey's drawing: what is safe, and what gives out first where",
        "–",
    ),
    entry("plate", "the figure one drags", "viewport"),
    entry("desk", "dials and gauges under the plate", "control panel"),
    entry("page", "the text beside the plate", "–"),
    entry(
        "motion",
        "a setting for every moment from 0 to 1",
        "animation",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_contributor_guide_has_the_same_words() {
        let guide = include_str!("../../../DEVELOPERS.md");
        let [word, meaning, trade] = COLUMNS;
        assert!(guide.contains(&format!("| {word} | {meaning} | {trade} |")));
        for Entry {
            word,
            meaning,
            trade,
        } in GLOSSARY
        {
            let row = format!("| {word} | {meaning} | {trade} |");
            assert!(guide.contains(&row), "DEVELOPERS.md lacks: {row}");
        }
    }
}
