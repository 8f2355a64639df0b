//! Texts that are no JSON.
use super::*;

#[test]
fn truncated() {
    let whole = file(NODES, "");
    // Wherever it is cut off, it is a fault and never a panic.
    for cut in 0..whole.len() {
        fault(&whole[..cut]);
    }
    told(
        &whole[..100],
        "line 1, column 100",
        &["ends in the middle"],
        "copy it again",
    );
}

#[test]
fn not_json() {
    told(
        "flour: 500 g",
        "line 1, column 2",
        &["not JSON"],
        "open another file",
    );
    told("[1, 2]", "format", &["does not say"], "handstand/2");
    told("{}", "format", &["does not say"], "handstand/2");
}

#[test]
fn b7_a_field_given_twice() {
    let twice = |place: &str, name: &str, text: &str| {
        told(
            text,
            place,
            &[&format!("the field '{name}' is given twice")],
            "keep one",
        );
    };
    twice(
        "line 4, column 76",
        "name",
        &file(NODES, r#", "name": "rye""#),
    );
    let node = NODES.replace(r#""kind": "mount""#, r#""kind": "mount", "kind": "mount""#);
    twice("line 4, column 46", "kind", &file(&node, ""));
    let deep = r#", "dials": [{"name": "lift", "unit": "deg", "min": 0, "max": 1, "drives": [
        {"node": "tip", "channel": "turn_z", "node": "wrist"}]}]"#;
    twice("line 5, column 51", "node", &file(NODES, deep));
    // Two spellings of one name, and a map that is no form.
    let set = r#", "dials": [{"name": "lift", "unit": "deg", "min": 0, "max": 1}],
        "set": {"lift": 0, "lift": 1}"#;
    twice("line 5, column 33", "lift", &file(NODES, set));
}

#[test]
fn columns_are_counted_in_characters() {
    told(
        "{\"käse\": rye}",
        "line 1, column 10",
        &["not JSON"],
        "mend it",
    );
}

#[test]
fn b7_a_byte_order_mark_is_skipped() {
    let good = read(&file(NODES, "")).unwrap();
    assert_eq!(read(&format!("\u{feff}{}", file(NODES, ""))), Ok(good));
    told(
        "\u{feff}",
        "line 1, column 0",
        &["ends in the middle"],
        "copy it again",
    );
    told(
        "\u{feff}\u{feff}{}",
        "line 1, column 1",
        &["not JSON"],
        "mend it",
    );
}

#[test]
fn a_tower_of_brackets() {
    assert!(fault(&"[".repeat(100_000)).to_string().contains("not JSON"));
}

/// B7: what acts in place of showing, and what shows nothing, is written as an escape.
#[test]
fn b7_every_character_that_acts_is_escaped() {
    let mut acts: Vec<char> = (0..=0x1f)
        .chain(0x7f..=0x9f)
        .map(|c: u8| c.into())
        .collect();
    acts.extend([
        '\u{61c}', '\u{200b}', '\u{200e}', '\u{200f}', '\u{2060}', '\u{feff}',
    ]);
    acts.extend('\u{2028}'..='\u{202e}');
    acts.extend('\u{2066}'..='\u{2069}');
    for c in '\0'..=char::MAX {
        let shown = rig::text::line(&c.to_string(), 20);
        let escape = c.escape_default().to_string();
        let expected = if acts.contains(&c) {
            escape
        } else {
            c.to_string()
        };
        assert_eq!(shown, expected);
    }
}
