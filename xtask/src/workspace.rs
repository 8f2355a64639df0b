//! Where things are, and running other programs with failures that say what failed.

use anyhow::{Context, Result, bail};
use std::path::PathBuf;
use std::process::Command;

pub struct Workspace {
    pub root: PathBuf,
    /// Cargo's target folder; everything we generate goes in here.
    pub target: PathBuf,
}

impl Workspace {
    /// The workspace that the command was given in.
    pub fn find() -> Result<Workspace> {
        let text = output(cargo().args(["metadata", "--no-deps", "--format-version=1"]))?;
        let metadata: serde_json::Value = serde_json::from_str(&text)?;
        let path = |key: &str| {
            metadata[key]
                .as_str()
                .map(PathBuf::from)
                .with_context(|| format!("cargo metadata has no {key}"))
        };
        Ok(Workspace {
            root: path("workspace_root")?,
            target: path("target_directory")?,
        })
    }

    /// Folders of this machine whose paths must not get into what is published.
    pub fn private_folders(&self) -> Result<Vec<PathBuf>> {
        let home = std::env::var_os("HOME").map(PathBuf::from);
        let cargo = std::env::var_os("CARGO_HOME")
            .map(PathBuf::from)
            .or(home.map(|home| home.join(".cargo")))
            .context("neither CARGO_HOME nor HOME is set")?;
        Ok(vec![self.root.clone(), cargo])
    }

    /// Cargo, at the workspace's root.
    pub fn cargo(&self) -> Command {
        let mut command = cargo();
        command.current_dir(&self.root);
        command
    }

    /// The compiler that Cargo uses here.
    pub fn rustc(&self) -> Command {
        let mut command = Command::new(std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into()));
        command.current_dir(&self.root);
        command
    }
}

fn cargo() -> Command {
    Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
}

/// The command as a person would type it.
fn spelled(command: &Command) -> String {
    let program = std::path::Path::new(command.get_program())
        .file_name()
        .unwrap_or(command.get_program());
    std::iter::once(program)
        .chain(command.get_args())
        .map(|word| word.to_string_lossy())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Runs a command with its output shown; an exit status other than 0 is an error.
pub fn run(command: &mut Command) -> Result<()> {
    println!("$ {}", spelled(command));
    let status = command
        .status()
        .with_context(|| format!("could not start `{}`", spelled(command)))?;
    if !status.success() {
        bail!("`{}` failed ({status})", spelled(command));
    }
    Ok(())
}

/// Runs a command quietly and gives what it printed.
pub fn output(command: &mut Command) -> Result<String> {
    let output = command
        .output()
        .with_context(|| format!("could not start `{}`", spelled(command)))?;
    if !output.status.success() {
        bail!(
            "`{}` failed ({}):\n{}",
            spelled(command),
            output.status,
            String::from_utf8_lossy(&output.stderr)
        );
    }
    Ok(String::from_utf8(output.stdout)?)
}
