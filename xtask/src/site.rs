//! The static folder: wasm, glue, shell, styles, icons, lessons and service worker.
//!
//! Sources in `www/` name each other plainly; here every name that may be kept for ever gets its
//! content's hash, and every mention is changed with it. All addresses are relative, so the folder
//! works from any host and any sub-path.

use crate::workspace::{Workspace, run};
use crate::{budget, parts, preview, setup};
use anyhow::{Context, Result, bail, ensure};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::Write;
use std::path::{Path, PathBuf};
use wasm_bindgen_cli_support::Bindgen;

pub fn build(workspace: &Workspace, dev: bool) -> Result<PathBuf> {
    let www = workspace.root.join("www");
    let mut site = Site::default();
    app(workspace, dev, &mut site)?;
    let profile = if dev { "dev" } else { "worker" };
    whole(workspace, "worker", profile, &mut site)?;
    site.add_hashed(
        "survey.js",
        site.with_hashed_names(
            &read(&www.join("survey.js"))?,
            &["worker.js", "worker_bg.wasm"],
        )?
        .into_bytes(),
    )?;
    probe(workspace, if dev { "dev" } else { "web" })?;
    site.keep("icons", &www.join("icons"))?;
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

/// What tests ask of the core in a browser: a folder beside the site's, which no host is given.
fn probe(workspace: &Workspace, profile: &str) -> Result<()> {
    let mut probe = Site::default();
    whole(workspace, "probe", profile, &mut probe)?;
    let page = r#"<!doctype html>
<link rel="modulepreload" href="./probe.js">
<link rel="preload" href="./probe_bg.wasm" as="fetch" type="application/wasm" crossorigin>
"#;
    let page = probe.with_hashed_names(page, &["probe.js", "probe_bg.wasm"])?;
    probe.add("index.html", page.into_bytes());
    probe.write(&workspace.target.join("probe"), false)?;
    Ok(())
}

/// The app's main module and script, and the parts that these load when they are wanted.
fn app(workspace: &Workspace, dev: bool, site: &mut Site) -> Result<()> {
    let wasm = compile(workspace, "app", if dev { "dev" } else { "web" }, true)?;
    let parts = parts::split(&wasm, "app", &workspace.target.join("parts"), dev)?;
    site.add_hashed(
        "paint.js",
        read(&workspace.root.join("www/paint.js"))?.into_bytes(),
    )?;
    let mut links = parts.links;
    for (name, module) in parts.modules {
        site.add_hashed(&name, module)?;
        links = site.with_hashed_names(&links, &[&name])?;
    }
    let mut bindgen = bindgen(dev)?;
    bindgen.input_bytes("app", parts.main);
    // The parts find the main module's memory, table and stack by these.
    bindgen.keep_lld_exports(true).demangle(false);
    let mut output = bindgen.generate_output()?;
    site.add_hashed("app_bg.wasm", output.wasm_mut().emit_wasm())?;
    // wasm-bindgen's own quotes are single.
    let script = output.js().replace("'./paint.js'", "\"./paint.js\"");
    let script = site.with_hashed_names(&script, &["paint.js"])?;
    // Each of the two scripts imports the other, so both are named by the bytes of both.
    let scripts = [("app.js", script), (parts::LINKS, links)];
    let both = hash(&scripts);
    for (name, _) in &scripts {
        site.hashed
            .insert((*name).to_owned(), with_hash(name, &both)?);
    }
    for (name, mut text) in scripts {
        // Only where it is imported: the module knows the links by their plain name.
        for other in ["app.js", parts::LINKS] {
            let hashed = &site.hashed[other];
            text = text.replace(
                &format!("from \"./{other}\""),
                &format!("from \"./{hashed}\""),
            );
        }
        site.add(&site.hashed[name].clone(), text.into_bytes());
    }
    snippets(&output, site);
    Ok(())
}

/// A package as wasm, before wasm-bindgen; with its relocations if it will be taken apart.
fn compile(workspace: &Workspace, package: &str, profile: &str, apart: bool) -> Result<PathBuf> {
    let target = setup::wasm_target(workspace)?;
    let dev = profile == "dev";
    let mut command = workspace.cargo();
    command.args(["rustc", "-p", package, "--lib", "--target", target]);
    command.args(["--profile", profile]);
    if !dev {
        // Panics tell their place in the source; whose machine it lay on is nobody's business.
        let remap = |folder: PathBuf| format!("--remap-path-prefix={}=", folder.display());
        let mut flags: Vec<_> = workspace
            .private_folders()?
            .into_iter()
            .map(remap)
            .collect();
        // Leptos: one type for every view instead of one for each, which is less code to load.
        flags.push("--cfg=erase_components".into());
        command.env("CARGO_ENCODED_RUSTFLAGS", flags.join("\u{1f}"));
    }
    if apart {
        command.args(["--", "-Clink-arg=--emit-relocs"]);
    }
    run(&mut command)?;
    let folder = if dev { "debug" } else { profile };
    let wasm = workspace.target.join(target).join(folder);
    let wasm = wasm.join(package).with_extension("wasm");
    if !dev {
        anonymous(&fs::read(&wasm)?, &workspace.private_folders()?)?;
    }
    Ok(wasm)
}

/// Fails when what will be published names a folder of the machine it was built on.
fn anonymous(module: &[u8], private: &[PathBuf]) -> Result<()> {
    for folder in private {
        let name = folder.to_string_lossy();
        ensure!(
            !module
                .windows(name.len())
                .any(|part| part == name.as_bytes()),
            "the module holds the path {name}"
        );
    }
    Ok(())
}

/// A package's module in one piece, and its script.
fn whole(workspace: &Workspace, package: &str, profile: &str, site: &mut Site) -> Result<()> {
    let wasm = compile(workspace, package, profile, false)?;
    let mut output = bindgen(profile == "dev")?
        .input_path(wasm)
        .generate_output()?;
    snippets(&output, site);
    let script = output.js().as_bytes().to_vec();
    site.add_hashed(&format!("{package}.js"), script)?;
    site.add_hashed(&format!("{package}_bg.wasm"), output.wasm_mut().emit_wasm())
}

fn bindgen(dev: bool) -> Result<Bindgen> {
    let mut bindgen = Bindgen::new();
    bindgen
        .web(true)?
        .typescript(false)
        .keep_debug(dev)
        .remove_name_section(!dev)
        .remove_producers_section(!dev);
    Ok(bindgen)
}

/// Scripts that come with the glue: their folders carry a hash already, and the glue names them
/// by it.
fn snippets(output: &wasm_bindgen_cli_support::Output, site: &mut Site) {
    for (folder, texts) in output.snippets() {
        for (index, text) in texts.iter().enumerate() {
            site.add(
                &format!("snippets/{folder}/inline{index}.js"),
                text.clone().into_bytes(),
            );
        }
    }
    for (path, text) in output.local_modules() {
        site.add(&format!("snippets/{path}"), text.clone().into_bytes());
    }
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
            list.push((
                number,
                json!({ "file": name, "number": number, "title": title, "idea": lesson["idea"] }),
            ));
        }
        site.add(&format!("lessons/{name}"), bytes);
    }
    list.sort_by_key(|(number, _)| *number);
    let list: Vec<Value> = list.into_iter().map(|(_, entry)| entry).collect();
    site.add("lessons/index.json", serde_json::to_vec_pretty(&list)?);
    Ok(())
}

