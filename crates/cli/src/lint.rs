//! `handstand lint`: checks files of every kind and names what is wrong with each.
use crate::{Bad, complain, input, say};
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
        let mut status = 0;
        for path in &self.files {
            match input::text(path) {
                Err(bad) => {
                    complain(&bad);
                    status = 2;
                }
                Ok(text) => {
                    if let Err(fault) = check(&text) {
                        say(&format!("{}: {fault}\n", input::shown(path)))?;
                        status = status.max(1);
                    }
                }
            }
        }
        Ok(ExitCode::from(status))
    }
}

fn check(text: &str) -> Result<(), String> {
    let value = rig::file::value(text).map_err(|fault| fault.to_string())?;
    let kind = |format: &str| format.split('/').next().map(str::to_owned);
    let format = value.get("format").and_then(|format| format.as_str());
    if format.and_then(kind) == kind(course::FORMAT) {
        let read = course::read_value(value).map(drop);
        read.map_err(|fault| fault.to_string())
    } else {
        let read = hand::read_value(value).map(drop);
        read.map_err(|fault| fault.to_string())
    }
}
