//! What a gauge reads of a pose.
use super::Gauge;
use super::contact::{self, Roll, contact};
use super::support::support;
use crate::flesh::{Clearances, Flesh, Overlaps};
use crate::survey::{self, Room};
use rig::measure::{bend, leap, lock, mirrored, rate, tilt};
use rig::{AnchorId, DEGREES, Dial, Node, Posed, Reading, Rig, Unit, Vec3};

impl Gauge {
    /// Measures an evaluated pose; what needs another pose is measured on a copy.
    ///
    /// # Errors
    /// A sentence when a name is unknown or there is nothing to measure.
    ///
    /// ```
    /// use hand::{Gauge, Planting, Recipe};
    ///
    /// let recipe = Recipe { planting: Some(Planting::default()), ..Recipe::default() };
    /// let mut posed = rig::Posed::new(&hand::document(&recipe)?)?;
    /// let slip = Gauge::WorstSlip {};
    /// assert_eq!(slip.read(&posed).map(|mm| mm.to_string()), Ok("0.00 mm".to_owned()));
    /// posed.set_dial(hand::press_dials(posed.rig())[0], 40.0); // lifted by degrees
    /// posed.evaluate();
    /// assert!(slip.read(&posed).is_ok_and(|mm| mm.value < 0.1)); // it rolls
    /// let travel = Gauge::Travel { node: "wrist".to_owned() };
    /// assert!(travel.read(&posed).is_ok_and(|mm| mm.value > 30.0));
    /// # Ok::<(), rig::Fault>(())
    /// ```
    pub fn read(&self, posed: &Posed) -> Result<Reading, String> {
        let rig = posed.rig();
        let point = |name: &str| node(rig, name).map(|n| posed.point(n.id));
        match self {
            Self::Slip { node: name } => {
                let slip = posed.slip(node(rig, name)?.id);
                slip.map(mm)
                    .ok_or_else(|| format!("'{name}' is not planted"))
            }
            Self::WorstSlip {} => {
                let held = rig.plants.iter().filter(|plant| {
                    let mut anchors = rig.anchors.iter();
                    let anchor =
                        anchors.find(|a| a.end == plant.node && a.solver.contact().is_some());
                    anchor.is_none_or(|anchor| posed.hold(anchor.id) >= 1.0)
                });
                let slips = held.filter_map(|plant| posed.slip(plant.node));
                Ok(mm(slips.fold(0.0, larger)))
            }
            Self::Hold { anchor: name } => {
                let hold = posed.hold(anchor(rig, name)?);
                Ok(reading(100.0 * hold, "%", 0))
            }
            Self::Residual { anchor: name } => Ok(mm(posed.outcome(anchor(rig, name)?).residual)),
            Self::ReachMargin { anchor: name } => {
                Ok(mm(posed.outcome(anchor(rig, name)?).reach_margin))
            }
            Self::BendGain { anchor: name } => {
                Ok(reading(posed.bend_gain(anchor(rig, name)?), "°/mm", 1))
            }
            Self::LeastSingularValue { anchor: name } => Ok(reading(
                posed.least_singular_value(anchor(rig, name)?),
                "mm/rad",
                2,
            )),
            Self::Bend { node: name } => bend(posed, node(rig, name)?).map(degrees),
            Self::Travel { node: name } => {
                let id = node(rig, name)?.id;
                Ok(mm((posed.point(id) - neutral(posed).point(id)).norm()))
            }
            Self::Height { node: name } => Ok(mm(point(name)?.y - bench(rig)?)),
            Self::Penetration { nodes } => {
                let top = bench(rig)?;
                let depths = nodes.iter().map(|name| Ok(top - point(name)?.y));
                Ok(mm(depths
                    .collect::<Result<Vec<f64>, String>>()?
                    .into_iter()
                    .fold(0.0, larger)))
            }
            Self::Tilt { node: name, axis } => {
                let id = node(rig, name)?.id;
                Ok(degrees(tilt(&neutral(posed), posed, id, *axis)))
            }
            Self::Distance { from, to } => Ok(mm((point(to)? - point(from)?).norm())),
            Self::OffMark { node, at } => Ok(mm((point(node)? - Vec3::from(*at)).norm())),
            Self::OffMirror { node, of, axis, at } => {
                let image = mirrored(&point(of)?, *axis, *at);
                Ok(mm((point(node)? - image).norm()))
            }
            Self::Lock {
                node: name,
                measured,
            } => Ok(degrees(lock(node(rig, name)?, *measured))),
            Self::Leap { node: name } => {
                let node = node(rig, name)?;
                let middle = node.order.axes()[1];
                Ok(reading(leap(posed.turns(node.id)[middle]), "°/°", 2))
            }
            Self::PadRoll { node: name } => {
                let roll = rolled(posed, name)?;
                Ok(degrees(roll.across))
            }
            Self::PadSpin { node: name } => {
                let roll = rolled(posed, name)?;
                Ok(degrees(roll.about))
            }
            Self::PadDrift { node: name } => {
                let roll = rolled(posed, name)?;
                Ok(mm(roll.drift))
            }
            Self::FleshDepth { node: name } => {
                let clear = clearance(posed, &Flesh::of(rig), node(rig, name)?)?;
                Ok(mm(larger(0.0, 0.0 - clear)))
            }
            Self::Clearance { nodes } => {
                let flesh = Flesh::of(rig);
                let clear = |name| clearance(posed, &flesh, node(rig, name)?);
                let clear = nodes.iter().map(|name: &String| clear(name));
                let least = clear
                    .collect::<Result<Vec<_>, _>>()?
                    .into_iter()
                    .reduce(smaller);
                least
                    .map(mm)
                    .ok_or_else(|| "no node is named to measure from".to_owned())
            }
            Self::DigitDepth {} => {
                let clear = flesh(posed)?.pad.ok_or_else(no_flesh)?;
                Ok(mm(larger(0.0, 0.0 - clear.mm)))
            }
            Self::PalmClearance {} => {
                let clear = flesh(posed)?.palm.ok_or_else(no_flesh)?;
                Ok(mm(clear.mm))
            }
            Self::FleshOverlap {} => {
                let overlaps = Overlaps::of(rig);
                if overlaps.is_empty() {
                    return Err(no_flesh());
                }
                Ok(mm(overlaps.deepest(posed).map_or(0.0, |most| most.mm)))
            }
            Self::Turn { node: name, axis } => {
                let turns = posed.turns(node(rig, name)?.id);
                Ok(degrees(turns[*axis as usize]))
            }
            Self::LimitMargin { anchor: name } => {
                let room = survey::room(posed, anchor(rig, name)?);
                least(room).ok_or_else(|| format!("no joint of '{name}' has a limit"))
            }
            Self::JointMargin { node: name } => {
                let room = survey::joint_room(posed, node(rig, name)?.id);
                least(room).ok_or_else(|| format!("'{name}' has no limit"))
            }
            Self::PastRange { node: name } => {
                let room = survey::joint_room(posed, node(rig, name)?.id);
                let past = room.iter().map(|room| room.beyond).reduce(larger);
                past.map(degrees)
                    .ok_or_else(|| format!("'{name}' has no limit"))
            }
            Self::Elevation { from, to } => {
                let up = point(to)? - point(from)?;
                let level = libm::hypot(up.x, up.z);
                Ok(degrees(libm::atan2(up.y, level) * DEGREES))
            }
            Self::SupportMargin { node: name } => {
                let load = posed.point(node(rig, name)?.id);
                let support = support(posed, &load);
                support
                    .map(|support| mm(support.margin))
                    .ok_or_else(|| "nothing is planted that could bear a load".to_owned())
            }
            Self::Dial { dial: name } => {
                let dial = dial(rig, name)?;
                Ok(match dial.unit {
                    Unit::Degrees => degrees(posed.dial(dial.id)),
                    Unit::Millimetres => mm(posed.dial(dial.id)),
                    Unit::Percent => reading(posed.dial(dial.id), "%", 0),
                })
            }
            Self::Rate {
                node: name,
                axis,
                dial: of,
            } => {
                let (id, dial) = (node(rig, name)?.id, dial(rig, of)?);
                let unit = match dial.unit {
                    Unit::Degrees => "°/°",
                    Unit::Millimetres => "°/mm",
                    Unit::Percent => "°/%",
                };
                Ok(reading(rate(posed, id, *axis, dial), unit, 2))
            }
        }
    }
}

