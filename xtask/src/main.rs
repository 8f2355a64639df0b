//! `cargo xtask`: build, serve, test, measure and photograph the sandbox.
//!
//! Every command sets up what it needs (the wasm target, a Python environment, npm packages,
//! Chromium), so that a fresh machine with Rust, Python 3 and Node is enough.

mod bench_counted;
mod budget;
mod checks;
mod folder;
mod modules;
mod parts;
mod preview;
mod serve;
mod setup;
mod site;
mod workspace;

use anyhow::Result;
use clap::{Parser, Subcommand};
use std::path::PathBuf;
use std::process::ExitCode;
use workspace::Workspace;

#[derive(Parser)]
#[command(
    name = "cargo xtask",
    about = "Build, serve, test and measure the sandbox"
)]
struct Arguments {
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// Write the static folder target/site, ready for any host and any sub-path
    Build {
        /// Unoptimised, with symbols, not compressed: quick to rebuild
        #[arg(long)]
        dev: bool,
    },
    /// Build, then serve on this machine
    Run {
        /// The port to serve on; without it, 8000 or the next free one
        #[arg(long)]
        port: Option<u16>,
        /// Unoptimised, with symbols, not compressed: quick to rebuild
        #[arg(long)]
        dev: bool,
    },
    /// Format, lint, unit and property tests, reference checks, browser tests
    Test {
        /// Only this step
        #[arg(long)]
        only: Option<checks::Step>,
        /// Only the tests whose name contains this
        #[arg(long, default_value = "")]
        filter: String,
    },
    /// Criterion benchmarks, the browser's, and instructions counted
    Bench {
        /// Only these
        #[arg(long)]
        only: Option<checks::Bench>,
        /// Keep the counts of instructions in docs/counted.md
        #[arg(long)]
        update: bool,
    },
    /// Photograph every screen at three sizes in both looks
    Shots {
        /// Where to put the pictures; target/shots by default
        folder: Option<PathBuf>,
        /// Only pictures whose name contains this
        #[arg(long, default_value = "")]
        only: String,
    },
}

fn main() -> ExitCode {
    match carry_out(Arguments::parse().task) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn carry_out(task: Task) -> Result<()> {
    let workspace = Workspace::find()?;
    match task {
        Task::Build { dev } => {
            let site = site::build(&workspace, dev)?;
            println!("The site is in {}", site.display());
            Ok(())
        }
        Task::Run { port, dev } => serve::run(site::build(&workspace, dev)?, port),
        Task::Test { only, filter } => checks::test(&workspace, only, &filter),
        Task::Bench { only, update } => checks::bench(&workspace, only, update),
        Task::Shots { folder, only } => checks::shots(&workspace, folder, &only),
    }
}
