//! What can be said of the chosen node.
use super::add::{add_turn, make_movable};
use crate::state::{OnStage, Session, session};
use leptos::prelude::*;
use rig::{Channel, Edit, Node, NodeId, Order};
use workbook::sketch::free_name;

/// Name, order, limits and what hangs above the chosen node.
#[component]
pub fn NodeCard() -> impl IntoView {
    let stage = expect_context::<OnStage>();
    let chosen = Memo::new(move |_| {
        let id = stage.selected.get()?;
        stage.with(|h| h.document().node(id).cloned())
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
    let Session { stage, .. } = session;
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
            <button class="tool" on:click=move |_| { session.edit(&Edit::Delete { node: id }); stage.selected.set(None); }>
                "Delete"
            </button>
        </fieldset>
    }
}

/// A pivot above a node, at the node's own place to begin with, with a dial to turn it.
fn pivot_above(session: Session, above: NodeId) {
    let at = session.stage.point(above);
    let stem = format!("{} pivot", session.stage.name(above).unwrap_or_default());
    let name = session
        .stage
        .with_untracked(|h| free_name(h.document(), &stem));
    session.stage.settle();
    if !session.edit_live(&Edit::InsertPivot {
        above,
        name: name.clone(),
        at,
    }) {
        return;
    }
    make_movable(session, &name);
    session.stage.name_step(&format!("hang {name}"));
    session.stage.settle();
    session
        .shell
        .say("A pivot hangs above it. Nothing on the plate moved.");
}

fn turn_dial(session: Session, node: NodeId) {
    if let Some(name) = session.stage.name(node) {
        session.stage.settle();
        if add_turn(session, node, &name) {
            session
                .shell
                .say(format!("The dial 'turn {name}' turns it about z."));
        }
        session.stage.settle();
    }
}
