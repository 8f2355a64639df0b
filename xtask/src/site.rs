//! The static folder: wasm, glue, shell, styles, icons, lessons and service worker.
//!
//! Sources in `www/` name each other plainly; here every name that may be kept for ever gets its
//! content's hash, and every mention is changed with it. All addresses are relative, so the folder
//! works from any host and any sub-path.

use crate::folder::{Site, hash};
use crate::workspace::Workspace;
use crate::{budget, modules, parts, preview};
use anyhow::{Context, Result, bail};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};

pub fn build(workspace: &Workspace, dev: bool) -> Result<PathBuf> {
    let www = workspace.root.join("www");
    modules::compile_all(workspace, dev)?;
    let mut site = Site::default();
    site.add_hashed("paint.js", read(&www.join("paint.js"))?.into_bytes())?;
    modules::app(workspace, dev, &mut site)?;
    let profile = if dev { "dev" } else { "worker" };
    modules::whole(workspace, "worker", profile, &mut site)?;
    site.add_hashed(
        "survey.js",
        site.with_hashed_names(
            &read(&www.join("survey.js"))?,
            &["worker.js", "worker_bg.wasm"],
        )?
        .into_bytes(),
    )?;
    modules::probe(workspace, if dev { "dev" } else { "web" })?;
    for path in files(&www.join("icons"))? {
        let name = relative(&path, &www)?;
        site.add(&name, fs::read(&path)?);
    }
    site.add_hashed("styles.css", styles(&www)?.into_bytes())?;
    site.add_hashed(
        "boot.js",
        site.with_hashed_names(
            &read(&www.join("boot.js"))?,
            &["app.js", "app_bg.wasm", "survey.js"],
        )?
        .into_bytes(),
    )?;
    let first = preview::draw(workspace, &read(&www.join("first.js"))?, |drawn| {
        hash(drawn)
    })?;
    for (path, bytes) in first.files {
        site.add_lasting(&path, bytes);
    }
    let script =
        site.with_hashed_names(&first.script, &["split_hand.wasm", "split_sketch.wasm"])?;
    site.add_hashed("first.js", script.into_bytes())?;
    let page = site.with_hashed_names(
        &read(&www.join("index.html"))?,
        &[
            "first.js",
            "styles.css",
            "boot.js",
            "app.js",
            "paint.js",
            parts::LINKS,
            "app_bg.wasm",
        ],
    )?;
    site.add("index.html", page.clone().into_bytes());
    site.add(
        "manifest.webmanifest",
        fs::read(www.join("manifest.webmanifest"))?,
    );
    lessons(&workspace.root.join("lessons"), &mut site)?;
    let examples = workspace.root.join("examples");
    for path in files(&examples)? {
        site.add(
            &format!("examples/{}", relative(&path, &examples)?),
            fs::read(&path)?,
        );
    }
    // Last: it lists and hashes everything before it.
    let worker = site.service_worker(&read(&www.join("sw.js"))?)?;
    site.add("sw.js", worker.into_bytes());

    let folder = workspace.target.join("site");
    let sizes = site.write(&folder, !dev)?;
    if !dev {
        budget::check(&page, &sizes)?;
    }
    Ok(folder)
}

/// The shell's styles, then the app's with its imports put in place: one file, one request.
fn styles(www: &Path) -> Result<String> {
    let mut all = read(&www.join("shell.css"))?;
    let folder = www.join("styles");
    for line in read(&folder.join("app.css"))?.lines() {
        match line
            .strip_prefix("@import \"")
            .and_then(|rest| rest.strip_suffix("\";"))
        {
            Some(name) => all.push_str(&read(&folder.join(name))?),
            None => all.push_str(line),
        }
        all.push('\n');
    }
    Ok(all)
}

/// The lesson files and their documents as they are, and a list of the lessons in order.
fn lessons(folder: &Path, site: &mut Site) -> Result<()> {
    let mut list = Vec::new();
    for path in files(folder)? {
        let name = relative(&path, folder)?;
        let bytes = fs::read(&path)?;
        if !name.contains('/') && name.ends_with(".json") {
            let lesson: Value = serde_json::from_slice(&bytes)
                .with_context(|| format!("lessons/{name} is not JSON"))?;
            let (Some(number), Some(title)) = (lesson["number"].as_u64(), lesson["title"].as_str())
            else {
                bail!("lessons/{name} needs a \"number\" and a \"title\"");
            };
            // `06-zero.lesson.json` is addressed as `zero`.
            let stem = name.strip_suffix(".lesson.json");
            let Some((_, called)) = stem.and_then(|stem| stem.split_once('-')) else {
                bail!("lessons/{name} is not called NN-its-name.lesson.json");
            };
            list.push((
                number,
                json!({ "file": name, "name": called, "number": number, "title": title, "idea": lesson["idea"], "steps": lesson["steps"].as_array().map_or(0, Vec::len) }),
            ));
        }
        site.add(&format!("lessons/{name}"), bytes);
    }
    list.sort_by_key(|(number, _)| *number);
    let list: Vec<Value> = list.into_iter().map(|(_, entry)| entry).collect();
    site.add("lessons/index.json", serde_json::to_vec_pretty(&list)?);
    Ok(())
}

fn read(path: &Path) -> Result<String> {
    fs::read_to_string(path).with_context(|| format!("could not read {}", path.display()))
}

/// Every file under a folder, in a fixed order.
fn files(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in
        fs::read_dir(folder).with_context(|| format!("could not read {}", folder.display()))?
    {
        let path = entry?.path();
        if path.is_dir() {
            found.extend(files(&path)?);
        } else {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

/// The path below a folder, with forward slashes.
fn relative(path: &Path, folder: &Path) -> Result<String> {
    let parts: Vec<_> = path
        .strip_prefix(folder)?
        .iter()
        .map(|part| part.to_string_lossy())
        .collect();
    Ok(parts.join("/"))
}
