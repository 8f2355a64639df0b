//! Lessons are read without loss: what is written of one is its file again, to the byte.
use std::path::PathBuf;

fn shipped() -> Vec<PathBuf> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../lessons");
    let files = std::fs::read_dir(folder).unwrap();
    let mut files: Vec<_> = files
        .map(|file| file.unwrap().path())
        .filter(|path| path.to_string_lossy().ends_with(".lesson.json"))
        .collect();
    files.sort();
    files
}

fn rewritten(text: &str) -> String {
    let lesson = course::authored(rig::file::value(text).unwrap()).unwrap();
    course::write(&lesson)
}

#[test]
fn every_lesson_is_written_as_it_was_read() {
    let files = shipped();
    assert!(files.len() >= 8);
    for path in files {
        let text = std::fs::read_to_string(&path).unwrap();
        let again = rewritten(&text);
        if std::env::var_os("UPDATE").is_some() {
            std::fs::write(&path, &again).unwrap();
            continue;
        }
        assert!(
            text == again,
            "{} is not laid out as it would be written; rewrite it with\n    \
             UPDATE=1 cargo test -p course --test round_trip",
            path.display()
        );
    }
}

/// Kept as the first version had them: axes counted, figures of the first version too.
#[test]
fn a_lesson_of_the_first_version_is_todays_lesson() {
    for (name, kept) in [
        (
            "03-anchor-together",
            include_str!("kept/anchor-together.v1.json"),
        ),
        ("05-side-lean", include_str!("kept/side-lean.v1.json")),
        ("09-roll", include_str!("kept/roll.v1.json")),
    ] {
        assert!(kept.contains("handstand-lesson/1") && kept.contains("\"axis\": "));
        let path = shipped()
            .into_iter()
            .find(|path| path.to_string_lossy().contains(name));
        let today = std::fs::read_to_string(path.unwrap()).unwrap();
        // What is tried before a prediction is told since.
        let mut today = course::authored(rig::file::value(&today).unwrap()).unwrap();
        today.steps.iter_mut().for_each(|step| step.trying = None);
        let today = course::write(&today);
        assert_eq!(rewritten(kept), today, "{name}");
        let (kept, today) = (course::read(kept).unwrap(), course::read(&today).unwrap());
        assert_eq!(kept, today, "{name}");
    }
}

#[test]
fn an_axis_that_is_none_is_told_in_either_version() {
    let kept = include_str!("kept/side-lean.v1.json");
    let wrong = kept.replacen("\"axis\": 3", "\"axis\": 6", 1);
    assert_ne!(wrong, kept);
    let fault = course::read(&wrong).unwrap_err().to_string();
    assert!(fault.contains("'-x'") || fault.contains("-x"), "{fault}");
}
