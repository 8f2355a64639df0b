//! The hand's desk: what each face is turned by. It says which dials it shows, for their safe spans,
//! and which handles are on the plate.
use super::axes::AxisFields;
use super::costs::Costs;
use super::gauges::Gauges;
use super::joints::{self, FingersDesk};
use super::strip::Strip;
use super::worst::Worst;
use crate::state::{OnStage, Session, session};
use crate::widgets::desk::Dials;
use crate::widgets::dial::Softness;
use crate::widgets::fields::Fold;
use hand::press_dials;
use leptos::prelude::*;
use rig::{DialId, Document};
use workbook::desk::called;
use workbook::face::{FOLDS, Face, Group, put_away};

/// The desk.
#[component]
pub fn HandDesk() -> impl IntoView {
    let Session { stage, hand, .. } = session();
    // The groups whose fold is open.
    let open = RwSignal::new(Vec::<Group>::new());
    let shown = move || {
        let face = hand.face.get();
        let asked = if face == Face::Press {
            open.get()
        } else {
            Vec::new()
        };
        stage.with(|h| {
            let document = h.document();
            let (dials, knobs) = match face {
                Face::Fingers => {
                    let whom = joints::whom(hand, document);
                    let knobs = workbook::knobs::knobs(document, whom.as_deref());
                    (joints::asked(hand, stage, document), knobs)
                }
                _ => (dials(document, face, &asked), Vec::new()),
            };
            (dials, put_away(document, face, &asked), knobs)
        })
    };
    let shown = Memo::new(move |_| shown());
    let tell = move || {
        let (dials, away, knobs) = shown.get();
        if hand.knobs.with_untracked(|known| *known != knobs) {
            hand.knobs.set(knobs);
        }
        if hand.asked.with_untracked(|asked| *asked != dials) {
            hand.asked.set(dials);
        }
        if hand.put_away.with_untracked(|known| *known != away) {
            hand.put_away.set(away);
        }
    };
    // At once, so that no row is made first without the place for its span.
    untrack(tell);
    Effect::new(tell);
    on_cleanup(move || hand.leave());
    // What was chosen on one face would stand on the next as a handle that is none.
    Effect::new(move |before: Option<Face>| {
        let face = hand.face.get();
        if before.is_some_and(|before| before != face) {
            stage.selected.set(None);
        }
        face
    });
    view! {
        <section class="desk handy" class:old=move || hand.spans_old.get() aria-label="Dials and gauges">
            {move || match hand.face.get() {
                Face::Fingers => view! { <FingersDesk/> }.into_any(),
                Face::Press => view! { <PressDesk open/> }.into_any(),
                Face::Plan => view! { <PlanDesk/> }.into_any(),
            }}
        </section>
    }
}

/// The dials of a face that is not the fingers', with those of the groups that are asked for.
fn dials(document: &Document, face: Face, asked: &[Group]) -> Vec<DialId> {
    let groups: &[Group] = match face {
        Face::Press => &[Group::Press],
        Face::Fingers | Face::Plan => &[],
    };
    let all = groups.iter().chain(asked);
    all.flat_map(|group| group.dials(document)).collect()
}

#[component]
fn PressDesk(open: RwSignal<Vec<Group>>) -> impl IntoView {
    let stage = expect_context::<OnStage>();
    let press = Memo::new(move |_| stage.with(|h| press_dials(h.document())));
    view! {
        <div class="desk-dials">
            <Strip/>
            <div class="desk-row">
                <Dials dials=press class="dials press" soft=false/>
                <Worst/>
            </div>
            <div class="folds">
                {FOLDS.map(|(group, title)| view! { <GroupFold group title open/> }).collect_view()}
                <Fold title="Softness">
                    <SoftnessOf dials=press/>
                </Fold>
                <Fold title="All gauges">
                    <Gauges/>
                </Fold>
            </div>
        </div>
    }
}

/// The dials of a group, once they are asked for.
#[component]
fn GroupFold(group: Group, title: &'static str, open: RwSignal<Vec<Group>>) -> impl IntoView {
    let stage = expect_context::<OnStage>();
    let dials = Memo::new(move |_| stage.with(|h| group.dials(h.document())));
    let told = Callback::new(move |is_open: bool| {
        open.update(|all| {
            all.retain(|known| *known != group);
            if is_open {
                all.push(group);
            }
        });
    });
    // Another face's desk has none of them open.
    on_cleanup(move || told.run(false));
    view! {
        <Show when=move || !dials.with(Vec::is_empty)>
            <Fold title told>
                <Dials dials soft=false/>
            </Fold>
        </Show>
    }
}

/// How softly the press dials that have stages change over.
#[component]
fn SoftnessOf(dials: Memo<Vec<DialId>>) -> impl IntoView {
    let stage = expect_context::<OnStage>();
    let soft = Memo::new(move |_| {
        stage.with(|h| {
            let of = |id: DialId| h.document().dial(id).filter(|dial| dial.softness.is_some());
            let found = dials.get().into_iter().filter_map(of);
            found
                .map(|dial| (dial.id, called(dial)))
                .collect::<Vec<_>>()
        })
    });
    view! {
        <div class="dials">
            <For each=move || soft.get() key=|dial| dial.0 let:dial>
                <div class="soft">
                    <b>{dial.1.clone()}</b>
                    <Softness id=dial.0 name=dial.1/>
                </div>
            </For>
        </div>
    }
}

#[component]
fn PlanDesk() -> impl IntoView {
    view! {
        <div class="desk-dials">
            <AxisFields/>
            <Costs/>
        </div>
    }
}