/// The folder's files by path, and the hashed name each plain name became.
#[derive(Default)]
struct Site {
    files: BTreeMap<String, Vec<u8>>,
    hashed: BTreeMap<String, String>,
}

impl Site {
    fn add(&mut self, path: &str, bytes: Vec<u8>) {
        self.files.insert(path.to_owned(), bytes);
    }

    /// A file whose name has a hash of its content already.
    fn add_lasting(&mut self, path: &str, bytes: Vec<u8>) {
        self.hashed.insert(path.to_owned(), path.to_owned());
        self.add(path, bytes);
    }

    fn add_hashed(&mut self, path: &str, bytes: Vec<u8>) -> Result<()> {
        let name = with_hash(path, &hash(&bytes))?;
        self.hashed.insert(path.to_owned(), name.clone());
        self.add(&name, bytes);
        Ok(())
    }

    fn keep(&mut self, prefix: &str, folder: &Path) -> Result<()> {
        for path in files(folder)? {
            self.add(
                &format!("{prefix}/{}", relative(&path, folder)?),
                fs::read(&path)?,
            );
        }
        Ok(())
    }

    /// The text with each `"./NAME"` changed to its hashed name. A name not found is a mistake.
    fn with_hashed_names(&self, text: &str, names: &[&str]) -> Result<String> {
        let mut text = text.to_owned();
        for name in names {
            let plain = format!("\"./{name}\"");
            ensure!(text.contains(&plain), "nothing in www/ mentions {plain}");
            text = text.replace(&plain, &format!("\"./{}\"", self.hashed[*name]));
        }
        Ok(text)
    }

