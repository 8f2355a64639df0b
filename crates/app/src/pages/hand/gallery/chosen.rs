//! What is chosen in the gallery, and the acts on it.
use crate::keep::{Kept, change_gestures, gestures};
use crate::state::{Session, session};
use hand::gesture::Gesture;
use leptos::prelude::*;
use rig::Edit;
use wasm_bindgen::JsCast;
use workbook::gallery::Mix;

/// The percent's field, which a gesture chosen by key goes to.
pub const PERCENT: &str = "gallery-percent";

/// The gallery as signals. It lives as long as the face is shown.
#[derive(Clone, Copy)]
pub struct Chosen {
    session: Session,
    pub own: RwSignal<Vec<Gesture>>,
    pub gesture: RwSignal<Option<Gesture>>,
    /// As typed.
    pub percent: RwSignal<String>,
    /// A digit's name, or nothing for all.
    pub digit: RwSignal<String>,
    /// Why what is typed does not do.
    pub fault: RwSignal<Option<String>>,
    /// What was taken away last, and from where.
    pub removed: RwSignal<Option<(usize, Gesture)>>,
}

impl Chosen {
    pub fn new() -> Self {
        let made = Self {
            session: session(),
            own: RwSignal::default(),
            gesture: RwSignal::new(None),
            percent: RwSignal::new("100".into()),
            digit: RwSignal::default(),
            fault: RwSignal::new(None),
            removed: RwSignal::new(None),
        };
        made.look();
        made
    }

    /// Lists what is kept now: another tab may have kept more.
    pub fn look(self) {
        let (own, how) = gestures();
        self.tell(how);
        if self.own.with_untracked(|known| *known != own) {
            self.own.set(own);
        }
    }

    /// Whether this is one of the user's own.
    pub fn is_own(self, name: &str) -> bool {
        self.own
            .with_untracked(|own| own.iter().any(|one| one.name == name))
    }

    /// A press on a small figure: the second one in a row applies it.
    pub fn press(self, gesture: &Gesture, by_key: bool) {
        let again = self
            .gesture
            .with_untracked(|now| now.as_ref() == Some(gesture));
        if again {
            return self.apply();
        }
        self.removed.set(None);
        self.fault.set(None);
        self.gesture.set(Some(gesture.clone()));
        if by_key {
            focus(PERCENT);
        }
    }

    /// Mixes in what is chosen, as one step.
    pub fn apply(self) {
        let Some(gesture) = self.gesture.get_untracked() else {
            return;
        };
        let typed = self.percent.get_untracked();
        match Mix::typed(&gesture, &typed, &self.digit.get_untracked()) {
            Err(why) => self.fault.set(Some(why)),
            Ok(mix) => {
                self.fault.set(None);
                self.mix(&mix);
            }
        }
    }

    fn mix(self, mix: &Mix) {
        let Session { stage, shell, .. } = self.session;
        stage.stop();
        stage.settle();
        let setting = stage.with_untracked(|s| mix.setting(s.posed()));
        if self.session.edit_live(&Edit::Set { setting }) {
            stage.name_step(&mix.label());
            stage.settle();
            shell.say(stage.with_untracked(|s| mix.told(s.posed())));
        }
    }

    /// Changes the user's own; what stands in the way is a sentence for the place where it was
    /// asked for.
    pub fn change(
        self,
        change: impl FnOnce(&mut Vec<Gesture>) -> Result<(), String>,
    ) -> Result<(), String> {
        let (own, how) = change_gestures(change)?;
        self.tell(how);
        self.own.set(own);
        Ok(())
    }

    fn tell(self, how: Kept) {
        let shell = self.session.shell;
        match how {
            Kept::Well => {}
            Kept::Aside => shell.notice(
                "The gestures you kept cannot be read, so they were put aside in the browser's store.",
                "Nothing was written over. New ones are kept from now on.",
            ),
            Kept::NotAtAll => shell.notice(
                "The browser keeps nothing here, so your gestures are there only until this page closes.",
                "Everything else works. Open a normal window, or free some space.",
            ),
        }
    }
}

/// Gives the focus to what may be shown only in a moment.
pub fn focus(id: &'static str) {
    request_animation_frame(move || {
        let Some(element) = document().get_element_by_id(id) else {
            return;
        };
        if let Some(field) = element.dyn_ref::<web_sys::HtmlInputElement>() {
            field.select();
        }
        if let Ok(element) = element.dyn_into::<web_sys::HtmlElement>() {
            let _ = element.focus();
        }
    });
}
