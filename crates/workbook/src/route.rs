//! Deep links. They live behind `#`, so that any static host and any sub-path serves them.
use crate::example::Example;
use crate::lesson_name::LessonName;

/// What the page shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Route {
    Front,
    Lesson {
        lesson: LessonName,
        place: Place,
    },
    Sketch,
    Hand(Example),
    Glossary,
    /// What was learnt.
    Learnt,
}

/// Where in a lesson.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// A step, from 0.
    Step(usize),
    /// Free play.
    Play,
}

impl Route {
    /// Reads a location's hash. Anything unknown is the front page.
    pub fn parse(hash: &str) -> Self {
        let mut parts = hash.trim_start_matches(['#', '/']).split('/');
        match (parts.next(), parts.next(), parts.next()) {
            (Some("sketch"), ..) => Self::Sketch,
            (Some("glossary"), ..) => Self::Glossary,
            (Some("learnt"), ..) => Self::Learnt,
            (Some("hand"), name, _) => Self::Hand(Example::named(name.unwrap_or_default())),
            (Some("lesson"), Some(name), place) => {
                let Some(lesson) = LessonName::read(name) else {
                    return Self::Front;
                };
                let place = match place {
                    Some("play") => Place::Play,
                    Some(step) => Place::Step(step.parse::<usize>().unwrap_or(1).saturating_sub(1)),
                    None => Place::Step(0),
                };
                Self::Lesson { lesson, place }
            }
            _ => Self::Front,
        }
    }

    /// The link to it.
    pub fn link(self) -> String {
        match self {
            Self::Front => "#/".into(),
            Self::Sketch => "#/sketch".into(),
            Self::Glossary => "#/glossary".into(),
            Self::Learnt => "#/learnt".into(),
            Self::Hand(example) if example == Example::default() => "#/hand".into(),
            Self::Hand(example) => format!("#/hand/{}", example.name()),
            Self::Lesson {
                lesson,
                place: Place::Play,
            } => format!("#/lesson/{lesson}/play"),
            Self::Lesson {
                lesson,
                place: Place::Step(step),
            } => format!("#/lesson/{lesson}/{}", step + 1),
        }
    }

    /// Whether a figure stands here that can be worked on.
    pub fn has_plate(self) -> bool {
        !matches!(self, Self::Front | Self::Glossary | Self::Learnt)
    }

    /// The place's name, by which what stands there first is asked for.
    pub fn name(self) -> String {
        match self {
            Self::Front => "front".into(),
            Self::Lesson { lesson, place } => match place {
                Place::Play => format!("lesson-{}-play", lesson.kept()),
                Place::Step(step) => format!("lesson-{}-{}", lesson.kept(), step + 1),
            },
            other => other.link().trim_start_matches("#/").replace('/', "-"),
        }
    }

    /// Under which name the work done here is kept.
    pub fn slot(self) -> Option<String> {
        self.has_plate().then(|| self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(text: &str) -> LessonName {
        LessonName::read(text).expect("a good name")
    }

    #[test]
    fn links_read_back() {
        for route in [
            Route::Front,
            Route::Sketch,
            Route::Glossary,
            Route::Learnt,
            Route::Hand(Example::default()),
            Route::Hand(Example::named("rail-lean")),
            Route::Lesson {
                lesson: named("pivot-above"),
                place: Place::Step(2),
            },
            Route::Lesson {
                lesson: named("zero"),
                place: Place::Play,
            },
        ] {
            assert_eq!(Route::parse(&route.link()), route);
        }
        assert_eq!(
            Route::parse("#/hand/bench-press"),
            Route::Hand(Example::default())
        );
        assert_eq!(
            Route::Hand(Example::default()).slot().as_deref(),
            Some("hand")
        );
        assert_eq!(Route::Glossary.slot(), None);
        assert_eq!(Route::Glossary.name(), "glossary");
        assert_eq!(Route::parse("#/lesson/X"), Route::Front);
        let route = Route::parse("#/lesson/6/2");
        assert_eq!(route.link(), "#/lesson/whole-hand/2");
        assert_eq!(route.slot().as_deref(), Some("lesson-6-2"));
        assert_eq!(Route::parse(""), Route::Front);
        assert_eq!(
            Route::parse("#/lesson/2/0"),
            Route::Lesson {
                lesson: named("anchor"),
                place: Place::Step(0)
            }
        );
    }
}
