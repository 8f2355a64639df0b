//! The command as a user runs it: answers, exit status, and one sentence about bad input.
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

mod refusals;
mod saving;

fn example() -> String {
    concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../examples/bench-press-chain.hand.json"
    )
    .to_owned()
}

fn handstand(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_handstand"))
        .args(arguments)
        .output()
        .expect("it runs")
}

/// A file of this test's own.
fn file(name: &str, text: &[u8]) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, text).expect("the temporary folder can be written");
    path
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("it speaks UTF-8")
}

/// The one sentence about bad input, after 'handstand: '.
fn bad(arguments: &[&str]) -> String {
    let output = handstand(arguments);
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(output.stdout.is_empty(), "nothing is answered on bad input");
    assert_eq!(said.lines().count(), 1, "{said}");
    let said = said
        .trim_end()
        .strip_prefix("handstand: ")
        .expect("it says who speaks");
    assert!(
        said.ends_with('.') && said.contains("; "),
        "what and mend in {said}"
    );
    said.to_owned()
}

#[test]
fn pose_answers_in_json() {
    let output = handstand(&["pose", &example(), "--dial", "lift=40", "--json"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let pose: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let node = |name: &str| {
        pose["nodes"]
            .as_array()
            .unwrap()
            .iter()
            .find(|n| n["name"] == name)
            .unwrap()
            .clone()
    };
    let position =
        |name: &str| serde_json::from_value::<[f64; 3]>(node(name)["position"].clone()).unwrap();
    // The wrist is 90 mm from a pivot at (90, 0): 90 − 90·cos 40°, 90·sin 40° (table values).
    let [x, y, z] = position("wrist");
    assert!(
        (x - (90.0 - 90.0 * 0.766_044_443_118_978)).abs() < 1e-10,
        "{x}"
    );
    assert!((y - 90.0 * 0.642_787_609_686_539_3).abs() < 1e-10, "{y}");
    assert_eq!(z, 0.0);
    for (name, there) in [("knuckle", 90.0), ("tip", 168.0)] {
        let [x, y, _] = position(name);
        assert!(
            (x - there).abs() < 1e-10 && y.abs() < 1e-10,
            "{name} {x} {y}"
        );
    }
    assert_eq!(node("bench")["parent"], serde_json::Value::Null);
    assert_eq!(node("wrist")["parent"], "knuckle pivot");
    assert_eq!(node("wrist")["rotation"].as_array().unwrap().len(), 4);
    for anchor in pose["anchors"].as_array().unwrap() {
        assert!(anchor["residual_mm"].as_f64().unwrap() < 1e-10);
        assert!(anchor["reach_margin_mm"].is_f64());
    }
}

#[test]
fn pose_answers_in_a_table() {
    let output = handstand(&["pose", &example(), "--dial", "lift=40"]);
    let table = text(&output.stdout);
    let wrist = table
        .lines()
        .find(|line| line.starts_with("wrist "))
        .expect("a line for the wrist");
    let cells: Vec<_> = wrist.split_whitespace().collect();
    assert_eq!(
        cells,
        [
            "wrist", "knuckle", "pivot", "21.06", "57.85", "0.00", "0.00", "0.00", "-40.00"
        ]
    );
    assert!(table.contains("reach margin mm"));
    assert!(!table.contains("-0.00"), "{table}");
}

#[test]
fn dials_are_checked() {
    let dial = |setting: &str| bad(&["pose", &example(), "--dial", setting]);
    assert!(dial("lift").contains("write NAME=VALUE"));
    assert!(dial("lift=high").contains("'high' is not a number"));
    assert!(dial("lift=nan").contains("is not a number"));
    assert!(dial("lift=90").contains("give -15 to 75"));
    assert!(dial("roll=1").contains("no dial named 'roll'; use one of 'lift'"));
}

#[test]
fn bad_files_get_one_sentence() {
    let good = std::fs::read_to_string(example()).unwrap();
    let cases: [(&str, Vec<u8>, &str); 7] = [
        (
            "cut.hand.json",
            good.as_bytes()[..200].to_vec(),
            "the file ends in the middle",
        ),
        (
            "prose.hand.json",
            b"knead for ten minutes".to_vec(),
            "this is not JSON",
        ),
        (
            "bytes.hand.json",
            vec![0xff, 0xfe, 0x00],
            "this is not text",
        ),
        (
            "newer.hand.json",
            good.replace("handstand/2", "handstand/9").into_bytes(),
            "this file is format handstand/9",
        ),
        (
            "twice.hand.json",
            good.replace(
                "\"name\": \"finger\", \"kind\"",
                "\"name\": \"tip\", \"kind\"",
            )
            .into_bytes(),
            "'tip'",
        ),
        (
            "huge.hand.json",
            good.replace("39.0", "1e999").into_bytes(),
            "too large to be finite",
        ),
        (
            "circle.hand.json",
            good.replace(
                "\"name\": \"bench\",",
                "\"name\": \"bench\", \"parent\": \"tip\",",
            )
            .into_bytes(),
            "which hangs from",
        ),
    ];
    for (name, bytes, what) in cases {
        let path = file(name, &bytes);
        let path = path.to_str().unwrap();
        let said = bad(&["pose", path]);
        assert!(said.starts_with(&format!("{path}: ")), "the file in {said}");
        assert!(said.contains(what), "{what:?} in {said}");
        let out = Path::new(env!("CARGO_TARGET_TMPDIR")).join("never.svg");
        assert_eq!(bad(&["draw", path, out.to_str().unwrap()]), said);
        assert!(!out.exists(), "nothing is drawn of a bad file");
    }
    assert!(bad(&["pose", "no-such-loaf.hand.json"]).contains("there is no such file"));
    assert!(bad(&["pose", env!("CARGO_TARGET_TMPDIR")]).contains("this is a folder"));
}

#[test]
fn draw_writes_a_picture() {
    for (view, look) in [
        ("side", "paper"),
        ("front", "slate"),
        ("top", "paper"),
        ("oblique", "slate"),
    ] {
        let out = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{view}.svg"));
        let output = handstand(&[
            "draw",
            &example(),
            out.to_str().unwrap(),
            "--view",
            view,
            "--look",
            look,
            "--dial",
            "lift=30",
        ]);
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        let picture = std::fs::read_to_string(&out).unwrap();
        assert!(
            picture.starts_with("<svg") || picture.starts_with("<?xml"),
            "{picture:.80}"
        );
        assert!(picture.contains("<path") && picture.trim_end().ends_with("</svg>"));
        assert!(!picture.contains("NaN") && !picture.contains("inf"));
    }
    let nowhere = bad(&["draw", &example(), "/no/such/folder/out.svg"]);
    assert!(nowhere.contains("cannot be written"), "{nowhere}");
}

#[test]
fn lint_says_no() {
    let lessons: Vec<_> = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../../lessons"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.to_string_lossy().ends_with(".lesson.json"))
        .map(|path| path.to_str().unwrap().to_owned())
        .collect();
    assert!(!lessons.is_empty());
    let mut arguments = vec!["lint".to_owned(), example()];
    arguments.extend(lessons);
    let arguments: Vec<_> = arguments.iter().map(String::as_str).collect();
    let output = handstand(&arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stdout));
    assert!(output.stdout.is_empty());

    let path = file("dull.hand.json", b"{\"format\": \"handstand/1\"}");
    let path = path.to_str().unwrap();
    let output = handstand(&["lint", &example(), path]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stdout).starts_with(&format!("{path}: ")));
    assert_eq!(handstand(&["lint"]).status.code(), Some(2));
}

