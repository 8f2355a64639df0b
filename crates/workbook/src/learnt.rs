//! The page after the last lesson: its words, and what is still open.
use crate::lesson_name::LessonName;
use crate::route::{Place, Route};

/// The page's title.
pub const TITLE: &str = "What was learnt";
/// The way to it.
pub const LINK: &str = "What was learnt, and a card to print";
/// The card's: it is printed alone.
pub const CARD: &str = "Hands that press: one law a lesson";
/// Over the ways on.
pub const WAYS: &str = "And on from here";

/// How the first predictions went: right, near, not so.
pub fn counted([right, near, not_so]: [usize; 3]) -> String {
    match right + near + not_so {
        0 => "No prediction was drawn yet.".into(),
        1 => format!(
            "Of 1 prediction, at the first try: {right} right, {near} near, {not_so} not so."
        ),
        all => format!(
            "Of {all} predictions, each at its first try: {right} right, {near} near, {not_so} not so."
        ),
    }
}

/// The first step of the course that is not done, by lessons with how many steps each has.
pub fn next_open(lessons: &[(LessonName, usize)], done: impl Fn(&str) -> bool) -> Option<Route> {
    let steps = lessons.iter().flat_map(|(lesson, steps)| {
        (0..*steps).map(|step| Route::Lesson {
            lesson: *lesson,
            place: Place::Step(step),
        })
    });
    let mut open = steps.filter(|route| route.slot().is_some_and(|slot| !done(&slot)));
    open.next()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_step_that_is_open_is_found() {
        let name = |text| LessonName::read(text).expect("a name");
        let lessons = [(name("carry"), 2), (name("zero"), 1)];
        let open = |done: &[&str]| next_open(&lessons, |slot| done.contains(&slot));
        let link = |done: &[&str]| open(done).map(Route::link);
        assert_eq!(link(&[]).as_deref(), Some("#/lesson/carry/1"));
        assert_eq!(link(&["lesson-1-1"]).as_deref(), Some("#/lesson/carry/2"));
        let both = ["lesson-1-1", "lesson-1-2"];
        assert_eq!(link(&both).as_deref(), Some("#/lesson/zero/1"));
        assert_eq!(link(&[both[0], both[1], "lesson-zero-1"]), None);
    }

    #[test]
    fn predictions_are_counted_in_words() {
        assert_eq!(counted([0; 3]), "No prediction was drawn yet.");
        assert!(counted([3, 1, 0]).starts_with("Of 4 predictions"));
        assert!(counted([0, 0, 1]).ends_with("0 right, 0 near, 1 not so."));
    }
}
