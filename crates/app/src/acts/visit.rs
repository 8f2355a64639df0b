//! Going to a place: what the address asks for is fetched, what is kept of it is read, and only
//! then is it put on the plate.
use super::drawing;
use crate::browser::{address, correct_to, fetch_text, go_to};
use crate::keep::{self, Found};
use crate::state::{Course, Entry, Place as Kept, Session, Shell, Shelved};
use course::Viewpoint;
use figure::{Sight, View};
use leptos::prelude::*;
use rig::few;
use rig::{Document, History, Posed};
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;
use workbook::notice::{Passed, Until};
use workbook::pencil::Tool;
use workbook::route::{Place, Route};
use workbook::scene::sight;
use workbook::sketch;

/// A place's figure as it is given, untouched.
struct Given {
    posed: Posed,
    sight: Sight,
}

/// Follows the address and the list of lessons.
pub fn follow(session: Session) {
    let handle = window_event_listener_untyped("hashchange", move |_| {
        session.shell.route.set(Route::parse(&address()));
    });
    on_cleanup(move || handle.remove());
    load_index(session.shell);
    // The list matters to lessons only: coming late, it must not open a sketch anew.
    let asked = Memo::new(move |_| {
        let route = session.shell.route.get();
        let listed = match route {
            Route::Lesson { lesson, .. } => session.shell.lessons.with(|all| {
                let entry = all.iter().find(|e| e.name == lesson).cloned();
                (!all.is_empty()).then_some(entry)
            }),
            _ => None,
        };
        (route, listed)
    });
    Effect::new(move || {
        session.keeping.arrive_again.track();
        let (route, listed) = asked.get();
        untrack(|| go(session, route, listed));
    });
}

fn load_index(shell: Shell) {
    spawn_local(async move {
        match fetch_text("lessons/index.json")
            .await
            .and_then(|t| serde_json::from_str::<Vec<Entry>>(&t).map_err(|e| e.to_string()))
        {
            Ok(mut entries) => {
                few::sort(&mut entries, |a, b| a.number.cmp(&b.number));
                shell.lessons.set(entries);
            }
            Err(what) => shell.notice_until(
                Until::Leaving,
                format!("The list of lessons could not be loaded: {what}."),
                "Reload the page.",
            ),
        }
    });
}

/// `listed`: the lesson's entry, or that it has none, once the list is there.
fn go(session: Session, route: Route, listed: Option<Option<Entry>>) {
    session.shell.pass(Passed::Arrived(route));
    // An old number leads on to the lesson's name.
    if matches!(route, Route::Lesson { .. }) && address() != route.link() {
        correct_to(&route.link());
    }
    session.stage.stop();
    session.save();
    session.keeping.arrivals.update_value(|n| *n += 1);
    let arrival = session.keeping.arrivals.get_value();
    match route {
        Route::Front | Route::Glossary | Route::Learnt => {}
        Route::Sketch => {
            session.course.lesson.set(None);
            match Posed::new(&sketch::blank()) {
                Ok(posed) => {
                    let sight = Sight::Side;
                    spawn_local(arrive(session, arrival, route, Given { posed, sight }));
                }
                Err(fault) => session.shell.notice(fault.to_string(), ""),
            }
        }
        Route::Hand(example) => {
            session.course.lesson.set(None);
            match example
                .document()
                .and_then(|document| Posed::new(&document))
            {
                Ok(posed) => {
                    let sight = sight(Viewpoint::Oblique);
                    spawn_local(arrive(session, arrival, route, Given { posed, sight }));
                }
                Err(fault) => session
                    .shell
                    .notice(fault.to_string(), "The other hands still open."),
            }
        }
        Route::Lesson { lesson, place } => match listed {
            None => {}
            Some(None) => {
                go_to(&Route::Front.link());
                session.shell.route.set(Route::Front);
                session.shell.notice_until(
                    Until::Leaving,
                    format!("There is no lesson \u{2018}{lesson}\u{2019}."),
                    "The front page lists the lessons there are.",
                );
            }
            Some(Some(entry)) => {
                spawn_local(arrive_at_lesson(session, arrival, route, place, entry));
            }
        },
    }
}

async fn arrive_at_lesson(
    session: Session,
    arrival: u32,
    route: Route,
    place: Place,
    entry: Entry,
) {
    let loaded = session
        .course
        .lesson
        .with_untracked(|l| l.as_ref().is_some_and(|l| l.number == entry.number));
    if !loaded {
        let file = format!("lessons/{}", entry.file.trim_start_matches("lessons/"));
        let read = match fetch_text(&file).await {
            Ok(text) => course::read(&text).map_err(|f| f.to_string()),
            Err(what) => Err(what),
        };
        // The reader may have gone on meanwhile.
        if session.keeping.arrivals.get_value() != arrival {
            return;
        }
        match read {
            Ok(lesson) => session.course.lesson.set(Some(Arc::new(lesson))),
            Err(what) => {
                session.shell.notice_until(
                    Until::Leaving,
                    format!("{file}: {what}"),
                    "The other lessons still work.",
                );
                return;
            }
        }
    }
    match step_given(session.course, place) {
        Some(given) => arrive(session, arrival, route, given).await,
        None => {
            let first = Route::Lesson {
                lesson: entry.name,
                place: Place::Step(0),
            };
            go_to(&first.link());
        }
    }
}