/// A pressed hand, as a file that gives its recipe alone; written once, for tests run at once.
fn press() -> &'static str {
    static PATH: std::sync::LazyLock<String> = std::sync::LazyLock::new(|| {
        let text = br#"{"format": "handstand/1", "name": "bench-press", "hand": {"planting": {}}}"#;
        let path = file("bench-press.hand.json", text);
        path.to_string_lossy().into_owned()
    });
    &PATH
}

/// The same hand, stiff, its fingers held by a point each: they slip, and come to their ends.
fn points() -> &'static str {
    static PATH: std::sync::LazyLock<String> = std::sync::LazyLock::new(|| {
        let hand = hand::Hand {
            suppleness: 0.0,
            ..hand::Hand::table()
        };
        let planting = Some(hand::Planting::default());
        let mut document = hand::document(&hand::Recipe { hand, planting }).unwrap();
        for anchor in &mut document.rig.anchors {
            let mut own = (**anchor).clone();
            if let rig::Solver::Finger { contact, .. } = &mut own.solver {
                *contact = None;
                *anchor = own.into();
            }
        }
        let path = file("points.hand.json", rig::write(&document).as_bytes());
        path.to_string_lossy().into_owned()
    });
    &PATH
}

#[test]
fn survey_answers_in_every_form() {
    // Slip alone: depth is allowed without end.
    let asked = |hand: &str, more: &[&str]| {
        let sweeps = ["survey", hand, "--lift=-10..60/8", "--lean", "-9..9/7"];
        let sweeps = [&sweeps[..], &["--pad", "1e9", "--palm", "1e9"]].concat();
        let output = handstand(&[&sweeps[..], more].concat());
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        text(&output.stdout).to_owned()
    };
    let json = |hand: &str| -> serde_json::Value {
        serde_json::from_str(&asked(hand, &["--json"])).unwrap()
    };
    let at = |json: &serde_json::Value, lift: f64, lean: f64| {
        let place = serde_json::json!([lift, lean]);
        let cells = json["layers"][0]["cells"].as_array().unwrap().iter();
        cells
            .clone()
            .find(|cell| cell["at"] == place)
            .unwrap()
            .clone()
    };
    // Held by points.
    let held = json(points());
    let layer = &held["layers"][0];
    assert_eq!(layer["cells"].as_array().unwrap().len(), 56);
    assert_eq!(held["plants"].as_array().unwrap().len(), 4);
    assert_eq!(at(&held, 30.0, 0.0)["safe"], true);
    assert_eq!(at(&held, 30.0, 0.0)["limit"], serde_json::Value::Null);
    assert_eq!(at(&held, 30.0, 0.0)["ends"], serde_json::Value::Null);
    assert_eq!(
        at(&held, -10.0, -9.0)["slipping"],
        "index-finger-tip-contact"
    );
    assert_eq!(at(&held, -10.0, -9.0)["limit"]["kind"], "reach");
    assert_eq!(at(&held, 60.0, 0.0)["ends"], "slips");
    assert_eq!(at(&held, 0.0, 0.0)["down"].as_array().unwrap().len(), 4);
    assert_eq!(held["tolerance_mm"]["slip"], 0.5);
    assert!(!layer["boundary"].as_array().unwrap().is_empty());
    assert!(layer.get("no_safe_region").is_none());
    let words = asked(points(), &[]);
    assert!(
        words.contains("no limit hit") && words.contains(" slips"),
        "{words}"
    );

    // What rolls lets go, and that is safe.
    let rolls = json(press());
    let layer = &rolls["layers"][0];
    for (kind, lift) in [("pad", 20.0), ("palm", 0.0)] {
        let cell = at(&rolls, lift, 0.0);
        assert!(cell[kind]["depth_mm"].as_f64().unwrap() > 0.0);
        assert!(cell[kind]["node"].is_string());
    }
    let back = at(&rolls, -10.0, 0.0);
    assert_eq!(back["safe"], true);
    assert_eq!(back["down"].as_array().unwrap().len(), 0);
    assert_eq!(back["all_down"], false);
    assert_eq!(at(&rolls, 30.0, 0.0)["all_down"], true);
    let all_down = layer["all_down"].as_array().unwrap();
    assert_eq!(all_down.len(), 7);
    let level = &all_down[3];
    assert_eq!(level["from"], 0.0);
    assert_eq!(level["first_below"], "index-finger-tip-contact");
    assert!(level["to"].as_f64().unwrap() >= 30.0);
    let words = asked(press(), &[]);
    assert!(
        words.contains("poses all 4 planted are down") && words.contains("lets go below"),
        "{words}"
    );

    let csv = asked(press(), &["--csv"]);
    let rows: Vec<_> = csv.lines().collect();
    assert_eq!(rows.len(), 57);
    let columns = rows[0].split(',').count();
    assert!(rows.iter().all(|row| row.split(',').count() == columns));
    assert!(rows[0].starts_with("lift,lean,slip mm,"));
    let place = rows[0]
        .split(',')
        .position(|head| head == "all down")
        .unwrap();
    let all = rows
        .iter()
        .filter(|row| row.split(',').nth(place) == Some("true"));
    let cells = layer["cells"].as_array().unwrap().iter();
    let told = cells.filter(|cell| cell["all_down"] == true).count();
    assert!(told > 0 && all.count() == told);

    let svg = asked(press(), &["--svg", "--sweep", "twist=-2..2/3"]);
    assert!(svg.starts_with("<svg") && svg.contains("twist 2.00°"));
    let layered: serde_json::Value =
        serde_json::from_str(&asked(press(), &["--json", "--twist", "-2..2/3"])).unwrap();
    assert_eq!(layered["layers"].as_array().unwrap().len(), 3);
    assert_eq!(layered["layers"][1]["cells"], layer["cells"]);
}

