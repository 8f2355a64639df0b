//! The axis the hand presses about, the one fitted through its knuckles and the one of greatest
//! lift, in numbers and as lines on the plate that can be dragged.
use super::axis_search::AxisSearch;
use super::edits::{of_planting, part, recipe, remake};
use super::surveyor::Stopped;
use crate::knuckle_row::Row;
use crate::state::{OnStage, Session, session};
use crate::widgets::fields::Number;
use crate::widgets::switch::Switch;
use hand::survey::Tolerance;
use hand::{Pivot, Recipe};
use leptos::prelude::*;
use rig::{Document, Edit, Grip, Kind, Node, Part};
use survey_job::{Answer, Question, Reach};
use workbook::axis::{AxisKind, AxisShown};

/// The fitted axis against itself.
const FITTED: Pivot = Pivot {
    offset: 0.0,
    drop: 0.0,
    yaw: 0.0,
};

/// The pivot of a recipe that plants the hand.
pub fn pivot_of(recipe: &Recipe) -> Option<Pivot> {
    Some(recipe.planting.as_ref()?.pivot)
}

/// The axes against each other; while it is there they are on the plate.
#[component]
pub fn Axes(search: AxisSearch) -> impl IntoView {
    let stage = expect_context::<OnStage>();
    search.read();
    let recipe = recipe(stage);
    let pivot = Memo::new(move |_| recipe.with(|r| r.as_ref().and_then(pivot_of)));
    let shown = Memo::new(move |_| {
        let mut all = vec![(AxisKind::Pivot, pivot.get()?), (AxisKind::Fitted, FITTED)];
        all.extend(search.found.get().map(|f| (AxisKind::Greatest, f.pivot)));
        let shown = all.into_iter();
        Some(
            shown
                .map(|(kind, pivot)| AxisShown { kind, pivot })
                .collect::<Vec<_>>(),
        )
    });
    Effect::new(move || stage.axes.set(shown.get().unwrap_or_default()));
    on_cleanup(move || stage.axes.set(Vec::new()));
    view! {
        <Show
            when=move || pivot.get().is_some()
            fallback=|| view! { <p class="quiet">"Nothing is planted, so there is no axis to press about. Choose a stance on the face 'Press'."</p> }
        >
            <Comparison shown recipe search/>
            <Stopped surveyor=search.surveyor/>
            <Residuals/>
        </Show>
    }
}

/// The axis in use, as a sentence whose numbers can be changed.
#[component]
pub fn AxisFields() -> impl IntoView {
    let session = session();
    let recipe = recipe(session.stage);
    let any = move || recipe.with(|r| r.as_ref().and_then(pivot_of).is_some());
    let number = move |of: fn(&Pivot) -> f64| part(recipe, 0.0, move |r| Some(of(&pivot_of(r)?)));
    let give = move |change: fn(&mut Pivot, f64)| {
        Callback::new(move |value: f64| {
            remake(session, of_planting(|p| change(&mut p.pivot, value)))
        })
    };
    view! {
        <Show when=any fallback=|| view! { <p class="quiet">"There is no axis to press about: nothing is planted."</p> }>
            <div class="fields axis-fields">
                <b>"The axis in use lies"</b>
                <Number label="Towards the tips" value=number(|p| p.offset) set=give(|p, v| p.offset = v)/>
                <Number label="Below" value=number(|p| p.drop) set=give(|p, v| p.drop = v)/>
                <Number label="Turned" unit="°" value=number(|p| p.yaw) set=give(|p, v| p.yaw = v)/>
                <span class="quiet">"from the axis fitted through the planted knuckles."</span>
                <MovePivots/>
            </div>
        </Show>
    }
}

