//! Lesson files by number, their figures posed, and what a finding says.
use course::{Answer, Attempt, Lesson, Mark, Obstacle, Task, Truth, Verdict};
use rig::{DialId, Document, Posed, Setting, Vec3};
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

/// By its name, whatever its number.
pub fn named(name: &str) -> Lesson {
    let end = format!("-{name}.lesson.json");
    let mut files = files().into_iter();
    let (name, text) = files.find(|(file, _)| file.ends_with(&end)).expect(name);
    course::read(&text).unwrap_or_else(|fault| panic!("{name}: {fault}"))
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
    (lesson.figure(step).document().clone(), step.task.clone())
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

pub fn point(posed: &Posed, node: &str) -> Vec3 {
    let document = posed.document();
    posed.point(document.node_named(node).unwrap().id)
}

/// How far a node moves when dials go to these values.
pub fn travel(document: &Document, node: &str, values: &[(&str, f64)]) -> f64 {
    (point(&posed(document, values), node) - point(&posed(document, &[]), node)).norm()
}

pub fn pose(document: &Document, values: &[(&str, f64)]) -> Setting {
    let mut setting = document.setting.clone();
    for (name, value) in values {
        setting.set_dial(&document.rig, dial(document, name), *value);
    }
    setting
}

pub fn check(document: &Document, task: &Task, attempt: &Attempt) -> Result<Mark, Obstacle> {
    course::check(&posed(document, &[]), task, attempt)
}

pub fn truth(document: &Document, task: &Task) -> Result<Truth, Obstacle> {
    course::truth(&posed(document, &[]), task)
}

pub fn judge(document: &Document, task: &Task, answer: &Answer) -> Result<Verdict, Obstacle> {
    course::judge(&posed(document, &[]), task, answer)
}

pub fn says(mark: &Mark, words: &str) {
    let all: Vec<String> = mark.findings.iter().map(ToString::to_string).collect();
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
pub fn raised(document: &Document, distance: f64, degrees: f64) -> Setting {
    pose(
        document,
        &[
            ("wrist across", 90.0 - distance * cos(degrees)),
            ("wrist up", distance * sin(degrees)),
        ],
    )
}
