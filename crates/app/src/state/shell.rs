//! Where the reader is, how the page looks and what it says: changes by the reader's choice.
use crate::browser::{address, media_matches};
use crate::keep::{set_setting, setting};
use figure::Look;
use hand::survey::Tolerance;
use leptos::prelude::*;
use workbook::lesson_name::LessonName;
use workbook::notice::{self, Notice, Passed, Until};
use workbook::route::Route;

/// The shell as signals.
#[derive(Clone, Copy)]
pub struct Shell {
    pub route: RwSignal<Route>,
    pub lessons: RwSignal<Vec<Entry>>,
    pub look: RwSignal<Look>,
    pub projector: RwSignal<bool>,
    /// How far an arrow key moves, mm or degrees.
    pub step_size: RwSignal<f64>,
    /// What still counts as safe where no lesson says.
    pub tolerance: RwSignal<Tolerance>,
    pub notices: RwSignal<Vec<Notice>>,
    /// For screen readers.
    pub said: RwSignal<String>,
}

/// A lesson in the index.
#[derive(Clone, Debug, PartialEq, serde::Deserialize)]
pub struct Entry {
    pub file: String,
    /// Its address's.
    pub name: LessonName,
    pub number: u32,
    pub title: String,
    #[serde(default)]
    pub idea: String,
    /// How many steps it has.
    #[serde(default)]
    pub steps: usize,
}

impl Shell {
    pub(super) fn new() -> Self {
        let look = match setting("look").as_deref() {
            Some("paper") => Look::Paper,
            // The second is what earlier builds called it.
            Some("slate" | "blackboard") => Look::Slate,
            _ if media_matches("(prefers-color-scheme: dark)") => Look::Slate,
            _ => Look::Paper,
        };
        Self {
            route: RwSignal::new(Route::parse(&address())),
            lessons: RwSignal::default(),
            look: RwSignal::new(look),
            projector: RwSignal::new(setting("projector").is_some_and(|v| v == "on")),
            step_size: RwSignal::new(1.0),
            tolerance: RwSignal::new(Tolerance::default()),
            notices: RwSignal::default(),
            said: RwSignal::default(),
        }
    }

    /// The address's name of a lesson that is listed.
    pub fn lesson_named(&self, number: u32) -> Option<LessonName> {
        self.lessons.with_untracked(|all| {
            let found = all.iter().find(|entry| entry.number == number);
            found.map(|entry| entry.name)
        })
    }

    /// Chooses a look, and keeps the choice.
    pub fn choose_look(&self, look: Look) {
        self.look.set(look);
        set_setting("look", name_of(look));
    }

    /// Turns the projector's large type on or off, and keeps the choice.
    pub fn toggle_projector(&self) {
        self.projector.update(|on| *on = !*on);
        set_setting("projector", on_or_off(self.projector.get_untracked()));
    }

    /// Look and projector, as the page's root carries them for the styles.
    pub fn worn(&self) -> [(&'static str, &'static str); 2] {
        [
            ("data-look", name_of(self.look.get())),
            ("data-projector", on_or_off(self.projector.get())),
        ]
    }

    /// Speaks to screen readers.
    pub fn say(&self, text: impl Into<String>) {
        self.said.set(text.into());
    }

    /// Says something about the last act.
    pub fn notice(&self, text: impl Into<String>, mend: impl Into<String>) {
        self.notice_until(Until::NextAct, text, mend);
    }

    /// Says something.
    pub fn notice_until(&self, until: Until, text: impl Into<String>, mend: impl Into<String>) {
        let (text, mend) = (text.into(), mend.into());
        let at = self.route.get_untracked();
        self.notices
            .update(|all| notice::add(all, at, until, &text, &mend));
    }

    /// Takes away what has been overtaken.
    pub fn pass(&self, passed: Passed) {
        if self
            .notices
            .with_untracked(|all| all.iter().any(|n| !n.stands(passed)))
        {
            self.notices.update(|all| all.retain(|n| n.stands(passed)));
        }
    }
}

fn name_of(look: Look) -> &'static str {
    match look {
        Look::Paper => "paper",
        Look::Slate => "slate",
    }
}

fn on_or_off(on: bool) -> &'static str {
    if on { "on" } else { "off" }
}
