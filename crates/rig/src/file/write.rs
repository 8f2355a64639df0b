//! From a document to its file's text.
use super::{convert, format, layout};
use crate::Document;
use serde::Serialize;
use serde_json::Value;

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
