//! The front page: the page's `front.rs`.
use crate::html::escaped;
use crate::listed::Listed;
use crate::top::lesson_link;
use workbook::example::Example;
use workbook::learnt::LINK;
use workbook::route::Route;
use workbook::{FIRST_LESSON, OPENING, OPENING_SHOWS};

pub fn front(lessons: &[Listed]) -> String {
    let contents: String = lessons
        .iter()
        .map(|(name, lesson)| {
            let n = lesson.number;
            format!(
                r#"<li><a href="{}" data-steps="lesson-{}-" data-of="{}"><span class="leaf">{n}</span><span><b>{}</b><span class="idea">{}</span></span><span class="tick"></span></a></li>"#,
                lesson_link(*name),
                name.kept(),
                lesson.steps.len(),
                escaped(&lesson.title),
                escaped(&lesson.idea)
            )
        })
        .collect();
    format!(
        r##"<main class="front"><div class="lead"><div><h1>Hands that press, and fingers that stay</h1><p>In an ordinary rig a parent carries its children, so lifting the wrist drags the fingers off the bench. Hang the wrist from a pivot at the knuckles, anchor the fingers, and the wrist is free. Here you drag, see who carries whom, and read every slip in millimetres.</p><p class="actions"><a class="main" href="{}">Open the bench press</a><a href="{}">Begin with lesson 1</a><a href="{}">Open the sketch page</a><a href="{}">Look up a word</a></p></div><svg class="opening" viewBox="0 0 560 250" role="img" aria-label="{OPENING_SHOWS}">{OPENING}</svg></div><h2>Lessons</h2><ol class="contents">{contents}</ol><p class="next"><a href="{}">{LINK}</a></p><p class="quiet care">Ranges of motion here are typical adult figures for drawing and animating characters, not medical guidance; a real hand is assessed by a clinician. Repeated posing work strains hands: take breaks.</p></main>"##,
        Route::Hand(Example::default()).link(),
        FIRST_LESSON,
        Route::Sketch.link(),
        Route::Glossary.link(),
        Route::Learnt.link(),
    )
}
