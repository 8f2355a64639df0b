//! Which digit lets go or fails first, and what would help: each remedy tried, with what it really
//! gains.
use super::{Margin, NoAdvice, Placed, fault, margins};
use crate::build;
use crate::flesh::Kind;
use crate::survey::{Ends, Greatest, Stay, Tolerance, greatest, stay};
use recipe::Recipe;
use rig::{Anchor, AnchorId, Dial, DialId, Document, Fault, Node, NodeId, Posed, Rig, Unit};

/// mm of bone added, of which the first that helps enough is advised.
const LONGER: [f64; 4] = [1.0, 2.0, 4.0, 8.0];
/// Degrees of rest flexion added.
const FLEXION: f64 = 3.0;
/// A gain smaller than this part of what was reached is none.
const WORTH: f64 = 0.05;

/// How far a dial goes, who ends it, and what would take it further.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// The dial.
    pub dial: DialId,
    /// How far it goes from neutral with all down and safe all the way: to `safe` or to `stay`,
    /// whichever ends first.
    pub value: f64,
    /// How far it is safe, and what ends that.
    pub safe: Greatest,
    /// How far all stay down, and who lets go first.
    pub stay: Stay,
    /// The planted node whose digit ends it; none: the dial's own end, or the palm.
    pub first: Option<NodeId>,
    /// What each digit has left in the pose that was asked about.
    pub margins: Vec<Margin>,
    /// Best first.
    pub remedies: Vec<Remedy>,
}

/// A change that was tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// What was changed.
    pub change: Change,
    /// How far the dial goes then.
    pub value: f64,
    /// By how much that is farther.
    pub gain: f64,
    /// The recipe with the change, where it takes one.
    pub recipe: Option<Box<Recipe>>,
    /// All that in a sentence.
    pub told: String,
}

/// What would help.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// Going no further than this.
    Stay(f64),
    /// Letting this anchor's digit go.
    Release(AnchorId),
    /// Making the digit's first phalanx longer, mm.
    Longer(f64),
    /// Planting the fingers with more flexion, degrees in all.
    Flexion(f64),
    /// Putting the knuckle pivot elsewhere.
    Pivot(Placed),
}

struct Trial<'a> {
    dial: &'a Dial,
    rising: bool,
    tolerance: &'a Tolerance,
    /// What was reached without any change.
    reached: f64,
}

/// How far a dial goes up (`rising`) or down from neutral with all down and safe, which digit ends
/// it and what would help. `axis`: a place found by [`super::Search`], to be tried too.
///
/// # Errors
/// When there is no such dial, or nothing is planted and held.
pub fn advice(
    posed: &Posed,
    dial: DialId,
    rising: bool,
    tolerance: &Tolerance,
    axis: Option<Placed>,
) -> Result<Advice, Fault<NoAdvice>> {
    let document = posed.document();
    let none = || fault(NoAdvice::NothingTurned);
    let Reached { value, safe, stay } = reached(posed, dial, rising, tolerance).ok_or_else(none)?;
    let dial = document.dial(dial).ok_or_else(none)?;
    let first = if value == safe.value {
        let ends = safe.stopped_by;
        ends.and_then(|ends| held_by(posed.rig(), ends))
    } else {
        stay.first
    };
    let trial = Trial {
        dial,
        rising,
        tolerance,
        reached: value,
    };
    let mut remedies = Vec::new();
    if let Some(node) = first.and_then(|node| document.node(node)) {
        remedies.extend(trial.release(posed, node));
        // A hand that was planted otherwise since is not what its recipe would build.
        if let Some(recipe) = document
            .hand
            .as_deref()
            .filter(|r| is_built_by(document, r))
        {
            remedies.extend(trial.longer(posed, recipe, node));
            remedies.extend(trial.flexion(posed, recipe));
            remedies.extend(axis.and_then(|axis| trial.pivot(posed, recipe, axis)));
        }
        remedies.sort_by(|a, b| b.gain.abs().total_cmp(&a.gain.abs()));
        remedies.push(trial.stay());
    }
    Ok(Advice {
        dial: dial.id,
        value,
        safe,
        stay,
        first,
        margins: margins(posed),
        remedies,
    })
}

/// Whether the recipe plants what is planted.
fn is_built_by(document: &Document, recipe: &Recipe) -> bool {
    let planted = |document: &Document| -> Vec<_> {
        let plants = document.plants.iter();
        let held = |node| {
            document
                .anchors
                .iter()
                .position(|anchor| anchor.end == node)
        };
        let held = |node| held(node).is_none_or(|at| document.setting.active[at]);
        let plants = plants.filter(|plant| held(plant.node));
        let name = |node| document.node(node).map(|node| node.name.clone());
        plants.map(|plant| name(plant.node)).collect()
    };
    build::document(recipe).is_ok_and(|built| planted(&built) == planted(document))
}

/// How far a dial goes with all down and safe.
struct Reached {
    value: f64,
    safe: Greatest,
    stay: Stay,
}

fn reached(posed: &Posed, dial: DialId, rising: bool, tolerance: &Tolerance) -> Option<Reached> {
    let safe = greatest(posed, dial, rising, tolerance)?;
    let stay = stay(posed, dial, rising)?;
    let value = if stay.count > 0 && (stay.value < safe.value) == rising {
        stay.value
    } else {
        safe.value
    };
    Some(Reached { value, safe, stay })
}