fn reading(value: f64, unit: &'static str, decimals: u8) -> Reading {
    Reading {
        value,
        unit,
        decimals,
    }
}

fn mm(value: f64) -> Reading {
    reading(value, "mm", 2)
}

fn degrees(value: f64) -> Reading {
    reading(value, "°", 1)
}

fn larger(a: f64, b: f64) -> f64 {
    if b > a { b } else { a }
}

fn smaller(a: f64, b: f64) -> f64 {
    if b < a { b } else { a }
}

fn least(room: Vec<Room>) -> Option<Reading> {
    let margins = room.iter().map(|room| room.margin);
    margins.reduce(smaller).map(degrees)
}

fn rolled(posed: &Posed, name: &str) -> Result<Roll, String> {
    let rig = posed.rig();
    let found = contact(posed, node(rig, name)?.id);
    found
        .map(|contact| contact.roll)
        .ok_or_else(|| format!("'{name}' is not planted"))
}

/// The least clearances of the hand's flesh; the document has a surface.
fn flesh(posed: &Posed) -> Result<Clearances, String> {
    let flesh = Flesh::of(posed.rig());
    if flesh.is_empty() {
        return Err(no_flesh());
    }
    let clear = flesh.clearances(posed);
    if clear == Clearances::default() {
        return Err(NO_SURFACE.to_owned());
    }
    Ok(clear)
}

fn no_flesh() -> String {
    "this document has no hand whose flesh could be measured".to_owned()
}

const NO_SURFACE: &str = "this document has no surface to measure from";

fn clearance(posed: &Posed, flesh: &Flesh, node: &Node) -> Result<f64, String> {
    contact::clearance(posed, flesh, node).ok_or_else(|| NO_SURFACE.to_owned())
}

fn node<'a>(rig: &'a Rig, name: &str) -> Result<&'a Node, String> {
    rig.node_named(name)
        .ok_or_else(|| format!("there is no node named '{name}'"))
}

fn anchor(rig: &Rig, name: &str) -> Result<AnchorId, String> {
    let anchor = rig.anchor_named(name);
    anchor
        .map(|a| a.id)
        .ok_or_else(|| format!("there is no anchor named '{name}'"))
}

fn dial<'a>(rig: &'a Rig, name: &str) -> Result<&'a Dial, String> {
    rig.dial_named(name)
        .ok_or_else(|| format!("there is no dial named '{name}'"))
}

fn bench(rig: &Rig) -> Result<f64, String> {
    rig.bench
        .ok_or_else(|| "this document has no bench to measure from".to_owned())
}

fn neutral(posed: &Posed) -> Posed {
    let mut neutral = posed.clone();
    neutral.set_neutral();
    neutral.evaluate();
    neutral
}
