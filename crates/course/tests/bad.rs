//! Bad lesson files: each is answered with one sentence that names the place and the mend.
use serde_json::{Value, json};

const CARRY: &str = include_str!("../../../lessons/01-carry.lesson.json");

fn refused(text: &str, place: &str, what: &str) {
    let fault = course::read(text).expect_err(what);
    assert!(fault.place.contains(place), "place of: {fault}");
    assert!(fault.to_string().contains(what), "'{what}' in: {fault}");
    assert!(
        !fault.mend.is_empty() && !fault.to_string().contains('\n'),
        "{fault}"
    );
}

/// The lesson with one thing changed.
fn changed(pointer: &str, value: Value) -> String {
    let mut lesson: Value = serde_json::from_str(CARRY).unwrap();
    *lesson
        .pointer_mut(pointer)
        .unwrap_or_else(|| panic!("{pointer}")) = value;
    lesson.to_string()
}

/// The lesson with one field added.
fn added(pointer: &str, key: &str, value: Value) -> String {
    let mut lesson: Value = serde_json::from_str(CARRY).unwrap();
    lesson
        .pointer_mut(pointer)
        .unwrap()
        .as_object_mut()
        .unwrap()
        .insert(key.into(), value);
    lesson.to_string()
}

#[test]
fn text_that_is_no_lesson() {
    refused("", "line 1", "the file ends in the middle");
    refused(
        &CARRY[..CARRY.len() / 2],
        "line ",
        "the file ends in the middle",
    );
    refused("to bake", "line 1, column ", "this is not JSON");
    refused(
        "[1, 2]",
        "format",
        "does not say that it is a Handstand lesson",
    );
    refused(
        &changed("/format", json!("handstand/1")),
        "format",
        "'handstand/1' is not a lesson's format",
    );
    for format in [
        "handstand-lesson/+1",
        "handstand-lesson/01",
        "handstand-lesson/1 ",
    ] {
        refused(
            &changed("/format", json!(format)),
            "format",
            "not a lesson's format",
        );
    }
    refused(
        &changed("/format", json!("handstand-lesson/2")),
        "format",
        "update Handstand",
    );
    refused(
        &CARRY.replacen("\"number\": 1", "\"number\": 1e999", 1),
        "line ",
        "too large to be finite",
    );
}

#[test]
fn b7_a_field_given_twice_at_any_depth() {
    for (from, to) in [
        ("\"title\": ", "\"title\": \"x\", \"title\": "),
        ("\"kind\": ", "\"kind\": \"joint\", \"kind\": "),
        ("\"task\": \"", "\"task\": \"hold\", \"task\": \""),
        ("\"arm\": ", "\"arm\": {}, \"arm\": "),
    ] {
        refused(
            &CARRY.replacen(from, to, 1),
            "line ",
            "is given twice; keep one of the two.",
        );
    }
}

#[test]
fn b7_a_byte_order_mark_is_skipped() {
    assert_eq!(
        course::read(&format!("\u{feff}{CARRY}")),
        course::read(CARRY)
    );
}

#[test]
fn b5_steps_are_bounded() {
    let lesson: Value = serde_json::from_str(CARRY).unwrap();
    let steps = vec![lesson["steps"][0].clone(); course::door::MOST_STEPS + 1];
    refused(
        &changed("/steps", json!(steps)),
        "steps",
        "51 steps, and 50 is the most",
    );
    let schema: Value =
        serde_json::from_str(include_str!("../../../docs/schema/lesson.schema.json")).unwrap();
    assert_eq!(
        schema["properties"]["steps"]["maxItems"],
        json!(course::door::MOST_STEPS)
    );
}

#[test]
fn b7_names_are_escaped_and_shortened() {
    for unruly in ["\u{1b}[2J\n".to_owned(), "x".repeat(100_000)] {
        for pointer in [
            "/view",
            "/format",
            "/steps/0/task/node",
            "/steps/0/task/task",
            "/title",
        ] {
            if let Err(fault) = course::read(&changed(pointer, json!(unruly))) {
                let shown = fault.to_string();
                assert!(!shown.contains(char::is_control), "{shown}");
                assert!(
                    shown.chars().count() < 600,
                    "{pointer}: {} characters",
                    shown.len()
                );
            }
        }
        refused(
            &added("", &unruly, json!(1)),
            "the file",
            "there is no field '",
        );
        refused(
            &changed("/steps/1/tools", json!([unruly])),
            "tools",
            "there is no tool '",
        );
        refused(
            &changed("/why/0", json!(format!("{{{unruly}}}"))),
            "why[0]",
            "nothing fills in '{",
        );
        let dials = json!({unruly: 1});
        refused(
            &changed("/steps/0/task/dials", dials),
            "steps[0].task",
            "no dial '",
        );
    }
}

#[test]
fn no_cut_is_taken_for_a_lesson() {
    for cut in
        (0..CARRY.trim_end().len()).filter(|cut| cut % 61 == 0 && CARRY.is_char_boundary(*cut))
    {
        assert!(course::read(&CARRY[..cut]).is_err(), "cut at {cut}");
    }
}

