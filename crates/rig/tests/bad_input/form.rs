//! JSON that is not of the format's form.
use super::*;

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
