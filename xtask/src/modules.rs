//! The wasm modules and their scripts: compiled by Cargo, taken apart where that saves a page from
//! loading what it does not need, and given their glue by wasm-bindgen.

use crate::folder::{Site, hash, with_hash};
use crate::workspace::{Workspace, run};
use crate::{parts, setup};
use anyhow::{Result, ensure};
use std::fs;
use std::path::PathBuf;
use wasm_bindgen_cli_support::{Bindgen, Output};

/// Compiles all modules, two at a time: each ends in a long stretch on one processor (the whole
/// page's code made in one unit), which the other's dependencies fill. What follows finds them made.
pub fn compile_all(workspace: &Workspace, dev: bool) -> Result<()> {
    let [web, worker] = if dev { ["dev"; 2] } else { ["web", "worker"] };
    std::thread::scope(|scope| {
        let aside = scope.spawn(|| compile(workspace, "worker", worker, false));
        compile(workspace, "app", web, true)?;
        compile(workspace, "probe", web, false)?;
        aside.join().expect("no panic in a compilation").map(drop)
    })
}

/// What tests ask of the core in a browser: a folder beside the site's, which no host is given.
pub fn probe(workspace: &Workspace, profile: &str) -> Result<()> {
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
pub fn app(workspace: &Workspace, dev: bool, site: &mut Site) -> Result<()> {
    let wasm = compile(workspace, "app", if dev { "dev" } else { "web" }, true)?;
    let parts = parts::split(&wasm, "app", &workspace.target.join("parts"), dev)?;
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
    // The painter's script is ours; wasm-bindgen's own quotes are single.
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
pub fn whole(workspace: &Workspace, package: &str, profile: &str, site: &mut Site) -> Result<()> {
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
fn snippets(output: &Output, site: &mut Site) {
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
