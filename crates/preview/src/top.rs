//! The top line: the page's `top.rs`.
use crate::html::{button, current, escaped, switch};
use crate::listed::Listed;
use workbook::example::Example;
use workbook::lesson_name::LessonName;
use workbook::route::{Place, Route};

/// The lesson's own first address.
pub fn lesson_link(lesson: LessonName) -> String {
    let place = Place::Step(0);
    Route::Lesson { lesson, place }.link()
}

pub fn top(route: Route, lessons: &[Listed]) -> String {
    let leaves: String = lessons
        .iter()
        .map(|(name, lesson)| {
            let n = lesson.number;
            let here = matches!(route, Route::Lesson { lesson, .. } if lesson == *name);
            format!(
                r#"<a class="leaf" data-lesson="lesson-{}-" href="{}" aria-label="Lesson {n}: {}"{}>{n}</a>"#,
                name.kept(),
                lesson_link(*name),
                escaped(&lesson.title),
                current(here, "page")
            )
        })
        .collect();
    let wide = |link: Route, name: &str, here: bool| {
        format!(
            r#"<a class="leaf wide" href="{}"{}>{name}</a>"#,
            link.link(),
            current(here, "page")
        )
    };
    let hand = wide(
        Route::Hand(Example::default()),
        "Hand",
        matches!(route, Route::Hand(_)),
    );
    let sketch = wide(Route::Sketch, "Sketch", route == Route::Sketch);
    let words = wide(Route::Glossary, "Words", route == Route::Glossary);
    let past = if route.has_plate() {
        button("", "Undo") + &button("", "Redo")
    } else {
        String::new()
    };
    format!(
        r#"<header class="top"><a class="brand" href="{}">Handstand</a><nav aria-label="Lessons">{leaves}{hand}{sketch}{words}</nav><span class="space"></span>{past}{}{}</header>"#,
        Route::Front.link(),
        switch(&["Paper", "Slate"]),
        button("projector", "Projector")
    )
}