/// A joint that is at the end of its range, and whether only load brings it there.
#[test]
fn a_survey_tells_of_a_joint_at_its_limit() {
    let text = br#"{"format": "handstand/1", "name": "stiff",
        "hand": {"hand": {"suppleness": 0}, "planting": {"flexion": 12}}}"#;
    let stiff = file("stiff.hand.json", text);
    let stiff = stiff.to_str().unwrap();
    let sweeps = [
        "--lift",
        "60..75/16",
        "--lean=-2..2/3",
        "--pad",
        "1e9",
        "--palm",
        "1e9",
    ];
    let output = handstand(&[&["survey", stiff][..], &sweeps, &["--json"]].concat());
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let cells = json["layers"][0]["cells"].as_array().unwrap().iter();
    let mut limits = cells.map(|cell| &cell["limit"]);
    let joint = limits
        .find(|limit| limit["kind"] == "joint")
        .expect("a joint");
    assert_eq!(
        (&joint["end"], &joint["turn"]),
        (&"least".into(), &"z".into())
    );
    assert_eq!(
        joint["only_load"], false,
        "stiff: pressed no farther than it goes by itself"
    );
}

/// With less depth allowed than the flesh has everywhere near neutral, no pose is safe.
#[test]
fn a_survey_without_a_safe_pose_is_a_no() {
    let sweeps = ["--lift=-1..1/3", "--lean=-1..1/3", "--palm", "0.5"];
    let output = handstand(&[&["survey", press()][..], &sweeps, &["--json"]].concat());
    assert_eq!(output.status.code(), Some(1));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let told = json["layers"][0]["no_safe_region"].as_str().unwrap();
    assert!(told.contains("no safe region"), "{told}");
}

