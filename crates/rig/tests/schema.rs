//! The published schema is the one made from the types, and says of files what reading says.
//! Checked from outside: the `boon` JSON Schema validator.
use rig::{file::schema, write};
use serde_json::{Value, json};
use testkit::random_document;

const PATH: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../../docs/schema/hand.schema.json"
);

#[test]
fn the_published_schema_is_current() {
    let made = serde_json::to_string_pretty(&schema()).unwrap() + "\n";
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(PATH, &made).unwrap();
    }
    let published = std::fs::read_to_string(PATH).unwrap_or_default();
    assert!(
        published == made,
        "docs/schema/hand.schema.json is out of date; rewrite it with\n    \
         UPDATE=1 cargo test -p rig --test schema"
    );
}

fn valid(instance: &Value) -> bool {
    let mut schemas = boon::Schemas::new();
    let mut compiler = boon::Compiler::new();
    compiler.add_resource("hand.schema.json", schema()).unwrap();
    let compiled = compiler.compile("hand.schema.json", &mut schemas).unwrap();
    schemas.validate(instance, compiled).is_ok()
}

#[test]
fn what_is_written_fits_the_schema() {
    for seed in 0..50 {
        let text = write(&random_document(seed));
        assert!(
            valid(&serde_json::from_str(&text).unwrap()),
            "seed {seed}: {text}"
        );
    }
    let example = include_str!("../../../examples/bench-press-chain.hand.json");
    assert!(valid(&serde_json::from_str(example).unwrap()));
}

#[test]
fn what_does_not_fit_is_not_read() {
    let good: Value = serde_json::from_str(include_str!(
        "../../../examples/bench-press-chain.hand.json"
    ))
    .unwrap();
    let spoil: [(&str, Value); 7] = [
        ("/flour", json!(1)),
        ("/nodes/0/flour", json!(1)),
        ("/nodes/0/kind", json!("dough")),
        ("/nodes/0/translation", json!([0, 0])),
        ("/nodes/1/grip", json!({"plaice": [0, 0, 0]})),
        ("/anchors/0/solver", json!("guess")),
        ("/dials/0/unit", json!("rad")),
    ];
    for (place, value) in spoil {
        let mut bad = good.clone();
        let (parent, key) = place.rsplit_once('/').unwrap();
        bad.pointer_mut(parent).unwrap()[key] = value;
        assert!(!valid(&bad), "{place}");
        assert!(rig::read(&bad.to_string()).is_err(), "{place}");
    }
}
