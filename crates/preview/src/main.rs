//! `preview LESSONS OUT`: what each place of the site shows on arrival, as pieces of HTML that the
//! page puts up before its module has come. The same elements and class names as the page's own,
//! so that nothing moves when that takes over; a browser test holds the two together.
mod desk;
mod front;
mod glossary;
mod hand_page;
mod html;
mod lesson;
mod listed;
mod plate;
mod sketch;
mod step;
mod tools;
mod top;

use listed::Listed;
use plate::Window;
use std::error::Error;
use std::fs;
use std::path::Path;
use workbook::example::Example;
use workbook::lesson_name::LessonName;
use workbook::route::{Place, Route};

fn main() -> Result<(), Box<dyn Error>> {
    let folders: Vec<_> = std::env::args().skip(1).collect();
    let [lessons, out] = folders.as_slice() else {
        return Err("needs two folders: the lessons', and where to write".into());
    };
    let lessons = read(Path::new(lessons))?;
    fs::create_dir_all(out)?;
    for (window, name) in Window::ALL {
        for route in routes(&lessons) {
            let place = route.name();
            let file = Path::new(out).join(format!("{place}-{name}.html"));
            fs::write(file, piece(route, &lessons, window)?)?;
        }
    }
    Ok(())
}

/// The lessons in order.
fn read(folder: &Path) -> Result<Vec<Listed>, Box<dyn Error>> {
    let mut lessons = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|ending| ending == "json") {
            let lesson = course::read(&fs::read_to_string(&path)?);
            let lesson = lesson.map_err(|fault| format!("{}: {fault}", path.display()))?;
            let name = LessonName::of_file(&path.to_string_lossy());
            lessons.push((name.ok_or("a lesson is called NN-its-name")?, lesson));
        }
    }
    lessons.sort_by_key(|(_, lesson)| lesson.number);
    Ok(lessons)
}

/// Every address there is something at.
fn routes(lessons: &[Listed]) -> Vec<Route> {
    let mut routes = vec![Route::Front, Route::Sketch, Route::Glossary];
    routes.extend(Example::all().map(Route::Hand));
    for (name, lesson) in lessons {
        let steps = (0..lesson.steps.len()).map(Place::Step);
        routes.extend(steps.chain([Place::Play]).map(|place| Route::Lesson {
            lesson: *name,
            place,
        }));
    }
    routes
}

fn piece(route: Route, lessons: &[Listed], window: Window) -> Result<String, Box<dyn Error>> {
    let top = top::top(route, lessons);
    let below = match route {
        Route::Front => front::front(lessons),
        Route::Glossary => glossary::glossary(),
        Route::Learnt => return Err("it is about what the reader did".into()),
        Route::Sketch => sketch::sketch(window)?,
        Route::Hand(example) => hand_page::hand(example, window)?,
        Route::Lesson { lesson, place } => {
            let listed = lessons.iter().find(|(name, _)| *name == lesson);
            lesson::lesson(listed.ok_or("no such lesson")?, place, lessons, window)
        }
    };
    Ok(top + &below)
}

#[cfg(test)]
mod tests;
