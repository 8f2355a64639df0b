//! How much a file or a document may hold. No rig needs as much; what a stranger sends can have
//! any size, and must be refused before it takes the memory or the minutes that it asks for.
//!
//! All of them are chosen here; docs/bounds.md lists them.
use crate::fault::{Excess, Item, Text};
use crate::index::Index;
use crate::{Document, Fault, Solver};
use recipe::{MOST_DIGIT_NAME, MOST_DIGITS, Recipe};
use serde_json::Value;
use std::io::{self, Read};

/// Bytes of a file: a document with the most nodes, all settings given, has less.
pub const MOST_BYTES: usize = 16_000_000;
/// Values of a file, each number, text, list and object counting: those nodes have half as many.
pub const MOST_VALUES: usize = 2_000_000;
/// Objects among them. An empty one takes 600 bytes of memory, more than a hundred of a file.
pub const MOST_OBJECTS: usize = 200_000;
/// Nodes.
pub const MOST_NODES: usize = 20_000;
/// Anchors.
pub const MOST_ANCHORS: usize = 1_000;
/// Dials, and values in `set`.
pub const MOST_DIALS: usize = 1_000;
/// Drives of one dial.
pub const MOST_DRIVES: usize = 1_000;
/// Drives of all dials together.
pub const MOST_DRIVES_IN_ALL: usize = 20_000;
/// Links.
pub const MOST_LINKS: usize = 100;
/// Channels that all links together pass on to: each is summed anew with every dial that drives
/// what is passed on.
pub const MOST_PASSED: usize = 200;
/// Plants.
pub const MOST_PLANTS: usize = 1_000;
/// Nodes in `shift`: for each the document is evaluated anew.
pub const MOST_SHIFTS: usize = 20;
/// Characters of a name.
pub const MOST_NAME: usize = 200;
/// Nodes on the chains of all anchors that are solved step by step (damped least squares,
/// FABRIK): a round takes each of them, and a target out of reach takes a thousand rounds.
pub const MOST_REACHING: usize = 1_000;
/// Nodes on the chains of all anchors: those may share the mounts they run along, so that the
/// nodes alone do not bound them.
pub const MOST_PATHS: usize = 20_000;
/// Entries of a list in a lesson, or of nodes in a gauge: each is read in every sample of a run.
pub const MOST_LISTED: usize = 50;

/// Reads a file of unknown size, but no more of it than [`text`] needs to refuse it.
///
/// # Errors
/// When it cannot be read.
pub fn content(from: impl Read) -> io::Result<Vec<u8>> {
    let mut content = Vec::new();
    from.take(MOST_BYTES as u64 + 1).read_to_end(&mut content)?;
    Ok(content)
}

/// A file's content as text.
///
/// # Errors
/// When it is more than [`MOST_BYTES`], or not UTF-8.
pub fn text(content: Vec<u8>) -> Result<String, Fault> {
    bytes(content.len() as u64)?;
    String::from_utf8(content).map_err(|error| {
        let place = format!("byte {}", error.utf8_error().valid_up_to() + 1);
        Fault::new(place, Text::NotUtf8)
    })
}

/// Refuses a file by its length, before any of it is read.
///
/// # Errors
/// When it has more than [`MOST_BYTES`].
pub fn bytes(count: u64) -> Result<(), Fault> {
    if count <= MOST_BYTES as u64 {
        return Ok(());
    }
    Err(Fault::new("the file", Text::TooLong { most: MOST_BYTES }))
}

fn count(place: &str, item: Item, count: usize, most: usize) -> Result<(), Fault> {
    if count <= most {
        return Ok(());
    }
    Err(Fault::new(place, Excess::Items { item, count, most }))
}

/// Counts what a file lists, before any of it is given a form.
pub(super) fn value(value: &Value) -> Result<(), Fault> {
    let size = |at: &Value| match at {
        Value::Array(items) => items.len(),
        Value::Object(fields) => fields.len(),
        _ => 0,
    };
    for (place, item, most) in [
        ("nodes", Item::Node, MOST_NODES),
        ("anchors", Item::Anchor, MOST_ANCHORS),
        ("dials", Item::Dial, MOST_DIALS),
        ("links", Item::Link, MOST_LINKS),
        ("plants", Item::Plant, MOST_PLANTS),
        ("set", Item::Dial, MOST_DIALS),
        ("shift", Item::Node, MOST_SHIFTS),
        ("grips", Item::Node, MOST_NODES),
    ] {
        count(place, item, size(&value[place]), most)?;
    }
    let links = value["links"].as_array();
    links_pass(links.into_iter().flatten().map(|link| size(&link["to"])))?;
    let dials = value["dials"].as_array();
    drives(
        dials
            .into_iter()
            .flatten()
            .map(|dial| size(&dial["drives"])),
    )
}

