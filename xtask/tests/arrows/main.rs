//! What depends on what: the crates as `DEVELOPERS.md` has them, and inside a crate no circle of
//! files but those of `circles.txt`.
//!
//! `UPDATE=1 cargo test -p xtask --test arrows` writes the table anew, takes circles that are gone
//! out of the list and gives what is left of one its reason. A new circle it does not let in.
mod circle;
mod crates;
mod module;
mod resolve;

use std::collections::BTreeSet;
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

const CIRCLES: &str = "xtask/tests/arrows/circles.txt";

fn updating() -> bool {
    std::env::var_os("UPDATE").is_some()
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

#[test]
fn the_map_lists_exactly_the_arrows_between_crates() {
    let developers = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let drawn: Vec<&str> = developers
        .lines()
        .skip_while(|line| *line != crates::HEAD)
        .take_while(|line| line.starts_with('|'))
        .collect();
    let found = crates::table(&crates::all());
    let drawn = drawn.join("\n");
    if updating() && !drawn.is_empty() {
        let text = developers.replace(&drawn, &found);
        fs::write(root().join("DEVELOPERS.md"), text).unwrap();
        return;
    }
    assert!(
        drawn == found,
        "DEVELOPERS.md, 'The map', allows\n{drawn}\n\nand the Cargo.tomls say\n{found}\n\n\
         An arrow that is meant goes into the table and the drawing above it."
    );
}

/// Each line of `circles.txt` that is no comment: `crate: file file … | why`.
fn allowed() -> Vec<(String, String)> {
    let text = fs::read_to_string(root().join(CIRCLES)).unwrap();
    let lines = text
        .lines()
        .filter(|l| !l.is_empty() && !l.starts_with('#'));
    lines
        .map(|line| {
            let (circle, why) = line
                .split_once(" | ")
                .expect("a circle, ' | ' and why it is");
            assert!(why.len() > 10, "say why: {line}");
            (circle.to_owned(), why.to_owned())
        })
        .collect()
}

/// Every circle there is, the worst first, as `circles.txt` writes it.
fn found() -> Vec<(String, circle::Circle)> {
    let mut found = Vec::new();
    for package in crates::all() {
        for start in &package.starts {
            let tree = module::Tree::read(start);
            let edges = resolve::edges(&tree);
            let name = &package.name;
            assert!(tree.files.len() < 2 || !edges.is_empty(), "{name}");
            let circles = circle::circles(&tree, &edges).into_iter();
            found.extend(circles.map(|c| (format!("{name}: {}", c.files.join(" ")), c)));
        }
    }
    found.sort_by_key(|(_, c)| std::cmp::Reverse((c.files.len(), c.edges.len())));
    found
}

/// The list with what is gone taken out and what is left of a circle in its place.
fn update(found: &[(String, circle::Circle)]) {
    let all = |line: &str| line.split(' ').map(str::to_owned).collect::<BTreeSet<_>>();
    let text = fs::read_to_string(root().join(CIRCLES)).unwrap();
    let mut lines: Vec<String> = text
        .lines()
        .filter(|line| line.starts_with('#'))
        .map(str::to_owned)
        .collect();
    let allowed = allowed();
    for (line, _) in found {
        let same = |(old, _): &&(String, String)| all(line).is_subset(&all(old));
        if let Some((_, why)) = allowed.iter().find(same) {
            lines.push(format!("{line} | {why}"));
        }
    }
    fs::write(root().join(CIRCLES), lines.join("\n") + "\n").unwrap();
}

#[test]
fn files_of_a_crate_import_each_other_in_no_circle() {
    let found = found();
    if updating() {
        update(&found);
    }
    let (allowed, mut wrong) = (allowed(), String::new());
    for (line, circle) in &found {
        if !allowed.iter().any(|(allowed, _)| allowed == line) {
            let count = circle.files.len();
            let _ = writeln!(wrong, "A circle of {count} files:\n{line}\n{circle}");
        }
    }
    for (gone, _) in &allowed {
        if !found.iter().any(|(line, _)| line == gone) {
            let _ = writeln!(
                wrong,
                "No longer a circle; delete it from {CIRCLES}:\n{gone}\n"
            );
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

/// A made-up crate with every way of naming what is elsewhere.
const LOAF: [(&str, &str); 6] = [
    (
        "lib.rs",
        "mod crust; mod oven; mod dough; #[cfg(test)] mod taste; pub use dough::Dough; \
         mod inside { pub use super::crust::Crust as Outside; }",
    ),
    // By way of the root's re-export, and a macro's call.
    (
        "crust.rs",
        "use crate::Dough; pub struct Crust(Dough); fn f() { say!(super::oven::heat()); }",
    ),
    // A glob of a glob; an item of the parent.
    (
        "oven/mod.rs",
        "mod rack; pub fn heat() { rack::slide() } pub struct Warm;",
    ),
    (
        "oven/rack.rs",
        "use crate::dough::*; use super::Warm; pub fn slide() { Yeast::new(Warm) }",
    ),
    // Re-exporting is no import; tests are not code.
    (
        "dough.rs",
        "pub use crate::crust::Crust; pub struct Dough; pub struct Yeast; \
         #[cfg(test)] mod tests { use crate::oven::heat; fn t() { heat() } }",
    ),
    ("taste.rs", "use crate::oven::Warm;"),
];

#[test]
fn imports_are_followed_to_where_things_are_defined() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("loaf");
    for (name, text) in LOAF {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    let tree = module::Tree::read(&folder.join("lib.rs"));
    let edges = resolve::edges(&tree);
    let mut found: Vec<String> = edges
        .iter()
        .map(|((from, to), items)| {
            let items: Vec<&str> = items.iter().map(String::as_str).collect();
            format!(
                "{} > {}: {}",
                tree.files[*from],
                tree.files[*to],
                items.join(" ")
            )
        })
        .collect();
    found.sort();
    let wanted = [
        "crust.rs > dough.rs: Dough",
        "crust.rs > oven/mod.rs: heat",
        "oven/mod.rs > oven/rack.rs: slide",
        "oven/rack.rs > dough.rs: Yeast",
        "oven/rack.rs > oven/mod.rs: Warm",
    ];
    assert_eq!(found, wanted);
    let circles = circle::circles(&tree, &edges);
    let files: Vec<_> = circles.iter().map(|circle| &circle.files).collect();
    assert_eq!(files, [&["oven/mod.rs", "oven/rack.rs"]]);
}
