//! The top line: the page's `top.rs`.
use crate::html::{button, current, escaped, switch};
use course::Lesson;
use workbook::example::Example;
use workbook::route::{Place, Route};

/// The lesson's own first address.
pub fn lesson_link(number: u32) -> String {
    let place = Place::Step(0);
    Route::Lesson { number, place }.link()
}

pub fn top(route: Route, lessons: &[Lesson]) -> String {
    let leaves: String = lessons
        .iter()
        .map(|lesson| {
            let n = lesson.number;
            let here = matches!(route, Route::Lesson { number, .. } if number == n);
            format!(
                r#"<a class="leaf" data-lesson="lesson-{n}-" href="{}" aria-label="Lesson {n}: {}"{}>{n}</a>"#,
                lesson_link(n),
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
