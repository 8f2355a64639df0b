//! What the tasks need from outside Cargo, set up when missing.

use crate::workspace::{Workspace, output, run};
use anyhow::{Context, Result, bail};
use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

const WASM: &str = "wasm32-unknown-unknown";

/// The Rust target for the browser.
pub fn wasm_target(workspace: &Workspace) -> Result<&'static str> {
    // Not every Rust comes from rustup; the sysroot tells for all of them.
    let libraries = output(
        workspace
            .rustc()
            .args(["--print", "target-libdir", "--target", WASM]),
    )?;
    if !Path::new(libraries.trim()).exists() {
        run(Command::new("rustup").args(["target", "add", WASM]))
            .context("the browser build needs Rust's wasm32-unknown-unknown target")?;
    }
    Ok(WASM)
}

/// A Python with the reference libraries of `tests/reference/requirements.txt`.
pub fn python(workspace: &Workspace) -> Result<PathBuf> {
    let wanted = workspace.root.join("tests/reference/requirements.txt");
    let folder = workspace.target.join("python");
    let python = folder.join("bin/python");
    let stamp = folder.join("requirements.installed");
    if same(&wanted, &stamp) && python.exists() {
        return Ok(python);
    }
    let venv = || {
        run(Command::new("python3")
            .args(["-m", "venv", "--clear"])
            .arg(&folder))
    };
    if venv().is_err() {
        debian(&["python3", "python3-venv"])?;
        venv()?;
    }
    run(Command::new(&python)
        .args([
            "-m",
            "pip",
            "install",
            "--quiet",
            "--disable-pip-version-check",
            "--only-binary=:all:",
            "--requirement",
        ])
        .arg(&wanted))?;
    fs::copy(&wanted, &stamp)?;
    Ok(python)
}

/// The npm packages of `tests/package-lock.json`; gives their `node_modules`.
pub fn npm(workspace: &Workspace) -> Result<PathBuf> {
    let from = workspace.root.join("tests");
    let folder = workspace.target.join("npm");
    let modules = folder.join("node_modules");
    fs::create_dir_all(&folder)?;
    let lock = folder.join("package-lock.json");
    if same(&from.join("package-lock.json"), &lock) && modules.exists() {
        return Ok(modules);
    }
    if !answers("npm") {
        debian(&["nodejs", "npm"])?;
    }
    fs::copy(from.join("package.json"), folder.join("package.json"))?;
    fs::copy(from.join("package-lock.json"), &lock)?;
    let installed = run(Command::new("npm")
        .args(["ci", "--ignore-scripts", "--no-audit", "--no-fund"])
        .current_dir(&folder));
    if installed.is_err() {
        // Otherwise the copied lock would make the next run believe it was done.
        fs::remove_file(&lock)?;
    }
    installed.map(|()| modules)
}

/// The driver of an installed Chromium.
pub fn chromedriver() -> Result<PathBuf> {
    if let Some(given) = env::var_os("HANDSTAND_CHROMEDRIVER") {
        return Ok(given.into());
    }
    if !answers("chromedriver") || !answers("chromium") {
        debian(&["chromium", "chromium-driver", "fonts-dejavu-core"])?;
    }
    Ok("chromedriver".into())
}

/// An installed Firefox; it needs no driver.
pub fn firefox() -> Result<PathBuf> {
    installed("HANDSTAND_FIREFOX", "firefox-esr", &["firefox-esr"])
}

/// The driver of an installed WebKit.
pub fn webkit_driver() -> Result<PathBuf> {
    installed(
        "HANDSTAND_WEBKITDRIVER",
        "WebKitWebDriver",
        &["webkit2gtk-driver"],
    )
}

/// The screen that WebKit opens on: it has no way to run without one.
pub fn xvfb() -> Result<PathBuf> {
    installed("HANDSTAND_XVFB", "Xvfb", &["xvfb"])
}

/// Counts instructions.
pub fn valgrind() -> Result<PathBuf> {
    installed("HANDSTAND_VALGRIND", "valgrind", &["valgrind"])
}

/// What the variable names, else a program of that name, installed when it is missing.
fn installed(variable: &str, program: &str, packages: &[&str]) -> Result<PathBuf> {
    if let Some(given) = env::var_os(variable) {
        return Ok(given.into());
    }
    if !on_path(program) {
        debian(packages)?;
    }
    Ok(program.into())
}

/// Not every program can be asked for its version.
fn on_path(program: &str) -> bool {
    env::var_os("PATH")
        .is_some_and(|path| env::split_paths(&path).any(|folder| folder.join(program).is_file()))
}

fn answers(program: &str) -> bool {
    Command::new(program)
        .arg("--version")
        .output()
        .is_ok_and(|output| output.status.success())
}

fn same(a: &Path, b: &Path) -> bool {
    matches!((fs::read(a), fs::read(b)), (Ok(a), Ok(b)) if a == b)
}

/// Installs Debian packages as root; anyone else is told the command.
fn debian(packages: &[&str]) -> Result<()> {
    let root = output(Command::new("id").arg("-u")).is_ok_and(|id| id.trim() == "0");
    if !root || !answers("apt-get") {
        bail!(
            "please install these first: apt-get install --no-install-recommends {}",
            packages.join(" ")
        );
    }
    let apt = |arguments: &[&str]| {
        run(Command::new("apt-get")
            .env("DEBIAN_FRONTEND", "noninteractive")
            .args(arguments))
    };
    apt(&["update", "-qq"])?;
    apt(&[
        &["install", "-y", "-qq", "--no-install-recommends"],
        packages,
    ]
    .concat())
}
