//! `*.hand.json`: reading, writing, migrating. mm and degrees.
use crate::text::line;
use crate::{Document, check};
use recipe::Recipe;
use serde::{Deserialize, Serialize};
use serde_json::Value;

pub mod bounds;
mod brief;
mod built;
mod convert;
mod form;
mod format;
mod json;
mod layout;
mod version;

pub use bounds::{MOST_BYTES, MOST_NODES};
pub use form::form;
pub use json::value;
pub use version::known;

/// The newest format this build reads and the one it writes.
pub const FORMAT: &str = "handstand/2";

/// What is wrong with a file or document: where, and the mend. Through `Display` one sentence of
/// one line on screen, whatever the names in it hold.
#[derive(Clone, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Fault {
    pub place: String,
    pub what: String,
    pub mend: String,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let [place, what, mend] = [(&self.place, 120), (&self.what, 255), (&self.mend, 220)]
            .map(|(part, most)| line(part, most));
        write!(f, "{place}: {what}; {mend}.")
    }
}

impl std::error::Error for Fault {}

/// What reading asks of who knows hands, which this crate does not.
pub struct Hands {
    /// Builds what a recipe says.
    pub build: fn(&Recipe) -> Result<Document, Fault>,
    /// Gives nodes their parts and dials their roles by the names that they are built with: the
    /// first version of the format told them by names alone.
    pub parts_by_name: fn(&mut Document),
}

/// Reads a document, checking everything a later step relies on, cycles included. One of which
/// only a hand's recipe is given is refused: that is built by who knows hands.
///
/// # Errors
/// The first thing found wrong, with its place in the file and the mend.
pub fn read(text: &str) -> Result<Document, Fault> {
    read_value(value(text)?, None)
}

/// Reads a document from JSON that [`value`] has read, a hand's recipe by who knows hands.
///
/// # Errors
/// As [`read`].
pub fn read_value(value: Value, hands: Option<&Hands>) -> Result<Document, Fault> {
    let written: Written = form(&prepared(value)?)?;
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
        return Err(Fault {
            place: "the file".to_owned(),
            what: "it has no nodes".to_owned(),
            mend: "list its nodes, or give the hand that it is built from".to_owned(),
        });
    }
    version::migrated(value, version)
}

/// A document as its file has it: names for ids, a hand's recipe perhaps not built yet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Written(format::File<brief::Brief>);

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
        check::document(&document)?;
        Ok(document)
    }
}

/// Writes it, one node, anchor, dial or plant a line, in document order.
pub fn write(document: &Document) -> String {
    let mut bytes = Vec::new();
    let mut serializer =
        serde_json::Serializer::with_formatter(&mut bytes, layout::OneItemALine::default());
    convert::from_document(document)
        .serialize(&mut serializer)
        .expect("names and numbers always serialise");
    bytes.push(b'\n');
    String::from_utf8(bytes).expect("serde_json writes UTF-8")
}

/// Writes anything as people write JSON: whole numbers without a fraction, what fits in 112
/// columns on its line.
pub fn plainly(value: &impl Serialize) -> String {
    let mut bytes = Vec::new();
    let mut serializer = serde_json::Serializer::with_formatter(&mut bytes, layout::Plain);
    value
        .serialize(&mut serializer)
        .expect("names and numbers always serialise");
    let compact = String::from_utf8(bytes).expect("serde_json writes UTF-8");
    layout::within(112, &compact)
}

/// The JSON Schema of the format.
pub fn schema() -> Value {
    schemars::schema_for!(format::File).to_value()
}
