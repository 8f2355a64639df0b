//! The checks in order, the benchmarks and the pictures.

use crate::workspace::{Workspace, output, run};
use crate::{bench_counted, serve, setup, site};
use anyhow::{Result, bail, ensure};
use clap::ValueEnum;
use std::path::PathBuf;
use std::process::Command;
use std::time::Instant;

#[derive(Clone, Copy, PartialEq, ValueEnum)]
pub enum Step {
    /// cargo fmt --check
    Fmt,
    /// Clippy with warnings as errors, and the maths libraries' features
    Lint,
    /// Unit and property tests
    Unit,
    /// Checks against independent libraries in Python
    Reference,
    /// The site in headless Chromium, in part in Firefox and WebKit too
    Browser,
}

type Check = fn(&Workspace, &str) -> Result<()>;

const STEPS: [(Step, &str, Check); 5] = [
    (Step::Fmt, "format", format),
    (Step::Lint, "lint", lint),
    (Step::Unit, "unit and property tests", unit),
    (Step::Reference, "reference checks", reference),
    (Step::Browser, "browser tests", browser),
];

/// Runs every step even after one failed, so that one run shows all there is to mend.
pub fn test(workspace: &Workspace, only: Option<Step>, filter: &str) -> Result<()> {
    let mut failed = Vec::new();
    for (step, name, check) in STEPS {
        if only.is_some_and(|only| only != step) {
            continue;
        }
        println!("\n=== {name}");
        let start = Instant::now();
        match check(workspace, filter) {
            Ok(()) => println!("--- {name}: good ({} s)", start.elapsed().as_secs()),
            Err(error) => {
                println!(
                    "--- {name}: FAILED ({} s)\n{error:#}",
                    start.elapsed().as_secs()
                );
                failed.push(name);
            }
        }
    }
    ensure!(failed.is_empty(), "failed: {}", failed.join(", "));
    Ok(())
}

fn format(workspace: &Workspace, _: &str) -> Result<()> {
    run(workspace.cargo().args(["fmt", "--all", "--check"]))
}

fn lint(workspace: &Workspace, _: &str) -> Result<()> {
    let clippy = |selection: &[&str]| {
        run(workspace
            .cargo()
            .arg("clippy")
            .args(selection)
            .args(["--", "--deny", "warnings"]))
    };
    clippy(&["--workspace", "--exclude", "app", "--all-targets"])?;
    // Once is enough for the page, and where it runs.
    let wasm = setup::wasm_target(workspace)?;
    clippy(&["--package", "app", "--all-targets", "--target", wasm])?;
    one_maths_path(workspace, "app", Some(wasm))?;
    one_maths_path(workspace, "cli", None)
}

/// Bit-for-bit equality of native and wasm needs nalgebra without `std`, whose matrix products pick
/// their instructions at run time; one crate in the graph that asks for it turns it on for all.
fn one_maths_path(workspace: &Workspace, package: &str, target: Option<&str>) -> Result<()> {
    let mut command = workspace.cargo();
    command.args([
        "tree",
        "--package",
        package,
        "--edges",
        "normal,features",
        "--prefix",
        "none",
    ]);
    if let Some(target) = target {
        command.args(["--target", target]);
    }
    let tree = output(&mut command)?;
    ensure!(
        tree.contains("nalgebra feature \"libm-force\""),
        "{package} uses nalgebra without `libm-force`"
    );
    let banned = [
        "nalgebra feature \"std\"",
        "nalgebra feature \"default\"",
        "matrixmultiply ",
    ];
    let found: Vec<&str> = tree
        .lines()
        .filter(|line| banned.iter().any(|start| line.starts_with(start)))
        .collect();
    ensure!(
        found.is_empty(),
        "{package} has {} in its graph; `cargo tree -p {package} -e features -i nalgebra` shows who asks for it",
        found.join(", ")
    );
    Ok(())
}

fn unit(workspace: &Workspace, filter: &str) -> Result<()> {
    run(workspace.cargo().args(["test", "--no-fail-fast", filter]))
}

fn reference(workspace: &Workspace, filter: &str) -> Result<()> {
    let python = setup::python(workspace)?;
    let npm = setup::npm(workspace)?;
    run(workspace
        .cargo()
        .args(["test", "--package", "reference", filter])
        .env("HANDSTAND_PYTHON", python)
        .env("HANDSTAND_NPM", npm))
}

fn browser(workspace: &Workspace, filter: &str) -> Result<()> {
    let mut command = in_browser(
        workspace,
        &["test", "--package", "browser", "--no-fail-fast"],
    )?;
    command
        .env("HANDSTAND_FIREFOX", setup::firefox()?)
        .env("HANDSTAND_WEBKITDRIVER", setup::webkit_driver()?)
        .env("HANDSTAND_XVFB", setup::xvfb()?);
    // One at a time: tests that share two cores with another browser wait longer than they allow.
    run(command.args([filter, "--", "--test-threads=1"]))
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
pub enum Bench {
    /// The kinematic core beside its peers
    Native,
    /// The site in headless Chromium
    Browser,
    /// Instructions, by Valgrind
    Counted,
}

/// `update`: keeps the counts of instructions.
pub fn bench(workspace: &Workspace, only: Option<Bench>, update: bool) -> Result<()> {
    let wanted = |bench| only.is_none_or(|only| only == bench);
    if wanted(Bench::Native) {
        let python = setup::python(workspace)?;
        run(workspace
            .cargo()
            .args(["bench", "--package", "bench"])
            .env("HANDSTAND_PYTHON", python))?;
    }
    if wanted(Bench::Browser) {
        run(&mut in_browser(
            workspace,
            &["run", "--package", "browser", "--example", "bench"],
        )?)?;
    }
    if wanted(Bench::Counted) {
        bench_counted::run_counted(workspace, update)?;
    }
    Ok(())
}

pub fn shots(workspace: &Workspace, folder: Option<PathBuf>, only: &str) -> Result<()> {
    let folder = std::path::absolute(folder.unwrap_or_else(|| workspace.target.join("shots")))?;
    run(in_browser(
        workspace,
        &["run", "--package", "browser", "--example", "shots", "--"],
    )?
    .arg(&folder)
    .arg(only))?;
    println!("The pictures are in {}", folder.display());
    Ok(())
}

/// A cargo command with the site built and served and the browser's driver at hand.
fn in_browser(workspace: &Workspace, arguments: &[&str]) -> Result<Command> {
    let driver = setup::chromedriver()?;
    let axe = setup::npm(workspace)?.join("axe-core/axe.min.js");
    if !axe.exists() {
        bail!("axe-core's npm package has no axe.min.js");
    }
    let folder = site::build(workspace, false)?;
    let mut command = workspace.cargo();
    command
        .args(arguments)
        .env("HANDSTAND_CHROMEDRIVER", driver)
        .env("HANDSTAND_AXE", axe)
        // A failed expectation explains itself; panics keep their backtrace.
        .env("RUST_LIB_BACKTRACE", "0")
        .env("HANDSTAND_SITE_FOLDER", &folder)
        .env("HANDSTAND_SITE", serve::in_background(folder)?);
    Ok(command)
}
