//! What the plate shows beside the rig itself, as plain data: so that the build draws of a place
//! the very figure that its page draws on arrival.
mod engraved;
mod framing;
mod pencil;
mod ways;

pub use framing::{Frame, extent, unframed};
pub use ways::Ways;

use crate::moving::{Moving, first_grip, mover_of, roles_of, told};
use crate::names;
use crate::pencil::{Pencil, Tool};
use course::{Step, Truth, Viewpoint};
use figure::{Bubble, Scene, Sight, View};
use hand::Gauge;
use rig::{Dial, Document, NodeId, Posed, Unit, Vec3};

/// The slip that still counts as none where no lesson says, mm.
pub const TOLERANCE: f64 = 0.5;

/// The plate's sight from a lesson's viewpoint.
pub fn sight(from: Viewpoint) -> Sight {
    match from {
        Viewpoint::Side => Sight::Side,
        Viewpoint::Front => Sight::Front,
        Viewpoint::Top => Sight::Top,
        Viewpoint::Oblique => Sight::Oblique {
            yaw: 0.6,
            pitch: 0.45,
        },
    }
}

/// All that the figure shown depends on.
#[derive(Clone, Debug)]
pub struct Shown<'a> {
    pub posed: &'a Posed,
    /// The pose that a motion began from.
    pub ghost: Option<&'a Posed>,
    pub view: &'a View,
    pub step: Option<&'a Step>,
    pub moving: Moving,
    /// Nodes whose handles are not shown.
    pub put_away: Vec<NodeId>,
    pub selected: Option<NodeId>,
    pub tool: Tool,
    /// The way taken by the mover, world mm.
    pub trail: Vec<Vec3>,
    /// From a pivot to the pointer while dragging.
    pub lever: Option<(Vec3, Vec3)>,
    pub pencil: Pencil,
    pub truth: Option<Truth>,
    /// Where no lesson says, mm.
    pub tolerance: f64,
    /// For a projector: heavier lines, larger type.
    pub projector: bool,
}

impl<'a> Shown<'a> {
    /// As a place is come to: nothing chosen, tried or drawn.
    pub fn on_arrival(posed: &'a Posed, view: &'a View, step: Option<&'a Step>) -> Self {
        Self {
            posed,
            ghost: None,
            view,
            step,
            moving: first_grip(posed.document()),
            put_away: Vec::new(),
            selected: None,
            tool: Tool::default(),
            trail: Vec::new(),
            lever: None,
            pencil: Pencil::default(),
            truth: None,
            tolerance: TOLERANCE,
            projector: false,
        }
    }
}

/// The scene for [`figure::draw`], of the same pose and view. `ways` is kept from one to the next.
pub fn scene<'a>(shown: Shown<'a>, ways: &mut Ways) -> Scene<'a> {
    let (posed, document) = (shown.posed, shown.posed.document());
    let mover = mover_of(document, &shown.moving);
    let away = |node: &NodeId| shown.put_away.contains(node);
    let mut scene = Scene {
        roles: roles_of(posed, &shown.moving),
        ghost: shown.ghost,
        trail: shown.trail,
        lever: shown.lever,
        weight: if shown.projector { 1.6 } else { 1.0 },
        highlight: mover.filter(|mover| !away(mover)),
        bubbles: bubbles(posed, tolerance(shown.step).unwrap_or(shown.tolerance)),
        ..Scene::default()
    };
    if let Some(step) = shown.step {
        let mark = |m: &course::Spot| (m.name.clone(), Vec3::from(m.at));
        scene.marks = step.marks.iter().map(mark).collect();
        scene.engraved = engraved::of(posed, &step.gauges);
    }
    if shown.tool != Tool::Pencil && !mover.as_ref().is_some_and(away) {
        // The way of what is yet to be predicted would be the answer.
        let asked = shown.step.is_some_and(|step| step.task.is_prediction());
        if !asked || shown.truth.is_some() {
            scene.reachable = ways.of(posed, &shown.moving);
        }
        if let Some(node) = scene.highlight {
            if let Some(found) = document.node(node) {
                let label = match named(document, &shown.moving) {
                    Some(label) => label,
                    None => format!("{} (drag me)", names::node(document, found)),
                };
                scene.labels.push((node, label));
            }
            measures(&mut scene, posed, &shown.moving, node);
        }
    }
    if let Some(node) = shown.selected
        && Some(node) != scene.highlight
        && let Some(found) = document.node(node)
    {
        scene.labels.push((node, names::node(document, found)));
    }
    scene.put_away = shown.put_away;
    if let Some(step) = shown.step {
        let on = pencil::On {
            posed,
            before: shown.ghost.filter(|_| shown.truth.is_some()),
            view: shown.view,
        };
        let cursor = shown.pencil.cursor.filter(|_| shown.tool != Tool::Hand);
        let puts = course::build::put_of(step.task.acts()).is_some();
        if let Some(at) = cursor.filter(|_| puts) {
            let spot = crate::building::spot(posed, shown.view, at);
            scene.highlight = spot.joint.or(scene.highlight);
            scene.marks.push((spot.said, spot.at));
        }
        let cursor = cursor.filter(|_| !puts);
        pencil::draw(&mut scene, shown.pencil, &step.task, &on);
        scene.marks.extend(cursor.map(|at| (String::new(), at)));
        if let Some(truth) = &shown.truth {
            pencil::reveal(&mut scene, truth, &step.task, &on);
        }
    }
    scene
}

