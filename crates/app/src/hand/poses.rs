//! Flat, relaxed, planted: the three poses kept apart; and the hand as its example has it.
use crate::session::{Session, session};
use leptos::prelude::*;
use rig::hand::bones::REST_FLEXION;
use rig::{Dial, Document, Edit, Solver};

/// Which pose.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Pose {
    /// Straight and flat.
    Flat,
    /// Let go, the fingers at their rest flexion.
    Relaxed,
    /// Every planted digit on its plant, every press dial at zero.
    Planted,
}

/// The dial that bends the fingers from flat to relaxed.
const REST: &str = "rest flexion";

fn digit(solver: &Solver) -> bool {
    matches!(solver, Solver::Finger { .. } | Solver::Thumb { .. })
}

/// One step of undo: the digits' anchors, and every dial.
fn strike(session: Session, pose: Pose) {
    session.stop();
    let (anchors, values) = session.stage.with_untracked(|h| {
        let document = h.document();
        let anchors: Vec<_> = document
            .anchors
            .iter()
            .filter(|a| digit(&a.solver))
            .map(|a| a.id)
            .collect();
        (anchors, dials(document, pose))
    });
    for anchor in anchors {
        session.edit_live(&Edit::SetActive {
            anchor,
            active: pose == Pose::Planted,
        });
    }
    session.edit_live(&Edit::SetDials { values });
    session.settle();
    session.say(match pose {
        Pose::Flat => "Flat: every joint straight.",
        Pose::Relaxed => "Relaxed: the digits are let go.",
        Pose::Planted => "Planted: every press dial at zero.",
    });
}

fn dials(document: &Document, pose: Pose) -> Vec<(rig::DialId, f64)> {
    let built = document.hand.as_deref().filter(|_| pose == Pose::Planted);
    let built = built.and_then(|recipe| rig::hand::document(recipe).ok());
    let value = |dial: &Dial| match pose {
        Pose::Flat => dial.neutral,
        Pose::Relaxed if dial.name == REST => REST_FLEXION,
        Pose::Relaxed => dial.neutral,
        // A fist is built curled, and planted so.
        Pose::Planted => built
            .as_ref()
            .and_then(|b| b.value(b.dial_named(&dial.name)?.id))
            .unwrap_or(dial.neutral),
    };
    document.dials.iter().map(|d| (d.id, value(d))).collect()
}

/// The buttons.
#[component]
pub fn Poses() -> impl IntoView {
    let session = session();
    let plants = move || session.stage.with(|h| !h.document().plants.is_empty());
    view! {
        <div class="actions" role="group" aria-label="Poses">
            <button on:click=move |_| strike(session, Pose::Flat)>"Flat"</button>
            <button on:click=move |_| strike(session, Pose::Relaxed)>"Relaxed"</button>
            <button disabled=move || !plants() on:click=move |_| strike(session, Pose::Planted)>"Planted"</button>
            <button on:click=move |_| crate::visit::start_again(session)>"Start again"</button>
        </div>
    }
}