#[test]
fn a_bad_survey_is_told_in_one_sentence() {
    let press = press();
    let example = example();
    let lean = "--lean=-5..5/3";
    for (arguments, place) in [
        (&["--lift", "0..30/4"][..], "two sweeps"),
        (&["--lift", "0..30", lean], "--lift 0..30"),
        (&["--lift", "0..nan/3", lean], "not a range"),
        (&["--lift", "30..0/4", lean], "'lift'"),
        (&["--lift", "0..30/1", lean], "at least 2"),
        (
            &["--lift", "0..30/4", "--sweep", "lift=0..3/2"],
            "same dial",
        ),
        (&["--lift", "0..30/4", "--sweep", "flour=0..3/2"], "'flour'"),
        (&["--lift", "0..30/4", "--sweep", "flour"], "--sweep flour"),
        (&["--lift", "0..9/9999", "--lean", "0..9/9999"], "too fine"),
        (
            &["--lift", "0..30/4", lean, "--tolerance", "-1"],
            "--tolerance",
        ),
        (
            &["--lift", "0..30/4", lean, "--palm", "deep"],
            "--palm deep",
        ),
        (&["--lift", "0..30/4", lean, "--pad=-2"], "--pad -2"),
    ] {
        let told = bad(&[&["survey", press], arguments].concat());
        assert!(told.contains(place), "{told}");
    }
    // The chain of lesson 4 has a lift alone.
    let told = bad(&["survey", &example, "--lift", "0..30/4", lean]);
    assert!(told.contains("no dial named 'lean'"), "{told}");
}

/// With the digits allowed next to no depth they end the lift upwards, and are told to.
#[test]
fn a_survey_tells_what_sinks_in() {
    let sweeps = [
        "--lift=-20..20/9",
        "--lean=-3..3/3",
        "--pad",
        "0.05",
        "--palm",
        "8",
    ];
    let output = handstand(&[&["survey", press()][..], &sweeps].concat());
    let words = text(&output.stdout).to_owned();
    assert!(
        words.contains("sink in") && words.contains(" sinks in"),
        "{words}"
    );
    let output = handstand(&[&["survey", press()][..], &sweeps, &["--csv"]].concat());
    let rows: Vec<_> = text(&output.stdout).lines().collect();
    let heads = ",pad depth mm,deepest pad,palm depth mm,deepest palm,down,all down,";
    assert!(rows[0].contains(heads));
    assert!(rows.iter().any(|row| row.contains(",sinks,")), "{rows:?}");
}
