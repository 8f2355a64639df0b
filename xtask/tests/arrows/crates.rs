//! The workspace's crates, as Cargo has them.
use serde_json::Value;
use std::path::PathBuf;
use std::process::Command;

/// The first line of the table in `DEVELOPERS.md`.
pub const HEAD: &str = "| crate | depends on | and in its tests |";

pub struct Package {
    pub name: String,
    /// The workspace's crates it is built from, by name.
    needs: Vec<String>,
    /// Those that only its tests, benchmarks and examples need.
    tests: Vec<String>,
    /// The first file of its library and of each program.
    pub starts: Vec<PathBuf>,
}

/// Every member of the workspace, by name.
pub fn all() -> Vec<Package> {
    let cargo = Command::new(env!("CARGO"))
        .args(["metadata", "--no-deps", "--format-version=1", "--offline"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    let whole: Value = serde_json::from_slice(&cargo.stdout).expect("cargo metadata");
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let mut all: Vec<Package> = whole["packages"]
        .as_array()
        .unwrap()
        .iter()
        .map(|package| {
            // What has a path is one of ours.
            let ours = |tests: bool| {
                let needs = package["dependencies"].as_array().unwrap().iter();
                let mut ours: Vec<String> = needs
                    .filter(|need| need["path"].is_string() && (need["kind"] == "dev") == tests)
                    .map(|need| text(&need["name"]))
                    .collect();
                ours.sort();
                ours.dedup();
                ours
            };
            let (needs, mut tests) = (ours(false), ours(true));
            tests.retain(|name| !needs.contains(name));
            let built = |target: &&Value| {
                let kinds = target["kind"].as_array().unwrap();
                kinds
                    .iter()
                    .any(|kind| kind == "bin" || kind == "lib" || kind == "cdylib")
            };
            let targets = package["targets"].as_array().unwrap().iter().filter(built);
            Package {
                name: text(&package["name"]),
                needs,
                tests,
                starts: targets
                    .map(|target| text(&target["src_path"]).into())
                    .collect(),
            }
        })
        .collect();
    all.sort_by(|a, b| a.name.cmp(&b.name));
    all
}

/// As `DEVELOPERS.md` is to have it.
pub fn table(all: &[Package]) -> String {
    let listed = |names: &[String]| {
        let names: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
        if names.is_empty() {
            "–".to_owned()
        } else {
            names.join(", ")
        }
    };
    let mut lines = vec![HEAD.to_owned(), "| --- | --- | --- |".to_owned()];
    lines.extend(all.iter().map(|package| {
        let (needs, tests) = (listed(&package.needs), listed(&package.tests));
        format!("| `{}` | {needs} | {tests} |", package.name)
    }));
    lines.join("\n")
}
