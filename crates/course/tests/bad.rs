//! Bad lesson files: each is answered with one sentence that names the place and the mend.
use course::fault::Kind;
use serde_json::{Value, json};

const CARRY: &str = include_str!("../../../lessons/01-carry.lesson.json");

fn refused(text: &str, place: &str, what: &str) {
    let fault = course::read(text).expect_err(what);
    assert!(fault.place.contains(place), "place of: {fault}");
    assert!(fault.to_string().contains(what), "'{what}' in: {fault}");
    assert!(
        fault.to_string().contains("; ") && !fault.to_string().contains('\n'),
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
        &changed("/format", json!("handstand-lesson/3")),
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
    let steps = vec![lesson["steps"][0].clone(); course::lesson::MOST_STEPS + 1];
    refused(
        &changed("/steps", json!(steps)),
        "steps",
        "51 steps, and 50 is the most",
    );
    let schema: Value =
        serde_json::from_str(include_str!("../../../docs/schema/lesson.schema.json")).unwrap();
    assert_eq!(
        schema["properties"]["steps"]["maxItems"],
        json!(course::lesson::MOST_STEPS)
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
            "is not known here; write one of 'let-go'",
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
        "'back' is not known here; write one of 'side', 'front', 'top', 'oblique'.",
    );
    // What the desk cannot show is not let in, and what it can is listed.
    for tool in ["hammer", "insert-pivot", "softness", "Rehang"] {
        refused(
            &changed("/steps/1/tools", json!(["poses", tool])),
            "steps[1].tools[1]",
            &format!(
                "'{tool}' is not known here; write one of 'let-go', 'rehang', 'poses', 'map', 'mounts', 'signs', 'order'."
            ),
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

/// Lesson 4's own build, spoilt in one place.
#[test]
fn acts_name_what_acts_before_them_make() {
    let text = include_str!("../../../lessons/04-pivot-above.lesson.json");
    let lesson: Value = serde_json::from_str(text).unwrap();
    let acts = "/steps/0/task/acts";
    for (at, to, place, said) in [
        ("", json!([]), "", "there is no act"),
        ("/0/mount", json!("wrist"), "[0]", "a node 'wrist' already"),
        (
            "/0/under",
            json!("shelf"),
            "[0]",
            "there is no node 'shelf'",
        ),
        ("/0/how", json!(" "), "[0].how", "it is empty"),
        ("/1/from", json!("bench"), "[1]", "puts a mount 'bench'"),
        ("/1/dial", json!("lower"), "[1]", "there is no dial 'lower'"),
        (
            "/1/rest/3/1/0",
            json!(81),
            "[1]",
            "'tip' is not there at rest",
        ),
        ("/1/mend", json!(""), "[1]", "it is empty"),
        ("/2/dial", json!("turn"), "[2]", "gives the dial 'turn'"),
        ("/2/to", json!(80), "[2]", "80 is outside the limits"),
        ("/2/to", json!(0), "[2]", "the range is empty"),
        ("/2/samples", json!(1), "[2]", "1 samples cannot be run"),
        ("/2/most", json!(0), "[2]", "'most' is not more than zero"),
        ("/2/moves", json!("heel"), "[2]", "there is no node 'heel'"),
        ("/2/towards", json!([]), "[2]", "no direction is named"),
        ("/2/off", json!(""), "[2]", "'off' is missing"),
        ("/2/off", json!("{value}"), "[2]", "use {ways}, {off}"),
    ] {
        let mut spoilt = lesson.clone();
        *spoilt
            .pointer_mut(&format!("{acts}{at}"))
            .expect("it is there") = to;
        let place = format!("steps[0].task.acts{place}");
        refused(&spoilt.to_string(), &place, said);
    }
    let mut driven = lesson.clone();
    let drives = json!([{"node": "wrist", "channel": "turn_z"}]);
    driven["steps"][0]["document"]["dials"][0]["drives"] = drives;
    let said = "drives something already";
    refused(&driven.to_string(), "steps[0].task.acts[1]", said);
    let mut early = lesson;
    let list = early["steps"][0]["task"]["acts"].as_array_mut().unwrap();
    list.remove(1);
    refused(
        &early.to_string(),
        "steps[0].task.acts[1]",
        "gives the dial 'lift'",
    );
}

/// Squares of larger numbers are not finite, and then nor is what a gauge reads.
#[test]
fn numbers_are_those_that_a_rig_can_have() {
    let off = json!({"gauge": "off-mark", "node": "wrist", "at": [1e200, 0, 0]});
    for (text, place) in [
        (changed("/readings/arm", off), "readings.arm.at[0]"),
        (changed("/gauges/0/scale", json!(1e10)), "gauges[0].scale"),
        (
            added("/gauges/0", "tolerance", json!([0, 1e200])),
            "gauges[0].tolerance[1]",
        ),
        (
            added(
                "/steps/0",
                "marks",
                json!([{"name": "oven", "at": [0, -1e200, 0]}]),
            ),
            "steps[0].marks[0].at[1]",
        ),
        (
            changed("/steps/1/task/second/1/most", json!(1e200)),
            "steps[1].task.second[1].most",
        ),
        (
            changed(
                "/steps/1/task",
                sweep(1, 1, "belongs", json!([1e200, 0, 0])),
            ),
            "steps[1].task.faults[0].belongs[0]",
        ),
        (
            changed("/steps/1/task", sweep(1, 1, "within", json!(1e200))),
            "steps[1].task.faults[0].within",
        ),
    ] {
        let fault = course::read(&text).expect_err(place);
        assert_eq!(fault.place, place, "{fault}");
        assert!(matches!(fault.kind, Kind::Outsize(_)), "{fault:?}");
        let shown = fault.to_string();
        assert!(shown.contains("not a number a lesson can have"), "{shown}");
    }
}

/// A sweep with so many runs, each of so many bands, and one field of its fault changed.
fn sweep(runs: usize, bands: usize, field: &str, value: Value) -> Value {
    let band = json!({"gauge": {"gauge": "worst-slip"}, "most": 1, "high": "it slips {value}"});
    let run = json!({"bands": vec![band; bands]});
    let mut fault = json!({"node": "wrist", "belongs": [0, 0, 0], "called": "the wrist",
        "towards": [["the oven", [1, 0, 0]]], "within": 1});
    fault[field] = value;
    let lesson: Value = serde_json::from_str(CARRY).unwrap();
    let dial = &lesson["document"]["dials"][0];
    json!({"task": "sweep", "dial": dial["name"], "range": [dial["min"], dial["max"]],
        "samples": 2, "runs": vec![run; runs], "faults": [fault]})
}

/// B5: samples of a run are bounded, so what is read in each has to be.
#[test]
fn b5_what_a_lesson_lists_is_bounded() {
    use rig::file::bounds::MOST_LISTED;
    let lesson: Value = serde_json::from_str(CARRY).unwrap();
    let copies = |pointer: &str, count: usize| {
        changed(
            pointer,
            json!(vec![lesson.pointer(pointer).unwrap()[0].clone(); count]),
        )
    };
    let readings = |count: usize| {
        let mut all = lesson["readings"].clone();
        for k in all.as_object().unwrap().len()..count {
            all[k.to_string()] = json!({"gauge": "worst-slip"});
        }
        changed("/readings", all)
    };
    let task = |pointer: &str, task: Value| changed(pointer, task);
    let swept = |runs, bands| task("/steps/1/task", sweep(runs, bands, "within", json!(1)));
    let faults = |count: usize| {
        let mut one = sweep(1, 1, "within", json!(1));
        one["faults"] = json!(vec![one["faults"][0].clone(); count]);
        task("/steps/1/task", one)
    };
    let axis = |count: usize| {
        task(
            "/steps/0/task",
            json!({"task": "predict-axis", "knuckles": vec!["wrist"; count]}),
        )
    };
    let stay = |count: usize| {
        let to = json!({"wrist turn": 30});
        task(
            "/steps/0/task",
            json!({"task": "predict-stay", "among": vec!["wrist"; count], "dials": to, "within": 1}),
        )
    };
    let nodes = |count: usize| {
        let gauge = json!({"gauge": "penetration", "nodes": vec!["wrist"; count]});
        changed("/readings/arm", gauge)
    };
    let desk = |count: usize| {
        let dial = &lesson["document"]["dials"][0]["name"];
        added("", "desk", json!(vec![dial; count]))
    };
    let marks = |count: usize| {
        let mark = json!({"name": "oven", "at": [0, 0, 0]});
        added("/steps/0", "marks", json!(vec![mark; count]))
    };
    type Made<'a> = &'a dyn Fn(usize) -> String;
    let cases: [(&str, Made); 14] = [
        ("gauges", &|n| copies("/gauges", n)),
        ("readings", &readings),
        ("steps[1].gauges", &|n| copies("/steps/1/gauges", n)),
        ("steps[1].task.first", &|n| copies("/steps/1/task/first", n)),
        ("steps[1].task.second", &|n| {
            copies("/steps/1/task/second", n)
        }),
        ("steps[1].task.along", &|n| copies("/steps/1/task/along", n)),
        ("steps[1].task.runs", &|n| swept(n, 1)),
        ("steps[1].task.runs[0].bands", &|n| swept(1, n)),
        ("steps[1].task.faults", &faults),
        ("steps[0].task.knuckles", &axis),
        ("steps[0].task.among", &stay),
        ("readings.arm", &nodes),
        ("desk", &desk),
        ("steps[0].marks", &marks),
    ];
    for (place, made) in cases {
        if let Err(fault) = course::read(&made(MOST_LISTED)) {
            panic!("{place}: {fault}");
        }
        let fault = course::read(&made(MOST_LISTED + 1)).expect_err(place);
        assert_eq!(fault.place, place, "{fault}");
        assert_eq!(fault.kind, Kind::TooMany(MOST_LISTED + 1));
        let shown = fault.to_string();
        assert!(shown.contains("it lists 51, and 50 is the most"), "{shown}");
    }
    let table = include_str!("../../../docs/bounds.md");
    assert!(table.contains(&format!("| runs, bands, gauges, readings, faults, marks, nodes or dials in one list of a lesson | {MOST_LISTED} |")));
    let schema = include_str!("../../../docs/schema/lesson.schema.json");
    let schema: Value = serde_json::from_str(schema).unwrap();
    assert_eq!(
        schema["properties"]["readings"]["maxProperties"],
        json!(MOST_LISTED)
    );
    let lists = [
        "runs", "bands", "first", "second", "along", "gauges", "faults", "marks", "desk", "among",
        "knuckles", "nodes",
    ];
    for list in lists {
        let mut found = Vec::new();
        fields(&schema, list, &mut found);
        assert!(!found.is_empty(), "{list}");
        for field in found.into_iter().filter(|field| field["type"] == "array") {
            assert_eq!(field["maxItems"], json!(MOST_LISTED), "{list}");
        }
    }
}

/// Every field of this name that the schema describes.
fn fields<'a>(schema: &'a Value, name: &str, found: &mut Vec<&'a Value>) {
    let inside: Vec<&Value> = match schema {
        Value::Object(all) => {
            found.extend(schema.get("properties").and_then(|fields| fields.get(name)));
            all.values().collect()
        }
        Value::Array(items) => items.iter().collect(),
        _ => Vec::new(),
    };
    for value in inside {
        fields(value, name, found);
    }
}
