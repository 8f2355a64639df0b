//! The gauges kept apart: a digit a row, a measurement a column, and those of the whole hand.
use super::edits::edit;
use crate::state::{OnStage, Session, Shell, session};
use hand::gauge::Hold;
use hand::survey::{Tolerance, room};
use hand::{Edit, Gauge};
use leptos::prelude::*;
use recipe::{ArmPart, DigitPart, Part};
use rig::{AnchorId, Document, NodeId, Posed, Solver, Unit};
use workbook::number::tenths;

/// A cell: what it reads, and whether that is well.
type Cell = (String, Option<bool>);

/// A planted contact, or a digit that could be.
#[derive(Clone, Debug, PartialEq)]
struct Contact {
    node: NodeId,
    /// What holds it, if something does.
    anchor: Option<AnchorId>,
    planted: bool,
    name: String,
}

/// Every contact of the hand: the plants, then the digits that are not planted.
fn contacts(document: &Document) -> Vec<Contact> {
    let contact = |node: NodeId, planted: bool| Contact {
        node,
        anchor: document
            .anchors
            .iter()
            .find(|a| a.end == node)
            .map(|a| a.id),
        planted,
        name: hand::in_words(document, node),
    };
    let planted = document.plants.iter().map(|p| contact(p.node, true));
    let digits = document.hand.iter().flat_map(|r| &r.hand.digits);
    let of = |node: NodeId| {
        let part = document.node(node).and_then(|node| node.part.as_ref());
        part.and_then(|part| part.digit())
    };
    let free = digits
        .filter(|digit| {
            !document
                .plants
                .iter()
                .any(|p| of(p.node) == Some(digit.name.as_str()))
        })
        .filter_map(|digit| {
            let end = document.part(&Part::of(&digit.name, DigitPart::TipContact))?;
            Some(Contact {
                name: digit.spoken(),
                ..contact(end.id, false)
            })
        });
    planted.chain(free).collect()
}

/// A measurement of each digit.
struct Column {
    title: &'static str,
    read: fn(&Posed, &Contact, &Tolerance) -> Option<Cell>,
}

fn gauge(posed: &Posed, gauge: &Gauge, good: impl Fn(f64) -> bool) -> Option<Cell> {
    let reading = gauge.read(posed).ok()?;
    Some((reading.to_string(), Some(good(reading.value))))
}

fn name_of(document: &Document, node: NodeId) -> Option<String> {
    Some(document.node(node)?.name.clone())
}

/// A measurement of what is planted only.
fn of_plant(
    posed: &Posed,
    contact: &Contact,
    make: fn(String) -> Gauge,
    good: impl Fn(f64) -> bool,
) -> Option<Cell> {
    let document = posed.document();
    let node = contact.planted.then(|| name_of(document, contact.node))??;
    gauge(posed, &make(node), good)
}

/// Pads roll a little on any bench; past this the flesh no longer follows, degrees. Assumed.
const ROLLS: f64 = 30.0;

