//! Numbers typed as a little arithmetic: `60/2`, `35+6`, `-10*1.5`, `(4+5)·2`. A comma is a decimal
//! one, since a value has no thousands.
use std::fmt::{self, Display, Formatter};

/// More than anybody types, characters: it also keeps brackets from going deep.
const MOST: usize = 200;

/// Why a text is no number.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// There is nothing.
    Empty,
    /// There is too much.
    Long,
    /// This is neither a number nor something to do with one.
    Unknown(String),
    /// After this a number should come.
    Missing(String),
    /// Nothing is between two numbers.
    Joined,
    /// A bracket is left open.
    Open,
    /// A bracket closes that none has opened.
    Closed,
    /// Something is divided by nothing.
    Zero,
    /// It comes to no number there is.
    Vast,
}

impl Display for Fault {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("there is no number; type one, such as 30 or 60/2"),
            Self::Long => write!(f, "that is longer than {MOST} characters; make it shorter"),
            Self::Unknown(what) => {
                write!(f, "‘{what}’ is no number; type one, such as 30 or 60/2")
            }
            Self::Missing(after) if after.is_empty() => {
                f.write_str("a number is missing; type one, such as 30 or 60/2")
            }
            Self::Missing(after) => write!(f, "a number is missing after ‘{after}’; add it"),
            Self::Joined => f.write_str("two numbers stand side by side; put + − × or / between"),
            Self::Open => f.write_str("a bracket is left open; close it with )"),
            Self::Closed => f.write_str("there is a ) too many; take it out"),
            Self::Zero => f.write_str("nothing can be divided by 0; divide by another number"),
            Self::Vast => f.write_str("that is greater than any number here; make it smaller"),
        }
    }
}

/// Whether a text asks for something to be worked out, rather than being a number by itself.
pub fn is_sum(text: &str) -> bool {
    let text = text.trim();
    let signs = |c: char| "+-−–*×·/÷:()".contains(c);
    text.chars().skip(1).any(signs) || text.starts_with('(')
}

/// What a text comes to.
///
/// # Errors
/// When it is no number, with the reason and the mend.
pub fn value(text: &str) -> Result<f64, Fault> {
    if text.chars().count() > MOST {
        return Err(Fault::Long);
    }
    let mut rest = Rest {
        marks: marks(text)?,
        at: 0,
    };
    if rest.marks.is_empty() {
        return Err(Fault::Empty);
    }
    let value = rest.sum()?;
    match rest.marks.get(rest.at) {
        None if value.is_finite() => Ok(value + 0.0),
        None => Err(Fault::Vast),
        Some(Mark::Sign(')')) => Err(Fault::Closed),
        Some(_) => Err(Fault::Joined),
    }
}

/// A number, or one of `+-*/()`.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Mark {
    Number(f64),
    Sign(char),
}

fn marks(text: &str) -> Result<Vec<Mark>, Fault> {
    let all: Vec<char> = text.chars().collect();
    let (mut found, mut at) = (Vec::new(), 0);
    while let Some(&c) = all.get(at) {
        let sign = match c {
            '+' | '/' | '*' | '(' | ')' | '-' => Some(c),
            '−' | '–' => Some('-'),
            '×' | '·' => Some('*'),
            '÷' | ':' => Some('/'),
            _ => None,
        };
        let digit = |c: &char| c.is_ascii_digit() || matches!(c, '.' | ',');
        if let Some(sign) = sign {
            found.push(Mark::Sign(sign));
            at += 1;
        } else if c.is_whitespace() {
            at += 1;
        } else {
            // What is no number is told as a whole.
            let part = |c: &char| digit(c) || (!digit(&all[at]) && c.is_alphanumeric());
            let long = all[at..].iter().take_while(|c| part(c)).count().max(1);
            let word: String = all[at..at + long].iter().collect();
            let number = word.replace(',', ".").parse();
            let number = number.ok().filter(|_| digit(&c));
            found.push(Mark::Number(number.ok_or(Fault::Unknown(word))?));
            at += long;
        }
    }
    Ok(found)
}

/// What is still to be read.
struct Rest {
    marks: Vec<Mark>,
    at: usize,
}

