//! A survey as JSON and as CSV, one layer for each value of a third dial.
use super::{Cell, Ends, Limit, LimitKind, Stay, Sunk, Survey, Tolerance};
use rig::{NodeId, Rig, Unit};
use serde::Serialize;
use std::fmt::Write;

/// A survey at one value of a third dial.
#[derive(Clone, Debug)]
pub struct Layer {
    /// The third dial and its value, if there is one.
    pub at: Option<(rig::DialId, f64)>,
    /// The survey there.
    pub survey: Survey,
}

#[derive(Serialize)]
struct Report<'a> {
    rig: &'a str,
    tolerance_mm: Tolerance,
    across: Side<'a>,
    up: Side<'a>,
    plants: Vec<&'a str>,
    layers: Vec<LayerReport<'a>>,
}

#[derive(Serialize)]
struct Side<'a> {
    dial: &'a str,
    unit: &'static str,
    from: f64,
    to: f64,
    count: usize,
}

#[derive(Serialize)]
struct LayerReport<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    dial: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    value: Option<f64>,
    /// Why there is no safe region, if there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    no_safe_region: Option<String>,
    cells: Vec<CellReport<'a>>,
    boundary: Vec<Vec<(f64, f64)>>,
    /// By row: how far all stay down, and who lets go first.
    all_down: Vec<Option<StaysReport<'a>>>,
}

#[derive(Serialize)]
struct StaysReport<'a> {
    from: f64,
    to: f64,
    first_below: Option<&'a str>,
    first_above: Option<&'a str>,
}

impl<'a> StaysReport<'a> {
    fn new(rig: &'a Rig, [low, high]: [Stay; 2]) -> Self {
        Self {
            from: low.value,
            to: high.value,
            first_below: low.first.map(|id| node(rig, id)),
            first_above: high.first.map(|id| node(rig, id)),
        }
    }
}

#[derive(Serialize)]
struct CellReport<'a> {
    at: (f64, f64),
    slip_mm: f64,
    slipping: Option<&'a str>,
    slips_mm: Vec<Option<f64>>,
    pad: SunkReport<'a>,
    palm: SunkReport<'a>,
    down: Vec<&'a str>,
    all_down: bool,
    safe: bool,
    reachable: bool,
    /// What makes it unsafe: `slips`, `sinks` or `limit`.
    ends: Option<&'static str>,
    limit: Option<LimitReport<'a>>,
}

#[derive(Serialize)]
struct SunkReport<'a> {
    depth_mm: f64,
    node: Option<&'a str>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
enum LimitReport<'a> {
    Reach {
        anchor: &'a str,
        mm: f64,
    },
    Joint {
        anchor: &'a str,
        joint: &'a str,
        turn: &'static str,
        end: &'static str,
        degrees: f64,
        /// Its own range ends before.
        only_load: bool,
    },
}

/// Words for a unit, as in files.
fn unit(of: Option<Unit>) -> &'static str {
    match of {
        Some(Unit::Degrees) => "deg",
        Some(Unit::Millimetres) => "mm",
        Some(Unit::Percent) => "percent",
        None => "",
    }
}

fn node(rig: &Rig, id: NodeId) -> &str {
    rig.node(id).map_or("?", |node| &node.name)
}

/// What makes a cell unsafe, in a word.
pub fn ended(cell: &Cell, tolerance: &Tolerance) -> Option<&'static str> {
    Some(match cell.ends(tolerance)? {
        Ends::Slips(_) => "slips",
        Ends::Sinks(..) => "sinks",
        Ends::Limit(_) => "limit",
    })
}

/// The names of the plants that are held fully.
fn down<'a>(rig: &'a Rig, survey: &Survey, cell: &Cell) -> Vec<&'a str> {
    let plants = survey.plants.iter().enumerate();
    let down = plants.filter(|(at, _)| cell.down.has(*at));
    down.map(|(_, &id)| node(rig, id)).collect()
}

impl<'a> LimitReport<'a> {
    fn new(rig: &'a Rig, limit: &Limit) -> Self {
        let anchor = rig.anchor(limit.anchor);
        let anchor = anchor.map_or("?", |anchor| anchor.name.as_str());
        match limit.kind {
            LimitKind::Reach => Self::Reach {
                anchor,
                mm: limit.by,
            },
            LimitKind::Joint {
                node: id,
                channel,
                upper,
            } => Self::Joint {
                anchor,
                joint: node(rig, id),
                turn: ["x", "y", "z"][channel.index() % 3],
                end: if upper { "greatest" } else { "least" },
                degrees: limit.by,
                only_load: limit.only_load(rig),
            },
        }
    }
}

