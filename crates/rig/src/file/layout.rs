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
