//! What is said: how hard it is to read, and what is held back until the third wrong try.
use super::common::{files, lesson};
use course::{Act, Band, Lesson, Rung, Task};

/// Every text of a lesson that a reader reads, with its place.
fn texts(lesson: &Lesson) -> Vec<(String, String)> {
    let number = lesson.number;
    let mut all = vec![
        (format!("{number} idea"), lesson.idea.clone()),
        (format!("{number} play"), lesson.play.clone()),
    ];
    for (what, paragraphs) in [("intro", &lesson.intro), ("why", &lesson.why)] {
        let each = paragraphs.iter();
        all.extend(each.map(|text| (format!("{number} {what}"), text.clone())));
    }
    for (index, step) in lesson.steps.iter().enumerate() {
        let place = |what: &str| format!("{number}/{} {what}", index + 1);
        all.push((place("try"), step.tried().to_owned()));
        all.push((place("ask"), step.ask.clone()));
        all.push((place("insight"), step.insight.clone()));
        for act in step.task.acts() {
            all.push((place("act"), format!("{}. {}", act.title(), act.how())));
            match act {
                Act::Put(_) => {}
                Act::Hang(hang) => all.push((place("mend"), hang.mend.clone())),
                Act::Turn(turn) => {
                    let said = turn.off.all().chain([turn.still.as_str()]);
                    all.extend(said.map(|text| (place("feedback"), text.to_owned())));
                }
            }
        }
        let said = bands(&step.task);
        let said = said.into_iter().flat_map(|band| [&band.low, &band.high]);
        let said = said.flat_map(|said| said.all()).filter(|s| !s.is_empty());
        all.extend(said.map(|text| (place("feedback"), text.to_owned())));
    }
    all
}

fn bands(task: &Task) -> Vec<&Band> {
    match task {
        Task::Hold { bands, .. } => bands.iter().collect(),
        Task::Between {
            first,
            second,
            along,
            ..
        } => first.iter().chain(second).chain(along).collect(),
        Task::Sweep { runs, .. } => runs.iter().flat_map(|run| &run.bands).collect(),
        _ => Vec::new(),
    }
}

/// Marks and formulas are no words: a live number counts as one.
fn plain(text: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for letter in text.chars() {
        match letter {
            '{' => inside = true,
            '}' => {
                inside = false;
                out.push_str("ten");
            }
            '*' => {}
            _ if inside => {}
            _ => out.push(letter),
        }
    }
    out
}

fn sentences(text: &str) -> Vec<String> {
    let mut all = vec![String::new()];
    let letters: Vec<char> = text.chars().collect();
    for (at, &letter) in letters.iter().enumerate() {
        all.last_mut().expect("one").push(letter);
        let next = letters.get(at + 1);
        let ends = matches!(letter, '.' | '?' | '!') && next.is_none_or(|n| *n == ' ');
        if ends || letter == ':' && next.is_none_or(|n| *n == ' ') {
            all.push(String::new());
        }
    }
    all.retain(|sentence| !words(sentence).is_empty());
    all
}

fn words(sentence: &str) -> Vec<&str> {
    let each = sentence.split_whitespace();
    each.filter(|word| word.chars().any(char::is_alphabetic))
        .collect()
}

/// Groups of vowels, without a silent e at the end: the usual count by machine.
fn syllables(word: &str) -> usize {
    let word: String = word.chars().filter(|c| c.is_alphabetic()).collect();
    let word = word.to_lowercase();
    let vowel = |c: char| "aeiouy".contains(c);
    let starts = |pair: (char, char)| vowel(pair.1) && !vowel(pair.0);
    let pairs = std::iter::once(' ').chain(word.chars()).zip(word.chars());
    let count = pairs.filter(|pair| starts(*pair)).count();
    let silent = word.ends_with('e') && !word.ends_with("le") && count > 1;
    (count - usize::from(silent)).max(1)
}

/// R. Flesch, 'A new readability yardstick', Journal of Applied Psychology 32 (1948): reading ease
/// 206.835 − 1.015 words per sentence − 84.6 syllables per word, where a colon ends a sentence; from 80
/// on it is 'easy'. The formula, its rule for colons and its bands are from memory.
fn reading_ease(texts: &[(String, String)]) -> f64 {
    let (mut sentence_count, mut word_count, mut syllable_count) = (0.0, 0.0, 0.0);
    for (_, text) in texts {
        for sentence in sentences(&plain(text)) {
            let words = words(&sentence);
            sentence_count += 1.0;
            word_count += words.len() as f64;
            let each = words.iter().map(|word| syllables(word));
            syllable_count += each.sum::<usize>() as f64;
        }
    }
    206.835 - 1.015 * word_count / sentence_count - 84.6 * syllable_count / word_count
}

#[test]
fn syllables_are_counted() {
    let told = ["wrist", "knuckle", "bone", "carried", "anatomical", "the"].map(syllables);
    assert_eq!(told, [1, 2, 1, 2, 5, 1]);
}

#[test]
fn every_lesson_reads_easily() {
    for number in 1..=files().len() as u32 {
        let ease = reading_ease(&texts(&lesson(number)));
        println!("lesson {number}: reading ease {ease:.0}");
        assert!(ease >= 80.0, "lesson {number} reads at {ease:.1}");
    }
}

#[test]
fn no_sentence_is_over_thirty_words() {
    let mut long = Vec::new();
    for number in 1..=files().len() as u32 {
        for (place, text) in texts(&lesson(number)) {
            let each = sentences(&plain(&text)).into_iter();
            let each = each.map(|sentence| (words(&sentence).len(), sentence));
            let each = each.filter(|(count, _)| *count > 30);
            long.extend(each.map(|(count, sentence)| format!("{place}: {count} words:{sentence}")));
        }
    }
    assert!(long.is_empty(), "{long:#?}");
}

/// What a band says at the first and the second wrong try has no digit in it: the number, and what
/// mends it, is told at the third.
#[test]
fn the_number_comes_last() {
    for number in 1..=files().len() as u32 {
        for (index, step) in lesson(number).steps.iter().enumerate() {
            let of_bands = bands(&step.task).into_iter();
            let of_bands = of_bands.flat_map(|band| [&band.low, &band.high]);
            let of_acts = step.task.acts().iter().filter_map(|act| match act {
                Act::Turn(turn) => Some(&turn.off),
                _ => None,
            });
            for said in of_bands.chain(of_acts) {
                for rung in [Rung::Where, Rung::Way] {
                    let text = said.at(rung).unwrap_or_default();
                    let digit = text.chars().any(|c| c.is_ascii_digit());
                    let numbers = ["{value}", "{limit}", "{moved}", "{off}"];
                    let told = numbers.iter().any(|number| text.contains(number));
                    assert!(!digit && !told, "{number}/{}: '{text}'", index + 1);
                }
            }
        }
    }
}
