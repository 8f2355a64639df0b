//! Which file's items a file names. Names are followed through `use` to where they are defined, so
//! a module that only declares and re-exports its children stands in no circle. Methods are not
//! followed: their types are.
use crate::module::Tree;
use std::collections::{BTreeMap, BTreeSet};

/// From file to file, the names of the items.
pub type Edges = BTreeMap<(usize, usize), BTreeSet<String>>;

enum Found {
    Module(usize),
    /// Defined in this module, under this name.
    Item(usize, String),
}

/// A name may be both a module's and an item's.
#[derive(Clone, Copy, PartialEq)]
enum Want {
    Module,
    Item,
}

pub fn edges(tree: &Tree) -> Edges {
    let mut edges = Edges::new();
    for (at, module) in tree.modules.iter().enumerate() {
        let mut add = |path: &[String]| {
            if let Some(Found::Item(to, name)) = follow(tree, at, path, Want::Item, &mut Vec::new())
            {
                let ends = (module.file, tree.modules[to].file);
                if ends.0 != ends.1 {
                    edges.entry(ends).or_default().insert(name);
                }
            }
        };
        for path in &module.paths {
            add(path);
        }
        for import in &module.uses {
            if import.name == "*" {
                if !import.public {
                    // What of it is used, by name.
                    for name in &module.names {
                        add(&[import.path.as_slice(), std::slice::from_ref(name)].concat());
                    }
                }
            } else if !import.public || module.names.contains(&import.name) {
                add(&import.path);
            }
        }
    }
    edges
}

/// What a path means in a module; none when it leads out of the crate. `seen` holds what is being
/// looked for, for globs may go round.
fn follow(
    tree: &Tree,
    module: usize,
    path: &[String],
    want: Want,
    seen: &mut Vec<(usize, String, Want)>,
) -> Option<Found> {
    let mut at = module;
    for (index, name) in path.iter().enumerate() {
        let last = index + 1 == path.len();
        let next = match name.as_str() {
            "crate" => Found::Module(0),
            "self" => Found::Module(at),
            "super" => Found::Module(tree.modules[at].parent?),
            _ => {
                let first = if last { want } else { Want::Module };
                let other = match first {
                    Want::Module => Want::Item,
                    Want::Item => Want::Module,
                };
                let mut look = |want| lookup(tree, at, name, want, seen);
                look(first).or_else(|| look(other))?
            }
        };
        match next {
            Found::Module(next) => at = next,
            // What follows is a variant or a function of the type.
            item => return Some(item),
        }
    }
    Some(Found::Module(at))
}

/// What a name means in a module. A child sees its parents' private imports too, so all are tried.
fn lookup(
    tree: &Tree,
    at: usize,
    name: &str,
    want: Want,
    seen: &mut Vec<(usize, String, Want)>,
) -> Option<Found> {
    let module = &tree.modules[at];
    match want {
        Want::Module => {
            if let Some(&child) = module.children.get(name) {
                return Some(Found::Module(child));
            }
        }
        Want::Item => {
            if module.defined.contains(name) {
                return Some(Found::Item(at, name.to_owned()));
            }
        }
    }
    let asked = (at, name.to_owned(), want);
    if seen.contains(&asked) {
        return None;
    }
    seen.push(asked);
    let fits = |found: &Found| matches!(found, Found::Module(_)) == (want == Want::Module);
    let named = module.uses.iter().filter(|import| import.name == name);
    let mut found = named
        .filter_map(|import| follow(tree, at, &import.path, want, seen))
        .find(fits);
    if found.is_none() {
        let globs = module.uses.iter().filter(|import| import.name == "*");
        found = globs
            .filter_map(|import| {
                let path = [import.path.as_slice(), &[name.to_owned()]].concat();
                follow(tree, at, &path, want, seen)
            })
            .find(fits);
    }
    seen.pop();
    found
}
