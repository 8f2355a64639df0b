//! L8: what a lesson shows is words. Document names, which open standards and tools share, are not:
//! a hyphen, 'target', 'anchor', 'pad' or a name of the little finger that is not its own would be
//! one of those.
use course::{Lesson, Step, Task};
use rig::{NodeId, Posed};
use std::collections::BTreeSet;
use std::path::Path;
use workbook::desk::{called, dials, gauges, gauges_of};
use workbook::hang::hang;
use workbook::moving::{Moving, first_grip, handle, told};
use workbook::plate::Plate;
use workbook::scene::{Frame, Shown, Ways, extent, scene, sight};

fn lessons() -> Vec<Lesson> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../lessons");
    let files = std::fs::read_dir(folder).expect("the lessons");
    let mut all: Vec<_> = files.map(|file| file.expect("a lesson").path()).collect();
    all.retain(|path| path.to_string_lossy().ends_with(".lesson.json"));
    all.sort();
    let read = |path| course::read(&std::fs::read_to_string(path).expect("text"));
    all.into_iter()
        .map(|path| read(path).expect("a good lesson"))
        .collect()
}

/// Why a label is no word, if it is none. A minus is part of a number.
fn amiss(label: &str) -> Option<&'static str> {
    let hyphen = label
        .char_indices()
        .any(|(at, c)| c == '-' && !label[at + 1..].starts_with(|c: char| c.is_ascii_digit()));
    let words: Vec<_> = label.split(|c: char| !c.is_alphabetic()).collect();
    let ends = |word| label.trim_end().ends_with(word);
    let has = |word| words.contains(&word);
    match () {
        () if hyphen => Some("a hyphen"),
        () if ends("target") => Some("a target"),
        () if ends("anchor") => Some("an anchor"),
        () if has("pinky") => Some("another name of the little finger"),
        () if has("pad") || has("raw") || has("plants") => Some("a word of the code"),
        () if label.trim().is_empty() => Some("nothing"),
        () => None,
    }
}

/// Every label that a place shows or that is spoken of it.
fn labels(lesson: &Lesson, step: Option<&Step>) -> Vec<String> {
    let posed = step.map_or(&lesson.document, |step| lesson.figure(step));
    let document = posed.document();
    let mut all = Vec::new();
    // Beads, folded and not.
    let every: BTreeSet<NodeId> = document.nodes.iter().map(|node| node.id).collect();
    for opened in [BTreeSet::new(), every] {
        for narrow in [false, true] {
            for bead in hang(document, &opened, narrow).beads {
                all.extend(bead.fold.map(|fold| fold.name));
                all.push(bead.called);
            }
        }
    }
    all.extend(
        workbook::names::nodes(document)
            .into_iter()
            .map(|(_, name)| name),
    );
    all.extend(
        document
            .nodes
            .iter()
            .filter_map(|node| handle(document, node.id)),
    );
    all.extend(
        workbook::knobs::knobs(document, None)
            .into_iter()
            .map(|knob| knob.label),
    );
    // The desk, as it is and where nobody says what stands on it.
    let on_desk = dials(document, Some(lesson), step);
    all.extend(
        on_desk
            .iter()
            .filter_map(|id| Some(called(document.dial(*id)?))),
    );
    all.extend(told(document, &Moving::Dials(on_desk)));
    all.extend(
        gauges(posed, Some(lesson), step)
            .into_iter()
            .map(|shown| shown.label),
    );
    all.extend(gauges_of(document).into_iter().map(|shown| shown.label));
    // The plate: bubbles, marks, what its mover is called and what is chosen.
    let from = step.and_then(|step| step.view).unwrap_or(lesson.view);
    let view = Frame::of(document).fit(
        sight(from),
        Plate::of((1040.0, 720.0)),
        &extent(posed, step),
    );
    let mut chosen = vec![None];
    chosen.extend(
        document
            .nodes
            .iter()
            .filter(|n| !n.hidden)
            .map(|n| Some(n.id)),
    );
    for selected in chosen {
        let mut shown = Shown::on_arrival(posed, &view, step);
        shown.selected = selected;
        shown.moving = first_grip(document);
        let drawn = scene(shown, &mut Ways::default());
        all.extend(drawn.labels.into_iter().map(|(_, label)| label));
        all.extend(drawn.bubbles.into_iter().map(|b| b.name + " " + &b.text));
        all.extend(drawn.marks.into_iter().map(|(name, _)| name));
    }
    if let Some(step) = step {
        all.extend(asked(&step.task, posed));
    }
    all
}

