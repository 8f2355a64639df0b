//! How a file is laid out: one item a line, so that people can read it and line-based tools can
//! compare two.
use serde_json::ser::Formatter;
use std::io::{Result, Write};

/// The document is one object that holds lists: both open up, everything deeper stays on its line.
#[derive(Default)]
pub struct OneItemALine {
    depth: usize,
}

const OPEN: usize = 2;

impl OneItemALine {
    fn begin<W: ?Sized + Write>(&mut self, writer: &mut W, bracket: &[u8]) -> Result<()> {
        self.depth += 1;
        writer.write_all(bracket)
    }

    fn end<W: ?Sized + Write>(&mut self, writer: &mut W, bracket: &[u8]) -> Result<()> {
        self.depth -= 1;
        if self.depth < OPEN {
            self.new_line(writer)?;
        }
        writer.write_all(bracket)
    }

    fn item<W: ?Sized + Write>(&mut self, writer: &mut W, first: bool) -> Result<()> {
        let open = self.depth <= OPEN;
        writer.write_all(match (first, open) {
            (true, _) => b"",
            (false, true) => b",",
            (false, false) => b", ",
        })?;
        if open { self.new_line(writer) } else { Ok(()) }
    }

    fn new_line<W: ?Sized + Write>(&self, writer: &mut W) -> Result<()> {
        writer.write_all(b"\n")?;
        (0..self.depth).try_for_each(|_| writer.write_all(b"  "))
    }
}

impl Formatter for OneItemALine {
    fn begin_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.begin(writer, b"[")
    }

    fn end_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.end(writer, b"]")
    }

    fn begin_array_value<W: ?Sized + Write>(&mut self, writer: &mut W, first: bool) -> Result<()> {
        self.item(writer, first)
    }

    fn begin_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.begin(writer, b"{")
    }

    fn end_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.end(writer, b"}")
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, writer: &mut W, first: bool) -> Result<()> {
        self.item(writer, first)
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        writer.write_all(b": ")
    }
}

/// Lays JSON out as people write it: what fits in so many columns stays on its line, the rest
/// opens up, two more columns a level. `compact` is JSON without any white space of its own.
pub fn within(columns: usize, compact: &str) -> String {
    let mut laid = String::with_capacity(2 * compact.len());
    lay(&mut laid, compact, 0, 0, columns);
    laid.push('\n');
    laid
}

/// Lays one value out; the line has `used` columns already, and `after` of them follow it.
fn lay(laid: &mut String, value: &str, depth: usize, after: usize, columns: usize) {
    let at = laid.rfind('\n').map_or(0, |line| line + 1);
    let used = laid[at..].chars().count();
    let flat = spaced(value);
    let opens = value.starts_with(['[', '{']) && value.len() > 2;
    if !opens || used + flat.chars().count() + after <= columns {
        laid.push_str(&flat);
        return;
    }
    laid.push_str(&value[..1]);
    let items = items(&value[1..value.len() - 1]);
    for (at, item) in items.iter().enumerate() {
        laid.push('\n');
        laid.push_str(&"  ".repeat(depth + 1));
        let comma = usize::from(at + 1 < items.len());
        match item.split_at_checked(key(item)) {
            Some((key, value)) if !key.is_empty() => {
                laid.push_str(key);
                laid.push(' ');
                lay(laid, value, depth + 1, comma, columns);
            }
            _ => lay(laid, item, depth + 1, comma, columns),
        }
        laid.push_str(&","[..comma]);
    }
    laid.push('\n');
    laid.push_str(&"  ".repeat(depth));
    laid.push_str(&value[value.len() - 1..]);
}

/// Length of an object's key with its colon at the start of an item; 0: it has none.
fn key(item: &str) -> usize {
    if !item.starts_with('"') {
        return 0;
    }
    let end = 1 + quoted(&item[1..]);
    if item[end..].starts_with(':') {
        end + 1
    } else {
        0
    }
}

/// Length of the rest of a string, its closing quote included.
fn quoted(text: &str) -> usize {
    let mut escaped = false;
    for (at, letter) in text.bytes().enumerate() {
        match letter {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            b'"' => return at + 1,
            _ => {}
        }
    }
    text.len()
}

/// What is listed between brackets.
fn items(inner: &str) -> Vec<&str> {
    let (mut items, mut from, mut at, mut depth) = (Vec::new(), 0, 0, 0_usize);
    let bytes = inner.as_bytes();
    while at < bytes.len() {
        match bytes[at] {
            b'"' => at += quoted(&inner[at + 1..]),
            b'[' | b'{' => depth += 1,
            b']' | b'}' => depth -= 1,
            b',' if depth == 0 => {
                items.push(&inner[from..at]);
                from = at + 1;
            }
            _ => {}
        }
        at += 1;
    }
    items.push(&inner[from..]);
    items
}

/// On one line: a space after commas and colons outside strings.
fn spaced(compact: &str) -> String {
    let mut spaced = String::with_capacity(compact.len() + compact.len() / 8);
    let mut at = 0;
    while at < compact.len() {
        let letter = compact.as_bytes()[at];
        let end = at
            + 1
            + if letter == b'"' {
                quoted(&compact[at + 1..])
            } else {
                0
            };
        spaced.push_str(&compact[at..end]);
        if matches!(letter, b',' | b':') {
            spaced.push(' ');
        }
        at = end;
    }
    spaced
}

/// Whole numbers without a fraction, as people write them.
pub struct Plain;

impl Formatter for Plain {
    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> Result<()> {
        const EXACT: f64 = 9e15;
        let whole = libm::trunc(value) == value && libm::fabs(value) < EXACT;
        if whole && value.to_bits() != (-0.0_f64).to_bits() {
            write!(writer, "{}", value as i64)
        } else {
            writer.write_all(serde_json::to_string(&value)?.as_bytes())
        }
    }
}
