//! What a degree more of a dial costs at the pose on the plate, and what a misplaced pivot.
use super::pace::rested;
use crate::state::OnStage;
use crate::widgets::fields::Pick;
use hand::advice::{Margin, by_dial, margins, sensitivities};
use hand::press_dials;
use leptos::prelude::*;
use workbook::number::hundredths;

/// A pivot's name, and mm of slip and of surface left for each way it can be misplaced.
type Cost = (String, Vec<(f64, f64)>);

/// What a degree more and a misplaced pivot cost at the pose on the plate, once it rests there.
#[component]
pub fn Costs() -> impl IntoView {
    let stage = expect_context::<OnStage>();
    // Whose surface is told; none: whoever has least.
    let whose = RwSignal::new(String::new());
    // Dozens of poses, most of hands built otherwise: a drag would wait for them in each frame.
    let rest = rested(stage);
    let digits = Memo::new(move |_| {
        rest.track();
        stage.with_untracked(|h| {
            let held = margins(h.posed()).into_iter();
            let name = |margin: Margin| Some(h.document().node(margin.node)?.name.clone());
            held.filter_map(name).collect::<Vec<_>>()
        })
    });
    let costs = Memo::new(move |_| {
        rest.track();
        stage.with_untracked(|h| {
            let (document, posed) = (h.document(), h.posed());
            let digit = whose.with(|name| document.node_named(name).map(|node| node.id));
            let mut costs: Vec<Cost> = Vec::new();
            for cost in sensitivities(posed).ok()? {
                let name = &document.node(cost.pivot)?.name;
                if costs.last().is_none_or(|c| c.0 != *name) {
                    costs.push((name.clone(), Vec::new()));
                }
                let own = cost.digits.iter().find(|(node, _)| Some(*node) == digit);
                let left = own.map_or(cost.reach, |(_, mm)| *mm);
                costs.last_mut()?.1.push((cost.slip, left));
            }
            let matters = |c: &Cost| {
                c.1.iter()
                    .any(|(slip, reach)| slip.abs() + reach.abs() > 5e-4)
            };
            costs.retain(matters);
            let per_degree = press_dials(document)
                .into_iter()
                .filter_map(|d| Some((document.dial(d)?.name.clone(), by_dial(posed, d)?)));
            Some((per_degree.collect::<Vec<_>>(), costs))
        })
    });
    let rows = move || {
        let (by_degree, by_place) = costs.get().unwrap_or_default();
        let cell = |(slip, reach): (f64, f64)| view! { <td>{hundredths(slip)}<span class="quiet">{format!(" ({})", hundredths(reach))}</span></td> };
        let degrees = by_degree.into_iter().map(|(name, cost)| {
            view! { <tr><th scope="row">{format!("{name}, 1°")}</th>{cell(cost)}<td></td><td></td><td></td></tr> }
        });
        let places = by_place.into_iter().map(|(name, ways)| {
            let ways = ways.into_iter().map(cell).collect_view();
            view! { <tr><th scope="row">{name}</th>{ways}</tr> }
        });
        (degrees.collect_view(), places.collect_view())
    };
    view! {
        <p class="quiet">"At this pose: mm of slip, and of surface left, for a degree of a dial (of who has least) and for each mm or degree a pivot is misplaced."</p>
        <div class="fields">
            {move || {
                let digits = digits.get().into_iter();
                let spoken = |name: &str| recipe::spoken(name.trim_end_matches("-pad").trim_end_matches("-tip-contact"));
                let digits = digits.map(|name| (name.clone(), spoken(&name)));
                let who_has_least = (String::new(), "who has least".to_string());
                view! {
                    <Pick
                        label="Surface left of"
                        choices=std::iter::once(who_has_least).chain(digits).collect()
                        chosen=Signal::derive(move || whose.get())
                        set=Callback::new(move |name| { whose.set(name); true })
                    />
                }
            }}
        </div>
        <div class="scroll" tabindex="0" role="group" aria-label="What a degree and a misplaced pivot cost">
            <table class="numbers">
                <thead>
                    <tr>
                        <td></td>
                        <th scope="col">"ahead"</th>
                        <th scope="col">"up"</th>
                        <th scope="col">"aside"</th>
                        <th scope="col">"turned"</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
    }
}