/// A hand's handle goes by what it turns and where that stands: it has many, and none needs to be
/// told what a handle is for.
fn named(document: &Document, moving: &Moving) -> Option<String> {
    let told = told(document, moving);
    (document.hand.is_some() && !told.is_empty()).then(|| told.join(", "))
}

/// The slip that a step's own gauge still calls good, mm.
fn tolerance(step: Option<&Step>) -> Option<f64> {
    let of_slip = |gauge: &Gauge| matches!(gauge, Gauge::Slip { .. } | Gauge::WorstSlip {});
    let shown = step?.gauges.iter().find(|g| of_slip(&g.gauge))?;
    shown.tolerance.map(|band| band.1)
}

/// The slip of every plant that is seen and has not let go.
fn bubbles(posed: &Posed, tolerance: f64) -> Vec<Bubble> {
    let document = posed.document();
    let bubble = |plant: &rig::Plant| {
        let slip = crate::told::slip(posed, plant.node)?;
        let node = document.node(plant.node).filter(|node| !node.hidden)?;
        let whose = names::node(document, node);
        Some(Bubble {
            at: posed.point(plant.node),
            name: whose.trim_end_matches(" finger").to_owned(),
            text: format!("{slip:.2} mm"),
            good: slip <= tolerance,
        })
    };
    document.plants.iter().filter_map(bubble).collect()
}

/// The angle turned and the lever's length, while one dial turns its mover about a fixed point.
fn measures(scene: &mut Scene, posed: &Posed, moving: &Moving, node: NodeId) {
    let document = posed.document();
    let Moving::Dials(dials) = moving else { return };
    let [dial] = dials.as_slice() else { return };
    let Some(dial) = document.dial(*dial) else {
        return;
    };
    let Some(pivot) = single_pivot(dial) else {
        return;
    };
    if document.node(pivot).is_none_or(|n| n.hidden) {
        return;
    }
    let (apex, here) = (posed.point(pivot), posed.point(node));
    let arm = (here - apex).norm();
    if arm < 1.0 {
        return;
    }
    scene.dimensions.push((apex, here, format!("{arm:.0} mm")));
    // What is told is a turn: of a figure at rest, where it began is nowhere to be seen.
    let ghost = scene.ghost;
    let Some(ghost) = ghost.filter(|g| g.has(node) && g.has_dial(dial.id)) else {
        return;
    };
    let from = ghost.point(node);
    if (from - here).norm() > 0.5 {
        let turned = libm::fabs(posed.dial(dial.id) - ghost.dial(dial.id));
        scene.arcs.push((apex, from, here, format!("{turned:.1}°")));
    }
}

fn single_pivot(dial: &Dial) -> Option<NodeId> {
    match dial.drives.as_slice() {
        [drive] if dial.unit == Unit::Degrees && drive.turns() => drive.node(),
        _ => None,
    }
}

#[cfg(test)]
mod tests;
