//! What a lesson says of a fault, in three rungs.
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::de::{Error, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;
use std::fmt::{self, Formatter};

/// How much of a fault is told: one rung more for each wrong try.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rung {
    /// Where it shows.
    Where,
    /// Which way it is off.
    Way,
    /// By how much.
    Number,
}

impl Rung {
    /// After so many wrong tries, this one counted.
    pub fn of(tries: u32) -> Self {
        match tries {
            0 | 1 => Self::Where,
            2 => Self::Way,
            _ => Self::Number,
        }
    }
}

/// A sentence with its numbers, and what is said before it is: in a file one text, or three in the
/// order of the [rungs](Rung).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Said {
    hints: Option<[String; 2]>,
    number: String,
}

impl Said {
    /// Where, which way, and the number.
    pub fn rungs(place: &str, way: &str, number: &str) -> Self {
        Self {
            hints: Some([place.into(), way.into()]),
            number: number.into(),
        }
    }

    /// The sentence of a rung; none of the first two where the lesson leaves them out.
    pub fn at(&self, rung: Rung) -> Option<&str> {
        match (rung, &self.hints) {
            (Rung::Number, _) => Some(&self.number),
            (_, None) => None,
            (rung, Some([place, way])) => Some(if rung == Rung::Where { place } else { way }),
        }
    }

    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.number.is_empty() && self.hints.is_none()
    }

    /// Every sentence there is.
    pub fn all(&self) -> impl Iterator<Item = &str> {
        let hints = self.hints.iter().flatten().map(String::as_str);
        hints.chain([self.number.as_str()])
    }
}

impl From<&str> for Said {
    fn from(number: &str) -> Self {
        Self {
            hints: None,
            number: number.into(),
        }
    }
}

impl Serialize for Said {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match &self.hints {
            None => self.number.serialize(to),
            Some([place, way]) => [place, way, &self.number].serialize(to),
        }
    }
}

impl<'de> Deserialize<'de> for Said {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Told;
        impl<'de> Visitor<'de> for Told {
            type Value = Said;

            fn expecting(&self, f: &mut Formatter<'_>) -> fmt::Result {
                f.write_str("a sentence, or three: where, which way, the number")
            }

            fn visit_str<E: Error>(self, text: &str) -> Result<Said, E> {
                Ok(text.into())
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Said, A::Error> {
                let mut next = |at| {
                    let text = seq.next_element::<String>()?;
                    text.ok_or_else(|| A::Error::invalid_length(at, &self))
                };
                let (place, way, number) = (next(0)?, next(1)?, next(2)?);
                match seq.next_element::<String>()? {
                    None => Ok(Said {
                        hints: Some([place, way]),
                        number,
                    }),
                    Some(_) => Err(A::Error::invalid_length(4, &self)),
                }
            }
        }
        from.deserialize_any(Told)
    }
}

impl JsonSchema for Said {
    fn schema_name() -> Cow<'static, str> {
        "Said".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        schemars::json_schema!({
            "description": "A sentence with its number; or three, of which one more is said with each wrong try: where the fault shows, which way it is off, the number.",
            "anyOf": [
                { "type": "string" },
                { "type": "array", "items": { "type": "string" }, "minItems": 3, "maxItems": 3 }
            ]
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_sentence_or_three() {
        let one: Said = serde_json::from_str("\"4 mm too high\"").expect("a sentence");
        assert_eq!(one.at(Rung::Where), None);
        assert_eq!(one.at(Rung::Number), Some("4 mm too high"));
        let text = r#"["the mark moves","too high","4 mm"]"#;
        let three: Said = serde_json::from_str(text).expect("three");
        let told = [Rung::Where, Rung::Way, Rung::Number].map(|rung| three.at(rung));
        assert_eq!(
            told,
            [Some("the mark moves"), Some("too high"), Some("4 mm")]
        );
        assert_eq!(serde_json::to_string(&three).expect("JSON"), text);
        for bad in ["[]", r#"["a","b"]"#, r#"["a","b","c","d"]"#, "3"] {
            serde_json::from_str::<Said>(bad).expect_err(bad);
        }
    }

    #[test]
    fn a_rung_more_for_each_try() {
        let rungs = [0, 1, 2, 3, 9].map(Rung::of);
        use Rung::*;
        assert_eq!(rungs, [Where, Where, Way, Number, Number]);
    }
}
