//! From a JSON value to a file's form. A deserializer of our own, so that what is wrong comes as
//! data with its place, and is said in the words of whoever writes the file.
use crate::Fault;
use crate::fault::{Found, Mismatch};
use crate::text::quoted;
use serde::de::value::MapAccessDeserializer;
use serde::de::{
    self, Deserialize, DeserializeSeed, Deserializer, Error, Expected, IntoDeserializer, MapAccess,
    SeqAccess, Unexpected, Visitor,
};
use serde_json::{Map, Value};
use std::fmt::{self, Display};
use std::iter::Enumerate;
use std::marker::PhantomData;

/// Reads a form.
///
/// # Errors
/// The first thing that does not fit, with its place and mend.
pub fn form<'a, T: Deserialize<'a>>(value: &'a Value) -> Result<T, Fault> {
    let path = Path::Whole;
    At { value, path }
        .read(PhantomData)
        .map_err(|wrong| *wrong.0)
}

/// The way to a value.
#[derive(Clone, Copy)]
enum Path<'a> {
    Whole,
    Item(&'a Path<'a>, usize, Option<&'a str>),
    Field(&'a Path<'a>, &'a str),
}

impl Path<'_> {
    /// In words, with the names of the nodes, anchors or dials it leads through.
    fn told(&self) -> String {
        match self {
            Path::Whole => "the file".to_owned(),
            Path::Item(list, at, name) => {
                let name = name.map_or(String::new(), |name| format!(" {}", quoted(name)));
                format!("{}[{at}]{name}", list.told())
            }
            Path::Field(Path::Whole, field) => (*field).to_owned(),
            Path::Field(Path::Item(_, _, Some(_)), field) => {
                format!("{} {field}", self.above().told())
            }
            Path::Field(_, field) => format!("{}.{field}", self.above().told()),
        }
    }

    fn above(&self) -> &Path<'_> {
        match self {
            Path::Whole => self,
            Path::Item(above, ..) | Path::Field(above, _) => above,
        }
    }
}

/// A value at its place.
#[derive(Clone, Copy)]
struct At<'de, 'p> {
    value: &'de Value,
    path: Path<'p>,
}

impl<'de> Deserializer<'de> for At<'de, '_> {
    type Error = Wrong;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        match self.value {
            Value::Null => visitor.visit_unit(),
            Value::Bool(flag) => visitor.visit_bool(*flag),
            Value::String(text) => visitor.visit_borrowed_str(text),
            Value::Number(_) => self.deserialize_f64(visitor),
            Value::Array(_) => self.deserialize_seq(visitor),
            Value::Object(_) => self.deserialize_map(visitor),
        }
    }

    // What serde asks for by its kind gets no other: `deserialize_any` would do, but every type
    // would be compiled with all its branches, which made a tenth of the page's module.

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        match self.value {
            Value::Number(number) => match (number.as_u64(), number.as_i64()) {
                (Some(number), _) => visitor.visit_u64(number),
                (None, Some(number)) => visitor.visit_i64(number),
                _ => visitor.visit_f64(number.as_f64().unwrap_or(f64::NAN)),
            },
            _ => self.is_no(&visitor),
        }
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        match self.value {
            Value::Bool(flag) => visitor.visit_bool(*flag),
            _ => self.is_no(&visitor),
        }
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        match self.value {
            Value::String(text) => visitor.visit_borrowed_str(text),
            _ => self.is_no(&visitor),
        }
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        let Value::Array(items) = self.value else {
            return self.is_no(&visitor);
        };
        let count = items.len();
        let mut items = Items {
            list: &self.path,
            items: items.iter().enumerate(),
        };
        let read = visitor.visit_seq(&mut items)?;
        match items.items.len() {
            0 => Ok(read),
            left => Err(Mismatch::Length(count, Some(count - left)).into()),
        }
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        match self.value {
            Value::Object(fields) => visitor.visit_map(self.fields(fields)),
            _ => self.is_no(&visitor),
        }
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, _: usize, visitor: V) -> Result<V::Value, Wrong> {
        self.deserialize_seq(visitor)
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        self.deserialize_str(visitor)
    }

    fn deserialize_u32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        self.deserialize_f64(visitor)
    }

    fn deserialize_u64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        self.deserialize_f64(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        match self.value {
            Value::Null => visitor.visit_none(),
            _ => visitor.visit_some(self),
        }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Wrong> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Wrong> {
        match self.value {
            Value::String(word) => visitor.visit_enum(word.as_str().into_deserializer()),
            Value::Object(fields) if fields.len() == 1 => {
                visitor.visit_enum(MapAccessDeserializer::new(self.fields(fields)))
            }
            other => Err(Mismatch::NotAWord(found(unexpected(other)), variants).into()),
        }
    }

    /// By name only: a list in their order would be taken too.
    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Wrong> {
        self.deserialize_map(visitor)
    }

    /// By its name only: serde would take its number in the list of variants too.
    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        match self.value {
            Value::String(word) => visitor.visit_borrowed_str(word),
            other => Err(Wrong::invalid_type(unexpected(other), &"a string")),
        }
    }

    serde::forward_to_deserialize_any! {
        i8 i16 i32 i64 i128 u8 u16 u128 f32 char bytes byte_buf unit unit_struct tuple_struct
        ignored_any
    }
}

