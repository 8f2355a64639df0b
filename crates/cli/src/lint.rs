//! `handstand lint`: checks files of every kind and names what is wrong with each.
use crate::{Bad, input, say};
use clap::Args;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Args)]
pub struct Lint {
    /// Documents and lessons
    #[arg(required = true)]
    files: Vec<PathBuf>,
}

impl Lint {
    pub fn run(&self) -> Result<ExitCode, Bad> {
        let mut good = true;
        for path in &self.files {
            let text = input::text(path)?;
            if let Err(fault) = check(&text) {
                good = false;
                say(&format!("{}: {fault}\n", path.display()))?;
            }
        }
        Ok(if good {
            ExitCode::SUCCESS
        } else {
            ExitCode::from(1)
        })
    }
}

fn check(text: &str) -> Result<(), rig::Fault> {
    let kind = course::FORMAT.split('/').next().unwrap_or_default();
    let value: Option<serde_json::Value> = serde_json::from_str(text).ok();
    let format = value
        .as_ref()
        .and_then(|v| v.get("format"))
        .and_then(|f| f.as_str());
    if format.is_some_and(|f| f.split('/').next() == Some(kind)) {
        course::read(text).map(drop)
    } else {
        rig::read(text).map(drop)
    }
}