/// How far each axis lifts the hand.
#[component]
fn Comparison(
    shown: Memo<Option<Vec<AxisShown>>>,
    recipe: Memo<Option<Recipe>>,
    search: AxisSearch,
) -> impl IntoView {
    let session = session();
    let Session { shell, .. } = session;
    // What was told last stays until the next is known.
    let lifts = RwSignal::new(Vec::<(AxisKind, Option<Reach>)>::new());
    Effect::new(move || {
        let all = shown.get().unwrap_or_default();
        let Some(recipe) = recipe.get() else { return };
        let kinds: Vec<_> = all.iter().map(|axis| axis.kind).collect();
        let question = Question::Lifts {
            recipe: Box::new(recipe),
            pivots: all.iter().map(|axis| axis.pivot).collect(),
            tolerance: Tolerance::default(),
        };
        search.surveyor.ask(question, move |reply| {
            if let Answer::Lifts(found) = reply.answer {
                lifts.set(kinds.iter().copied().zip(found).collect());
            }
        });
    });
    let told = move |kind| {
        lifts.with(|all| {
            let (_, reach) = all.iter().find(|(of, _)| *of == kind)?;
            Some(reach.as_ref().map_or_else(|| "none".into(), lift_told))
        })
    };
    let rows = move || {
        let all = shown.get().unwrap_or_default();
        all.into_iter()
            .map(|axis| {
                let here = axis.kind == AxisKind::Pivot;
                view! {
                    <tr>
                        <th scope="row"><span class=format!("axis-mark {:?}", axis.kind) aria-hidden="true"></span>{axis.kind.name()}</th>
                        <td>{move || told(axis.kind)}</td>
                        <td>
                            {(!here)
                                .then(|| {
                                    view! {
                                        <button
                                            class="tool"
                                            aria-label=format!("Put the pivot there: {}", axis.kind.name())
                                            on:click=move |_| {
                                                if remake(session, of_planting(|p| p.pivot = axis.pivot)) {
                                                    shell.say(format!("The pivot is on the {}.", axis.kind.name()));
                                                }
                                            }
                                        >
                                            "Put the pivot there"
                                        </button>
                                    }
                                })}
                        </td>
                    </tr>
                }
            })
            .collect_view()
    };
    view! {
        <table class="numbers">
            <thead>
                <tr>
                    <th scope="col">"axis"</th>
                    <th scope="col">"all down and safe to"</th>
                    <td></td>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
    }
}

/// The lift up to which all stay down and safe, and who ends it.
fn lift_told(reach: &Reach) -> String {
    let stays = &reach.stays;
    let (lift, by) = if stays.count > 0 && stays.value < reach.value {
        (stays.value, stays.first.as_ref().map(|first| &first.who))
    } else {
        (reach.value, reach.ended.as_ref().map(|ended| &ended.who))
    };
    let by = by.map_or(String::new(), |who| {
        format!(", {}", who.replace(" finger", ""))
    });
    format!("{lift:.1}°{by}")
}

/// How far each planted knuckle is from the fitted axis.
#[component]
fn Residuals() -> impl IntoView {
    let stage = expect_context::<OnStage>();
    let text = Memo::new(move |_| {
        stage.with(|h| {
            let row = Row::new(h.history().posed())?;
            let all: Vec<_> = row
                .residuals()
                .map(|(name, _, mm)| format!("{} {mm:.1} mm", ::recipe::spoken(name)))
                .collect();
            Some(all.join(", "))
        })
    });
    view! {
        <p class="quiet">
            {move || {
                text.get()
                    .map_or("The planted knuckles make no axis.".into(), |t| format!("Knuckles from the fitted axis: {t}."))
            }}
        </p>
    }
}

/// The pivots of the press, outermost first.
fn pivots(document: &Document) -> impl Iterator<Item = &Node> {
    let all = ::recipe::Press::ALL.into_iter();
    all.filter_map(|pivot| document.part(&Part::Pivot(pivot)))
}

/// Whether the press pivots can be moved by hand.
pub fn pivots_movable(document: &Document) -> bool {
    pivots(document).any(|n| n.kind == Kind::Mount && matches!(n.grip, Grip::Place(_)))
}

/// Lets the pivots themselves be moved on the plate; the pose stays as it is.
#[component]
fn MovePivots() -> impl IntoView {
    let session = session();
    let Session { stage, .. } = session;
    let movable = move || stage.with(|h| pivots_movable(h.document()));
    let switch = move |on: bool| {
        let edits: Vec<_> = stage.with_untracked(|h| {
            let document = h.document();
            let built = document
                .hand
                .as_deref()
                .and_then(|r| hand::document(r).ok());
            let grip = |part: &Part| {
                let built = built.as_ref()?.part(part)?;
                Some(if on {
                    Grip::Place([0.0; 3])
                } else {
                    built.grip.clone()
                })
            };
            let pivots = pivots(document);
            pivots
                .filter_map(|node| Some((node.id, grip(node.part.as_ref()?)?)))
                .map(|(node, grip)| Edit::SetGrip { node, grip })
                .collect()
        });
        for edit in edits {
            session.edit_live(&edit);
        }
        stage.settle();
    };
    view! {
        <Switch
            label="Pivots on the plate"
            choices=vec![(false, "pivots fixed"), (true, "move pivots")]
            chosen=Signal::derive(move || Some(movable()))
            set=Callback::new(switch)
        />
        <span class="quiet">"Moved in mid-press, a pivot leaves the pose as it is."</span>
    }
}