impl<'de, 'p> At<'de, 'p> {
    fn fields<'a>(&'a self, fields: &'de Map<String, Value>) -> Fields<'de, 'a> {
        Fields {
            object: &self.path,
            fields: fields.iter(),
            value: None,
        }
    }

    /// Refuses what is here.
    fn is_no<T>(self, wanted: &dyn Expected) -> Result<T, Wrong> {
        Err(Wrong::invalid_type(unexpected(self.value), wanted))
    }

    /// Reads what is here, and says of a fault that it is here, unless it is deeper.
    fn read<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, Wrong> {
        seed.deserialize(self).map_err(|mut wrong| {
            if wrong.0.place.is_empty() {
                wrong.0.place = self.path.told();
            }
            wrong
        })
    }
}

/// A list, item by item.
struct Items<'de, 'p> {
    list: &'p Path<'p>,
    items: Enumerate<std::slice::Iter<'de, Value>>,
}

impl<'de> SeqAccess<'de> for Items<'de, '_> {
    type Error = Wrong;

    fn next_element_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Wrong> {
        let Some((at, value)) = self.items.next() else {
            return Ok(None);
        };
        let name = value.get("name").and_then(Value::as_str);
        let path = Path::Item(self.list, at, name);
        At { value, path }.read(seed).map(Some)
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.items.len())
    }
}

/// An object, field by field.
struct Fields<'de, 'p> {
    object: &'p Path<'p>,
    fields: serde_json::map::Iter<'de>,
    value: Option<At<'de, 'p>>,
}

impl<'de: 'p, 'p> MapAccess<'de> for Fields<'de, 'p> {
    type Error = Wrong;

    fn next_key_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Wrong> {
        let Some((name, value)) = self.fields.next() else {
            return Ok(None);
        };
        let path = Path::Field(self.object, name);
        self.value = Some(At { value, path });
        seed.deserialize(name.as_str().into_deserializer())
            .map(Some)
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, Wrong> {
        let value = self.value.take().expect("serde asks for the name first");
        value.read(seed)
    }
}

/// What does not fit; its place is empty until it is known. Boxed: it is handed up every level.
#[derive(Debug)]
struct Wrong(Box<Fault>);

impl From<Mismatch> for Wrong {
    fn from(kind: Mismatch) -> Self {
        Self(Box::new(Fault::new("", kind)))
    }
}

impl Display for Wrong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl std::error::Error for Wrong {}

impl de::Error for Wrong {
    /// Comes from the forms' own `expecting`.
    fn custom<T: Display>(said: T) -> Self {
        Mismatch::Form(said.to_string()).into()
    }

    fn invalid_type(unexpected: Unexpected, expected: &dyn Expected) -> Self {
        Mismatch::Type(found(unexpected), wanted(expected)).into()
    }

    fn invalid_value(unexpected: Unexpected, expected: &dyn Expected) -> Self {
        Self::invalid_type(unexpected, expected)
    }

    fn invalid_length(count: usize, expected: &dyn Expected) -> Self {
        let expected = expected.to_string();
        let number = |word: &str| word.parse().ok();
        Mismatch::Length(count, expected.split_whitespace().find_map(number)).into()
    }

    fn unknown_variant(variant: &str, expected: &'static [&'static str]) -> Self {
        Mismatch::UnknownWord(variant.to_owned(), expected).into()
    }

    fn unknown_field(field: &str, expected: &'static [&'static str]) -> Self {
        Mismatch::UnknownField(field.to_owned(), expected).into()
    }

    fn missing_field(field: &'static str) -> Self {
        Mismatch::MissingField(field).into()
    }
}

fn unexpected(value: &Value) -> Unexpected<'_> {
    match value {
        Value::Null => Unexpected::Unit,
        Value::Bool(flag) => Unexpected::Bool(*flag),
        Value::Number(number) => match (number.as_u64(), number.as_i64()) {
            (Some(number), _) => Unexpected::Unsigned(number),
            (None, Some(number)) => Unexpected::Signed(number),
            _ => Unexpected::Float(number.as_f64().unwrap_or(f64::NAN)),
        },
        Value::String(text) => Unexpected::Str(text),
        Value::Array(_) => Unexpected::Seq,
        Value::Object(_) => Unexpected::Map,
    }
}

fn found(unexpected: Unexpected) -> Found {
    match unexpected {
        Unexpected::Unit | Unexpected::Option => Found::Null,
        Unexpected::Bool(flag) => Found::Flag(flag),
        Unexpected::Unsigned(number) => Found::Count(number),
        Unexpected::Signed(number) => Found::Whole(number),
        Unexpected::Float(number) => Found::Number(number),
        Unexpected::Str(text) => Found::Text(text.to_owned()),
        Unexpected::Seq => Found::List,
        Unexpected::Map => Found::Object,
        Unexpected::UnitVariant => Found::Word,
        _ => Found::Other,
    }
}

/// What serde says it expects, as one would write it in a file.
fn wanted(expected: &dyn Expected) -> &'static str {
    let said = expected.to_string();
    let starts = |words: &[&str]| words.iter().any(|word| said.starts_with(word));
    match said.as_str() {
        "f64" => "a number",
        "u32" | "u64" | "usize" => "a whole number, 0 or more",
        "a string" | "a borrowed string" => "text in double quotes",
        "a boolean" => "true or false",
        "struct variant" | "newtype variant" => "it as a field's name, with what it needs after it",
        "unit" => "null, or its name alone",
        "a map" => "an object in braces",
        "a sequence" => "a list in brackets",
        _ if starts(&["struct", "internally tagged"]) => "an object in braces",
        _ if starts(&["an array", "a tuple", "tuple"]) => "a list of numbers in brackets",
        _ => "what the schema in docs/schema says",
    }
}
