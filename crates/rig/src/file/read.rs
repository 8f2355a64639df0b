//! From a file's text to its document.
use super::brief::Brief;
use super::hands::Hands;
use super::version::{FORMAT, known, migrated};
use super::{bounds, built, form, format, json};
use crate::fault::Content;
use crate::{Document, Fault, validate};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// Reads a document, checking everything a later step relies on, cycles included. One of which
/// only a hand's recipe is given is refused: that is built by who knows hands.
///
/// # Errors
/// The first thing found wrong, with its place in the file and the mend.
///
/// ```
/// let document = rig::read(
///     r#"{
///         "format": "handstand/2",
///         "nodes": [
///             {"name": "wrist", "kind": "joint", "translation": [0, 0, 0]},
///             {"name": "knuckle", "kind": "joint", "parent": "wrist", "translation": [90, 0, 0]}
///         ],
///         "dials": [{
///             "name": "turn", "unit": "deg", "min": -90, "max": 90,
///             "drives": [{"node": "wrist", "channel": "turn_z"}]
///         }]
///     }"#,
/// )?;
/// let mut posed = rig::Posed::new(&document)?;
/// posed.set_dial(document.dials[0].id, 30.0);
/// posed.evaluate();
/// let knuckle = document.node_named("knuckle").expect("it is listed");
/// assert!((posed.point(knuckle.id).y - 45.0).abs() < 1e-9); // mm: 90 · sin 30°
/// # Ok::<(), rig::Fault>(())
/// ```
pub fn read(text: &str) -> Result<Document, Fault> {
    read_value(json::value(text)?, None)
}

/// Reads a document from JSON that [`value`](json::value) has read, a hand's recipe by who knows hands.
///
/// # Errors
/// As [`read`].
pub fn read_value(value: Value, hands: Option<&Hands>) -> Result<Document, Fault> {
    let written: Written = form::form(&prepared(value)?)?;
    written.document(hands)
}

/// A document's file in the newest version's words: its format known, what it lists counted.
///
/// # Errors
/// When it is no document's file, of a version that this build does not read, or lists too much.
pub fn prepared(value: Value) -> Result<Value, Fault> {
    let version = known(&value, FORMAT, "document")?;
    bounds::value(&value)?;
    // In a field that may be left out, null is as if it were.
    if value.get("nodes").is_none() && value.get("hand").is_none_or(Value::is_null) {
        return Err(Fault::new("the file", Content::Empty));
    }
    migrated(value, version)
}

/// A document as its file has it: names for ids, a hand's recipe perhaps not built yet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Written(format::File<Brief>);

impl Written {
    /// The document, checked.
    ///
    /// # Errors
    /// The first thing found wrong.
    pub fn document(&self, hands: Option<&Hands>) -> Result<Document, Fault> {
        let mut document = built::into_document(self.0.clone(), hands)?;
        // The first version told parts by names alone.
        let told = document.nodes.iter().any(|node| node.part.is_some());
        if let Some(hands) = hands
            && document.hand.is_some()
            && !told
        {
            (hands.parts_by_name)(&mut document);
        }
        validate::document(&document)?;
        Ok(document)
    }
}
