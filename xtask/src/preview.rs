//! The first figure and text of each place, which the page puts up before its module has come.

use crate::workspace::{Workspace, run};
use anyhow::{Context, Result, ensure};
use serde_json::json;
use std::fs;

/// The pieces by their path in the site, and `first.js`, which knows their names.
pub struct Pieces {
    pub files: Vec<(String, Vec<u8>)>,
    pub script: String,
}

/// Draws every place by the `preview` program. `hash` is of all pieces together, and `script` the
/// source of `first.js`.
///
/// # Errors
/// When a place cannot be drawn, or the script has no room for the names.
pub fn draw(
    workspace: &Workspace,
    script: &str,
    hash: impl Fn(&Vec<(String, Vec<u8>)>) -> String,
) -> Result<Pieces> {
    let folder = workspace.target.join("first");
    if folder.exists() {
        fs::remove_dir_all(&folder)?;
    }
    run(workspace
        .cargo()
        .args(["run", "--quiet", "-p", "preview", "--", "lessons"])
        .arg(&folder))?;
    let mut drawn = Vec::new();
    for entry in fs::read_dir(&folder)? {
        let path = entry?.path();
        let name = path.file_stem().context("a piece without a name")?;
        drawn.push((name.to_string_lossy().into_owned(), fs::read(&path)?));
    }
    drawn.sort();
    // One hash for all: the script then needs no list of hashes.
    let set = hash(&drawn);
    let places: Vec<_> = (drawn.iter())
        .filter_map(|(name, _)| name.strip_suffix("-wide"))
        .collect();
    let mut script = script.to_owned();
    for (slot, value) in [("__PLACES__", json!(places)), ("__SET__", json!(set))] {
        ensure!(
            script.contains(slot),
            "www/first.js does not mention {slot}"
        );
        script = script.replace(slot, &value.to_string());
    }
    let named = |(name, bytes)| (format!("first/{name}-{set}.html"), bytes);
    Ok(Pieces {
        files: drawn.into_iter().map(named).collect(),
        script,
    })
}