#[test]
fn a_hundred_thousand_nodes() {
    // Counted before any is looked at, so that the page does not hang.
    let nodes = vec![json!({}); 100_000];
    refused(
        &changed("/document/nodes", json!(nodes)),
        "document.nodes",
        "100000",
    );
}

#[test]
fn fields_that_do_not_fit() {
    refused(
        &changed("/number", json!("one")),
        "number",
        "this is the text 'one'",
    );
    refused(&changed("/number", json!(0)), "number", "count from 1");
    refused(
        &added("", "colour", json!("red")),
        "the file",
        "there is no field 'colour'",
    );
    refused(
        &added("/steps/0", "hint", json!("x")),
        "steps[0]",
        "there is no field 'hint'",
    );
    refused(
        &added("/steps/0/task", "sweep", json!(1)),
        "steps[0].task",
        "there is no field 'sweep'",
    );
    refused(
        &changed("/steps/0/task/task", json!("guess")),
        "steps[0].task",
        "'guess' is not known here; write one of 'predict-pin'",
    );
    refused(
        &changed("/steps/0/task/task", json!(0)),
        "steps[0].task.task",
        "this is the number 0; write text in double quotes.",
    );
    refused(
        &changed("/view", json!("back")),
        "view",
        "there is no view 'back'",
    );
    // What the desk cannot show is not let in, and what it can is listed.
    for tool in ["hammer", "insert-pivot", "softness", "Rehang"] {
        refused(
            &changed("/steps/1/tools", json!(["poses", tool])),
            "steps[1].tools",
            &format!("there is no tool '{tool}'; use one of let-go, rehang, poses, map."),
        );
    }
    refused(
        &changed(
            "/words",
            json!([["a", "b"], ["a", "b"], ["a", "b"], ["a", "b"]]),
        ),
        "words",
        "at most three",
    );
    refused(&changed("/steps", json!([])), "steps", "there is none");
    refused(&changed("/play", json!(" ")), "play", "it is empty");
    refused(
        &changed("/gauges/0/scale", json!(0)),
        "gauges[0]",
        "not more than zero",
    );
    refused(
        &added("/gauges/0", "tolerance", json!([2, 1])),
        "gauges[0]",
        "runs backwards",
    );
}

#[test]
fn documents_inside_are_checked_with_their_place() {
    refused(
        &changed("/document/nodes/1/parent", json!("thumb")),
        "document.nodes[1]",
        "thumb",
    );
    refused(
        &changed("/document/nodes/3/name", json!("finger")),
        "document.nodes[3]",
        "finger",
    );
    refused(
        &changed("/steps/0/document/format", json!("handstand/9")),
        "steps[0].document.format",
        "handstand/9",
    );
    refused(
        &added("/steps/1/document/nodes/0", "parent", json!("knuckle")),
        "steps[1].document",
        "knuckle",
    );
}

#[test]
fn names_and_numbers_of_tasks() {
    refused(
        &changed("/steps/0/task/node", json!("thumb")),
        "steps[0].task",
        "there is no node 'thumb'",
    );
    refused(
        &changed("/steps/0/task/dials", json!({"lift": 3})),
        "steps[0].task",
        "there is no dial 'lift'",
    );
    refused(
        &changed("/steps/0/task/dials", json!({"wrist turn": 300})),
        "steps[0].task",
        "outside the limits",
    );
    refused(
        &changed("/steps/0/task/dials", json!({})),
        "steps[0].task",
        "no dial is given",
    );
    refused(
        &changed("/steps/1/task/samples", json!(1)),
        "steps[1].task",
        "1 samples cannot be run",
    );
    refused(
        &changed("/steps/1/task/samples", json!(1_000_000)),
        "steps[1].task",
        "cannot be run",
    );
    refused(
        &changed("/steps/1/task/first", json!([])),
        "steps[1].task.first",
        "nothing to measure",
    );
    let thumb = json!({"gauge": "slip", "node": "thumb"});
    refused(
        &changed("/steps/1/task/second/0/gauge", thumb.clone()),
        "steps[1].task.second[0]",
        "thumb",
    );
    refused(
        &changed("/steps/1/gauges/0/gauge", thumb.clone()),
        "steps[1].gauges[0]",
        "thumb",
    );
    refused(&changed("/readings/arm", thumb), "readings.arm", "thumb");
    refused(
        &changed("/steps/1/task/first/0/high", json!("")),
        "steps[1].task.first[0]",
        "'high' is missing",
    );
    refused(
        &changed("/steps/1/task/second/1/least", json!(5)),
        "steps[1].task.second[1]",
        "'least' is more than 'most'",
    );
}

#[test]
fn every_live_number_is_filled_in() {
    refused(
        &changed("/why/0", json!("It is {how} far.")),
        "why[0]",
        "nothing fills in '{how}'",
    );
    refused(
        &changed("/steps/0/insight", json!("{how}")),
        "steps[0].insight",
        "'{how}'",
    );
    refused(
        &changed("/steps/1/task/along/0/high", json!("{how}")),
        "steps[1].task.along[0]",
        "'{how}'",
    );
}

#[test]
fn a_rehang_that_would_work_is_no_refusal() {
    let task = json!({"task": "try-rehang", "node": "tip", "under": "knuckle"});
    refused(
        &changed("/steps/0/task", task),
        "steps[0].task",
        "not refused",
    );
}
