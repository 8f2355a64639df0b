//! Every kind of bad file gets one sentence that names the place and the mend.
use rig::fault::{Explain, say};
use rig::file::MOST_NODES;
use rig::{Fault, read};

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
fn a_list_is_not_taken_for_fields_in_order() {
    let nodes = NODES.replace(
        r#"{"name": "staple", "kind": "mount", "translation": [130, 0, 0]}"#,
        r#"["staple", "mount", null, [130, 0, 0]]"#,
    );
    told(
        &file(&nodes, ""),
        "nodes[3]",
        &["this is a list"],
        "an object",
    );
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

#[test]
fn another_format() {
    let newer = file(NODES, "").replace("handstand/1", "handstand/3");
    told(
        &newer,
        "format",
        &["this file is format handstand/3", "up to handstand/2"],
        "update",
    );
    for unknown in [
        "flour/7",
        "handstand/+1",
        "handstand/01",
        "handstand/1 ",
        " handstand/1",
        "handstand/0",
        "handstand/1.0",
        "handstand/-1",
        "handstand/",
        "Handstand/1",
    ] {
        let unknown = file(NODES, "").replace("handstand/1", unknown);
        told(
            &unknown,
            "format",
            &["is not a document's format"],
            "handstand/2",
        );
    }
    // A number that no build will ever count to is still a newer one.
    let newest = file(NODES, "").replace("handstand/1", "handstand/99999999999999999999999");
    told(&newest, "format", &["up to handstand/2"], "update");
}

#[test]
fn unknown_field() {
    let nodes = NODES.replace(r#""parent": "wrist""#, r#""parnet": "wrist""#);
    told(
        &file(&nodes, ""),
        "nodes[1] 'knuckle'",
        &["no field 'parnet'"],
        "'parent'",
    );
    told(
        &file(NODES, r#", "flour": 1"#),
        "the file",
        &["no field 'flour'"],
        "'nodes'",
    );
    let anchor = r#", "anchors": [{"name": "a", "base": "wrist", "end": "tip", "target": "staple",
        "solver": {"two-bone": {"pull": 1}}}]"#;
    assert!(
        fault(&file(NODES, anchor))
            .to_string()
            .contains("no field 'pull'")
    );
    let grip = NODES.replace(
        r#""kind": "mount","#,
        r#""kind": "mount", "grip": {"plaice": 1},"#,
    );
    told(
        &file(&grip, ""),
        "nodes[3] 'staple' grip",
        &["a grip is a list"],
        "write it so",
    );
}

#[test]
fn missing_field_and_wrong_type() {
    let nodes = NODES.replace(r#", "translation": [40, 0, 0]"#, "");
    told(
        &file(&nodes, ""),
        "nodes[2] 'tip'",
        &["it has no 'translation'"],
        "add it",
    );
    let nodes = NODES.replace("[40, 0, 0]", r#"[40, "0", 0]"#);
    told(
        &file(&nodes, ""),
        "nodes[2] 'tip' translation[1]",
        &["this is the text '0'"],
        "write a number",
    );
}

#[test]
fn parents_in_a_circle() {
    let nodes = NODES.replace(
        r#""wrist", "kind": "joint""#,
        r#""wrist", "kind": "joint", "parent": "tip""#,
    );
    let fault = fault(&file(&nodes, ""));
    assert!(fault.what().contains("which hangs from"), "{fault}");
    assert!(fault.mend().starts_with("hang '"), "{fault}");
    let own = NODES.replace(
        r#""kind": "mount""#,
        r#""kind": "mount", "parent": "staple""#,
    );
    told(
        &file(&own, ""),
        "nodes[3] 'staple'",
        &["'staple' hangs from 'staple'"],
        "leave its parent out",
    );
}

#[test]
fn anchor_in_a_circle() {
    let nodes = NODES.replace(
        r#""kind": "mount""#,
        r#""kind": "mount", "parent": "knuckle""#,
    );
    let anchor = r#", "anchors": [{"name": "palm", "base": "wrist", "end": "knuckle",
        "target": "staple", "solver": "aim"}]"#;
    told(
        &file(&nodes, anchor),
        "anchors[0] 'palm'",
        &["holds to 'staple'", "carries 'staple'"],
        "hang 'staple' from something outside",
    );
}

#[test]
fn anchors_that_are_not_chains() {
    let anchor = |base, end, solver| {
        file(
            NODES,
            &format!(
                r#", "anchors": [{{"name": "palm", "base": "{base}", "end": "{end}",
                "target": "staple", "solver": "{solver}"}}]"#
            ),
        )
    };
    told(
        &anchor("tip", "wrist", "aim"),
        "anchors[0] 'palm'",
        &["'wrist' does not hang below 'tip'"],
        "choose a base",
    );
    told(
        &anchor("wrist", "tip", "aim"),
        "anchors[0] 'palm'",
        &["one bone", "has 2"],
        "another solver",
    );
    told(
        &anchor("wrist", "thumb", "aim"),
        "anchors[0] 'palm'",
        &["no node named 'thumb'"],
        "name a node",
    );
    let two = r#", "anchors": [
        {"name": "palm", "base": "wrist", "end": "knuckle", "target": "staple", "solver": "aim"},
        {"name": "all", "base": "wrist", "end": "tip", "target": "staple", "solver": "fabrik"}]"#;
    told(
        &file(NODES, two),
        "anchors[1] 'all'",
        &["'palm' and 'all'", "turn 'wrist'"],
        "end one chain",
    );
}

