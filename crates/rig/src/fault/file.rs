//! Files that cannot be read.
use super::Item;
use super::explain::{Explain, say};
use crate::text::quoted;
use std::fmt;

/// Why a text is no JSON.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Text {
    NotUtf8,
    /// Longer than so many bytes.
    TooLong {
        most: usize,
    },
    /// It goes on after so many values or objects.
    TooMany {
        most: usize,
        things: &'static str,
    },
    /// This field is given twice.
    Twice(String),
    EndsEarly,
    /// A number larger than any that is finite.
    TooLarge,
    /// What belongs there.
    NotJson(&'static str),
}

/// Why a format is not read.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Version {
    /// None is given where a file of this kind gives this one.
    Unsaid {
        kind: &'static str,
        format: &'static str,
    },
    Newer {
        given: String,
        newest: &'static str,
    },
    Unknown {
        given: String,
        kind: &'static str,
        format: &'static str,
    },
    /// A field that the first version had not.
    LaterField {
        format: &'static str,
    },
}

/// Too much for a rig.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Excess {
    Items {
        item: Item,
        count: usize,
        most: usize,
    },
    /// Drives of all dials together.
    Drives { count: usize, most: usize },
    Name {
        item: Item,
        name: String,
        characters: usize,
        most: usize,
    },
    /// Nodes on the chains that are solved step by step.
    Stepped { most: usize },
    /// Nodes on the chains of all anchors.
    Chains { most: usize },
}

/// Why a value is not of the form that its place has.
#[derive(Clone, Debug, PartialEq)]
pub enum Mismatch {
    /// Something else is wanted, in words.
    Type(Found, &'static str),
    /// One of these words is wanted.
    NotAWord(Found, &'static [&'static str]),
    /// None of these words.
    UnknownWord(String, &'static [&'static str]),
    /// None of these fields.
    UnknownField(String, &'static [&'static str]),
    /// It lacks this field.
    MissingField(&'static str),
    /// So many values, and how many are wanted, where that is one number.
    Length(usize, Option<usize>),
    /// What the form itself says of it.
    Form(String),
}

/// What stands in a file.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Found {
    Null,
    Flag(bool),
    Count(u64),
    Whole(i64),
    Number(f64),
    Text(String),
    List,
    Object,
    Word,
    Other,
}

/// Why what a file says makes no document.
#[derive(Clone, Debug, PartialEq)]
pub enum Content {
    /// Nothing of this kind has this name.
    Unknown(Item, String),
    /// `set` names no dial.
    UnknownSet(String),
    /// A drive says neither channel nor setting, or both.
    Aimless,
    /// A link says 'past' and 'from', or a softness without the first.
    TwoShares,
    /// Neither nodes nor a hand.
    Empty,
    /// A hand, and nobody here builds one.
    Unbuilt,
    /// A hand, and beside it what belongs to nodes.
    Nodeless,
}

impl Explain for Text {
    fn explain(&self) -> (String, String) {
        match self {
            Self::NotUtf8 => say(
                "this is not text, or not in UTF-8",
                "save it as UTF-8, or open another file",
            ),
            Self::TooLong { most } => say(
                format!(
                    "it has more than {} MB, which is the most that is read",
                    most / 1_000_000
                ),
                "split it, or leave out what is not part of the rig",
            ),
            Self::TooMany { most, things } => say(
                format!("the file goes on after {most} {things}, which is the most"),
                "leave out what is not part of the rig, or split it",
            ),
            Self::Twice(field) => say(
                format!("the field {} is given twice", quoted(field)),
                "keep one of the two",
            ),
            Self::EndsEarly => say(
                "the file ends in the middle, so this is not JSON",
                "copy it again, whole",
            ),
            Self::TooLarge => say(
                "a number is too large to be finite",
                "give it a smaller one",
            ),
            Self::NotJson(rule) => say(
                format!("this is not JSON ({rule})"),
                "mend it there, or open another file",
            ),
        }
    }
}

impl Explain for Version {
    fn explain(&self) -> (String, String) {
        match self {
            Self::Unsaid { kind, format } => say(
                format!("the file does not say that it is a Handstand {kind}"),
                format!("open one that begins with {{\"format\": \"{format}\""),
            ),
            Self::Newer { given, newest } => say(
                format!("this file is format {given}; this build reads up to {newest}"),
                "update Handstand, or save the file as an older format",
            ),
            Self::Unknown {
                given,
                kind,
                format,
            } => say(
                format!("{} is not a {kind}'s format", quoted(given)),
                format!("write \"{format}\", or open a file of that format"),
            ),
            Self::LaterField { format } => say(
                "the first version of the format has no such field",
                format!("leave it out, or write \"{format}\" as the format"),
            ),
        }
    }
}

