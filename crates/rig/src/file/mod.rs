//! `*.hand.json`: reading, writing, migrating. mm and degrees.
use crate::text::{line, quoted};
use crate::{Document, check};
use serde::Serialize;
use serde_json::Value;

pub mod bounds;
mod built;
mod convert;
mod form;
mod format;
mod json;
mod layout;

pub use bounds::{MOST_BYTES, MOST_NODES};
pub use form::form;
pub use json::value;

/// The newest format this build reads and the one it writes.
pub const FORMAT: &str = "handstand/1";

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

/// Reads a document, checking everything a later step relies on, cycles included.
///
/// # Errors
/// The first thing found wrong, with its place in the file and the mend.
pub fn read(text: &str) -> Result<Document, Fault> {
    read_value(&value(text)?)
}

/// Reads a document from JSON that [`value`] has read.
///
/// # Errors
/// As [`read`].
pub fn read_value(value: &Value) -> Result<Document, Fault> {
    known(value, FORMAT, "document")?;
    bounds::value(value)?;
    // In a field that may be left out, null is as if it were.
    if value.get("nodes").is_none() && value.get("hand").is_none_or(Value::is_null) {
        return Err(Fault {
            place: "the file".to_owned(),
            what: "it has no nodes".to_owned(),
            mend: "list its nodes, or give the hand that it is built from".to_owned(),
        });
    }
    let document = built::into_document(form(value)?)?;
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

/// Refuses a file of another format than this build's newest. An older one would be brought up
/// to it here, step by step.
///
/// # Errors
/// When it says no format, a newer one, or one that this build does not know.
pub fn known(value: &Value, format: &str, kind: &str) -> Result<(), Fault> {
    let fault = |what: String, mend: String| {
        let place = "format".to_owned();
        Err(Fault { place, what, mend })
    };
    let Some(given) = value.get("format").and_then(Value::as_str) else {
        return fault(
            format!("the file does not say that it is a Handstand {kind}"),
            format!("open one that begins with {{\"format\": \"{format}\""),
        );
    };
    if given == format {
        return Ok(());
    }
    // A version is written one way: neither '+2' nor '02' is one.
    let family = format.trim_end_matches(|c: char| c.is_ascii_digit());
    let version = given.strip_prefix(family).unwrap_or_default();
    if version.starts_with(|c: char| ('1'..='9').contains(&c))
        && version.chars().all(|c| c.is_ascii_digit())
    {
        return fault(
            format!("this file is format {given}; this build reads up to {format}"),
            "update Handstand, or save the file as an older format".to_owned(),
        );
    }
    fault(
        format!("{} is not a {kind}'s format", quoted(given)),
        format!("write \"{format}\", or open a file of that format"),
    )
}
