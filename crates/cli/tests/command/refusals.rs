//! Bad input of every kind: one line, the file, the place, the mend, whatever the names hold.
use super::{bad, example, file, handstand, press, text};

/// A name that clears a screen, rings, turns text round and ends a line.
const UNRULY: &str = "pin\u{1b}[2J\u{7}\u{202e}\nch\u{9b}";

/// In a message nothing but what is seen.
fn is_plain(said: &str) {
    let acts = |c: char| c.is_control() || matches!(c, '\u{202a}'..='\u{202e}');
    assert!(!said.trim_end().contains(acts), "{said:?}");
    assert!(
        said.chars().count() < 600,
        "{} characters: {said:.300}",
        said.len()
    );
}

fn told(arguments: &[&str]) -> String {
    let said = bad(arguments);
    is_plain(&said);
    said
}

fn renamed(name: &str, to: &str) -> String {
    let good = std::fs::read_to_string(example()).unwrap();
    let quoted = serde_json::to_string(to).unwrap();
    let path = file(name, good.replace("\"wrist\"", &quoted).as_bytes());
    path.to_str().unwrap().to_owned()
}

#[test]
fn b3_a_name_of_65536_letters_is_refused() {
    let path = renamed("b3.hand.json", &"a".repeat(65_536));
    let said = told(&["pose", &path]);
    assert!(
        said.contains("has 65536 characters, and 200 is the most; shorten it"),
        "{said}"
    );
    // The longest name that is taken stands in the table.
    let path = renamed("b3-longest.hand.json", &"ä".repeat(200));
    let output = handstand(&["pose", &path]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(text(&output.stdout).contains(&"ä".repeat(200)));
}

#[test]
fn b4_every_sweep_counts() {
    let survey = |sweeps: &[&str]| told(&[&["survey", press()], sweeps].concat());
    for lean in [
        "--lean=-10..10/1000000000",
        "--lean=-10..10/99999999999999999",
    ] {
        assert!(survey(&["--lift=0..30/4", "--twist=-2..2/3", lean]).contains("too fine"));
        assert!(survey(&["--lift=0..30/4", lean, "--twist=-2..2/3"]).contains("too fine"));
        assert!(survey(&["--lift=0..30/4", lean]).contains("too fine"));
    }
    let said = survey(&["--lift=0..30/200", "--lean=-5..5/200", "--twist=-2..2/200"]);
    assert!(
        said.contains("a grid of 200 by 200 by 200 is too fine"),
        "{said}"
    );
    assert!(
        survey(&["--lift=0..30/4", "--lean=-5..5/99999999999999999999999"]).contains("not a range")
    );
}

#[test]
fn b5_a_wrong_dial_lists_a_few() {
    let dials: Vec<_> = (0..900)
        .map(|k| format!(r#"{{"name": "dial {k}", "unit": "deg", "min": 0, "max": 1}}"#))
        .collect();
    let document = format!(
        r#"{{"format": "handstand/1", "nodes": [], "dials": [{}]}}"#,
        dials.join(", ")
    );
    let path = file("b5-dials.hand.json", document.as_bytes());
    let path = path.to_str().unwrap();
    let said = told(&["pose", path, "--dial", "flour=1"]);
    assert!(said.contains("'dial 7' or 892 more."), "{said}");
    let said = told(&[
        "survey",
        path,
        "--sweep",
        "flour=0..1/2",
        "--sweep",
        "dial 0=0..1/2",
    ]);
    assert!(said.contains("'dial 7' or 892 more."), "{said}");
}

#[test]
fn b7_names_are_escaped_in_tables() {
    let path = renamed("b7-table.hand.json", UNRULY);
    let output = handstand(&["pose", &path]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let table = text(&output.stdout);
    table.lines().for_each(is_plain);
    assert!(
        table.contains(r"pin\u{1b}[2J\u{7}\u{202e}\nch\u{9b}"),
        "{table}"
    );
    // JSON is data, and has its own escapes.
    let output = handstand(&["pose", &path, "--json"]);
    let pose: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let nodes = pose["nodes"].as_array().unwrap();
    assert!(nodes.iter().any(|node| node["name"] == UNRULY));
}

#[test]
fn b7_names_are_escaped_in_errors_and_lint() {
    let good = std::fs::read_to_string(example()).unwrap();
    let unruly = serde_json::to_string(UNRULY).unwrap();
    for (at, (from, to)) in [
        ("\"joint\"", unruly.as_str()),
        ("\"parent\": \"wrist\"", &format!("\"parent\": {unruly}")),
        ("\"bench\":", &format!("{unruly}:")),
        ("\"handstand/2\"", &unruly),
        ("\"name\": \"wrist\"", &format!("\"name\": {unruly}")),
    ]
    .into_iter()
    .enumerate()
    {
        let path = file(
            &format!("b7-{at}.hand.json"),
            good.replace(from, to).as_bytes(),
        );
        let path = path.to_str().unwrap();
        let said = told(&["pose", path]);
        let output = handstand(&["lint", path]);
        assert_eq!(output.status.code(), Some(1));
        assert_eq!(text(&output.stdout).trim_end(), said);
    }
    let said = told(&["pose", &example(), "--dial", &format!("{UNRULY}=1")]);
    assert!(said.contains(r"named 'pin\u{1b}"), "{said}");
}

#[test]
fn b7_paths_and_arguments_are_escaped() {
    let said = told(&["pose", &format!("no-{UNRULY}.hand.json")]);
    assert!(said.starts_with(r"no-pin\u{1b}"), "{said}");
    told(&["pose", &example(), UNRULY]);
    told(&[UNRULY]);
    told(&["draw", &example(), "o.svg", "--view", UNRULY]);
    told(&["survey", press(), "--lift", UNRULY, "--lean=-5..5/3"]);
    told(&[
        "survey",
        press(),
        "--lift=0..1/2",
        "--lean=-5..5/3",
        "--tolerance",
        UNRULY,
    ]);
    told(&["draw", &example(), &format!("no/such/{UNRULY}/folder.svg")]);
}

#[test]
fn b7_long_names_are_shortened() {
    let long = "z".repeat(100_000);
    let good = std::fs::read_to_string(example()).unwrap();
    for (at, (from, to)) in [
        ("\"joint\"", format!("\"{long}\"")),
        ("\"parent\": \"wrist\"", format!("\"parent\": \"{long}\"")),
        ("\"bench\":", format!("\"{long}\":")),
        ("\"handstand/2\"", format!("\"{long}\"")),
        ("\"name\": \"wrist\"", format!("\"name\": \"{long}\"")),
        (
            "\"format\":",
            format!("\"{long}\": 1, \"{long}\": 2, \"format\":"),
        ),
    ]
    .into_iter()
    .enumerate()
    {
        let path = file(
            &format!("b7-long-{at}.hand.json"),
            good.replace(from, &to).as_bytes(),
        );
        told(&["pose", path.to_str().unwrap()]);
    }
    told(&["pose", &example(), "--dial", &format!("{long}=1")]);
    told(&["pose", &example(), "--dial", &format!("lift={long}")]);
    told(&["pose", &long]);
    told(&[&long]);
}

#[test]
fn b7_arguments_are_refused_in_one_line() {
    let example = example();
    for (arguments, what) in [
        (&[][..], "no command is given"),
        (&["knead"], "there is no command 'knead'; use one of pose"),
        (&["pose"], "<DOCUMENT> is missing"),
        (&["lint"], "<FILES>... is missing"),
        (&["draw", &example], "<OUT.svg> is missing"),
        (
            &["pose", &example, "--flour"],
            "'--flour' has no place here",
        ),
        (&["pose", &example, "--dail=1"], "write --dial"),
        (&["pose", &example, "--dial"], "has no value"),
        (
            &["draw", &example, "o.svg", "--view", "back"],
            "not 'back'; use one of side, front",
        ),
        (
            &["survey", &example, "--json", "--csv"],
            "do not go together",
        ),
    ] {
        let said = told(arguments);
        assert!(said.contains(what), "{said}");
    }
    for help in ["--help", "--version"] {
        let output = handstand(&[help]);
        assert_eq!(output.status.code(), Some(0));
        assert!(text(&output.stdout).contains("handstand") && output.stderr.is_empty());
    }
}

#[test]
fn b7_survey_names_the_file() {
    let press = press();
    for more in [
        &["--lift", "0..30"][..],
        &["--tolerance", "-1"],
        &["--lift=0..9/9999", "--lean=0..9/9999"],
    ] {
        let said = told(&[&["survey", press], more].concat());
        assert!(said.starts_with(&format!("{press}: ")), "{said}");
    }
}

#[test]
fn b7_lint_goes_on() {
    let dull = file("b7-dull.hand.json", b"{\"format\": \"handstand/1\"}");
    let dull = dull.to_str().unwrap();
    let folder = env!("CARGO_TARGET_TMPDIR");
    let output = handstand(&["lint", "no-loaf.hand.json", dull, folder, dull, &example()]);
    assert_eq!(output.status.code(), Some(2));
    let (said, answered) = (text(&output.stderr), text(&output.stdout));
    let said: Vec<_> = said.lines().collect();
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(said[0].starts_with("handstand: no-loaf.hand.json: there is no such file; "));
    assert!(said[1].starts_with(&format!("handstand: {folder}: this is a folder; ")));
    let faults = answered.lines().filter(|line| line.starts_with(dull));
    assert_eq!(
        (faults.count(), answered.lines().count()),
        (2, 2),
        "{answered}"
    );
    assert_eq!(
        handstand(&["lint", dull, &example()]).status.code(),
        Some(1)
    );
}

#[test]
fn b7_no_parsers_words() {
    let good = std::fs::read_to_string(example()).unwrap();
    for (at, (from, to)) in [
        ("\"joint\"", "\"dough\""),
        ("\"joint\"", "3"),
        ("\"joint\"", "{\"dough\": 1}"),
        ("\"translation\": [", "\"translation\": [\"x\", "),
        ("\"translation\": [", "\"translation\": [1, "),
        ("\"dials\": [", "\"dials\": 3, \"plants\": ["),
        ("\"nodes\": [", "\"nodes\": [7, "),
        ("\"solver\": \"", "\"solver\": \"un"),
        ("\"unit\": \"deg\"", "\"unit\": \"rad\""),
        ("\"unit\": \"deg\"", "\"unit\": [\"deg\"]"),
        ("\"min\": ", "\"mini\": "),
        ("\"min\": ", "\"min\": nul, \"mini\": "),
        ("\"min\": ", "\"min\": \"x\", \"mini\": "),
        ("\"name\": \"lift\"", "\"name\": {\"lift\": 1}"),
    ]
    .into_iter()
    .enumerate()
    {
        assert!(good.contains(from), "{from}");
        let path = file(
            &format!("b7-words-{at}.hand.json"),
            good.replace(from, to).as_bytes(),
        );
        let said = told(&["pose", path.to_str().unwrap()]);
        for word in [
            "expected",
            "variant",
            "invalid",
            "f64",
            "u32",
            "ident",
            "struct",
            "sequence",
            "map",
            "line 1 column",
            "unknown field",
            "missing field",
        ] {
            assert!(!said.contains(word), "{word:?} in {said}");
        }
    }
}

#[test]
fn b7_a_byte_order_mark_is_skipped() {
    let good = std::fs::read(example()).unwrap();
    let path = file("b7-mark.hand.json", &[b"\xef\xbb\xbf", &good[..]].concat());
    let output = handstand(&["pose", path.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let output = handstand(&["lint", path.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn not_text_is_told_with_its_place() {
    let mut bytes = std::fs::read(example()).unwrap();
    bytes[20] = 0xff;
    let path = file("b7-bytes.hand.json", &bytes);
    let said = told(&["pose", path.to_str().unwrap()]);
    assert!(said.contains("byte 21: this is not text"), "{said}");
}
