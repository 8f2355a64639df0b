//! Edits of contacts: planting, letting go and planting anew, none of which moves anything.
//!
//! A digit that is let go of stays held, but to its palm: its target hangs from what carries the
//! chain, so it keeps its bend and goes where the hand goes. A digit planted is held to where it
//! is, with the numbers that make its solve give the pose it has.
use super::refusal::Refusal;
use crate::build;
use recipe::{DialRole, DigitPart, Part, bones};
use rig::fault::Item;
use rig::{
    Anchor, AnchorId, Dial, DialId, Document, Drive, Kind, Node, NodeId, Plant, Posed, Rig, Shared,
    Solver, Target, Transform, Unit, Vec3,
};

/// A contact nearer than this to its place, mm, is there: its target keeps its bits.
const THERE: f64 = 1e-9;
/// Degrees of the middle joint from which the last one's part of it can be told.
const BENT: f64 = 0.1;

pub(super) fn plant(
    posed: &Posed,
    to: &mut Document,
    id: NodeId,
    surface: Option<NodeId>,
) -> Result<String, Refusal> {
    let name = node(to, id)?.name.clone();
    surface.map(|surface| node(to, surface)).transpose()?;
    let at = posed.local(surface, &posed.point(id));
    match to.anchors.iter().position(|anchor| anchor.end == id) {
        Some(anchor) => hold_here(to, posed, anchor, surface)?,
        None => hold_digit(to, posed, id, surface)?,
    }
    match to.plants.iter_mut().find(|plant| plant.node == id) {
        Some(plant) => (plant.at, plant.surface) = (at, surface),
        None => to.plants.push(Plant {
            node: id,
            at,
            surface,
        }),
    }
    tell_recipe(to, id, true);
    Ok(format!("plant {name}"))
}

pub(super) fn release(posed: &Posed, to: &mut Document, id: NodeId) -> Result<String, Refusal> {
    let name = node(to, id)?.name.clone();
    if !to.plants.iter().any(|plant| plant.node == id) {
        return Err(Refusal::NotPlanted { node: name });
    }
    if let Some(anchor) = to.anchors.iter().position(|anchor| anchor.end == id) {
        let carrier = node(to, to.anchors[anchor].base)?.parent;
        hold_here(to, posed, anchor, carrier)?;
    }
    to.plants.retain(|plant| plant.node != id);
    tell_recipe(to, id, false);
    Ok(format!("release {name}"))
}

/// Brings the dials that turn controls on the planted surfaces back to neutral; what they did
/// becomes where the controls rest.
pub(super) fn replant(posed: &Posed, to: &mut Document) -> Result<String, Refusal> {
    let on_surface = |to: &Document, id: NodeId| {
        let mount = to.node(id).filter(|node| node.kind == Kind::Mount);
        let carried = |plant: &Plant| {
            plant
                .surface
                .is_none_or(|surface| surface != id && to.is_below(id, surface))
        };
        mount.is_some() && to.plants.iter().any(carried)
    };
    let presses = |dial: &&Shared<Dial>| {
        let nodes = dial.drives.iter().filter_map(Drive::node);
        nodes.into_iter().any(|id| on_surface(to, id))
    };
    let dials: Vec<_> = to.dials.iter().filter(presses).map(|d| d.id).collect();
    if dials.is_empty() {
        return Err(Refusal::NothingToReplant);
    }
    let mut after = posed.clone();
    let mut moved = Vec::new();
    for (dial, value) in to.rig.dials.iter().zip(&mut to.setting.dials) {
        if dials.contains(&dial.id) {
            after.set_dial(dial.id, dial.neutral);
            *value = dial.neutral;
            moved.extend(dial.drives.iter().filter_map(Drive::node));
        }
    }
    moved.sort_unstable();
    moved.dedup();
    for id in moved {
        let (now, then) = (posed.channel_local(id), after.channel_local(id));
        if now != then {
            let node = node_mut(to, id)?;
            let old = node.rest();
            node.set_rest(&(now * then.inv_mul(&old)));
        }
    }
    for at in 0..to.plants.len() {
        let Plant { node, surface, .. } = to.plants[at];
        let here = posed.local(surface, &posed.point(node));
        if (Vec3::from(here) - Vec3::from(to.plants[at].at)).norm() > THERE {
            to.plants[at].at = here;
            if let Some(anchor) = to.anchors.iter().position(|anchor| anchor.end == node) {
                hold_here(to, posed, anchor, surface)?;
            }
        }
    }
    Ok("plant the hand as it stands".to_owned())
}

/// Hangs an anchor's target from `carrier` where its end is now, holding fully.
fn hold_here(
    to: &mut Document,
    posed: &Posed,
    anchor: usize,
    carrier: Option<NodeId>,
) -> Result<(), Refusal> {
    let Anchor {
        id, end, target, ..
    } = *to.anchors[anchor];
    if to.anchors.iter().filter(|a| a.target == target).count() > 1 {
        let name = &to.anchors[anchor].name;
        return Err(Refusal::TargetShared {
            anchor: name.clone(),
        });
    }
    let world = |id: Option<NodeId>| id.map_or(Transform::identity(), |id| *posed.world(id));
    let held = posed.hold(id) >= 1.0;
    let there = held && (posed.point(end) - posed.point(target)).norm() <= THERE;
    let hung = node_mut(to, target)?;
    if !(there && hung.parent == carrier) {
        let mut wanted = *posed.world(target);
        if !there {
            wanted.translation = posed.point(end).into();
        }
        let channels = hung.rest().inv_mul(&posed.channel_local(target));
        hung.set_rest(&(world(carrier).inv_mul(&wanted) * channels.inverse()));
        hung.parent = carrier;
    }
    if !held {
        let solver = to.anchors[anchor].solver;
        let chain = (to.anchors[anchor].base, end);
        to.anchors[anchor].solver = fitted(to, posed, chain, solver, posed.collapse(id));
        to.setting.active[anchor] = true;
        for (dial, value) in to.rig.dials.iter().zip(&mut to.setting.dials) {
            if dial.drives.iter().any(|d| d.target == Target::Hold(id)) {
                *value = dial.neutral;
            }
        }
    }
    Ok(())
}

