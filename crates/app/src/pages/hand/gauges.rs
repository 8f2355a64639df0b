//! The gauges kept apart: a digit a row, a measurement a column, and those of the whole hand.
use super::edits::edit;
use crate::state::{OnStage, Session, Shell, session};
use hand::survey::Tolerance;
use hand::{Edit, Gauge};
use leptos::prelude::*;
use recipe::{ArmPart, Part, spoken};
use rig::{Document, NodeId, Solver};
use std::collections::BTreeMap;
use workbook::gauge_table::{COLUMNS, Cell, Cells, Row, cells, readings, rows};
use workbook::names;

/// A name, what is measured, and when that is well.
type Measured = (String, Gauge, fn(f64, &Tolerance) -> Option<bool>);

/// What is measured of the hand as a whole, by what it is called.
fn whole(document: &Document) -> Vec<Measured> {
    let name = |part: Part| document.part(&part).map(|node| node.name.clone());
    let (wrist, elbow) = (name(Part::Wrist), name(Part::Arm(ArmPart::LowerArm)));
    let load = elbow.clone().or(wrist.clone()).unwrap_or_default();
    let mut all: Vec<Measured> = vec![
        (
            "palm clearance".into(),
            Gauge::PalmClearance {},
            |mm, of| Some(mm >= 0.0 - of.palm),
        ),
        ("deepest digit".into(), Gauge::DigitDepth {}, |mm, of| {
            Some(mm <= of.pad)
        }),
        // The arm bears what comes down outside: nothing is amiss then.
        (
            format!("load inside what bears, {}", spoken(&load)),
            Gauge::SupportMargin { node: load },
            |_, _| None,
        ),
    ];
    if let (Some(from), Some(to)) = (wrist, elbow) {
        let elevation = Gauge::Elevation { from, to };
        all.push(("forearm over the horizon".into(), elevation, |_, _| None));
    }
    let arm = [ArmPart::Forearm, ArmPart::LowerArm, ArmPart::UpperArm];
    let joints = std::iter::once(Part::Wrist).chain(arm.map(Part::Arm));
    for node in joints.filter_map(name) {
        let told = format!("{} to its limit", spoken(&node));
        all.push((told, Gauge::JointMargin { node }, |deg, _| Some(deg >= 0.0)));
    }
    let arm = document
        .anchors
        .iter()
        .filter(|a| matches!(a.solver, Solver::TwoBone { .. }));
    all.extend(arm.map(|a| {
        let reach = Gauge::ReachMargin {
            anchor: a.name.clone(),
        };
        let good: fn(f64, &Tolerance) -> Option<bool> = |mm, _| Some(mm >= 0.0);
        (format!("reach left, {}", names::anchor(a)), reach, good)
    }));
    all
}

/// The fold.
#[component]
pub fn Gauges() -> impl IntoView {
    let session = session();
    let Session { stage, shell, .. } = session;
    let all = Memo::new(move |_| stage.with(|h| rows(h.document())));
    // Measured together: a contact on its own would pose the planted hand again.
    let cells = Memo::new(move |_| {
        all.with(|all| {
            let cells = stage.with(|h| cells(h.posed(), all, &shell.tolerance.get()));
            let nodes = all.iter().map(|row| row.node);
            nodes.zip(cells).collect::<BTreeMap<_, _>>()
        })
    });
    view! {
        <div class="scroll" tabindex="0" role="group" aria-label="Gauges by digit">
            <table class="numbers gauge-table">
                <thead>
                    <tr>
                        <th scope="col">"contact"</th>
                        {COLUMNS.map(|title| view! { <th scope="col">{title}</th> }).collect_view()}
                        <td></td>
                    </tr>
                </thead>
                <tbody>
                    <For each=move || all.get() key=|row| (row.node, row.planted, row.anchor) let:row>
                        <Contact row cells/>
                    </For>
                </tbody>
            </table>
        </div>
        <Whole/>
    }
}

/// The hand as a whole: palm, load, wrist, arm.
#[component]
fn Whole() -> impl IntoView {
    let (stage, shell) = (expect_context::<OnStage>(), expect_context::<Shell>());
    let rows = Memo::new(move |_| {
        stage.with(|h| {
            let all = whole(h.document());
            let tolerance = shell.tolerance.get();
            let gauges: Vec<_> = all.iter().map(|(_, gauge, _)| gauge).collect();
            let read = all.iter().zip(readings(h.posed(), &gauges));
            let told = read.filter_map(|((name, _, good), reading)| {
                let reading = reading?;
                let cell = (reading.to_string(), good(reading.value, &tolerance));
                Some((name.clone(), cell))
            });
            told.collect::<Vec<_>>()
        })
    });
    view! {
        <table class="numbers whole">
            <tbody>
                {move || {
                    let all = rows.get().into_iter();
                    all.map(|(name, cell)| view! { <tr><th scope="row">{name}</th><td>{marked(cell)}</td></tr> })
                        .collect_view()
                }}
            </tbody>
        </table>
    }
}

#[component]
fn Contact(row: Row, cells: Memo<BTreeMap<NodeId, Cells>>) -> impl IntoView {
    let session = session();
    let Session { stage, shell, .. } = session;
    let Row {
        node,
        planted,
        name,
        ..
    } = row;
    let shown = (0..COLUMNS.len())
        .map(|column| {
            let cell = Memo::new(move |_| cells.with(|all| all.get(&node)?[column].clone()));
            view! { <td>{move || cell.get().map(marked)}</td> }
        })
        .collect_view();
    let word = if planted { "Unplant" } else { "Plant here" };
    view! {
        <tr>
            <th scope="row">{name.clone()}</th>
            {shown}
            <td>
                <button
                    class="tool"
                    aria-label=format!("{word}: {name}")
                    on:click=move |_| {
                        let change = if planted {
                            Edit::Release { node }
                        } else {
                            Edit::Plant { node, surface: surface(stage) }
                        };
                        if edit(session, &change) {
                            shell.say(format!("{name}: {}. Nothing moved.", if planted { "planted no more" } else { "planted here" }));
                        }
                    }
                >
                    {word}
                </button>
            </td>
        </tr>
    }
}

/// The surface the hand presses on.
fn surface(stage: OnStage) -> Option<NodeId> {
    stage.with_untracked(|h| {
        let mut nodes = h.document().nodes.iter();
        nodes.find(|n| n.surface.is_some()).map(|n| n.id)
    })
}

/// A reading with its sign: what is amiss says so by more than hue.
fn marked((text, good): Cell) -> impl IntoView {
    let (class, sign, word) = match good {
        Some(true) => ("good", "✓ ", ""),
        Some(false) => ("amiss", "✗ ", ", amiss"),
        None => ("", "", ""),
    };
    view! {
        <span class=class>
            <span aria-hidden="true">{sign}</span>
            {text}
            <span class="spoken">{word}</span>
        </span>
    }
}
