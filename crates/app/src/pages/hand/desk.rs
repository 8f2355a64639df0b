//! The hand's desk: the press dials large, the others by what they drive, under a fold.
use super::gauges::Gauges;
use super::map::ContactMap;
use crate::shell::copies::Copies;
use crate::state::OnStage;
use crate::widgets::desk::Dials;
use crate::widgets::dial::SafeSpans;
use crate::widgets::fields::Fold;
use hand::press_dials;
use leptos::prelude::*;
use rig::{Dial, Document, Kind, NodeId, Part, Shared, Target};

/// What the dials under the fold are about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Group {
    Pivots,
    Fingers,
    Release,
    Surface,
    Arm,
}

impl Group {
    const ALL: [(Self, &'static str); 5] = [
        (Self::Pivots, "Raw pivots"),
        (Self::Fingers, "Fingers and palm"),
        (Self::Release, "Release"),
        (Self::Surface, "Surface"),
        (Self::Arm, "Arm"),
    ];

    /// By what the dial drives first.
    fn of(document: &Document, dial: &Dial) -> Self {
        match dial.drives.first().map(|d| d.target) {
            Some(Target::Hold(_)) => Self::Release,
            Some(Target::Collapse(_)) => Self::Fingers,
            Some(Target::Channel(node, _)) => Self::of_node(document, node),
            None => Self::Pivots,
        }
    }

    fn of_node(document: &Document, id: NodeId) -> Self {
        let Some(node) = document.node(id) else {
            return Self::Pivots;
        };
        let carries = |part: Part| {
            let below = document.part(&part);
            below.is_some_and(|below| document.is_below(below.id, id))
        };
        if node.surface.is_some() {
            Self::Surface
        } else if node.kind == Kind::Mount {
            if carries(Part::WristTarget) {
                Self::Pivots
            } else {
                Self::Arm
            }
        } else if carries(Part::Wrist) {
            Self::Arm
        } else {
            Self::Fingers
        }
    }
}

/// The desk.
#[component]
pub fn HandDesk() -> impl IntoView {
    let stage = expect_context::<OnStage>();
    let press = Memo::new(move |_| stage.with(|h| press_dials(h.document())));
    // The map finds them, the dials show them.
    provide_context(SafeSpans::new());
    view! {
        <section class="desk pressing" aria-label="Dials, map and gauges">
            <div class="desk-dials">
                <Copies/>
                <Dials dials=press class="dials press"/>
                <Fold title="Gauges">
                    <Gauges/>
                </Fold>
                <Fold title="More dials">
                    {Group::ALL.map(|(group, title)| view! { <Others group title/> }).collect_view()}
                </Fold>
            </div>
            <ContactMap/>
        </section>
    }
}

#[component]
fn Others(group: Group, title: &'static str) -> impl IntoView {
    let stage = expect_context::<OnStage>();
    let dials = Memo::new(move |_| {
        stage.with(|h| {
            let document = h.document();
            let wanted = |d: &&Shared<Dial>| {
                !d.role
                    .as_ref()
                    .is_some_and(|role| hand::PRESS.contains(role))
                    && Group::of(document, d) == group
            };
            document
                .dials
                .iter()
                .filter(wanted)
                .map(|d| d.id)
                .collect::<Vec<_>>()
        })
    });
    view! {
        <Show when=move || !dials.with(Vec::is_empty)>
            <h3>{title}</h3>
            <Dials dials/>
        </Show>
    }
}
