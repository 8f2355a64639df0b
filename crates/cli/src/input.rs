//! What a command line gives: a document and dial settings.
use crate::answer::Bad;
use clap::Args;
use rig::file::bounds;
use rig::text::{choices, line, quoted};
use rig::{Document, Fault, Posed};
use std::fs::File;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// A document, posed.
#[derive(Args)]
pub struct Input {
    /// The document, a *.hand.json file
    document: PathBuf,
    /// Sets a dial, in its unit; may be given again for another
    #[arg(long, value_name = "NAME=VALUE", allow_hyphen_values = true)]
    dial: Vec<String>,
}

impl Input {
    /// Reads the document, turns its dials and evaluates it.
    pub fn read(&self) -> Result<Posed, Bad> {
        let file = self.file();
        let mut document =
            hand::read(&text(&self.document)?).map_err(|fault| format!("{file}: {fault}"))?;
        for setting in &self.dial {
            set_dial(&mut document, setting)
                .map_err(|bad| format!("{file}: --dial {}: {bad}", line(setting, WORD)))?;
        }
        Posed::new(&document).map_err(|fault| format!("{file}: {fault}"))
    }

    /// Where the document is.
    pub fn path(&self) -> &Path {
        &self.document
    }

    /// The same as messages name it.
    pub fn file(&self) -> String {
        shown(&self.document)
    }
}

/// Most characters of a path in a message, and of one word of the command line.
const PATH: usize = 200;
pub const WORD: usize = 80;

/// A path as messages name it.
pub fn shown(path: &Path) -> String {
    line(&path.to_string_lossy(), PATH)
}

/// A file's text. What is too long is refused by its length, or, where it has none (a pipe), as
/// soon as too much has come.
pub fn text(path: &Path) -> Result<String, Bad> {
    let unread = |error: io::Error| {
        let (what, mend) = match error.kind() {
            ErrorKind::NotFound => ("there is no such file".to_owned(), "check its name"),
            ErrorKind::IsADirectory => ("this is a folder".to_owned(), "name a file in it"),
            _ => (
                format!("it cannot be read ({error})"),
                "see that you may read it",
            ),
        };
        format!("{}: {what}; {mend}.", shown(path))
    };
    let told = |fault: Fault| format!("{}: {fault}", shown(path));
    let file = File::open(path).map_err(unread)?;
    bounds::bytes(file.metadata().map_err(unread)?.len()).map_err(told)?;
    bounds::text(bounds::content(file).map_err(unread)?).map_err(told)
}

fn set_dial(document: &mut Document, setting: &str) -> Result<(), Bad> {
    let Some((name, value)) = setting.rsplit_once('=') else {
        return Err("it has no '='; write NAME=VALUE.".to_owned());
    };
    let value = match value.trim().parse::<f64>() {
        Ok(value) if value.is_finite() => value,
        _ => {
            return Err(format!(
                "{} is not a number; write one such as 12.5.",
                quoted(value)
            ));
        }
    };
    let Some(at) = document.dials.iter().position(|d| d.name == name) else {
        return Err(no_dial(
            document,
            name,
            "it has no dials, so leave this out",
        ));
    };
    let dial = &document.dials[at];
    // Clamping without a word would answer another question than the one asked.
    if value < dial.min || value > dial.max {
        let (min, max) = (dial.min, dial.max);
        return Err(format!(
            "{value} is outside the dial's limits; give {min} to {max}."
        ));
    }
    document.setting.dials[at] = value;
    Ok(())
}

/// Says that there is no such dial, and which there are.
pub fn no_dial(document: &Document, name: &str, none: &str) -> Bad {
    let mend = match &document.dials[..] {
        [] => none.to_owned(),
        dials => format!(
            "use one of {}",
            choices(dials.iter().map(|d| d.name.as_str()))
        ),
    };
    format!("the document has no dial named {}; {mend}.", quoted(name))
}