/// The figure of a step, or of free play.
fn step_given(course: Course, place: Place) -> Option<Given> {
    let lesson = course.lesson.get_untracked()?;
    let step = match place {
        Place::Step(index) => Some(lesson.steps.get(index)?),
        Place::Play => None,
    };
    let posed = step.map_or(&lesson.document, |step| lesson.tried(step));
    let view = step.and_then(|s| s.view).unwrap_or(lesson.view);
    Some(Given {
        posed: posed.clone(),
        sight: sight(view),
    })
}

/// Puts a place's figure on the plate, as it was left if something of it is kept.
async fn arrive(session: Session, arrival: u32, route: Route, given: Given) {
    let Some(slot) = route.slot() else { return };
    // Left and come back to before another figure had come: it can be worked on meanwhile.
    let standing = || {
        session
            .keeping
            .place
            .with_untracked(|p| p.clone().filter(|p| p.slot == slot))
    };
    let stood = standing();
    let loaded = keep::load(&slot, |body| ::hand::read(body).is_ok()).await;
    if session.keeping.arrivals.get_value() != arrival {
        return;
    }
    // What was done to the figure that is being left, since the address changed.
    session.save();
    let known = match &loaded.found {
        Found::Body(body) => body.clone(),
        _ => rig::write(given.posed.document()),
    };
    let same = |stood: &Kept| stood.body.as_ref() == Some(&known);
    if stood.is_none() || standing() == stood {
        // Else a tool chosen meanwhile would be put down, and what is drawn be gone.
        if !stood.as_ref().is_some_and(same) {
            shelve(session);
            put_on_plate(session, &slot, given, &loaded.found, known);
            drawing::take_up(session);
        }
        loaded.opened();
    }
    if loaded.beside {
        session.kept_beside(&slot);
    }
    if let Some(why) = loaded.unkept {
        session.nothing_kept(why);
    }
    session
        .keeping
        .unread
        .set_value(matches!(loaded.found, Found::Unknown));
    if matches!(loaded.found, Found::SetAside) {
        session.keeping.look_for_copies();
        session.shell.notice_until(
            Until::Leaving,
            "What was kept here cannot be read by this build, so it has been set aside.",
            "It stands under 'Other copies', from where it can be saved to a file as it is.",
        );
    }
}

/// `known`: what is found there or, without it, given.
fn put_on_plate(session: Session, slot: &str, given: Given, found: &Found, known: String) {
    let left = session.keeping.shelf.write_value().remove(slot);
    let written = |history: &History| rig::write(history.document());
    let mut view = session.camera.view.get_untracked();
    view.sight = given.sight;
    let mine = left.filter(|left| match found {
        Found::Nothing | Found::Unknown => true,
        _ => written(&left.history) == known,
    });
    let kept = match found {
        Found::Body(body) => ::hand::read(body).ok(),
        _ => None,
    };
    let place = Some(Kept {
        slot: slot.into(),
        body: Some(known),
    });
    match mine {
        Some(left) => {
            let view = View {
                size: view.size,
                ..left.view
            };
            session.open(left.history, place, view, left.framed);
        }
        None => {
            // What is kept was read and checked, so it can be posed.
            let kept = kept.and_then(|document| Posed::new(&document).ok());
            let posed = kept.unwrap_or(given.posed);
            session.open(History::new(posed), place, view, false);
        }
    }
}

/// Remembers the figure on the plate, which is being left.
fn shelve(session: Session) {
    session.stage.settle();
    let Some(slot) = session.keeping.slot() else {
        return;
    };
    let figure = Shelved {
        history: session.stage.with_untracked(|s| s.history().clone()),
        view: session.camera.view.get_untracked(),
        framed: session.camera.framed.get_untracked(),
    };
    session.keeping.shelf.write_value().insert(slot, figure);
}

/// The place's figure as it is given. Undo takes it back, and a copy keeps what was there.
pub fn start_again(session: Session) {
    if let Some(document) = given_here(session) {
        session.replace(document, "start again");
        session.shell.say("Started again.");
    }
}

/// The figure where its prediction begins, and held there; a clean sheet and the pencil.
pub fn predict(session: Session) {
    let lesson = session.course.lesson.get_untracked();
    let (Some(lesson), Some(step)) = (lesson, session.course.step_now()) else {
        return;
    };
    if session.at_place() {
        session.swap(lesson.figure(&step).document().clone(), "predict");
        session.camera.tool.set(Tool::Pencil);
        session
            .shell
            .say("The figure is held where it begins. The pencil is out.");
    }
}

fn given_here(session: Session) -> Option<Document> {
    session.here()?;
    match session.shell.route.get_untracked() {
        Route::Front | Route::Glossary | Route::Learnt => None,
        Route::Sketch => Some(sketch::blank()),
        Route::Hand(example) => example.document().ok(),
        Route::Lesson { place, .. } => {
            step_given(session.course, place).map(|given| given.posed.document().clone())
        }
    }
}
