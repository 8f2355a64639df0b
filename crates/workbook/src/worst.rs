//! The three gauges of a press: the worst slip, the deepest flesh and the nearest limit, and whose.
use crate::told::has_let_go;
use hand::survey::{Cell, LimitKind, Room, Tolerance, room};
use rig::{AnchorId, NodeId, Posed};

/// What one tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// What and whose.
    pub label: String,
    pub text: String,
    pub good: Option<bool>,
    /// Where it is on its line, and where that is safe, as parts of it.
    pub at: f64,
    pub safe: (f64, f64),
}

/// Where what is allowed ends on its line.
const ALLOWED: f64 = 0.5;
/// The whole line of room to a limit, degrees.
const ROOM: f64 = 60.0;

/// Slip, depth and limit of an evaluated pose, which was measured as this cell.
pub fn all(posed: &Posed, cell: &Cell, tolerance: &Tolerance) -> [Told; 3] {
    [
        slip(posed, cell, tolerance),
        depth(posed, cell, tolerance),
        limit(posed, cell, tolerance),
    ]
}

fn short(posed: &Posed, node: NodeId) -> String {
    let part = posed.rig().node(node).and_then(|node| node.part.as_ref());
    let digit = part.and_then(|part| part.digit()).map(recipe::spoken);
    let told = digit.unwrap_or_else(|| hand::in_words(posed.rig(), node));
    told.trim_end_matches(" finger").to_owned()
}

fn slip(posed: &Posed, cell: &Cell, tolerance: &Tolerance) -> Told {
    // What is not down has no slip.
    let held = cell.down.count() > 0;
    let whose = cell.slipping.filter(|_| cell.slip >= 0.005);
    let whose = whose.map_or(String::new(), |node| format!(", {}", short(posed, node)));
    Told {
        label: format!("slip{whose}"),
        text: if held {
            format!("{:.2} mm", cell.slip)
        } else {
            "nothing is down".into()
        },
        good: held.then_some(cell.slip <= tolerance.slip),
        at: cell.slip / tolerance.slip * ALLOWED,
        safe: (0.0, ALLOWED),
    }
}

/// The deepest flesh.
pub fn depth(posed: &Posed, cell: &Cell, tolerance: &Tolerance) -> Told {
    let parts = [(cell.pad, tolerance.pad), (cell.palm, tolerance.palm)];
    let [pad, palm] = parts.map(|(sunk, most)| sunk.by / most);
    let (sunk, part) = if palm > pad {
        (cell.palm, palm)
    } else {
        (cell.pad, pad)
    };
    let whose = match sunk.node.filter(|_| sunk.by >= 0.05) {
        None => String::new(),
        Some(_) if palm > pad => ", palm".into(),
        Some(node) => format!(", {}", short(posed, node)),
    };
    Told {
        label: format!("deepest{whose}"),
        text: format!("{:.1} mm", sunk.by),
        good: Some(part <= 1.0),
        at: part * ALLOWED,
        safe: (0.0, ALLOWED),
    }
}

