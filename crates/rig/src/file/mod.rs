//! `*.hand.json`: reading, writing, migrating. mm and degrees.
use crate::{Document, check};
use serde::Serialize;
use serde_json::Value;

mod built;
mod convert;
mod form;
mod format;
mod layout;

pub use form::form;

/// The newest format this build reads and the one it writes.
pub const FORMAT: &str = "handstand/1";
/// The number in [`FORMAT`].
const VERSION: u64 = 1;
/// More nodes than this are refused: no rig has them, and a page must not hang.
pub const MOST_NODES: usize = 20_000;

/// More bytes than this are refused before anything is read of them.
pub const MOST_BYTES: usize = 16_000_000;

/// What is wrong with a file or document: where, and the mend. One sentence on screen through `Display`.
#[derive(Clone, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Fault {
    pub place: String,
    pub what: String,
    pub mend: String,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: {}; {}.", self.place, self.what, self.mend)
    }
}

impl std::error::Error for Fault {}

/// Reads a document, checking everything a later step relies on, cycles included.
///
/// # Errors
/// The first thing found wrong, with its place in the file and the mend.
pub fn read(text: &str) -> Result<Document, Fault> {
    let value = serde_json::from_str(text).map_err(|e| not_json(&e))?;
    let value = migrate(value)?;
    check::node_count(value["nodes"].as_array().map_or(0, Vec::len))?;
    if value.get("nodes").is_none() && value.get("hand").is_none() {
        return Err(Fault {
            place: "the document".to_owned(),
            what: "it has no nodes".to_owned(),
            mend: "list its nodes, or give the hand that it is built from".to_owned(),
        });
    }
    // Read from the value, not the text: the path then leads to a node whose name can be told.
    let file = form(&value).map_err(|(path, what)| {
        Fault {
            place: place(&value, &path),
            // serde speaks of Rust's types; a file has numbers.
            what: what.replace("expected f64", "expected a number"),
            mend: "correct it as the schema, hand.schema.json, describes".to_owned(),
        }
    })?;
    let document = built::into_document(file)?;
    check::document(&document)?;
    Ok(document)
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

/// The JSON Schema of the format.
pub fn schema() -> Value {
    schemars::schema_for!(format::File).to_value()
}

fn not_json(error: &serde_json::Error) -> Fault {
    let place = format!("line {}, column {}", error.line(), error.column());
    let (what, mend) = if error.is_eof() {
        (
            "the file ends in the middle".to_owned(),
            "copy it again, whole",
        )
    } else {
        // serde_json ends its message with the place, which is told already.
        let message = error.to_string();
        let message = message.split(" at line ").next().unwrap_or_default();
        if message == "number out of range" {
            (
                "a number is too large to be finite".to_owned(),
                "give it a smaller one",
            )
        } else {
            (
                format!("this is not JSON ({message})"),
                "mend it there, or open another file",
            )
        }
    };
    Fault {
        place,
        what,
        mend: mend.to_owned(),
    }
}

/// Brings a file of any format up to the newest, step by step.
fn migrate(value: Value) -> Result<Value, Fault> {
    let fault = |what: String, mend: &str| {
        Err(Fault {
            place: "format".to_owned(),
            what,
            mend: mend.to_owned(),
        })
    };
    let Some(format) = value.get("format").and_then(Value::as_str) else {
        return fault(
            "the file does not say that it is a Handstand document".to_owned(),
            "open one that begins with {\"format\": \"handstand/1\"",
        );
    };
    let version = format
        .strip_prefix("handstand/")
        .and_then(|v| v.parse::<u64>().ok());
    // Each older version gets an arm that lifts the value by one and goes round again.
    match version {
        Some(VERSION) => Ok(value),
        Some(newer) if newer > VERSION => fault(
            format!("this file is format {format}; this build reads up to {FORMAT}"),
            "update Handstand, or save the file as an older format",
        ),
        _ => fault(
            format!("'{format}' is not a format this build knows"),
            "open a file of format handstand/1",
        ),
    }
}

/// The path in words, with the name of the node, anchor or dial it leads into.
fn place(value: &Value, path: &serde_path_to_error::Path) -> String {
    use serde_path_to_error::Segment;
    let (mut told, mut at) = (String::new(), Some(value));
    for segment in path {
        match segment {
            Segment::Seq { index } => {
                told += &format!("[{index}]");
                at = at.and_then(|v| v.get(*index));
                if let Some(name) = at.and_then(|v| v.get("name")).and_then(Value::as_str) {
                    told += &format!(" '{name}'");
                }
            }
            Segment::Map { key } | Segment::Enum { variant: key } => {
                if !told.is_empty() {
                    told += if told.ends_with('\'') { " " } else { "." };
                }
                told += key;
                at = at.and_then(|v| v.get(key));
            }
            Segment::Unknown => {}
        }
    }
    if told.is_empty() {
        "the document".to_owned()
    } else {
        told
    }
}
