//! A crate's modules as its source files have them, without what only tests build.
use proc_macro2::{Delimiter, Ident, TokenStream, TokenTree};
use quote::ToTokens;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use syn::{Attribute, Item, ItemUse, UseTree, Visibility};

/// A crate: its modules, the first is the root.
pub struct Tree {
    pub modules: Vec<Module>,
    /// Paths below the root's folder.
    pub files: Vec<String>,
}

#[derive(Default)]
pub struct Module {
    /// Which of the tree's files it is written in; one inside another has the same.
    pub file: usize,
    pub parent: Option<usize>,
    pub children: BTreeMap<String, usize>,
    /// Names of its own items.
    pub defined: BTreeSet<String>,
    pub uses: Vec<Use>,
    /// Paths of two names or more, as its code has them.
    pub paths: BTreeSet<Vec<String>>,
    /// Types, constants and called functions in its code, by name; small names that are not called
    /// are mostly fields and variables.
    pub names: BTreeSet<String>,
}

/// A name that `use` brings.
pub struct Use {
    pub path: Vec<String>,
    /// What it is called here; '*' for all there is.
    pub name: String,
    /// Others can take it from here.
    pub public: bool,
}

impl Tree {
    /// Reads the crate that begins in this file.
    pub fn read(start: &Path) -> Tree {
        let mut tree = Tree {
            modules: vec![Module::default()],
            files: Vec::new(),
        };
        let folder = start.parent().unwrap();
        tree.file(0, start, folder, folder);
        tree
    }

    /// `inside`: where the files of this module's children are.
    fn file(&mut self, module: usize, path: &Path, inside: &Path, root: &Path) {
        self.modules[module].file = self.files.len();
        let name = path.strip_prefix(root).unwrap();
        self.files.push(name.to_str().unwrap().replace('\\', "/"));
        let text = fs::read_to_string(path).unwrap();
        let file = syn::parse_file(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        self.items(module, file.items, inside, root);
    }

    fn items(&mut self, module: usize, items: Vec<Item>, inside: &Path, root: &Path) {
        for item in items {
            match item {
                Item::Mod(child) => {
                    if tests_only(&child.attrs) {
                        continue;
                    }
                    let name = child.ident.to_string();
                    let at = self.modules.len();
                    self.modules.push(Module {
                        file: self.modules[module].file,
                        parent: Some(module),
                        ..Module::default()
                    });
                    self.modules[module].children.insert(name.clone(), at);
                    let inside = inside.join(&name);
                    match child.content {
                        Some((_, items)) => self.items(at, items, &inside, root),
                        None => self.file(at, &found(&inside), &inside, root),
                    }
                }
                Item::Use(item) if !tests_only(&item.attrs) => {
                    self.modules[module].take(&item);
                }
                item => self.modules[module].item(&item),
            }
        }
    }
}

/// A module's file, where its children's folder is this.
fn found(inside: &Path) -> PathBuf {
    let places = [inside.with_extension("rs"), inside.join("mod.rs")];
    let found = places.into_iter().find(|place| place.exists());
    found.unwrap_or_else(|| panic!("no file for the module {}", inside.display()))
}

/// Whether an item stands under `#[cfg(test)]` or the like.
fn tests_only(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        let words = attribute.meta.to_token_stream().to_string();
        let has = |word| {
            words
                .split(|c: char| !c.is_alphanumeric())
                .any(|w| w == word)
        };
        attribute.path().is_ident("cfg") && has("test") && !has("not")
    })
}

impl Module {
    fn take(&mut self, item: &ItemUse) {
        let public = !matches!(item.vis, Visibility::Inherited);
        let uses = &mut self.uses;
        leaves(&item.tree, &mut Vec::new(), &mut |path, name| {
            uses.push(Use { path, name, public });
        });
    }

    fn item(&mut self, item: &Item) {
        let (attributes, name) = match item {
            Item::Const(i) => (&i.attrs, Some(&i.ident)),
            Item::Enum(i) => (&i.attrs, Some(&i.ident)),
            Item::Fn(i) => (&i.attrs, Some(&i.sig.ident)),
            Item::Static(i) => (&i.attrs, Some(&i.ident)),
            Item::Struct(i) => (&i.attrs, Some(&i.ident)),
            Item::Trait(i) => (&i.attrs, Some(&i.ident)),
            Item::Type(i) => (&i.attrs, Some(&i.ident)),
            Item::Union(i) => (&i.attrs, Some(&i.ident)),
            Item::Impl(i) => (&i.attrs, None),
            Item::Macro(i) => (&i.attrs, i.ident.as_ref()),
            _ => return,
        };
        if tests_only(attributes) {
            return;
        }
        self.defined.extend(name.map(ToString::to_string));
        if let (Item::Macro(call), None) = (item, name) {
            // What a macro makes of its names cannot be seen: each may be a type or a constant.
            capitals(call.mac.tokens.clone(), &mut self.defined);
        }
        self.code(item.to_token_stream());
    }

