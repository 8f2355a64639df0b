//! Changes of a hand and of its recipe.
use crate::plate::fit_now;
use crate::state::{OnStage, Session};
use hand::{Edit, Planting, Recipe};
use leptos::prelude::*;
use rig::{Document, Posed};

/// What the edit is called that builds a hand anew.
const REMAKE: &str = "rebuild the hand";

/// Makes an edit that only a hand knows; a refusal becomes a notice. Whether it was made.
pub fn edit(session: Session, change: &Edit) -> bool {
    try_edit(session, change, false)
}

/// The same as a part of a drag.
pub fn edit_live(session: Session, change: &Edit) -> bool {
    try_edit(session, change, true)
}

fn try_edit(session: Session, edit: &Edit, live: bool) -> bool {
    let lost = lost_by(session.stage, edit);
    let made = session.attempt_edit(|history| {
        let make = |posed: &Posed, to: &mut Document| edit.make(posed, to);
        if live {
            history.change_live(make)
        } else {
            history.change(make)
        }
    });
    if made && let Some(lost) = lost {
        session.keep_copy(lost, "before the hand was built anew");
    }
    made
}

/// What building the hand anew would do away with: the text of a hand that is not as its
/// recipe builds it, unless this is one of a run of buildings.
fn lost_by(stage: OnStage, edit: &Edit) -> Option<String> {
    if !matches!(edit, Edit::Remake { .. }) {
        return None;
    }
    stage.with_untracked(|h| {
        if h.undo_label() == Some(REMAKE) {
            return None;
        }
        let document = h.document();
        let text = rig::write(document);
        let built = document.hand.as_deref().and_then(|recipe| {
            let mut built = hand::document(recipe).ok()?;
            built.name.clone_from(&document.name);
            Some(rig::write(&built))
        });
        (built.as_ref() != Some(&text)).then_some(text)
    })
}

/// What the hand on the plate is built from.
pub fn recipe(stage: OnStage) -> Memo<Option<Recipe>> {
    Memo::new(move |_| stage.with(|h| h.document().hand.as_deref().cloned()))
}

/// A change to how the hand is planted, if it is, as one to its recipe.
pub fn of_planting(change: impl FnOnce(&mut Planting)) -> impl FnOnce(&mut Recipe) {
    |recipe| {
        if let Some(planting) = &mut recipe.planting {
            change(planting);
        }
    }
}

/// Builds the hand anew with a change to its recipe: one step of undo. Whether it was made.
pub fn remake(session: Session, change: impl FnOnce(&mut Recipe)) -> bool {
    let made = changed(session, change).is_some_and(|change| edit(session, &change));
    if made && !session.camera.framed.get_untracked() {
        fit_now(session);
    }
    made
}

/// The same as a part of a drag: one step of undo with its neighbours, the view left alone.
pub fn remake_live(session: Session, change: impl FnOnce(&mut Recipe)) -> bool {
    changed(session, change).is_some_and(|change| edit_live(session, &change))
}

/// Builds the hand anew from this recipe.
pub fn remake_as(session: Session, recipe: Recipe) -> bool {
    remake(session, |r| *r = recipe)
}

fn changed(session: Session, change: impl FnOnce(&mut Recipe)) -> Option<Edit> {
    let recipe = session
        .stage
        .with_untracked(|h| h.document().hand.as_deref().cloned());
    let Some(mut recipe) = recipe else {
        session.shell.notice(
            "This figure was not built from a recipe, so there is none to change.",
            "Open one of the hands.",
        );
        return None;
    };
    change(&mut recipe);
    Some(Edit::Remake {
        recipe: Box::new(recipe),
    })
}

/// A part of the recipe as a signal; `or` where there is no recipe.
pub fn part<T: Clone + Send + Sync + 'static>(
    recipe: Memo<Option<Recipe>>,
    or: T,
    of: impl Fn(&Recipe) -> Option<T> + Send + Sync + 'static,
) -> Signal<T> {
    Signal::derive(move || recipe.with(|r| r.as_ref().and_then(&of).unwrap_or_else(|| or.clone())))
}