fn links_pass(counts: impl Iterator<Item = usize>) -> Result<(), Fault> {
    count("links", Item::Drive, counts.sum(), MOST_PASSED)
}

fn drives(counts: impl Iterator<Item = usize>) -> Result<(), Fault> {
    let mut all = 0;
    for (at, drives) in counts.enumerate() {
        count(&format!("dials[{at}]"), Item::Drive, drives, MOST_DRIVES)?;
        all += drives;
    }
    let (count, most) = (all, MOST_DRIVES_IN_ALL);
    if count <= most {
        return Ok(());
    }
    Err(Fault::new("dials", Excess::Drives { count, most }))
}

/// Counts what a hand is to be built of, before it is built.
pub(crate) fn recipe(recipe: &Recipe) -> Result<(), Fault> {
    let digits = &recipe.hand.digits;
    count("hand", Item::Digit, digits.len(), MOST_DIGITS)?;
    let planted = recipe.planting.as_ref().map_or(0, |p| p.digits.len());
    count("hand.planting", Item::Digit, planted, MOST_DIGITS)?;
    digits
        .iter()
        .try_for_each(|digit| shorter("hand", Item::Digit, &digit.name, MOST_DIGIT_NAME))
}

/// Counts what a document holds.
///
/// # Errors
/// When there is more of anything than a rig can have.
pub(crate) fn document(document: &Document) -> Result<(), Fault> {
    count("nodes", Item::Node, document.nodes.len(), MOST_NODES)?;
    count(
        "anchors",
        Item::Anchor,
        document.anchors.len(),
        MOST_ANCHORS,
    )?;
    count("dials", Item::Dial, document.dials.len(), MOST_DIALS)?;
    count("links", Item::Link, document.links.len(), MOST_LINKS)?;
    links_pass(document.links.iter().map(|link| link.to.len()))?;
    count("plants", Item::Plant, document.plants.len(), MOST_PLANTS)?;
    drives(document.dials.iter().map(|dial| dial.drives.len()))?;
    name("name", Item::Document, &document.name)?;
    document.hand.as_deref().map_or(Ok(()), recipe)?;
    paths(document)
}

/// Refuses a name that no table or message could hold.
///
/// # Errors
/// When it has more than [`MOST_NAME`] characters.
pub(crate) fn name(place: &str, item: Item, name: &str) -> Result<(), Fault> {
    shorter(place, item, name, MOST_NAME)
}

fn shorter(place: &str, item: Item, name: &str, most: usize) -> Result<(), Fault> {
    let characters = name.chars().count();
    if characters <= most {
        return Ok(());
    }
    let name = name.to_owned();
    let long = Excess::Name {
        item,
        name,
        characters,
        most,
    };
    Err(Fault::new(place, long))
}

/// Refuses chains that take too long to solve or too much memory to keep. They are walked before
/// anything else is known of them, so a chain may lead nowhere or in a circle: then the compiler
/// refuses it, which names the nodes.
fn paths(document: &Document) -> Result<(), Fault> {
    let index = Index::new(document.nodes.iter().map(|node| node.id.0));
    let (mut all, mut reaching) = (0, 0);
    for anchor in &document.anchors {
        let steps = matches!(anchor.solver, Solver::DampedLeastSquares | Solver::Fabrik);
        let (mut at, mut walked) = (Some(anchor.end), 0);
        while let Some(id) = at.filter(|&id| id != anchor.base) {
            walked += 1;
            if walked > document.nodes.len() {
                return Ok(());
            }
            all += 1;
            reaching += usize::from(steps);
            if reaching > MOST_REACHING {
                let most = MOST_REACHING;
                return Err(Fault::new("anchors", Excess::Stepped { most }));
            }
            if all > MOST_PATHS {
                let most = MOST_PATHS;
                return Err(Fault::new("anchors", Excess::Chains { most }));
            }
            let place = index.get(id.0);
            at = place.and_then(|place| document.nodes[place].parent);
        }
    }
    Ok(())
}