impl Rest {
    /// Takes the next sign if it is one of these.
    fn sign(&mut self, wanted: &str) -> Option<char> {
        match self.marks.get(self.at) {
            Some(&Mark::Sign(sign)) if wanted.contains(sign) => {
                self.at += 1;
                Some(sign)
            }
            _ => None,
        }
    }

    fn sum(&mut self) -> Result<f64, Fault> {
        let mut value = self.product()?;
        while let Some(sign) = self.sign("+-") {
            let other = self.product()?;
            value = if sign == '+' {
                value + other
            } else {
                value - other
            };
        }
        Ok(value)
    }

    fn product(&mut self) -> Result<f64, Fault> {
        let mut value = self.factor()?;
        while let Some(sign) = self.sign("*/") {
            let other = self.factor()?;
            if sign == '/' && other == 0.0 {
                return Err(Fault::Zero);
            }
            value = if sign == '*' {
                value * other
            } else {
                value / other
            };
        }
        Ok(value)
    }

    fn factor(&mut self) -> Result<f64, Fault> {
        if let Some(sign) = self.sign("+-") {
            let value = self.factor()?;
            return Ok(if sign == '-' { -value } else { value });
        }
        if self.sign("(").is_some() {
            let value = self.sum()?;
            return match self.sign(")") {
                Some(_) => Ok(value),
                None if self.at < self.marks.len() => Err(Fault::Joined),
                None => Err(Fault::Open),
            };
        }
        match self.marks.get(self.at) {
            Some(&Mark::Number(value)) => {
                self.at += 1;
                Ok(value)
            }
            Some(Mark::Sign(')')) if self.at == 0 => Err(Fault::Closed),
            _ => Err(Fault::Missing(match self.marks[..self.at].last() {
                Some(Mark::Sign(sign)) => sign.to_string(),
                _ => String::new(),
            })),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_come_to_what_they_should() {
        for (text, expected) in [
            ("60/2", 30.0),
            ("35+6", 41.0),
            ("-10*1.5", -15.0),
            ("  12,5 ", 12.5),
            ("2 × (3 − 1)", 4.0),
            ("-(2+3)/2", -2.5),
            ("8-3-2", 3.0),
            ("8/4/2", 1.0),
            ("2--3", 5.0),
            (".5", 0.5),
            ("7.", 7.0),
            ("100÷8", 12.5),
        ] {
            assert_eq!(value(text), Ok(expected), "{text}");
        }
        // Nothing has a sign.
        assert!(value("-0").unwrap().is_sign_positive());
    }

    #[test]
    fn nonsense_is_told_with_its_mend() {
        for (text, fault) in [
            ("", Fault::Empty),
            ("   ", Fault::Empty),
            ("abc", Fault::Unknown("abc".into())),
            ("30deg", Fault::Unknown("deg".into())),
            ("1.2.3", Fault::Unknown("1.2.3".into())),
            ("1e5", Fault::Unknown("e5".into())),
            ("NaN", Fault::Unknown("NaN".into())),
            ("inf", Fault::Unknown("inf".into())),
            ("4+", Fault::Missing("+".into())),
            ("*4", Fault::Missing(String::new())),
            ("3 4", Fault::Joined),
            ("2(3)", Fault::Joined),
            ("(2+3", Fault::Open),
            ("2+3)", Fault::Closed),
            (")", Fault::Closed),
            ("()", Fault::Missing("(".into())),
            ("1/0", Fault::Zero),
            ("1/(2-2)", Fault::Zero),
            (&"9".repeat(MOST + 1), Fault::Long),
        ] {
            assert_eq!(value(text), Err(fault.clone()), "{text}");
            let told = fault.to_string();
            assert!(told.len() > 20 && told.contains("; "), "{told}");
        }
        let vast = format!("{0}*{0}", "9".repeat(90));
        assert!(value(&vast).is_ok());
        let vast = format!("{0}*{0}*{0}*{0}", "9".repeat(49));
        assert!(value(&vast).is_ok());
        assert_eq!(value(&"(".repeat(MOST)), Err(Fault::Missing("(".into())));
    }

    #[test]
    fn a_sum_is_told_from_a_number() {
        for text in ["60/2", "(3)", "1-2", "--3"] {
            assert!(is_sum(text), "{text}");
        }
        for text in ["60", "-3,5", "", "+4"] {
            assert!(!is_sum(text), "{text}");
        }
    }
}
