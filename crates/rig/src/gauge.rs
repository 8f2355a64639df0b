//! Gauges: live measurements. Nodes, anchors and dials are given by name, since lesson files hold gauges.
use crate::{Document, Posed};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What to measure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "gauge", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Gauge {
    /// Distance of a planted node from its plant, mm.
    Slip { node: String },
    /// The worst slip of all plants, mm.
    WorstSlip {},
    /// Distance of an anchor's end from its target, mm.
    Residual { anchor: String },
    /// mm left before an anchored chain is straight.
    ReachMargin { anchor: String },
    /// Degrees the middle joint turns per mm of approach.
    BendGain { anchor: String },
    /// mm per radian.
    LeastSingularValue { anchor: String },
    /// Angle between the bone into a node and the bone out of it, degrees (0: straight).
    Bend { node: String },
    /// Distance of a node from where it is with every dial neutral, mm.
    Travel { node: String },
    /// Height of a node over the bench, mm (negative: into it).
    Height { node: String },
    /// Depth of the deepest of these nodes under the bench's top, mm (0 when none is below).
    Penetration { nodes: Vec<String> },
    /// Turn of a node's frame from its pose with every dial neutral, degrees, signed about world `axis`
    /// (0, 1, 2 for x, y, z).
    Tilt { node: String, axis: usize },
    /// Distance between two nodes, mm.
    Distance { from: String, to: String },
    /// Distance of a node from a fixed world point, mm.
    OffMark { node: String, at: [f64; 3] },
    /// A dial's value.
    Dial { dial: String },
    /// Degrees of `node`'s tilt about `axis` per unit of `dial`, by central difference.
    Rate { node: String, axis: usize, dial: String },
}

/// A value with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Reading { pub value: f64, pub unit: &'static str, pub decimals: u8 }

impl Gauge {
    /// Measures. `posed` must be evaluated; it is restored if moved for a derivative.
    /// Fails with a sentence when a name is unknown.
    pub fn read(&self, document: &Document, posed: &Posed) -> Result<Reading, String> { let _ = (document, posed); todo!() }
    /// A short label for the desk: 'slip at the tip'.
    pub fn label(&self) -> String { todo!() }
}

impl std::fmt::Display for Reading {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result { let _ = f; todo!() }
}
