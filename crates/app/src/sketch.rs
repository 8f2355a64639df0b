//! The sketch page's tools: draw a chain, add pivots, anchors and carriers.
use crate::session::{Session, Tool, session};
use crate::tools::{Choice, LetGo, Rehang, names};
use leptos::prelude::*;
use rig::{
    Channel, Document, Drive, Edit, Grip, Kind, Node, NodeId, Order, Ramp, Solver, Unit, Vec3,
};

pub use workbook::example::blank;

/// A name nobody has yet.
fn free_name(document: &Document, stem: &str) -> String {
    let taken = |name: &str| document.node_named(name).is_some();
    if !taken(stem) {
        return stem.into();
    }
    (2..)
        .map(|i| format!("{stem} {i}"))
        .find(|name| !taken(name))
        .unwrap_or_default()
}

/// Adds what the tool adds, at a world point, under the selected node.
pub fn add_at(session: Session, at: Vec3) {
    session.settle();
    let kind = if session.tool.get_untracked() == Tool::AddMount {
        Kind::Mount
    } else {
        Kind::Joint
    };
    let at = at.map(|v| v.round());
    let selected = session.selected.get_untracked();
    let (name, parent) = session.stage.with_untracked(|h| {
        let document = h.document();
        let parent = selected.filter(|id| document.node(*id).is_some());
        (
            free_name(
                document,
                if kind == Kind::Joint {
                    "joint"
                } else {
                    "mount"
                },
            ),
            parent,
        )
    });
    if session.edit_live(&Edit::AddNode {
        name: name.clone(),
        kind,
        parent,
        at,
        width: 20.0,
    }) {
        let made = session
            .stage
            .with_untracked(|h| h.document().node_named(&name).map(|n| n.id));
        if let Some(id) = made
            && kind == Kind::Mount
        {
            session.edit_live(&Edit::SetGrip {
                node: id,
                grip: Grip::Place([0.0; 3]),
            });
        }
        session.name_step(&format!("add {name}"));
        session.selected.set(made);
        session
            .pencil
            .update(|p| p.cursor = Some(at + Vec3::new(40.0, 0.0, 0.0)));
        session.say(format!("Added {name}."));
    }
    session.settle();
}

/// The chain from `base` to `end` decides the solver: one bone aims, two close in closed form,
/// more are solved step by step, by the method chosen.
fn solver_for(document: &Document, base: NodeId, end: NodeId, reaching: bool) -> Solver {
    let mut bones = 0;
    let mut at = Some(end);
    while let Some(id) = at.filter(|id| *id != base) {
        bones += 1;
        at = document.node(id).and_then(|n| n.parent);
    }
    match bones {
        0 | 1 => Solver::Aim,
        2 => Solver::TwoBone {
            pole: None,
            softness: 0.0,
            bend: [0.0, 0.0, 1.0],
        },
        _ if reaching => Solver::Fabrik,
        _ => Solver::DampedLeastSquares,
    }
}

/// All tools of the sketch page.
#[component]
pub fn SketchTools() -> impl IntoView {
    let session = session();
    let empty = move || session.stage.with(|h| h.document().nodes.is_empty());
    view! {
        <div class="tools">
            <div class="switch" role="group" aria-label="A press on the plate">
                {[(Tool::Hand, "Drag"), (Tool::AddJoint, "Add joint"), (Tool::AddMount, "Add mount")]
                    .map(|(tool, name)| {
                        view! {
                            <button
                                aria-pressed=move || (session.tool.get() == tool).to_string()
                                on:click=move |_| session.tool.set(tool)
                            >
                                {name}
                            </button>
                        }
                    })
                    .collect_view()}
            </div>
            <crate::files::Files/>
            <Show when=empty>
                <p class="quiet">
                    "An empty plate. Choose 'Add joint' and press on the plate: each joint hangs under the one chosen in the lineage."
                </p>
            </Show>
            <Show when=move || !empty()>
                <NodeCard/>
                <AnchorTools/>
                <Rehang/>
            </Show>
        </div>
    }
}

