//! Edits of single settings.
use super::find::{anchor, dial, dial_mut, finite, node, node_mut};
use super::refusal::Refusal;
use crate::{AnchorId, DialId, Document, Grip, NodeId, Setting, Target};
use kinematics::{Channel, Order};

pub(super) fn rename(to: &mut Document, id: NodeId, name: &str) -> Result<String, Refusal> {
    let old = std::mem::replace(&mut node_mut(to, id)?.name, name.to_owned());
    Ok(format!("rename {old}"))
}

pub(super) fn rename_dial(to: &mut Document, id: DialId, name: &str) -> Result<String, Refusal> {
    let old = std::mem::replace(&mut dial_mut(to, id)?.name, name.to_owned());
    Ok(format!("rename dial {old}"))
}

pub(super) fn limits(
    to: &mut Document,
    id: NodeId,
    channel: Channel,
    limits: Option<(f64, f64)>,
) -> Result<String, Refusal> {
    let node = node_mut(to, id)?;
    node.limits[channel.index()] = limits;
    Ok(format!("limit {}", node.name))
}

pub(super) fn order(to: &mut Document, id: NodeId, order: Order) -> Result<String, Refusal> {
    let node = node_mut(to, id)?;
    node.order = order;
    Ok(format!("reorder channels of {}", node.name))
}

pub(super) fn dials(of: &Document, values: &[(DialId, f64)]) -> Result<(Setting, String), Refusal> {
    let mut setting = of.setting.clone();
    let mut names = Vec::with_capacity(values.len());
    for &(id, value) in values {
        finite([value])?;
        let dial = dial(of, id)?;
        setting.set_dial(&of.rig, id, value);
        names.push(dial.name.as_str());
    }
    Ok((setting, format!("turn {}", names.join(" and "))))
}

pub(super) fn all(of: &Document, wanted: &Setting) -> Result<(Setting, String), Refusal> {
    if !wanted.fits(&of.rig) {
        return Err(Refusal::OtherFigure);
    }
    finite(wanted.dials.iter().copied())?;
    let mut setting = wanted.clone();
    for (dial, value) in of.dials.iter().zip(&mut setting.dials) {
        *value = dial.clamped(*value);
    }
    Ok((setting, "strike a pose".to_owned()))
}

pub(super) fn softness(to: &mut Document, id: DialId, softness: f64) -> Result<String, Refusal> {
    let dial = dial_mut(to, id)?;
    dial.softness = Some(softness);
    Ok(format!("soften {}", dial.name))
}

pub(super) fn gain(
    to: &mut Document,
    id: DialId,
    target: Target,
    gain: f64,
) -> Result<String, Refusal> {
    finite([gain])?;
    let dial = dial_mut(to, id)?;
    let drives = dial.drives.iter_mut();
    let mut drives = drives.filter(|drive| drive.target == target).peekable();
    if drives.peek().is_none() {
        let dial = dial.name.clone();
        return Err(Refusal::NotDriven { dial });
    }
    drives.for_each(|drive| drive.gain = gain);
    Ok(format!("gear {}", dial.name))
}

pub(super) fn active(
    of: &Document,
    id: AnchorId,
    active: bool,
) -> Result<(Setting, String), Refusal> {
    let name = &anchor(of, id)?.name;
    let verb = if active { "hold" } else { "let go of" };
    let label = format!("{verb} {name}");
    let mut setting = of.setting.clone();
    setting.set_anchor(&of.rig, id, active);
    Ok((setting, label))
}

pub(super) fn grip(to: &mut Document, id: NodeId, grip: &Grip) -> Result<String, Refusal> {
    if let Grip::Dials(dials) = grip
        && !dials.iter().all(|&id| to.dial(id).is_some())
    {
        let node = node(to, id)?.name.clone();
        return Err(Refusal::GripLost { node });
    }
    let node = node_mut(to, id)?;
    node.grip = grip.clone();
    Ok(format!("regrip {}", node.name))
}

pub(super) fn bench(to: &mut Document, height: Option<f64>) -> Result<String, Refusal> {
    finite(height)?;
    to.bench = height;
    Ok(if height.is_some() {
        "set the bench"
    } else {
        "remove the bench"
    }
    .to_owned())
}
