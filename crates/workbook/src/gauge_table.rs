//! The gauges kept apart: a contact a row, a measurement a column. All of a pose is measured in one
//! go, since it is measured anew in every frame of a drag.
use crate::number::tenths;
use crate::told::{LET_GO, has_let_go};
use hand::Gauge;
use hand::flesh::Flesh;
use hand::gauge::{self, Hold, contacts};
use hand::survey::{Room, Tolerance, room};
use recipe::{DigitPart, Part};
use rig::{AnchorId, Document, NodeId, Posed, Reading, Unit};
use std::cell::OnceCell;

/// What is measured of each.
pub const COLUMNS: [&str; 8] = [
    "held",
    "slip",
    "roll",
    "drift",
    "spin",
    "pressed in",
    "reach left",
    "limit",
];

/// Pads roll a little on any bench; past this the flesh no longer follows, degrees. Assumed.
const ROLLS: f64 = 30.0;

/// What it reads, and whether that is well; that is not said of what has let go.
pub type Cell = (String, Option<bool>);
/// Those of a contact; none where there is nothing to measure.
pub type Cells = [Option<Cell>; COLUMNS.len()];

/// A planted contact, or a digit that could be.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    pub node: NodeId,
    /// What holds it, if something does.
    pub anchor: Option<AnchorId>,
    pub planted: bool,
    pub name: String,
}

/// Every contact of the hand: the plants, then the digits that are not planted.
pub fn rows(document: &Document) -> Vec<Row> {
    let row = |node: NodeId, planted: bool| Row {
        node,
        anchor: document
            .anchors
            .iter()
            .find(|a| a.end == node)
            .map(|a| a.id),
        planted,
        name: hand::in_words(document, node),
    };
    let planted = document.plants.iter().map(|p| row(p.node, true));
    let digits = document.hand.iter().flat_map(|r| &r.hand.digits);
    let of = |node: NodeId| document.node(node)?.part.as_ref()?.digit();
    let is_planted = |name: &str| document.plants.iter().any(|p| of(p.node) == Some(name));
    // A digit is planted by its tip; one of the first version has its pad only.
    let end = |name: &str| {
        let part = |part| document.part(&Part::of(name, part));
        part(DigitPart::TipContact).or(part(DigitPart::Pad))
    };
    let free = digits
        .filter(|digit| !is_planted(&digit.name))
        .filter_map(|digit| {
            Some(Row {
                name: digit.spoken(),
                ..row(end(&digit.name)?.id, false)
            })
        });
    planted.chain(free).collect()
}

/// What each of these contacts reads in an evaluated pose.
pub fn cells(posed: &Posed, rows: &[Row], tolerance: &Tolerance) -> Vec<Cells> {
    // A figure without plants is asked for none.
    let measured = if rows.iter().any(|row| row.planted) {
        contacts(posed)
    } else {
        Vec::new()
    };
    let of = |row: &Row| {
        if !posed.has(row.node) {
            return Cells::default();
        }
        let found = measured.iter().find(|found| found.node == row.node);
        match found.filter(|_| row.planted) {
            Some(found) => planted(posed, found, tolerance),
            None => free(posed, row, tolerance),
        }
    };
    rows.iter().map(of).collect()
}

/// What these gauges read of a pose; the hand's flesh is measured once for all that tell of it.
pub fn readings(posed: &Posed, gauges: &[&Gauge]) -> Vec<Option<Reading>> {
    let clear = OnceCell::new();
    let clear = || clear.get_or_init(|| Flesh::of(posed.rig()).clearances(posed));
    let mm = |value| Reading {
        value,
        unit: "mm",
        decimals: 2,
    };
    let read = |gauge: &&Gauge| match gauge {
        Gauge::PalmClearance {} => clear().palm.map(|palm| mm(palm.mm)),
        Gauge::DigitDepth {} => clear().pad.map(|pad| mm(sunk(pad.mm))),
        other => other.read(posed).ok(),
    };
    gauges.iter().map(read).collect()
}

/// How deep flesh is that is so far from a surface, mm.
fn sunk(clear: f64) -> f64 {
    if clear < 0.0 { -clear } else { 0.0 }
}

fn told(value: f64, unit: &'static str, decimals: u8) -> String {
    let reading = Reading {
        value,
        unit,
        decimals,
    };
    reading.to_string()
}

fn mm(value: f64) -> String {
    told(value, "mm", 2)
}

fn degrees(value: f64) -> String {
    told(value, "°", 1)
}

fn planted(posed: &Posed, of: &gauge::Contact, tolerance: &Tolerance) -> Cells {
    let gone = has_let_go(posed, of.node);
    let good = |well: bool| (!gone).then_some(well);
    let slip = if gone { LET_GO.into() } else { mm(of.slip) };
    let depth = of.clearance.map(sunk);
    [
        // One that lets go is no fault.
        of.anchor
            .map(|anchor| (Hold::of(posed, anchor).to_string(), None)),
        Some((slip, good(of.slip <= tolerance.slip))),
        Some((
            degrees(of.roll.across),
            good(libm::fabs(of.roll.across) <= ROLLS),
        )),
        Some((mm(of.roll.drift), None)),
        Some((
            degrees(of.roll.about),
            good(libm::fabs(of.roll.about) <= ROLLS),
        )),
        depth.map(|deep| (mm(deep), Some(deep <= most(posed, of.node, tolerance)))),
        of.reach.map(|reach| (mm(reach), good(reach >= 0.0))),
        of.room.and_then(|room| limit(posed, room)),
    ]
}