    /// The worker with the list of what to keep for use without a network, and a version that
    /// changes when any of it does.
    fn service_worker(&self, source: &str) -> Result<String> {
        let lasting: Vec<&String> = self.hashed.values().collect();
        let fresh: Vec<&str> = (self.files.keys().filter(|path| !lasting.contains(path)))
            .map(|path| if path == "index.html" { "./" } else { path })
            .collect();
        let mut text = source.to_owned();
        let version = hash(&(&self.files, source));
        for (name, value) in [
            ("VERSION", json!(version)),
            ("LASTING", json!(lasting)),
            ("FRESH", json!(fresh)),
        ] {
            let slot = format!("__{name}__");
            ensure!(text.contains(&slot), "www/sw.js does not mention {slot}");
            text = text.replace(&slot, &value.to_string());
        }
        Ok(text)
    }

    /// Gives each file's path and its bytes by Brotli, if they are to be compressed.
    fn write(&self, folder: &Path, compress: bool) -> Result<Vec<(&str, usize)>> {
        let mut sizes = Vec::new();
        if folder.exists() {
            fs::remove_dir_all(folder)?;
        }
        for (name, bytes) in &self.files {
            let path = folder.join(name);
            fs::create_dir_all(path.parent().context("a file without a folder")?)?;
            fs::write(&path, bytes)?;
            if compress {
                let packed = brotli(bytes)?;
                fs::write(with_ending(&path, ".br"), &packed)?;
                sizes.push((name.as_str(), packed.len()));
                fs::write(with_ending(&path, ".gz"), gzip(bytes)?)?;
            }
        }
        Ok(sizes)
    }
}

fn brotli(bytes: &[u8]) -> Result<Vec<u8>> {
    let parameters = brotli::enc::BrotliEncoderParams {
        quality: 11,
        lgwin: 22,
        size_hint: bytes.len(),
        ..Default::default()
    };
    let mut packed = Vec::new();
    brotli::BrotliCompress(&mut &bytes[..], &mut packed, &parameters)?;
    Ok(packed)
}

fn gzip(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?)
}

fn hash(value: &impl Hash) -> String {
    let mut hasher = DefaultHasher::new();
    value.hash(&mut hasher);
    format!("{:016x}", hasher.finish())
}

fn with_hash(path: &str, hash: &str) -> Result<String> {
    let (stem, ending) = path
        .rsplit_once('.')
        .context("a hashed file needs an ending")?;
    Ok(format!("{stem}-{hash}.{ending}"))
}

fn with_ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    name.into()
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