/// `{"rig","tolerance_mm":{"slip","pad","palm"},"across","up","plants","layers":[{"cells",
/// "boundary","all_down"}…]}`: cells in rows along `up`, `slips_mm` in the order of `plants` (null
/// where one is let go), `down` the plants that are held fully. `all_down`, by row, is how far
/// `across` goes with all down that is at neutral, and who lets go first at either end.
pub fn json(rig: &Rig, layers: &[Layer], tolerance: &Tolerance) -> String {
    let Some(first) = layers.first().map(|layer| &layer.survey) else {
        return "{}".to_owned();
    };
    let dial = |id| rig.dial(id);
    let name = |id| dial(id).map_or("?", |dial| dial.name.as_str());
    let side = |sweep: &super::Sweep| Side {
        dial: name(sweep.dial),
        unit: unit(dial(sweep.dial).map(|dial| dial.unit)),
        from: sweep.from,
        to: sweep.to,
        count: sweep.count,
    };
    let layer = |Layer { at, survey }: &Layer| {
        let reachable = survey.reachable(tolerance);
        let count = survey.plants.len();
        let cells = survey.cells.iter().enumerate();
        let sunk = |sunk: Sunk| SunkReport {
            depth_mm: sunk.by,
            node: sunk.node.map(|id| node(rig, id)),
        };
        LayerReport {
            dial: at.map(|(id, _)| name(id)),
            value: at.map(|(_, value)| value),
            no_safe_region: survey.verdict(rig, tolerance).err(),
            boundary: survey.boundary(tolerance),
            all_down: (survey.stays().into_iter())
                .map(|row| row.map(|stays| StaysReport::new(rig, stays)))
                .collect(),
            cells: cells
                .map(|(at, cell)| CellReport {
                    at: survey.values(at),
                    slip_mm: cell.slip,
                    slipping: cell.slipping.map(|id| node(rig, id)),
                    slips_mm: survey.slips[at * count..(at + 1) * count].to_vec(),
                    pad: sunk(cell.pad),
                    palm: sunk(cell.palm),
                    down: down(rig, survey, cell),
                    all_down: survey.all_down(at),
                    safe: survey.safe(at, tolerance),
                    ends: ended(cell, tolerance),
                    reachable: reachable[at],
                    limit: cell.limit.map(|limit| LimitReport::new(rig, &limit)),
                })
                .collect(),
        }
    };
    let report = Report {
        rig: &rig.name,
        tolerance_mm: *tolerance,
        across: side(&first.across),
        up: side(&first.up),
        plants: first.plants.iter().map(|&id| node(rig, id)).collect(),
        layers: layers.iter().map(layer).collect(),
    };
    serde_json::to_string(&report).expect("names and numbers always serialise")
}

/// A line for each cell, dials first, after a line of headings (RFC 4180).
pub fn csv(rig: &Rig, layers: &[Layer], tolerance: &Tolerance) -> String {
    let Some(first) = layers.first() else {
        return String::new();
    };
    let dial = |id| rig.dial(id).map_or("?", |dial| dial.name.as_str());
    let mut heads: Vec<String> = first.at.iter().map(|(id, _)| words(dial(*id))).collect();
    heads.extend([&first.survey.across, &first.survey.up].map(|sweep| words(dial(sweep.dial))));
    heads.extend(
        [
            "slip mm",
            "slipping",
            "pad depth mm",
            "deepest pad",
            "palm depth mm",
            "deepest palm",
            "down",
            "all down",
            "safe",
            "reachable",
            "ended by",
            "limit",
            "limit by",
        ]
        .map(str::to_owned),
    );
    let plants = first.survey.plants.iter();
    heads.extend(plants.map(|&id| words(&format!("{} slip mm", node(rig, id)))));
    let mut text = String::new();
    row(&mut text, heads);
    for Layer { at, survey } in layers {
        let reachable = survey.reachable(tolerance);
        let count = survey.plants.len();
        for (k, cell) in survey.cells.iter().enumerate() {
            let (across, up) = survey.values(k);
            let mut cells: Vec<String> = at.iter().map(|(_, value)| value.to_string()).collect();
            cells.extend([across, up, cell.slip].map(|x| x.to_string()));
            let slipping = cell.slipping.map_or("", |id| node(rig, id));
            cells.push(words(slipping));
            for sunk in [cell.pad, cell.palm] {
                cells.push(sunk.by.to_string());
                cells.push(words(sunk.node.map_or("", |id| node(rig, id))));
            }
            cells.push(words(&down(rig, survey, cell).join(" ")));
            cells.push(survey.all_down(k).to_string());
            cells.push(survey.safe(k, tolerance).to_string());
            cells.push(reachable[k].to_string());
            cells.push(ended(cell, tolerance).unwrap_or_default().to_owned());
            let limit = cell.limit.map(|limit| words(&limit.told(rig)));
            let by = cell.limit.map(|limit| limit.by.to_string());
            cells.extend([limit.unwrap_or_default(), by.unwrap_or_default()]);
            let slips = &survey.slips[k * count..(k + 1) * count];
            cells.extend(
                slips
                    .iter()
                    .map(|slip| slip.map_or(String::new(), |x| x.to_string())),
            );
            row(&mut text, cells);
        }
    }
    text
}

/// A name as a cell. A spreadsheet takes text that begins so for a formula, and would run what
/// a stranger called a node; an apostrophe keeps it text. One that parts lines at semicolons or
/// tabs takes no heed of our quotes, and begins a cell in the middle of a name. Numbers are not
/// passed through here.
fn words(name: &str) -> String {
    let mut words = String::with_capacity(name.len() + 1);
    if name.starts_with(['\t', '\r', '\n']) {
        words.push('\'');
    }
    let mut begins = true;
    for c in name.chars() {
        if begins && matches!(c, '=' | '+' | '-' | '@') {
            words.push('\'');
        }
        words.push(c);
        begins = matches!(c, ';' | '\t' | '\r' | '\n') || begins && c == '"';
    }
    words
}

fn row(text: &mut String, cells: Vec<String>) {
    for (at, cell) in cells.iter().enumerate() {
        let comma = if at > 0 { "," } else { "" };
        if cell.contains(['"', ',', ';', '\t', '\n', '\r']) {
            let _ = write!(text, "{comma}\"{}\"", cell.replace('"', "\"\""));
        } else {
            let _ = write!(text, "{comma}{cell}");
        }
    }
    text.push_str("\r\n");
}
