//! Every kind of bad file gets one sentence that names the place and the mend.
use rig::fault::{Explain, say};
use rig::file::MOST_NODES;
use rig::{Fault, read};

mod document;
mod form;
mod text;

const NODES: &str = r#"{"name": "wrist", "kind": "joint", "translation": [0, 0, 0]},
    {"name": "knuckle", "kind": "joint", "parent": "wrist", "translation": [90, 0, 0]},
    {"name": "tip", "kind": "joint", "parent": "knuckle", "translation": [40, 0, 0]},
    {"name": "staple", "kind": "mount", "translation": [130, 0, 0]}"#;

fn file(nodes: &str, rest: &str) -> String {
    format!(r#"{{"format": "handstand/1", "name": "dough-roll", "nodes": [{nodes}]{rest}}}"#)
}

fn fault(text: &str) -> Fault {
    read(text).expect_err("this file is bad")
}

/// The fault is told in one sentence: place, what with the words expected, mend.
fn told(text: &str, place: &str, what: &[&str], mend: &str) {
    let fault = fault(text);
    let shown = fault.to_string();
    assert_eq!(fault.place, place, "{shown}");
    for words in what {
        assert!(fault.what().contains(words), "{words:?} in {shown}");
    }
    assert!(fault.mend().contains(mend), "{mend:?} in {shown}");
    assert_eq!(
        shown,
        format!("{}: {}; {}.", fault.place, fault.what(), fault.mend())
    );
    assert!(!shown.contains('\n') && shown.len() < 400, "{shown}");
}

#[test]
fn the_good_file_is_good() {
    assert_eq!(read(&file(NODES, "")).map(|d| d.nodes.len()), Ok(4));
}

/// What says anything at all.
struct Said(String);

impl Explain for Said {
    fn explain(&self) -> (String, String) {
        say(&self.0, &self.0)
    }
}

/// Whatever is in a name, a fault is one plain line.
#[test]
fn b7_a_fault_is_one_short_line_whatever_is_in_it() {
    let unruly = "\u{1b}[2J\n\u{202e}".repeat(2_000);
    let fault = Fault::<Said>::new(unruly.clone(), Said(unruly));
    let shown = fault.to_string();
    assert!(shown.chars().count() <= 600, "{}", shown.len());
    assert!(!shown.contains(|c: char| c.is_control() || c == '\u{202e}'));
    assert!(shown.contains('…') && shown.starts_with(r"\u{1b}[2J\n\u{202e}"));
    let plain = "x".repeat(2_000);
    let fault = Fault::<Said>::new(plain.clone(), Said(plain));
    assert_eq!(fault.to_string().chars().count(), 600);
}
