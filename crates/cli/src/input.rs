//! What a command line gives: a document and dial settings.
use crate::Bad;
use clap::Args;
use rig::{Document, Posed};
use std::io::ErrorKind;
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
    pub fn read(&self) -> Result<(Document, Posed), Bad> {
        let file = self.document.display();
        let mut document =
            rig::read(&text(&self.document)?).map_err(|fault| format!("{file}: {fault}"))?;
        for setting in &self.dial {
            set_dial(&mut document, setting)
                .map_err(|bad| format!("{file}: --dial {setting}: {bad}"))?;
        }
        let posed = Posed::new(&document).map_err(|fault| format!("{file}: {fault}"))?;
        Ok((document, posed))
    }
}

/// A file's text.
pub fn text(path: &Path) -> Result<String, Bad> {
    std::fs::read_to_string(path).map_err(|error| {
        let (what, mend) = match error.kind() {
            ErrorKind::NotFound => ("there is no such file".to_owned(), "check its name"),
            ErrorKind::IsADirectory => ("this is a folder".to_owned(), "name a file in it"),
            ErrorKind::InvalidData => ("this is not text".to_owned(), "name a *.hand.json file"),
            _ => (
                format!("it cannot be read ({error})"),
                "see that you may read it",
            ),
        };
        format!("{}: {what}; {mend}.", path.display())
    })
}

fn set_dial(document: &mut Document, setting: &str) -> Result<(), Bad> {
    let Some((name, value)) = setting.rsplit_once('=') else {
        return Err("it has no '='; write NAME=VALUE.".to_owned());
    };
    let value = match value.trim().parse::<f64>() {
        Ok(value) if value.is_finite() => value,
        _ => {
            return Err(format!(
                "'{value}' is not a number; write one such as 12.5."
            ));
        }
    };
    let names: Vec<_> = document.dials.iter().map(|d| d.name.clone()).collect();
    let Some(dial) = document.dials.iter_mut().find(|d| d.name == name) else {
        let mend = match &names[..] {
            [] => "it has no dials, so leave this out".to_owned(),
            names => format!("use one of '{}'", names.join("', '")),
        };
        return Err(format!("the document has no dial named '{name}'; {mend}."));
    };
    // Clamping without a word would answer another question than the one asked.
    if value < dial.min || value > dial.max {
        let (min, max) = (dial.min, dial.max);
        return Err(format!(
            "{value} is outside the dial's limits; give {min} to {max}."
        ));
    }
    dial.value = value;
    Ok(())
}
