//! Readers against texts that nobody meant to write.
//!
//! `proptest` and not `bolero` or `arbitrary`: random bytes hardly ever pass JSON, and what finds
//! places in them, coverage, needs another toolchain. Acts on files of a kept corpus get deep into
//! the reader at once, are seeded, and shrink to the fewest that still fail.
//!
//! `HANDSTAND_FUZZ_SECONDS` for each reader (20), `HANDSTAND_FUZZ_SEED` (1). A text that failed
//! and was mended is kept in `corpus/`.
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use rig::fault::Explain;
use rig::{Document, Fault, Posed};
use std::path::Path;
use std::time::{Duration, Instant};

mod mutate;
use mutate::{left_out, spoilt};

/// Cases between two looks at the clock.
const ROUND: u32 = 64;
/// Characters that a refusal may have.
const REFUSAL: usize = 600;

fn setting(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).map_or(otherwise, |text| text.parse().expect("a whole number"))
}

/// Tries cases until the time is out.
fn run<T: std::fmt::Debug>(
    reader: &str,
    texts: impl Strategy<Value = T>,
    accepts: impl Fn(&T) -> bool,
) {
    let seed = setting("HANDSTAND_FUZZ_SEED", 1);
    let until = Instant::now() + Duration::from_secs(setting("HANDSTAND_FUZZ_SECONDS", 20));
    let (mut round, slowest) = (0_u64, std::cell::Cell::new(Duration::ZERO));
    let accepted = std::cell::Cell::new(0);
    while Instant::now() < until {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        key[8..16].copy_from_slice(&round.to_le_bytes());
        let config = Config {
            cases: ROUND,
            failure_persistence: None,
            max_shrink_iters: 4_000,
            ..Config::default()
        };
        let mut runner =
            TestRunner::new_with_rng(config, TestRng::from_seed(RngAlgorithm::ChaCha, &key));
        let tried = runner.run(&texts, |text| {
            let start = Instant::now();
            accepted.set(accepted.get() + u64::from(accepts(&text)));
            slowest.set(slowest.get().max(start.elapsed()));
            Ok(())
        });
        tried.unwrap_or_else(|failed| panic!("{reader}, seed {seed}, round {round}: {failed}"));
        round += 1;
    }
    println!(
        "{reader}: {} cases, {} accepted, the slowest {:.1?}",
        round * u64::from(ROUND),
        accepted.get(),
        slowest.get()
    );
    assert!(accepted.get() > 0, "some case should be good");
}

fn corpus(end: &str) -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the corpus is there")
        .map(|entry| entry.expect("it can be listed").path())
        .filter(|path| path.to_string_lossy().ends_with(end))
        .collect();
    paths.sort();
    assert!(!paths.is_empty());
    let text = |path| std::fs::read_to_string(path).expect("it can be read");
    paths.iter().map(text).collect()
}

/// Files of the corpus, and the smallest hand as it is once built, part by part.
fn documents() -> Vec<String> {
    let mut files = corpus(".hand.json");
    let small = files
        .iter()
        .min_by_key(|text| text.len())
        .expect("there is one");
    files.push(rig::write(&hand::read(small).expect("the corpus is good")));
    files
}

fn is_plain<K: Explain>(fault: &Fault<K>) {
    let shown = fault.to_string();
    let acts = |c: char| c.is_control() || matches!(c, '\u{202a}'..='\u{202e}');
    assert!(!shown.contains(acts), "{shown:?}");
    assert!(shown.chars().count() <= REFUSAL, "{shown}");
    assert!(
        !fault.place.is_empty() && !fault.mend().is_empty(),
        "{shown}"
    );
}

/// What is taken can be posed, in numbers, and written and read again to the same bytes.
fn is_sound(document: &Document) {
    let posed = Posed::new(document).expect("what is read can be posed");
    for node in &document.nodes {
        let world = posed.world(node.id);
        let numbers = world.translation.vector.iter();
        let finite = |mut all: Box<dyn Iterator<Item = &f64> + '_>| all.all(|x| x.is_finite());
        assert!(finite(Box::new(numbers)), "{} is nowhere", node.name);
        let turn = world.rotation.coords.iter();
        assert!(finite(Box::new(turn)), "{} is not turned", node.name);
    }
    for anchor in &document.anchors {
        let outcome = posed.outcome(anchor.id);
        assert!(outcome.residual.is_finite(), "{}", anchor.name);
        assert!(outcome.reach_margin.is_finite(), "{}", anchor.name);
    }
    let written = rig::write(document);
    let again = hand::read(&written).unwrap_or_else(|fault| panic!("{fault}\n{written}"));
    assert!(
        rig::write(&again) == written,
        "written otherwise\n{written}"
    );
}

/// The reader of documents; true when it takes the text.
fn document(text: &str) -> bool {
    match hand::read(text) {
        Ok(document) => is_sound(&document),
        Err(fault) => {
            is_plain(&fault);
            return false;
        }
    }
    true
}

/// The reader of lessons; true when it takes the text.
fn lesson(text: &str) -> bool {
    let lesson = match course::read(text) {
        Ok(lesson) => lesson,
        Err(fault) => {
            is_plain(&fault);
            return false;
        }
    };
    is_sound(lesson.document.document());
    for step in &lesson.steps {
        let figure = lesson.figure(step);
        // A region is painted cell by cell, which takes too long here.
        if !matches!(step.task, course::Task::PredictRegion { .. }) {
            let _ = course::truth(figure, &step.task);
        }
        let _ = course::check(figure, &step.task, &course::Attempt::default());
    }
    true
}

#[test]
fn documents_that_are_nearly_good() {
    run("documents", spoilt(documents()), |spoilt| {
        document(&spoilt.text)
    });
}

#[test]
fn lessons_that_are_nearly_good() {
    let texts = spoilt(corpus(".lesson.json"));
    run("lessons", texts, |spoilt| lesson(&spoilt.text));
}

/// What a store gives back, whose body can be anything: text that is no JSON, and spoilt documents.
#[test]
fn bodies_of_stored_records() {
    let any = prop_oneof![
        1 => any::<String>(),
        1 => "[\\[\\]{},:\"\\\\u0-9eE+.\\- \n\ttruefalsn]{0,60}",
        2 => spoilt(documents()).prop_map(|spoilt| spoilt.text),
    ];
    run("bodies", any, |text| document(text));
}

/// The corpus itself, on every run.
#[test]
fn the_corpus_is_answered() {
    let documents = documents();
    assert!(documents.iter().any(|text| document(text)));
    assert!(corpus(".lesson.json").iter().any(|text| lesson(text)));
}

/// Every field and item of the documents left out, one at a time: what chance seldom hits.
#[test]
fn every_part_left_out_once() {
    let texts = documents();
    let cases = texts.iter().flat_map(|text| left_out(text));
    let amiss: Vec<_> = cases
        .filter(|(_, text)| std::panic::catch_unwind(|| document(text)).is_err())
        .map(|(place, _)| place)
        .collect();
    assert!(amiss.is_empty(), "without {}", amiss.join(", without "));
}
