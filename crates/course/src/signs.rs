//! Which way about a dial turns the other hand.
use rig::{Dial, DialId, Drive, Edit, NodeId, Rig, Target};

/// A dial that drives something under a node, and something else.
#[derive(Clone, Debug, PartialEq)]
pub struct Sided {
    /// Which.
    pub dial: DialId,
    /// Its name.
    pub name: String,
    /// Whether it turns what is under the node the opposite way about.
    pub opposite: bool,
}

/// The dials that drive both what hangs under a node and what does not, in document order.
pub fn sides(rig: &Rig, under: NodeId) -> Vec<Sided> {
    let found = rig.dials.iter().filter_map(|dial| {
        let drive = mirrored(rig, dial, under).next()?;
        let first = other(rig, dial, under, drive)?;
        Some(Sided {
            dial: dial.id,
            name: dial.name.clone(),
            opposite: drive.gain * first.gain < 0.0,
        })
    });
    found.collect()
}

/// What gives each of a dial's drives under a node the sign of the same drive elsewhere, or the
/// opposite one.
pub fn turned(rig: &Rig, under: NodeId, dial: DialId, opposite: bool) -> Vec<Edit> {
    let Some(dial) = rig.dial(dial) else {
        return Vec::new();
    };
    let edits = mirrored(rig, dial, under).filter_map(|drive| {
        let first = other(rig, dial, under, drive)?;
        let same = drive.gain * first.gain >= 0.0;
        let gain = if same == opposite {
            -drive.gain
        } else {
            drive.gain
        };
        Some(Edit::SetGain {
            dial: dial.id,
            target: drive.target,
            gain,
        })
    });
    edits.collect()
}

fn is_under(rig: &Rig, drive: &Drive, under: NodeId) -> bool {
    drive.node().is_some_and(|node| rig.is_below(node, under))
}

fn mirrored<'a>(rig: &'a Rig, dial: &'a Dial, under: NodeId) -> impl Iterator<Item = &'a Drive> {
    let drives = dial.drives.iter();
    drives.filter(move |drive| is_under(rig, drive, under))
}

/// The first drive of the same channel elsewhere.
fn other<'a>(rig: &Rig, dial: &'a Dial, under: NodeId, of: &Drive) -> Option<&'a Drive> {
    let channel = |drive: &Drive| match drive.target {
        Target::Channel(_, channel) => Some(channel),
        _ => None,
    };
    let mut drives = dial.drives.iter();
    drives.find(|drive| !is_under(rig, drive, under) && channel(drive) == channel(of))
}

#[cfg(test)]
mod tests {
    use super::*;
    use rig::edit::apply;

    #[test]
    fn a_dial_is_turned_about_and_back() {
        let text = r#"{"format": "handstand/2", "name": "rye", "nodes": [
            {"name": "knuckle", "kind": "joint", "translation": [0, 0, 40], "width": 20},
            {"name": "left hand", "kind": "mount", "translation": [0, 0, -40]},
            {"name": "left knuckle", "kind": "joint", "parent": "left hand", "translation": [0, 0, 0], "width": 20},
            {"name": "left tip", "kind": "joint", "parent": "left knuckle", "translation": [40, 0, 0], "width": 9}],
            "dials": [
            {"name": "curl", "unit": "deg", "min": -15, "max": 90, "value": 0, "drives": [
            {"node": "knuckle", "channel": "turn_z", "gain": -1},
            {"node": "left knuckle", "channel": "turn_z", "gain": -1},
            {"node": "left tip", "channel": "turn_z", "gain": -0.5}]},
            {"name": "nod", "unit": "deg", "min": -15, "max": 90, "value": 0, "drives": [
            {"node": "knuckle", "channel": "turn_x", "gain": -1}]}]}"#;
        let mut document = rig::read(text).expect("a good document");
        let under = document.node_named("left hand").expect("it is there").id;
        let gains = |rig: &Rig| {
            rig.dials[0]
                .drives
                .iter()
                .map(|d| d.gain)
                .collect::<Vec<_>>()
        };
        let opposite = |rig: &Rig| {
            let all = sides(rig, under);
            assert_eq!((all.len(), all[0].name.as_str()), (1, "curl"));
            all[0].opposite
        };
        assert!(!opposite(&document));
        for (way, gained) in [
            (true, [-1.0, 1.0, 0.5]),
            (true, [-1.0, 1.0, 0.5]),
            (false, [-1.0, -1.0, -0.5]),
        ] {
            let curl = document.dials[0].id;
            for edit in turned(&document, under, curl, way) {
                apply(&mut document, &edit).expect("it is made");
            }
            assert_eq!(
                (gains(&document), opposite(&document)),
                (gained.into(), way)
            );
        }
    }
}
