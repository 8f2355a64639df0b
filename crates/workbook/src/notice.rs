//! Sentences for the reader. Each leaves when what it speaks of has passed.
use crate::route::Route;

/// A sentence for the reader, with what can be done about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Notice {
    pub id: u32,
    pub text: String,
    pub mend: String,
    pub until: Until,
    /// Where it was said.
    pub at: Route,
}

/// What ends it, other than closing it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Until {
    /// The next act that succeeds, here or elsewhere: a refusal is answered by then.
    NextAct,
    /// Leaving the place that it speaks of.
    Leaving,
    /// Work being kept again.
    KeptAgain,
}

/// What has happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passed {
    Act,
    Arrived(Route),
    KeptAgain,
}

impl Notice {
    /// Whether it is still to be read.
    pub fn stands(&self, after: Passed) -> bool {
        match (self.until, after) {
            (Until::KeptAgain, Passed::KeptAgain) | (Until::NextAct, Passed::Act) => false,
            (Until::NextAct | Until::Leaving, Passed::Arrived(route)) => route == self.at,
            _ => true,
        }
    }
}

/// Says something at a place, beside what is said already. Two of the same text do not pile up, and
/// of refusals the last alone stands: it is the one to answer.
pub fn add(all: &mut Vec<Notice>, at: Route, until: Until, text: &str, mend: &str) {
    let (text, mend) = (sentence(text), sentence(mend));
    all.retain(|n| n.text != text && (n.until != until || until != Until::NextAct));
    let id = all.iter().map(|n| n.id + 1).max().unwrap_or(0);
    all.push(Notice {
        id,
        text,
        mend,
        until,
        at,
    });
}

/// A clause as a sentence. A file's name at its beginning keeps its own letters.
pub fn sentence(text: &str) -> String {
    let first_word = text.split([' ', ':']).next().unwrap_or_default();
    let is_file = first_word.trim_end_matches('.').contains('.');
    let mut letters = text.chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    let stop = if text.ends_with(['.', '!', '?']) {
        ""
    } else {
        "."
    };
    if is_file {
        return format!("{text}{stop}");
    }
    format!("{}{}{stop}", first.to_uppercase(), letters.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::Example;

    #[test]
    fn n1_a_notice_leaves_when_its_subject_has_passed() {
        let (here, there) = (Route::Sketch, Route::Hand(Example::default()));
        let notice = |until| Notice {
            id: 0,
            text: String::new(),
            mend: String::new(),
            until,
            at: here,
        };
        let after = |until| {
            [
                Passed::Act,
                Passed::Arrived(here),
                Passed::Arrived(there),
                Passed::KeptAgain,
            ]
            .map(|passed| notice(until).stands(passed))
        };
        assert_eq!(after(Until::NextAct), [false, true, false, true]);
        assert_eq!(after(Until::Leaving), [true, true, false, true]);
        assert_eq!(after(Until::KeptAgain), [true, true, true, false]);
    }

    #[test]
    fn of_refusals_the_last_stands_and_nothing_is_said_twice() {
        let mut all = Vec::new();
        let mut say = |until, text| add(&mut all, Route::Sketch, until, text, "");
        say(Until::Leaving, "no lesson 99");
        say(Until::NextAct, "no such dial");
        say(Until::NextAct, "no such node");
        say(Until::Leaving, "no lesson 99");
        let said: Vec<_> = all.iter().map(|n| (n.id, n.text.as_str())).collect();
        assert_eq!(said, [(1, "No such node."), (2, "No lesson 99.")]);
    }

    #[test]
    fn clauses_become_sentences() {
        assert_eq!(sentence("no such dial"), "No such dial.");
        assert_eq!(sentence("mine.hand.json: bad"), "mine.hand.json: bad.");
        assert_eq!(sentence(""), "");
    }
}