/// Name, order, limits and what hangs above the chosen node.
#[component]
fn NodeCard() -> impl IntoView {
    let session = session();
    let chosen = Memo::new(move |_| {
        let id = session.selected.get()?;
        session.stage.with(|h| h.document().node(id).cloned())
    });
    move || {
        chosen.get().map(|node| view! { <Card node/> }.into_any()).unwrap_or_else(|| {
            view! { <p class="quiet">"Choose a bead to name it, hang a pivot above it or anchor it."</p> }.into_any()
        })
    }
}

#[component]
fn Card(node: Node) -> impl IntoView {
    let session = session();
    let id = node.id;
    let limit = node.limits[Channel::TurnZ.index()];
    let field = move |which: usize| {
        let value = limit.map_or(String::new(), |l| {
            if which == 0 {
                l.0.to_string()
            } else {
                l.1.to_string()
            }
        });
        view! {
            <input
                type="number"
                step="1"
                aria-label=if which == 0 { "Least turn about z, degrees" } else { "Greatest turn about z, degrees" }
                placeholder="free"
                prop:value=value
                on:change=move |e| {
                    let typed = event_target_value(&e).parse::<f64>().ok();
                    let (low, high) = limit.unwrap_or((-180.0, 180.0));
                    let limits = typed.map(|v| if which == 0 { (v, high) } else { (low, v) });
                    session.edit(&Edit::SetLimits { node: id, channel: Channel::TurnZ, limits });
                }
            />
        }
    };
    let orders = Order::ALL
        .map(|order| {
            view! {
                <option value=format!("{order:?}") selected=order == node.order>
                    {format!("{order:?}").to_uppercase()}
                </option>
            }
        })
        .collect_view();
    view! {
        <fieldset class="card">
            <legend>{node.name.clone()}</legend>
            <label>
                "Name "
                <input
                    type="text"
                    prop:value=node.name.clone()
                    on:change=move |e| {
                        session.edit(&Edit::Rename { node: id, name: event_target_value(&e).trim().into() });
                    }
                />
            </label>
            <label>
                "Channel order "
                <select on:change=move |e| {
                    let value = event_target_value(&e);
                    if let Some(order) = Order::ALL.into_iter().find(|o| format!("{o:?}") == value) {
                        session.edit(&Edit::SetOrder { node: id, order });
                    }
                }>{orders}</select>
            </label>
            <span class="limits">"Turn z from "{field(0)}" to "{field(1)}"°"</span>
            <button class="tool" on:click=move |_| pivot_above(session, id)>"Pivot above"</button>
            <button class="tool" on:click=move |_| turn_dial(session, id)>"Turn dial"</button>
            <button class="tool" on:click=move |_| { session.edit(&Edit::Delete { node: id }); session.selected.set(None); }>
                "Delete"
            </button>
        </fieldset>
    }
}

/// A pivot above a node, at the node's own place to begin with, with a dial to turn it.
fn pivot_above(session: Session, above: NodeId) {
    let at = session.stage.with_untracked(|s| s.posed().point(above));
    let name = session.stage.with_untracked(|h| {
        let of = h
            .document()
            .node(above)
            .map(|n| n.name.clone())
            .unwrap_or_default();
        free_name(h.document(), &format!("{of} pivot"))
    });
    session.settle();
    if !session.edit_live(&Edit::InsertPivot {
        above,
        name: name.clone(),
        at,
    }) {
        return;
    }
    make_movable(session, &name);
    session.name_step(&format!("hang {name}"));
    session.settle();
    session.say("A pivot hangs above it. Nothing on the plate moved.");
}