#[test]
fn unknown_names() {
    let nodes = NODES.replace(r#""parent": "wrist""#, r#""parent": "elbow""#);
    told(
        &file(&nodes, ""),
        "nodes[1] 'knuckle'",
        &["no node named 'elbow'"],
        "add one",
    );
    let nodes = NODES.replace(
        r#""kind": "mount","#,
        r#""kind": "mount", "grip": ["lift"],"#,
    );
    told(
        &file(&nodes, ""),
        "nodes[3] 'staple'",
        &["no dial named 'lift'"],
        "add one",
    );
    let plant = r#", "plants": [{"node": "palm", "at": [0, 0, 0]}]"#;
    told(
        &file(NODES, plant),
        "plants[0]",
        &["no node named 'palm'"],
        "add one",
    );
}

#[test]
fn numbers_that_are_not_finite() {
    let nodes = NODES.replace("[40, 0, 0]", "[1e999, 0, 0]");
    let fault = fault(&file(&nodes, ""));
    assert!(fault.place.starts_with("line 3, column"), "{fault}");
    assert!(fault.what().contains("too large to be finite"), "{fault}");
    let nodes = NODES.replace("[40, 0, 0]", "[1e300, 0, 0]");
    told(
        &file(&nodes, ""),
        "nodes[2] 'tip'",
        &["its translation is 1e300"],
        "between",
    );
    let nodes = NODES.replace("[40, 0, 0]", "[NaN, 0, 0]");
    assert!(self::fault(&file(&nodes, "")).what().contains("not JSON"));
}

#[test]
fn names_twice_or_none() {
    let nodes = NODES.replace(r#""name": "staple""#, r#""name": "tip""#);
    told(
        &file(&nodes, ""),
        "nodes[3] 'tip'",
        &["two nodes are named 'tip'"],
        "rename",
    );
    let nodes = NODES.replace(r#""name": "staple""#, r#""name": " ""#);
    told(
        &file(&nodes, ""),
        "nodes[3] ' '",
        &["has no name"],
        "give it one",
    );
    let dial = r#"{"name": "lift", "unit": "deg", "min": 0, "max": 1}"#;
    let dials = format!(r#", "dials": [{dial}, {dial}]"#);
    told(
        &file(NODES, &dials),
        "dials[1] 'lift'",
        &["two dials are named 'lift'"],
        "rename",
    );
}

#[test]
fn bones_without_length() {
    let nodes = NODES.replace("[40, 0, 0]", "[0, 0, 0]");
    let anchor = r#", "anchors": [{"name": "all", "base": "wrist", "end": "tip",
        "target": "staple", "solver": "fabrik"}]"#;
    told(
        &file(&nodes, anchor),
        "anchors[0] 'all'",
        &["the bone from 'knuckle' to 'tip' has no length"],
        "move 'tip' away",
    );
    // A mount on the way is a part of a bone, so it may sit on a joint.
    let mount = r#", {"name": "pivot", "kind": "mount", "parent": "tip", "translation": [0, 0, 0]},
        {"name": "nail", "kind": "joint", "parent": "pivot", "translation": [9, 0, 0]}"#;
    let anchor = anchor.replace(r#""end": "tip""#, r#""end": "nail""#);
    assert!(read(&file(&format!("{NODES}{mount}"), &anchor)).is_ok());
}

#[test]
fn too_many_nodes() {
    let node = |k| format!(r#"{{"name": "crumb {k}", "kind": "mount", "translation": [0, 0, 0]}}"#);
    let nodes: Vec<_> = (0..100_000).map(node).collect();
    told(
        &file(&nodes.join(","), ""),
        "nodes",
        &["100000", &MOST_NODES.to_string()],
        "split",
    );
}

#[test]
fn the_longest_chain_allowed_is_read() {
    let mut nodes = r#"{"name": "0", "kind": "joint", "translation": [0, 0, 0]}"#.to_owned();
    for k in 1..MOST_NODES {
        let parent = k - 1;
        nodes += &format!(
            r#",{{"name": "{k}", "kind": "mount", "parent": "{parent}", "translation": [1, 0, 0]}}"#
        );
    }
    let document = read(&file(&nodes, "")).unwrap();
    let last = document.nodes.last().unwrap().id;
    assert_eq!(
        rig::Posed::new(&document).unwrap().point(last).x,
        (MOST_NODES - 1) as f64
    );
    assert_eq!(rig::roles(&document, &[]).len(), MOST_NODES);
}

#[test]
fn a_tower_of_brackets() {
    assert!(fault(&"[".repeat(100_000)).to_string().contains("not JSON"));
}

#[test]
fn rotations() {
    let with = |r: &str| {
        file(
            &NODES.replace("[40, 0, 0]", &format!(r#"[40, 0, 0], "rotation": {r}"#)),
            "",
        )
    };
    told(
        &with("[0, 0, 0, 2]"),
        "nodes[2] 'tip'",
        &["not a unit quaternion"],
        "squares sum to 1",
    );
    told(
        &with("[0, 0, 0, 0]"),
        "nodes[2] 'tip'",
        &["not a unit quaternion"],
        "squares sum to 1",
    );
    // Rounded to a few digits it is taken, and made a unit.
    let rounded = read(&with("[0, 0, 0.7071, 0.7071]")).unwrap();
    let [.., z, w] = rounded.node_named("tip").unwrap().rotation;
    assert!((z * z + w * w - 1.0).abs() < 1e-15 && z == w);
    // Exact already, it is kept to the bit.
    let exact = read(&with("[0.6, 0, 0, 0.8]")).unwrap();
    assert_eq!(
        exact.node_named("tip").unwrap().rotation,
        [0.6, 0.0, 0.0, 0.8]
    );
}

#[test]
fn dials_and_limits() {
    let dial = |numbers| {
        file(
            NODES,
            &format!(r#", "dials": [{{"name": "lift", "unit": "deg", {numbers}}}]"#),
        )
    };
    let place = "dials[0] 'lift'";
    told(
        &dial(r#""min": 5, "max": -5"#),
        place,
        &["lower limit 5 is above"],
        "smaller one first",
    );
    told(
        &dial(r#""min": 0, "max": 9, "value": 12"#),
        place,
        &["value 12 is outside"],
        "widen",
    );
    told(
        &dial(r#""min": 1, "max": 9"#),
        place,
        &["neutral 0 is outside"],
        "widen",
    );
    told(
        &dial(r#""min": 0, "max": 9, "softness": -1"#),
        place,
        &["softness is -1.0"],
        "0 or more",
    );
    let nodes = NODES.replace("[40, 0, 0]", r#"[40, 0, 0], "limits": {"turn_z": [9, -9]}"#);
    told(
        &file(&nodes, ""),
        "nodes[2] 'tip'",
        &["lower limit 9"],
        "smaller one first",
    );
    let drive = r#", "dials": [{"name": "lift", "unit": "deg", "min": 0, "max": 1,
        "drives": [{"node": "tip", "channel": "twist"}]}]"#;
    assert!(
        fault(&file(NODES, drive))
            .to_string()
            .contains("'twist' is not known here; write one of 'turn_x'")
    );
}

/// R4: the solver's former word is still read, and no longer offered.
#[test]
fn r4_a_former_word_is_read_and_not_offered() {
    let with = |solver: &str| {
        format!(
            r#"{{"format": "handstand/1", "nodes": [
                {{"name": "a", "kind": "joint", "translation": [0, 0, 0]}},
                {{"name": "t", "kind": "mount", "translation": [9, 0, 0]}}],
                "anchors": [{{"name": "hold", "base": "a", "end": "a", "target": "t", "solver": "{solver}"}}]}}"#
        )
    };
    let document = read(&with("orient")).unwrap();
    let written = rig::write(&document);
    assert!(written.contains("turn-with") && !written.contains("orient"));
    let said = read(&with("turn-wiht")).unwrap_err().to_string();
    assert!(
        said.contains("turn-with") && !said.contains("orient"),
        "{said}"
    );
}

/// B5: what `shift` needs is solved only in a document that passed, else its bounds come too late.
#[test]
fn b5_a_document_is_checked_before_it_is_shifted() {
    let nodes = NODES.replace("[40, 0, 0]", "[1e300, 0, 0]");
    told(
        &file(&nodes, r#", "shift": {"knuckle": [1, 0, 0]}"#),
        "nodes[2] 'tip'",
        &["not a number a rig can have"],
        "give it a number between",
    );
}

#[test]
fn a_hand_that_is_null_is_no_hand() {
    told(
        r#"{"format": "handstand/1", "hand": null}"#,
        "the file",
        &["it has no nodes"],
        "list its nodes",
    );
    let document = read(&file(NODES, r#", "hand": null"#)).unwrap();
    assert!(document.hand.is_none());
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