impl Explain for Excess {
    fn explain(&self) -> (String, String) {
        let items = |count: &usize, things: String, most: &usize| {
            say(
                format!("there are {count} {things}, and {most} is the most"),
                "leave out what is not part of the rig, or split the document",
            )
        };
        match self {
            Self::Items { item, count, most } => items(count, format!("{item}s"), most),
            Self::Drives { count, most } => items(count, "drives in all".to_owned(), most),
            Self::Name {
                item,
                name,
                characters,
                most,
            } => say(
                format!(
                    "the {item}'s name {} has {characters} characters, and {most} is the most",
                    quoted(name)
                ),
                "shorten it",
            ),
            Self::Stepped { most } => say(
                format!(
                    "the chains that are solved step by step have more than {most} nodes in all, \
                     which takes too long"
                ),
                "anchor shorter chains, or choose another solver",
            ),
            Self::Chains { most } => say(
                format!(
                    "the chains of all anchors have more nodes than can be kept, and {most} nodes \
                     is the most"
                ),
                "anchor shorter chains, or fewer",
            ),
        }
    }
}

impl Explain for Mismatch {
    fn explain(&self) -> (String, String) {
        match self {
            Self::Type(found, wanted) => say(format!("this is {found}"), format!("write {wanted}")),
            Self::NotAWord(found, words) => say(
                format!("this is {found}"),
                format!("write one of {}", listed(words)),
            ),
            Self::UnknownWord(word, words) => say(
                format!("{} is not known here", quoted(word)),
                format!("write one of {}", listed(words)),
            ),
            Self::UnknownField(field, fields) => say(
                format!("there is no field {} here", quoted(field)),
                match fields {
                    [] => "leave it out".to_owned(),
                    fields => format!("use one of {}, or leave it out", listed(fields)),
                },
            ),
            Self::MissingField(field) => say(format!("it has no '{field}'"), "add it"),
            Self::Length(count, wanted) => {
                let values = if *count == 1 { "value" } else { "values" };
                let mend = match wanted {
                    Some(wanted) => format!("give it {wanted}"),
                    None => "give it as many as the schema in docs/schema says".to_owned(),
                };
                say(format!("it has {count} {values}"), mend)
            }
            Self::Form(said) => say(format!("what is here does not fit ({said})"), "write it so"),
        }
    }
}

/// The format's own words, all of them: they are few.
fn listed(words: &[&str]) -> String {
    let words: Vec<_> = words.iter().map(|word| format!("'{word}'")).collect();
    words.join(", ")
}

impl fmt::Display for Found {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Null => f.write_str("null"),
            Self::Flag(flag) => flag.fmt(f),
            Self::Count(number) => write!(f, "the number {number}"),
            Self::Whole(number) => write!(f, "the number {number}"),
            Self::Number(number) => write!(f, "the number {number:?}"),
            Self::Text(text) => write!(f, "the text {}", quoted(text)),
            Self::List => f.write_str("a list"),
            Self::Object => f.write_str("an object"),
            Self::Word => f.write_str("a word alone"),
            Self::Other => f.write_str("something else"),
        }
    }
}

impl Explain for Content {
    fn explain(&self) -> (String, String) {
        match self {
            Self::Unknown(item, name) => say(
                format!("there is no {item} named {}", quoted(name)),
                format!("name a {item} of this document, or add one of that name"),
            ),
            Self::UnknownSet(name) => say(
                format!("there is no dial named {}", quoted(name)),
                "name a dial of this document",
            ),
            Self::Aimless => say(
                "a drive does not say what it moves",
                "give it a node and a channel, or an anchor and a setting",
            ),
            Self::TwoShares => say(
                "a link passes on either all of a channel, or what is past a value, or what fades",
                "give it one of 'from', 'past' with its 'softness', and 'fades'",
            ),
            Self::Empty => say(
                "it has no nodes",
                "list its nodes, or give the hand that it is built from",
            ),
            Self::Unbuilt => say(
                "only a hand is given, and nobody here builds one",
                "list its nodes",
            ),
            Self::Nodeless => say(
                "anchors, dials or plants are listed, but no nodes",
                "list the nodes too, or leave all to be built from the hand",
            ),
        }
    }
}