/// A new mount can be placed by hand and turned by a dial, and is chosen.
fn make_movable(session: Session, name: &str) {
    let made = session
        .stage
        .with_untracked(|h| h.document().node_named(name).map(|n| n.id));
    if let Some(node) = made {
        session.edit_live(&Edit::SetGrip {
            node,
            grip: Grip::Place([0.0; 3]),
        });
        add_turn(session, node, name);
        session.selected.set(Some(node));
    }
}

fn turn_dial(session: Session, node: NodeId) {
    let name = session
        .stage
        .with_untracked(|h| h.document().node(node).map(|n| n.name.clone()));
    if let Some(name) = name {
        session.settle();
        if add_turn(session, node, &name) {
            session.say(format!("The dial 'turn {name}' turns it about z."));
        }
        session.settle();
    }
}

fn add_turn(session: Session, node: NodeId, name: &str) -> bool {
    let drive = Drive {
        target: rig::Target::Channel(node, Channel::TurnZ),
        gain: 1.0,
        ramp: Ramp::Whole,
    };
    let dial = format!("turn {name}");
    session.edit_live(&Edit::AddDrive {
        dial,
        unit: Unit::Degrees,
        range: (-120.0, 120.0),
        drive,
    })
}

/// Anchors and carriers.
#[component]
fn AnchorTools() -> impl IntoView {
    let session = session();
    let base = RwSignal::new(None::<u32>);
    let end = RwSignal::new(None::<u32>);
    let names = Memo::new(move |_| names(session));
    let reaching = RwSignal::new(false);
    let several = move || session.stage.with(|h| h.document().anchors.len() > 1);
    view! {
        <div class="tool-row">
            <Choice label="Anchor from" names picked=base/>
            <Choice label="to" names picked=end/>
            <label class="choice">
                <span>"long chains by"</span>
                <select on:change=move |e| reaching.set(event_target_value(&e) == "reaching")>
                    <option value="damped">"damped least squares"</option>
                    <option value="reaching">"reaching to and fro"</option>
                </select>
            </label>
            <button
                class="tool"
                disabled=move || base.get().is_none() || end.get().is_none()
                on:click=move |_| {
                    if let (Some(base), Some(end)) = (base.get(), end.get()) {
                        anchor(session, NodeId(base), NodeId(end), reaching.get());
                    }
                }
            >
                "Anchor"
            </button>
            <LetGo/>
            <button class="tool" disabled=move || !several() on:click=move |_| gather(session)>
                "Gather anchors under a carrier"
            </button>
        </div>
    }
}

fn anchor(session: Session, base: NodeId, end: NodeId, reaching: bool) {
    let (solver, name) = session.stage.with_untracked(|h| {
        let of = h
            .document()
            .node(end)
            .map(|n| n.name.clone())
            .unwrap_or_default();
        (
            solver_for(h.document(), base, end, reaching),
            format!("{of} anchor"),
        )
    });
    session.settle();
    if session.edit_live(&Edit::AddAnchor {
        name: name.clone(),
        base,
        end,
        solver,
        under: None,
    }) {
        let target = session
            .stage
            .with_untracked(|h| h.document().anchors.last().map(|a| a.target));
        if let Some(node) = target {
            session.edit_live(&Edit::SetGrip {
                node,
                grip: Grip::Place([0.0; 3]),
            });
        }
        session.name_step(&format!("add {name}"));
    }
    session.settle();
}

fn gather(session: Session) {
    let (anchors, at, name) = session.stage.with_untracked(|h| {
        let document = h.document();
        let first = document.anchors.first();
        let at = first.map(|anchor| h.posed().point(anchor.base));
        let ids = document.anchors.iter().map(|a| a.id).collect::<Vec<_>>();
        (ids, at.unwrap_or_default(), free_name(document, "carrier"))
    });
    session.settle();
    if session.edit_live(&Edit::Gather {
        anchors,
        name: name.clone(),
        at,
    }) {
        make_movable(session, &name);
        session.name_step("gather anchors");
    }
    session.settle();
}
