//! The published schema is the one the code reads by.
use std::path::PathBuf;

#[test]
fn published_schema_is_current() {
    let path =
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../docs/schema/lesson.schema.json");
    let now = serde_json::to_string_pretty(&course::schema()).unwrap() + "\n";
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, &now).unwrap();
    }
    let published = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        published == now,
        "docs/schema/lesson.schema.json is stale: run `UPDATE=1 cargo test -p course --test schema`"
    );
}
