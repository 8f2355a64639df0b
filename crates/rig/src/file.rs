//! `*.hand.json`: reading, writing, migrating. mm and degrees.
use crate::Document;

/// The newest format this build reads and the one it writes.
pub const FORMAT: &str = "handstand/1";
/// More nodes than this are refused: no rig has them, and a page must not hang.
pub const MOST_NODES: usize = 20_000;

/// What is wrong with a file or document: where, and the mend. One sentence on screen through `Display`.
#[derive(Clone, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Fault { pub place: String, pub what: String, pub mend: String }

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result { let _ = f; todo!() }
}

/// Reads a document, checking everything a later step relies on, cycles included.
pub fn read(text: &str) -> Result<Document, Fault> { let _ = text; todo!() }
/// Writes it, pretty-printed, in document order.
pub fn write(document: &Document) -> String { let _ = document; todo!() }
/// The JSON Schema of the format.
pub fn schema() -> serde_json::Value { todo!() }
