//! The order of a joint's turns, picked from the six there are.
use crate::state::{Session, session};
use leptos::prelude::*;
use rig::{Edit, Order};
use workbook::turn_order::told;

/// A list of the six orders, in words.
#[component]
pub fn Turns(node: String) -> impl IntoView {
    let session = session();
    let Session { stage, .. } = session;
    let name = StoredValue::new(node);
    let now = Memo::new(move |_| {
        stage.with(|stage| {
            let rig = &stage.document().rig;
            let node = name.with_value(|name| rig.node_named(name))?;
            let words = Order::ALL.map(|order| told(rig, node.id, order));
            Some((node.id, node.order, words))
        })
    });
    let pick = move |index: usize| {
        let Some((node, _, words)) = now.get_untracked() else {
            return;
        };
        let (Some(order), Some(words)) = (Order::ALL.get(index), words.get(index)) else {
            return;
        };
        let order = *order;
        session.edit_named(
            &[Edit::SetOrder { node, order }],
            &format!("turn in the order {words}"),
        );
    };
    view! {
        <label class="choice">
            <span>"Turns, outermost first"</span>
            <select on:change=move |e| {
                if let Ok(index) = event_target_value(&e).parse() {
                    pick(index);
                }
            }>
                {move || {
                    let (_, own, words) = now.get()?;
                    let each = words.into_iter().zip(Order::ALL).enumerate();
                    let each = each.map(|(index, (words, order))| {
                        view! { <option value=index.to_string() selected=order == own>{words}</option> }
                    });
                    Some(each.collect_view())
                }}
            </select>
        </label>
    }
}