    fn code(&mut self, tokens: TokenStream) {
        let tokens: Vec<TokenTree> = tokens.into_iter().collect();
        let colons = |at: usize| is(tokens.get(at), ':') && is(tokens.get(at + 1), ':');
        let mut at = 0;
        while at < tokens.len() {
            match &tokens[at] {
                TokenTree::Group(group) => self.code(group.stream()),
                TokenTree::Literal(text) => self.literal(&text.to_string()),
                TokenTree::Ident(word) if word == "use" => {
                    let rest = &tokens[at..];
                    let end = rest.iter().position(|token| is(Some(token), ';'));
                    let words = end.map(|end| rest[..=end].iter().cloned().collect());
                    if let Some(Ok(item)) = words.map(syn::parse2::<ItemUse>) {
                        self.take(&item);
                        at += end.unwrap_or(0);
                    }
                }
                TokenTree::Ident(word) => {
                    let outside = at >= 2 && colons(at - 2);
                    let mut path = vec![word.to_string()];
                    let method = at > 0 && is(tokens.get(at - 1), '.');
                    if !method && !outside && (capital(word) || called(tokens.get(at + 1))) {
                        self.names.insert(word.to_string());
                    }
                    while colons(at + 1) {
                        let Some(TokenTree::Ident(word)) = tokens.get(at + 3) else {
                            break;
                        };
                        path.push(word.to_string());
                        at += 3;
                    }
                    if path.len() > 1 && !outside {
                        self.paths.insert(path);
                    }
                }
                TokenTree::Punct(_) => {}
            }
            at += 1;
        }
    }

    /// serde and schemars take paths in quotes.
    fn literal(&mut self, text: &str) {
        let text = text.trim_matches('"');
        let path: Vec<String> = text.split("::").map(str::to_owned).collect();
        let plain = |name: &String| name.chars().all(|c| c.is_alphanumeric() || c == '_');
        if path.len() > 1 && matches!(&*path[0], "crate" | "super") && path.iter().all(plain) {
            self.paths.insert(path);
        }
    }
}

fn is(token: Option<&TokenTree>, mark: char) -> bool {
    matches!(token, Some(TokenTree::Punct(punct)) if punct.as_char() == mark)
}

fn capital(word: &Ident) -> bool {
    word.to_string().starts_with(char::is_uppercase)
}

fn called(next: Option<&TokenTree>) -> bool {
    matches!(next, Some(TokenTree::Group(group)) if group.delimiter() == Delimiter::Parenthesis)
}

fn capitals(tokens: TokenStream, out: &mut BTreeSet<String>) {
    for token in tokens {
        match token {
            TokenTree::Group(group) => capitals(group.stream(), out),
            TokenTree::Ident(word) if capital(&word) => {
                out.insert(word.to_string());
            }
            _ => {}
        }
    }
}

/// Every name that `use` brings, with its path.
fn leaves(tree: &UseTree, path: &mut Vec<String>, out: &mut impl FnMut(Vec<String>, String)) {
    let with = |path: &[String], name: String| [path, &[name]].concat();
    match tree {
        UseTree::Path(part) => {
            path.push(part.ident.to_string());
            leaves(&part.tree, path, out);
            path.pop();
        }
        UseTree::Group(group) => group.items.iter().for_each(|tree| leaves(tree, path, out)),
        UseTree::Glob(_) => out(path.clone(), "*".to_owned()),
        UseTree::Name(name) if name.ident == "self" => {
            out(path.clone(), path.last().cloned().unwrap_or_default());
        }
        UseTree::Name(name) => {
            let name = name.ident.to_string();
            out(with(path, name.clone()), name);
        }
        UseTree::Rename(name) => {
            let path = match name.ident.to_string().as_str() {
                "self" => path.clone(),
                other => with(path, other.to_owned()),
            };
            out(path, name.rename.to_string());
        }
    }
}
