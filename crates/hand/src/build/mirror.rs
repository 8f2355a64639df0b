//! A right document made left, and a left one right.
use rig::{Channel, Document, Grip, Share, Solver, Target};

/// Mirrors a document in the plane z = 0 of its world, exactly: every number keeps its bits but
/// for signs.
///
/// A frame's mirror image is left-handed; ours keeps its x and y axes mirrored and turns z
/// round. So turns about z (flexion) and moves along x and y keep their signs, and the others
/// change them: one dial value means the same motion, seen in a mirror.
pub fn mirror(document: &mut Document) {
    for node in &mut document.nodes {
        node.translation[2] = negated(node.translation[2]);
        node.rotation[0] = negated(node.rotation[0]);
        node.rotation[1] = negated(node.rotation[1]);
        for channel in Channel::ALL
            .into_iter()
            .filter(|&channel| turns_round(channel))
        {
            let limit = &mut node.limits[channel.index()];
            *limit = limit.map(|(min, max)| (negated(max), negated(min)));
            if let Some(limit) = node.loaded.get_mut(channel.index()) {
                *limit = limit.map(|(min, max)| (negated(max), negated(min)));
            }
        }
        if let Grip::Place(at) = &mut node.grip {
            at[2] = negated(at[2]);
        }
    }
    for anchor in &mut document.anchors {
        match &mut anchor.solver {
            Solver::TwoBone { bend, .. } => {
                bend[0] = negated(bend[0]);
                bend[1] = negated(bend[1]);
            }
            Solver::SetDown { low } => {
                for [_, _, z, _] in low {
                    *z = negated(*z);
                }
            }
            Solver::Finger { contact, .. } | Solver::Thumb { contact, .. } => {
                if let Some(contact) = contact {
                    contact.tilt = negated(contact.tilt);
                    contact.heading = negated(contact.heading);
                    if let Some(round) = &mut contact.round {
                        round.aside = negated(round.aside);
                    }
                }
            }
            _ => {}
        }
    }
    for drive in document.dials.iter_mut().flat_map(|dial| &mut dial.drives) {
        if let Target::Channel(_, channel) = drive.target
            && turns_round(channel)
        {
            drive.gain = negated(drive.gain);
        }
    }
    for link in &mut document.links {
        if turns_round(link.channel) {
            if let Share::All { from } | Share::Past { from, .. } = &mut link.share {
                *from = negated(*from);
            }
            for passed in &mut link.to {
                passed.gain = negated(passed.gain);
            }
        }
        if let Share::Fading { by, until, .. } = &mut link.share
            && turns_round(*by)
        {
            *until = negated(*until);
        }
        for passed in &mut link.to {
            if turns_round(passed.channel) {
                passed.gain = negated(passed.gain);
            }
        }
    }
    for plant in &mut document.plants {
        plant.at[2] = negated(plant.at[2]);
        if let Some([x, y, ..]) = &mut plant.turned {
            (*x, *y) = (negated(*x), negated(*y));
        }
    }
}

fn turns_round(channel: Channel) -> bool {
    matches!(channel, Channel::TurnX | Channel::TurnY | Channel::MoveZ)
}

/// The negative, a zero staying without sign.
fn negated(number: f64) -> f64 {
    0.0 - number
}
