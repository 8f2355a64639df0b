//! JSON text as a value: the standard (RFC 8259) and nothing beside it, and no field twice.
use super::bounds;
use crate::Fault;
use crate::fault::Text;
use bounds::{MOST_OBJECTS, MOST_VALUES};
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::error::Category;
use serde_json::{Map, Number, Value};
use std::cell::{Cell, RefCell};
use std::fmt;

/// Reads JSON. A byte-order mark is skipped: the standard leaves it to the reader, and whoever
/// has one in a file cannot see it, so could not follow a mend.
///
/// # Errors
/// When the text is too long, is not JSON, has more values than a document can need, or gives a
/// field twice.
pub fn value(text: &str) -> Result<Value, Fault> {
    bounds::bytes(text.len() as u64)?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let tally = Tally::default();
    let mut reader = serde_json::Deserializer::from_str(text);
    let read = Strict(&tally).deserialize(&mut reader);
    read.and_then(|value| reader.end().map(|()| value))
        .map_err(|error| not_json(text, &error, tally.refused.take()))
}

/// What has been built so far, and what was refused of it: serde_json's errors hold only text.
#[derive(Default)]
struct Tally {
    values: Cell<usize>,
    objects: Cell<usize>,
    refused: RefCell<Option<Text>>,
}

impl Tally {
    fn refuse<E: Error>(&self, why: Text) -> E {
        self.refused.replace(Some(why));
        E::custom("refused")
    }

    fn count<E: Error>(
        &self,
        so_far: &Cell<usize>,
        most: usize,
        things: &'static str,
    ) -> Result<(), E> {
        so_far.set(so_far.get() + 1);
        if so_far.get() <= most {
            return Ok(());
        }
        Err(self.refuse(Text::TooMany { most, things }))
    }
}

/// Builds a value, and stops where there is too much of it or a field comes twice.
#[derive(Clone, Copy)]
struct Strict<'a>(&'a Tally);

impl<'de> DeserializeSeed<'de> for Strict<'_> {
    type Value = Value;

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Value, D::Error> {
        self.0.count(&self.0.values, MOST_VALUES, "values")?;
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Strict<'_> {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("a value")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, flag: bool) -> Result<Value, E> {
        Ok(Value::Bool(flag))
    }

    fn visit_u64<E>(self, number: u64) -> Result<Value, E> {
        Ok(Value::Number(number.into()))
    }

    fn visit_i64<E>(self, number: i64) -> Result<Value, E> {
        Ok(Value::Number(number.into()))
    }

    fn visit_f64<E>(self, number: f64) -> Result<Value, E> {
        Ok(Number::from_f64(number).map_or(Value::Null, Value::Number))
    }

    fn visit_str<E>(self, text: &str) -> Result<Value, E> {
        Ok(Value::String(text.to_owned()))
    }

    fn visit_string<E>(self, text: String) -> Result<Value, E> {
        Ok(Value::String(text))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<Value, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = from.next_element_seed(self)? {
            items.push(item);
        }
        Ok(Value::Array(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<Value, A::Error> {
        self.0.count(&self.0.objects, MOST_OBJECTS, "objects")?;
        let mut fields = Map::new();
        while let Some(name) = from.next_key::<String>()? {
            if fields.contains_key(&name) {
                return Err(self.0.refuse(Text::Twice(name)));
            }
            fields.insert(name, from.next_value_seed(self)?);
        }
        Ok(Value::Object(fields))
    }
}

fn not_json(text: &str, error: &serde_json::Error, refused: Option<Text>) -> Fault {
    let kind = match (refused, error.classify()) {
        (Some(refused), _) => refused,
        (None, Category::Eof) => Text::EndsEarly,
        // serde_json ends its message with the place, which is told already.
        _ => plain(error.to_string().split(" at line ").next().unwrap_or("")),
    };
    Fault::new(place(text, error), kind)
}

/// Line and column as an editor counts them: serde_json's column is in bytes.
fn place(text: &str, error: &serde_json::Error) -> String {
    let line = text
        .split('\n')
        .nth(error.line().saturating_sub(1))
        .unwrap_or("");
    let before = line.bytes().take(error.column());
    let column = before.filter(|byte| byte & 0xc0 != 0x80).count();
    format!("line {}, column {column}", error.line())
}

/// What serde_json means, for someone who writes files and not parsers.
fn plain(said: &str) -> Text {
    Text::NotJson(match said {
        "number out of range" => return Text::TooLarge,
        "expected `:`" => "a ':' belongs between a field's name and its value",
        "expected `,` or `]`" => "a ',' or the list's closing ']' belongs here",
        "expected `,` or `}`" => "a ',' or the closing '}' belongs here",
        "key must be a string" | "expected `\"`" => "a field's name belongs in double quotes",
        "trailing comma" => "nothing follows the last ','",
        "trailing characters" => "the text goes on after its end",
        "invalid number" => "a number is digits, then perhaps a point and an exponent",
        "invalid escape" => "a backslash in text stands before one of \" \\ / b f n r t u",
        "recursion limit exceeded" => "its brackets are nested too deep",
        said if said.starts_with("control character") => {
            "text in quotes holds a line break or a control character"
        }
        said if said.contains("hex escape") || said.contains("code point") => {
            "a \\u in text needs four digits that make a character"
        }
        _ => "a number, true, false, null, a list, an object or text in double quotes belongs here",
    })
}
