//! Lesson files by number, their figures posed, and what a finding says.
use course::{Lesson, Mark, Task};
use rig::{DialId, Document, Posed, Vec3};
use std::path::PathBuf;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../lessons")
}

pub fn lesson(number: u32) -> Lesson {
    let start = format!("{number:02}-");
    let found = files()
        .into_iter()
        .find(|(name, _)| name.starts_with(&start))
        .expect("the lesson is there");
    course::read(&found.1).unwrap_or_else(|fault| panic!("{}: {fault}", found.0))
}

pub fn files() -> Vec<(String, String)> {
    let mut files: Vec<_> = std::fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.to_string_lossy().ends_with(".lesson.json"))
        .map(|path| {
            (
                path.file_name().unwrap().to_string_lossy().into_owned(),
                std::fs::read_to_string(&path).unwrap(),
            )
        })
        .collect();
    files.sort();
    files
}

/// A step of a lesson: its document and its task.
pub fn step(lesson: &Lesson, index: usize) -> (Document, Task) {
    let step = &lesson.steps[index];
    (
        step.document
            .clone()
            .unwrap_or_else(|| lesson.document.clone()),
        step.task.clone(),
    )
}

pub fn dial(document: &Document, name: &str) -> DialId {
    document
        .dial_named(name)
        .unwrap_or_else(|| panic!("no dial {name}"))
        .id
}

pub fn posed(document: &Document, values: &[(&str, f64)]) -> Posed {
    let mut posed = Posed::new(document).unwrap();
    values
        .iter()
        .for_each(|(name, value)| posed.set_dial(dial(document, name), *value));
    posed.evaluate();
    posed
}

pub fn point(document: &Document, posed: &Posed, node: &str) -> Vec3 {
    posed.point(document.node_named(node).unwrap().id)
}

/// How far a node moves when dials go to these values.
pub fn travel(document: &Document, node: &str, values: &[(&str, f64)]) -> f64 {
    (point(document, &posed(document, values), node) - point(document, &posed(document, &[]), node))
        .norm()
}

pub fn pose(document: &Document, values: &[(&str, f64)]) -> Vec<(DialId, f64)> {
    let given = |name: &str| values.iter().find(|(n, _)| *n == name).map(|(_, v)| *v);
    document
        .dials
        .iter()
        .map(|d| (d.id, given(&d.name).unwrap_or(d.value)))
        .collect()
}

pub fn says(mark: &Mark, words: &str) {
    let all: Vec<&str> = mark.findings.iter().map(|f| f.text.as_str()).collect();
    assert!(
        all.iter().any(|text| text.contains(words)),
        "'{words}' is not in {all:#?}"
    );
}

pub fn close(found: f64, expected: f64, within: f64) {
    assert!(
        (found - expected).abs() <= within,
        "{found} is not {expected} ± {within}"
    );
}

pub fn sin(degrees: f64) -> f64 {
    libm::sin(degrees.to_radians())
}

pub fn cos(degrees: f64) -> f64 {
    libm::cos(degrees.to_radians())
}

/// Wrist places at a distance from the staple, by degrees raised, as values of lesson 2's and 3's dials.
pub fn raised(document: &Document, distance: f64, degrees: f64) -> Vec<(DialId, f64)> {
    pose(
        document,
        &[
            ("wrist across", 90.0 - distance * cos(degrees)),
            ("wrist up", distance * sin(degrees)),
        ],
    )
}