/// A solver's numbers for the bend its chain has now.
fn fitted(
    to: &Document,
    posed: &Posed,
    (base, end): (NodeId, NodeId),
    solver: Solver,
    loaded: f64,
) -> Solver {
    let above = |id: NodeId| to.node(id).and_then(|node| node.parent);
    let chain = std::iter::successors(above(end), |&id| if id == base { None } else { above(id) });
    let joints: Vec<_> = chain
        .filter(|&id| to.node(id).is_some_and(|node| node.kind == Kind::Joint))
        .collect();
    let flexion = |id: NodeId| posed.turns(id)[2];
    match (solver, &joints[..]) {
        (
            Solver::Finger {
                coupling,
                collapse,
                give,
                contact,
                ..
            },
            &[last, middle, _],
        ) => {
            let rest = flexion(middle);
            let shares = rest.abs() > BENT;
            Solver::Finger {
                coupling: if shares {
                    flexion(last) / rest + loaded
                } else {
                    coupling
                },
                rest,
                collapse,
                give,
                contact,
            }
        }
        (Solver::Thumb { contact, .. }, &[last, middle, _]) => Solver::Thumb {
            rest: [flexion(middle), flexion(last)],
            contact,
        },
        _ => solver,
    }
}

/// Holds a hand's digit that nothing holds yet by one of its last nodes; other parts are carried
/// by the palm and need no anchor.
fn hold_digit(
    to: &mut Document,
    posed: &Posed,
    end: NodeId,
    surface: Option<NodeId>,
) -> Result<(), Refusal> {
    let Some(digit) = digit_of(to, end).cloned() else {
        return Ok(());
    };
    let part = |part| to.part(&Part::of(&digit.name, part));
    let start = if digit.thumb {
        DigitPart::Metacarpal
    } else {
        DigitPart::PhalanxProximal
    };
    let (Some(base), Some(last)) = (part(start), part(DigitPart::PhalanxDistal)) else {
        return Ok(());
    };
    if end == last.id || !to.is_below(end, last.id) {
        return Ok(());
    }
    let base = base.id;
    let solver = if digit.thumb {
        Solver::Thumb {
            rest: [0.0; 2],
            contact: None,
        }
    } else {
        Solver::Finger {
            coupling: bones::COUPLING,
            rest: bones::REST_FLEXION,
            collapse: 0.0,
            give: bones::GIVE,
            contact: None,
        }
    };
    let solver = fitted(to, posed, (base, end), solver, 0.0);
    let target = NodeId(to.take_id());
    let place = posed.local(surface, &posed.point(end));
    let name = format!("{}-plant", digit.name);
    let mut hung = Node::mount(target, &name, surface, place);
    hung.part = Some(Part::of(&digit.name, DigitPart::Plant));
    to.nodes.push(hung.into());
    let anchor = AnchorId(to.take_id());
    let held = Anchor {
        id: anchor,
        name: digit.name.clone(),
        base,
        end,
        target,
        solver,
    };
    to.add_anchor(held, true);
    let id = DialId(to.take_id());
    let name = format!("release {}", digit.name);
    let drives = vec![Drive::whole(Target::Hold(anchor), -0.01)];
    let mut dial = Dial::new(id, &name, Unit::Percent, (0.0, 100.0), drives);
    dial.role = Some(DialRole::Release(digit.name.clone()));
    to.add_dial(dial, 0.0);
    Ok(())
}

/// The digit that a node is part of.
fn digit_of(to: &Rig, id: NodeId) -> Option<&recipe::Digit> {
    let name = to.node(id)?.part.as_ref()?.digit()?;
    let mut digits = to.hand.as_deref()?.hand.digits.iter();
    digits.find(|digit| digit.name == name)
}

/// Keeps the recipe in step with which digits are planted, where a hand can be built so.
fn tell_recipe(to: &mut Document, id: NodeId, planted: bool) {
    let Some(digit) = digit_of(to, id).map(|digit| digit.name.clone()) else {
        return;
    };
    let Some(mut recipe) = to.hand.clone() else {
        return;
    };
    let Some(planting) = &mut recipe.planting else {
        return;
    };
    planting.digits.retain(|name| *name != digit);
    if planted {
        planting.digits.push(digit);
    }
    if build::document(&recipe).is_ok() {
        to.hand = Some(recipe);
    }
}

fn gone() -> Refusal {
    rig::Refusal::Lost(Item::Node).into()
}

fn node(rig: &Rig, id: NodeId) -> Result<&Node, Refusal> {
    rig.node(id).ok_or_else(gone)
}

fn node_mut(rig: &mut Rig, id: NodeId) -> Result<&mut Node, Refusal> {
    let found = rig.nodes.iter_mut().find(|node| node.id == id);
    found.map(|node| &mut **node).ok_or_else(gone)
}
