//! The lesson files themselves: read whole, every number of the course recomputed through them from
//! the closed forms, every exercise solved and failed by a scripted attempt.
mod anchor;
mod apart;
mod building;
mod carry;
mod claims;
mod common;
mod gestures;
mod hand;
mod lean;
mod pivot;
mod together;
mod turn_order;
mod words;
mod zero;

#[test]
fn every_file_reads_and_they_count_from_one() {
    let files = common::files();
    assert!(files.len() >= 9);
    for (index, (name, text)) in files.iter().enumerate() {
        let lesson = course::read(text).unwrap_or_else(|fault| panic!("{name}: {fault}"));
        assert_eq!(lesson.number as usize, index + 1, "{name}");
        assert!(
            name.starts_with(&format!("{:02}-", lesson.number)),
            "{name}"
        );
        assert!(
            lesson.steps.iter().any(|step| step.task.is_prediction()),
            "{name} has no prediction"
        );
        assert!(
            lesson.steps.iter().any(|step| !step.task.is_prediction()),
            "{name} has no exercise"
        );
    }
}
