//! What a step's buttons say and where it leads.
use course::{Lesson, Rung, Task};
use workbook::lesson_name::LessonName;
use workbook::route::{Place, Route};

/// What another try will tell.
pub fn next_rung(told: Rung) -> Option<&'static str> {
    match told {
        Rung::Where => Some("Change something and check again: then it says which way."),
        Rung::Way => Some("Change something and check again: then it says how much."),
        Rung::Number => None,
    }
}

/// Where a step leads on to.
pub fn onward(name: LessonName, lesson: &Lesson, index: usize) -> Route {
    let last = index + 1 == lesson.steps.len();
    Route::Lesson {
        lesson: name,
        place: if last {
            Place::Play
        } else {
            Place::Step(index + 1)
        },
    }
}

/// What kind of step it is, for the reader.
pub fn kind_of(task: &Task) -> &'static str {
    match task {
        Task::Build { .. } => "Build",
        task if task.is_prediction() => "Predict",
        _ => "Exercise",
    }
}