/// The planted node of whoever makes a pose unsafe: what slips, the end of the chain that sinks or
/// is at its limit. None: the palm, which no anchor holds.
fn held_by(rig: &Rig, ends: Ends) -> Option<NodeId> {
    match ends {
        Ends::Slips(node) => Some(node),
        Ends::Limit(limit) => rig.anchor(limit.anchor).map(|anchor| anchor.end),
        Ends::Sinks(_, Kind::Palm) => None,
        Ends::Sinks(node, Kind::Pad) => {
            let digit = rig.node(node)?.part.as_ref()?.digit()?;
            let own = |anchor: &&Anchor| {
                let end = rig.node(anchor.end).and_then(|end| end.part.as_ref());
                end.is_some_and(|part| part.digit() == Some(digit))
            };
            let mut anchors = rig.anchors.iter().map(|anchor| &**anchor);
            anchors.find(own).map(|anchor| anchor.end)
        }
    }
}

impl Trial<'_> {
    /// How far the dial goes in another document, its other dials where `posed` has them.
    fn reach(&self, posed: &Posed, document: &Document) -> Option<f64> {
        let mut other = Posed::new(document).ok()?;
        for dial in &posed.rig().dials {
            if let Some(same) = document.dial_named(&dial.name) {
                other.set_dial(same.id, posed.dial(dial.id));
            }
        }
        let dial = document.dial_named(&self.dial.name)?;
        let found = reached(&other, dial.id, self.rising, self.tolerance)?;
        Some(found.value)
    }

    fn unit(&self) -> &'static str {
        match self.dial.unit {
            Unit::Degrees => "°",
            Unit::Millimetres => " mm",
            Unit::Percent => " %",
        }
    }

    /// A remedy, if it is worth its name.
    fn remedy(
        &self,
        change: Change,
        value: f64,
        what: &str,
        recipe: Option<Recipe>,
    ) -> Option<Remedy> {
        let (gain, unit) = (value - self.reached, self.unit());
        let further = if self.rising { gain } else { -gain };
        let whole = (self.reached - self.dial.neutral).abs();
        (further > WORTH * whole && further > 0.0).then(|| Remedy {
            change,
            value,
            gain,
            recipe: recipe.map(Box::new),
            told: format!(
                "{what} stay down and safe to {value:.1}{unit} of {}, {:.1}{unit} further.",
                self.dial.name,
                gain.abs()
            ),
        })
    }

    fn stay(&self) -> Remedy {
        Remedy {
            change: Change::Stay(self.reached),
            value: self.reached,
            gain: 0.0,
            recipe: None,
            told: format!(
                "Up to {:.1}{} of {} all stay down and safe.",
                self.reached,
                self.unit(),
                self.dial.name
            ),
        }
    }

    fn release(&self, posed: &Posed, node: &Node) -> Option<Remedy> {
        let document = posed.document();
        let anchor = document.anchors.iter().find(|a| a.end == node.id)?;
        let mut posed = posed.clone();
        posed.set_active(anchor.id, false);
        posed.evaluate();
        let found = reached(&posed, self.dial.id, self.rising, self.tolerance)?;
        let who = recipe::spoken(&anchor.name);
        let what = format!("With the {who} let go, the others");
        self.remedy(Change::Release(anchor.id), found.value, &what, None)
    }

    /// The shortest lengthening that brings most of what the longest one brings.
    fn longer(&self, posed: &Posed, recipe: &Recipe, node: &Node) -> Option<Remedy> {
        let document = posed.document();
        let anchor = document.anchors.iter().find(|a| a.end == node.id)?;
        let tried = LONGER.iter().filter_map(|&mm| {
            let mut recipe = recipe.clone();
            let mut digits = recipe.hand.digits.iter_mut();
            let name = node.part.as_ref()?.digit()?;
            let digit = digits.find(|digit| digit.name == name)?;
            *digit.bones.get_mut(1)? += mm;
            let longer = build::document(&recipe).ok()?;
            let value = self.reach(posed, &longer)?;
            let what = format!(
                "With {mm} mm more of the {}, all",
                recipe::spoken(&anchor.name)
            );
            self.remedy(Change::Longer(mm), value, &what, Some(recipe))
        });
        let tried: Vec<_> = tried.collect();
        let most = tried.iter().map(|remedy| remedy.gain.abs());
        let most = most.fold(0.0, |a, b| if b > a { b } else { a });
        tried.into_iter().find(|r| r.gain.abs() >= 0.9 * most)
    }

    fn flexion(&self, posed: &Posed, recipe: &Recipe) -> Option<Remedy> {
        let mut recipe = recipe.clone();
        let planting = recipe.planting.as_mut()?;
        planting.flexion += FLEXION;
        let flexion = planting.flexion;
        let value = self.reach(posed, &build::document(&recipe).ok()?)?;
        let what = format!("Planted with {flexion}° of flexion, all");
        self.remedy(Change::Flexion(flexion), value, &what, Some(recipe))
    }

    fn pivot(&self, posed: &Posed, recipe: &Recipe, placed: Placed) -> Option<Remedy> {
        let mut recipe = recipe.clone();
        let planting = recipe.planting.as_mut()?;
        planting.pivot = placed.pivot;
        let pivot = placed.pivot;
        let value = self.reach(posed, &build::document(&recipe).ok()?)?;
        let what = format!(
            "With the knuckle pivot {:.1} mm ahead, {:.1} mm below the knuckles' axis and turned {:.1}°, all",
            pivot.offset, pivot.drop, pivot.yaw
        );
        self.remedy(Change::Pivot(placed), value, &what, Some(recipe))
    }
}