/// What a task calls the things it is about.
fn asked(task: &Task, posed: &Posed) -> Vec<String> {
    let document = posed.document();
    let bands = match task {
        Task::PredictStay { among, .. } => {
            let nodes = among.iter().filter_map(|name| document.node_named(name));
            return nodes
                .map(|node| course::called(document, node.id))
                .collect();
        }
        Task::Hold { bands, .. } => bands.clone(),
        Task::Between {
            first,
            second,
            along,
            ..
        } => [&first[..], second, along].concat(),
        _ => Vec::new(),
    };
    let named = bands.into_iter().map(|band| band.called);
    named.filter(|name| !name.is_empty()).collect()
}

/// What is read of a text: not the name of a reading, nor the condition of a claim.
fn said(mut text: String) -> String {
    while let Some(from) = text.rfind('{') {
        let Some(length) = text[from..].find('}') else {
            break;
        };
        let inner = &text[from + 1..from + length];
        let shown = inner
            .split_once('?')
            .map_or("", |(_, rest)| rest)
            .to_owned();
        text.replace_range(from..=from + length, &shown);
    }
    text
}

/// Every sentence of a lesson.
fn texts(lesson: &Lesson) -> Vec<String> {
    let mut all = vec![
        lesson.title.clone(),
        lesson.idea.clone(),
        lesson.play.clone(),
    ];
    all.extend(lesson.intro.iter().chain(&lesson.why).cloned());
    for step in &lesson.steps {
        let said = [&*step.title, &step.ask, &step.insight, step.tried()];
        all.extend(said.map(str::to_owned));
        let bands = match &step.task {
            Task::Hold { bands, .. } => &bands[..],
            Task::Between { along, .. } => along,
            _ => &[],
        };
        // All its rungs.
        all.extend(
            bands
                .iter()
                .map(|band| format!("{:?} {:?}", band.low, band.high)),
        );
    }
    all
}

#[test]
fn l8_every_label_of_every_lesson_is_a_word() {
    let mut seen = 0;
    for lesson in lessons() {
        for step in lesson.steps.iter().map(Some).chain([None]) {
            let place = step.map_or("free play", |step| &step.title);
            for label in labels(&lesson, step) {
                let why = amiss(&label);
                assert_eq!(why, None, "'{label}' in {}, {place}", lesson.number);
                seen += 1;
            }
        }
    }
    assert!(seen > 1000, "only {seen} labels looked at");
}

#[test]
fn l8_no_text_of_a_lesson_has_a_document_name() {
    for lesson in lessons() {
        for text in texts(&lesson) {
            let said = said(text.clone());
            let words = said.split(|c: char| !(c.is_alphanumeric() || c == '-'));
            for word in words {
                let id = ["pinky", "-finger", "-phalanx", "-plant", "-contact", "-pad"];
                let bad = id.iter().any(|part| word.contains(part));
                let bad = bad || ["target", "targets", "raw", "plants"].contains(&word);
                assert!(!bad, "'{word}' in {}: {text}", lesson.number);
            }
        }
    }
}

#[test]
fn the_check_can_fail() {
    for label in [
        "index-finger-pad",
        "knuckle target",
        "tip anchor",
        "Move pinky",
        "raw tips",
        "4 plants",
        "",
    ] {
        assert!(amiss(label).is_some(), "{label}");
    }
    for label in [
        "little finger",
        "lift -3.5°",
        "knuckle staple",
        "Anchors: holding",
    ] {
        assert_eq!(amiss(label), None);
    }
}