fn free(posed: &Posed, row: &Row, tolerance: &Tolerance) -> Cells {
    let mut cells = Cells::default();
    let rig = posed.rig();
    let name = rig.node(row.node).map(|node| node.name.clone());
    let depth = name.and_then(|node| Gauge::FleshDepth { node }.read(posed).ok());
    cells[5] = depth.map(|deep| {
        let good = deep.value <= most(posed, row.node, tolerance);
        (deep.to_string(), Some(good))
    });
    if let Some(anchor) = row.anchor {
        let reach = posed.outcome(anchor).reach_margin;
        cells[6] = Some((mm(reach), Some(reach >= 0.0)));
        let nearest = |a: Room, b: Room| if b.margin < a.margin { b } else { a };
        let room = room(posed, anchor).into_iter().reduce(nearest);
        cells[7] = room.and_then(|room| limit(posed, room));
    }
    cells
}

/// How deep a contact's flesh may be, mm.
fn most(posed: &Posed, node: NodeId, tolerance: &Tolerance) -> f64 {
    match posed.rig().node(node).and_then(|node| node.part.as_ref()) {
        Some(Part::Heel) => tolerance.palm,
        _ => tolerance.pad,
    }
}

/// The joint nearest to its limit.
fn limit(posed: &Posed, nearest: Room) -> Option<Cell> {
    let joint = &posed.rig().node(nearest.node)?.name;
    let joint = joint.rsplit('-').next().unwrap_or_default();
    let mut text = format!("{} {joint}", tenths(nearest.margin, Unit::Degrees));
    if nearest.beyond > 0.0 {
        // Past what muscles do.
        let beyond = tenths(nearest.beyond, Unit::Degrees);
        text += &format!(", only load brings it here: {beyond} past its own range");
    }
    Some((text, Some(nearest.margin > 0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hand::gauge::contact;

    /// Each cell is what its gauge, read on its own, tells.
    #[test]
    fn every_cell_is_what_its_gauge_reads() {
        let mut checked = 0;
        for (text, lift, roll) in [
            (
                include_str!("../../../examples/bench-press.hand.json"),
                25.0,
                0.0,
            ),
            (
                include_str!("../../../examples/bench-press.hand.json"),
                0.0,
                40.0,
            ),
            (
                include_str!("../../../examples/rail-lean.hand.json"),
                12.0,
                0.0,
            ),
        ] {
            let mut posed =
                Posed::new(&hand::read(text).expect("a good example")).expect("checked");
            for (dial, value) in [("lift", lift), ("roll", roll)] {
                let dial = posed.rig().dial_named(dial).expect("a press").id;
                posed.set_dial(dial, value);
            }
            posed.evaluate();
            let rows = rows(posed.document());
            let cells = cells(&posed, &rows, &Tolerance::default());
            assert_eq!(rows.len(), cells.len());
            let whole = [
                Gauge::PalmClearance {},
                Gauge::DigitDepth {},
                Gauge::WorstSlip {},
            ];
            for (gauge, read) in whole.iter().zip(readings(&posed, &whole.each_ref())) {
                assert_eq!(gauge.read(&posed).ok(), read, "{gauge:?}");
            }
            for (row, cells) in rows.iter().zip(cells) {
                let rig = posed.rig();
                let node = rig.node(row.node).expect("its own").name.clone();
                let read = |gauge: Gauge| gauge.read(&posed).ok().map(|read| read.to_string());
                let text = |at: usize| cells[at].as_ref().map(|cell| cell.0.clone());
                assert_eq!(text(5), read(Gauge::FleshDepth { node: node.clone() }));
                let anchor = row
                    .anchor
                    .map(|id| rig.anchor(id).expect("its own").name.clone());
                let reach = anchor.and_then(|anchor| read(Gauge::ReachMargin { anchor }));
                assert_eq!(text(6), reach, "{node}");
                if row.planted {
                    if has_let_go(&posed, row.node) {
                        assert_eq!(text(1).as_deref(), Some(LET_GO));
                        assert_eq!(cells[1].as_ref().and_then(|cell| cell.1), None);
                    } else {
                        assert_eq!(text(1), read(Gauge::Slip { node: node.clone() }));
                    }
                    assert_eq!(text(2), read(Gauge::PadRoll { node: node.clone() }));
                    assert_eq!(text(3), read(Gauge::PadDrift { node: node.clone() }));
                    assert_eq!(text(4), read(Gauge::PadSpin { node }));
                    assert!(contact(&posed, row.node).is_some());
                    checked += 1;
                }
            }
        }
        assert!(checked > 10, "{checked} contacts are too few");
    }
}
