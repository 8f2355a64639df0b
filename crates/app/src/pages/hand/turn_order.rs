//! The safest order of a joint's turns: how near each of the six comes to gimbal lock over the
//! joint's range of motion.
use crate::state::{OnStage, Session, session};
use crate::widgets::fields::Pick;
use hand::advice::channel_orders;
use leptos::prelude::*;
use rig::{Channel, Edit, Kind, Node, NodeId, Order, Shared};

/// Joints that turn about more than one axis: the others have no order to speak of.
fn joints(stage: OnStage) -> Vec<(String, String)> {
    let turns = |n: &&Shared<Node>| {
        let free = |c: &Channel| n.limits[c.index()].is_none_or(|(low, high)| low < high);
        let turns = [Channel::TurnX, Channel::TurnY, Channel::TurnZ];
        n.kind == Kind::Joint && turns.iter().filter(|c| free(c)).count() > 1
    };
    stage.with(|h| {
        let joints = h.document().nodes.iter().filter(turns);
        joints
            .map(|n| (n.id.0.to_string(), recipe::spoken(&n.name)))
            .collect()
    })
}

/// The table for the joint chosen on the plate or in the list.
#[component]
pub fn TurnOrder() -> impl IntoView {
    let session = session();
    let Session { stage, .. } = session;
    let all = Memo::new(move |_| joints(stage));
    let picked = Memo::new(move |_| {
        let chosen = stage.selected.get().map(|id| id.0.to_string());
        let known = |id: &String| all.with(|all| all.iter().any(|(known, _)| known == id));
        chosen
            .filter(known)
            .or_else(|| all.with(|all| Some(all.first()?.0.clone())))
            .unwrap_or_default()
    });
    let id = move || picked.get().parse().ok().map(NodeId);
    // As long as the joint stays as it is, a drag does not search anew.
    let about = Memo::new(move |_| {
        let id = id()?;
        stage.with(|h| h.document().node(id).map(|n| (n.order, n.limits)))
    });
    let rows = Memo::new(move |_| {
        let _ = about.get();
        let id = id()?;
        stage.with_untracked(|h| channel_orders(h.document(), id).ok())
    });
    let shown = move || {
        let all = rows.get()?;
        Some(all.margins.map(|(order, margin)| {
            let (own, best) = (order == all.own, order == all.best);
            row(session, all.node, order, margin, own, best)
        }))
    };
    view! {
        <h3>"Safest order of a joint's turns"</h3>
        {move || {
            view! {
                <Pick
                    label="Joint"
                    choices=all.get()
                    chosen=picked
                    set=Callback::new(move |value: String| {
                        stage.selected.set(value.parse().ok().map(NodeId));
                        true
                    })
                />
            }
        }}
        <table class="numbers orders">
            <thead>
                <tr>
                    <th scope="col">"order"</th>
                    <th scope="col">"to gimbal lock"</th>
                    <td></td>
                </tr>
            </thead>
            <tbody>{shown}</tbody>
        </table>
    }
}

fn row(
    session: Session,
    node: NodeId,
    order: Order,
    margin: f64,
    own: bool,
    best: bool,
) -> impl IntoView {
    let name = format!("{order:?}").to_uppercase();
    let note = match (own, best) {
        (true, true) => "its own, safest",
        (true, false) => "its own",
        (false, true) => "safest",
        (false, false) => "",
    };
    let label = format!("Use {name}");
    view! {
        <tr class:best=best>
            <th scope="row">{name}</th>
            <td>{format!("{margin:.1}°")}</td>
            <td>
                {note}
                " "
                {(best && !own)
                    .then(|| {
                        view! {
                            <button
                                class="tool"
                                on:click=move |_| {
                                    session.edit(&Edit::SetOrder { node, order });
                                }
                            >
                                {label}
                            </button>
                        }
                    })}
            </td>
        </tr>
    }
}