/// The joint nearest to its limit of all that is held.
fn limit(posed: &Posed, cell: &Cell, tolerance: &Tolerance) -> Told {
    let rig = posed.rig();
    let held = rig
        .anchors
        .iter()
        .filter(|anchor| posed.hold(anchor.id) > 0.0 && !has_let_go(posed, anchor.end));
    let rooms = held.flat_map(|anchor| {
        let all = room(posed, anchor.id).into_iter();
        all.map(|room| (anchor.id, room))
    });
    let nearest = rooms.min_by(|a, b| a.1.margin.total_cmp(&b.1.margin));
    let whose = |(anchor, room): &(AnchorId, Room)| {
        let anchor = rig
            .anchor(*anchor)
            .map(|anchor| recipe::spoken(&anchor.name));
        let anchor = anchor.unwrap_or_default();
        let joint = rig.node(room.node).map(|node| joint_of(&node.name));
        format!(
            ", {} of {}",
            joint.unwrap_or_default(),
            anchor.trim_end_matches(" finger")
        )
    };
    // What is passed may be another joint's, or no joint's.
    let alone = Cell {
        limit: cell.limit,
        ..Cell::default()
    };
    let past = (cell.limit).filter(|_| !alone.is_safe(tolerance));
    if let Some(limit) = past.filter(|limit| matches!(limit.kind, LimitKind::Reach)) {
        let who = rig
            .anchor(limit.anchor)
            .map(|anchor| recipe::spoken(&anchor.name));
        return Told {
            label: format!("reach, {}", who.unwrap_or_default()),
            text: format!("{:.1} mm short", limit.by),
            good: Some(false),
            at: 0.0,
            safe: (0.0, 1.0),
        };
    }
    let whose = nearest.as_ref().map_or(String::new(), whose);
    let margin = nearest.map(|(_, room)| room.margin);
    Told {
        label: format!("limit{whose}"),
        text: match margin {
            None => "no joint is held".into(),
            Some(margin) if margin < 0.0 => format!("{:.1}° past", -margin),
            Some(margin) => format!("{margin:.1}° left"),
        },
        good: margin.map(|_| past.is_none()),
        at: margin.unwrap_or(0.0) / ROOM,
        safe: (0.0, 1.0),
    }
}

/// A joint of a digit as its place is called: 'knuckle'.
fn joint_of(name: &str) -> &str {
    match name.rsplit('-').next().unwrap_or_default() {
        "metacarpal" => "base",
        "proximal" => "knuckle",
        "intermediate" => "middle joint",
        "distal" => "end joint",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hand::survey::{Ends, measure};

    fn told(text: &str, turned: &[(&str, f64)]) -> [Told; 3] {
        let mut posed = Posed::new(&hand::read(text).expect("a good example")).expect("checked");
        for (dial, value) in turned {
            let dial = posed.rig().dial_named(dial).expect("a press").id;
            posed.set_dial(dial, *value);
        }
        posed.evaluate();
        all(&posed, &measure(&posed), &Tolerance::default())
    }

    #[test]
    fn at_rest_all_three_are_good_and_say_whose_limit_is_nearest() {
        let [slip, depth, limit] =
            told(include_str!("../../../examples/bench-press.hand.json"), &[]);
        assert_eq!((&*slip.label, &*slip.text), ("slip", "0.00 mm"));
        for told in [&slip, &depth, &limit] {
            assert_eq!(told.good, Some(true), "{told:?}");
        }
        assert!(limit.label.len() > "limit, ".len() && limit.text.ends_with("° left"));
    }

    /// What ends a pose is amiss in its gauge, and a safe pose is amiss in none.
    #[test]
    fn the_gauges_are_amiss_where_the_press_is_unsafe() {
        let fewer = Tolerance {
            slip: 0.1,
            palm: 2.2,
            ..Tolerance::default()
        };
        let mut seen = [0; 4];
        for text in [
            include_str!("../../../examples/bench-press.hand.json"),
            include_str!("../../../examples/rail-lean.hand.json"),
            include_str!("../../../examples/fist-knead.hand.json"),
        ] {
            let document = hand::read(text).expect("a good example");
            let mut posed = Posed::new(&document).expect("checked");
            let press = hand::press_dials(posed.rig());
            for lift in [-15.0, 0.0, 20.0, 45.0, 60.0] {
                for lean in [-15.0, -6.0, 0.0, 6.0, 15.0] {
                    posed.set_dial(press[0], lift);
                    posed.set_dial(press[2], lean);
                    posed.evaluate();
                    let cell = measure(&posed);
                    let good = all(&posed, &cell, &fewer).map(|told| told.good != Some(false));
                    let of = match cell.ends(&fewer) {
                        None => {
                            assert_eq!(good, [true; 3], "{lift} {lean}");
                            3
                        }
                        Some(Ends::Slips(_)) => 0,
                        Some(Ends::Sinks(..)) => 1,
                        Some(Ends::Limit(_)) => 2,
                    };
                    seen[of] += 1;
                    assert!(
                        of == 3 || !good[of],
                        "{lift} {lean}: {:?}",
                        cell.ends(&fewer)
                    );
                }
            }
        }
        assert!(seen.iter().all(|count| *count > 0), "{seen:?}");
    }
}
