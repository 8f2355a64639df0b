//! What every desk is made of: tools, then a row for each dial and gauge.
use super::dial::DialRow;
use super::gauge::GaugeRow;
use course::Shown;
use leptos::prelude::*;
use rig::DialId;

/// The rows; what is inside stands over them.
#[component]
pub fn DeskRows(
    dials: Memo<Vec<DialId>>,
    gauges: Memo<Vec<Shown>>,
    /// Nothing of it can be turned.
    #[prop(optional, into)]
    held: Signal<bool>,
    children: Children,
) -> impl IntoView {
    view! {
        <div class="desk-dials" class:held=held inert=held>
            {children()}
            <Dials dials/>
            <div class="gauges">
                // Anew when they are others: of another step one may have the same name.
                {move || {
                    let rows = gauges.get().into_iter();
                    rows.map(|shown| view! { <GaugeRow shown/> }).collect_view()
                }}
            </div>
        </div>
    }
}

/// A row for each dial.
#[component]
pub fn Dials(
    dials: Memo<Vec<DialId>>,
    #[prop(default = "dials")] class: &'static str,
    /// Each with its softness, where it has one.
    #[prop(default = true)]
    soft: bool,
    /// What they are all of, as they stand under it: it is left out of their names.
    #[prop(default = None)]
    within: Option<String>,
) -> impl IntoView {
    let within = StoredValue::new(within);
    view! {
        <div class=class>
            <For each=move || dials.get() key=|d| *d let:dial>
                <DialRow id=dial soft within=within.get_value()/>
            </For>
        </div>
    }
}