const COLUMNS: [Column; 8] = [
    Column {
        title: "held",
        read: |posed, contact, _| {
            let anchor = contact.anchor.filter(|_| contact.planted)?;
            // One that lets go is no fault.
            Some((Hold::of(posed, anchor).to_string(), None))
        },
    },
    Column {
        title: "slip",
        read: |posed, contact, tolerance| {
            of_plant(
                posed,
                contact,
                |node| Gauge::Slip { node },
                |mm| mm <= tolerance.slip,
            )
        },
    },
    Column {
        title: "roll",
        read: |posed, contact, _| {
            of_plant(
                posed,
                contact,
                |node| Gauge::PadRoll { node },
                |deg| deg.abs() <= ROLLS,
            )
        },
    },
    Column {
        title: "drift",
        read: |posed, contact, _| {
            let cell = of_plant(posed, contact, |node| Gauge::PadDrift { node }, |_| true)?;
            Some((cell.0, None))
        },
    },
    Column {
        title: "spin",
        read: |posed, contact, _| {
            of_plant(
                posed,
                contact,
                |node| Gauge::PadSpin { node },
                |deg| deg.abs() <= ROLLS,
            )
        },
    },
    Column {
        title: "pressed in",
        read: |posed, contact, tolerance| {
            let node = name_of(posed.document(), contact.node)?;
            let most = match posed.rig().node(contact.node)?.part {
                Some(Part::Heel) => tolerance.palm,
                _ => tolerance.pad,
            };
            gauge(posed, &Gauge::FleshDepth { node }, |mm| mm <= most)
        },
    },
    Column {
        title: "reach left",
        read: |posed, contact, _| {
            let anchor = posed.rig().anchor(contact.anchor?)?.name.clone();
            gauge(posed, &Gauge::ReachMargin { anchor }, |mm| mm >= 0.0)
        },
    },
    Column {
        title: "limit",
        read: |posed, contact, _| {
            let all = room(posed, contact.anchor?);
            let nearest = all
                .into_iter()
                .min_by(|a, b| a.margin.total_cmp(&b.margin))?;
            let joint = name_of(posed.document(), nearest.node)?;
            let joint = joint.rsplit('-').next().unwrap_or_default().to_string();
            let mut text = format!("{} {joint}", tenths(nearest.margin, Unit::Degrees));
            if nearest.beyond > 0.0 {
                // Past what muscles do.
                let beyond = tenths(nearest.beyond, Unit::Degrees);
                text += &format!(", only load brings it here: {beyond} past its own range");
            }
            Some((text, Some(nearest.margin > 0.0)))
        },
    },
];

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
            format!("load inside what bears, {}", load.replace('-', " ")),
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
        let told = format!("{} to its limit", node.replace('-', " "));
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
        (format!("reach left, {}", a.name), reach, good)
    }));
    all
}

fn read(stage: OnStage, shell: Shell, contact: &Contact, column: &Column) -> Option<Cell> {
    stage.with(|h| {
        let (tolerance, posed) = (shell.tolerance.get(), h.posed());
        let there = posed.has(contact.node);
        there.then(|| (column.read)(posed, contact, &tolerance))?
    })
}

/// The fold.
#[component]
pub fn Gauges() -> impl IntoView {
    let session = session();
    let Session { stage, shell, .. } = session;
    let rows = Memo::new(move |_| stage.with(|h| contacts(h.document())));
    view! {
        <div class="scroll" tabindex="0" role="group" aria-label="Gauges by digit">
            <table class="numbers gauge-table">
                <thead>
                    <tr>
                        <th scope="col">"contact"</th>
                        {COLUMNS.iter().map(|c| view! { <th scope="col">{c.title}</th> }).collect_view()}
                        <td></td>
                    </tr>
                </thead>
                <tbody>
                    <For each=move || rows.get() key=|row| (row.node, row.planted, row.anchor) let:contact>
                        <Row contact/>
                    </For>
                </tbody>
            </table>
        </div>
        <Whole/>
        <div class="tool-row">
            <button
                class="tool"
                title="The pose on the plate becomes the planted one; nothing moves"
                on:click=move |_| {
                    if edit(session, &Edit::Replant) {
                        shell.say("Planted anew as it stands. Nothing moved.");
                    }
                }
            >
                "Plant anew as it stands"
            </button>
        </div>
    }
}

/// The hand as a whole: palm, load, wrist, arm.
#[component]
fn Whole() -> impl IntoView {
    let (stage, shell) = (expect_context::<OnStage>(), expect_context::<Shell>());
    let rows = Memo::new(move |_| {
        stage.with(|h| {
            let all = whole(h.document()).into_iter();
            let tolerance = shell.tolerance.get();
            let read = all.filter_map(|(name, gauge, good)| {
                let reading = gauge.read(h.posed()).ok()?;
                Some((name, (reading.to_string(), good(reading.value, &tolerance))))
            });
            read.collect::<Vec<_>>()
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
fn Row(contact: Contact) -> impl IntoView {
    let session = session();
    let Session { stage, shell, .. } = session;
    let cells = COLUMNS
        .iter()
        .map(|column| {
            let contact = contact.clone();
            let cell = Memo::new(move |_| read(stage, shell, &contact, column));
            view! { <td>{move || cell.get().map(marked)}</td> }
        })
        .collect_view();
    let Contact {
        node,
        planted,
        name,
        ..
    } = contact;
    let word = if planted { "Let go" } else { "Plant here" };
    view! {
        <tr>
            <th scope="row">{name.clone()}</th>
            {cells}
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
                            shell.say(format!("{name}: {}. Nothing moved.", if planted { "let go" } else { "planted here" }));
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
