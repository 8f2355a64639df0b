//! Gestures: named hand shapes that any hand can take, whole or in part.
mod starters;

pub use starters::starters;

use crate::build::fingers::channel;
use recipe::{Bend, DialRole, Digit, DigitPart, Recipe};
use rig::{DialId, NodeId, Part, Posed, Setting};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A named hand shape: degrees of every joint from the flat hand, before anything is held. The
/// same numbers are the mirrored shape on the other hand.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Gesture {
    /// Shown on screen.
    pub name: String,
    /// From the thumb's side on. A hand of more or fewer fingers takes what lies at the same part of
    /// the way across.
    pub fingers: Vec<Finger>,
    /// None: thumbs stay as they are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thumb: Option<Thumb>,
}

/// Degrees of a finger's joints.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Finger {
    /// The metacarpal's flexion: what cups the palm.
    pub palm: f64,
    /// The knuckle's spread, positive towards the little finger.
    pub spread: f64,
    /// The knuckle's flexion.
    pub knuckle: f64,
    /// The middle joint's.
    pub middle: f64,
    /// The last joint's.
    pub last: f64,
}

/// Degrees of a thumb's joints.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Thumb {
    /// The base, before the palm: palmar abduction is negative.
    pub across: f64,
    /// The base, about its own bone: positive turns the pad to the fingers.
    pub turn: f64,
    /// The base's flexion; negative spreads it off the palm's side.
    pub base: f64,
    /// The middle joint's flexion.
    pub middle: f64,
    /// The last joint's.
    pub last: f64,
}

/// Where the numbers of a digit's shape belong, in their order.
const FINGER: [(DigitPart, Bend); 5] = [
    (DigitPart::Metacarpal, Bend::Flexion),
    (DigitPart::PhalanxProximal, Bend::Spread),
    (DigitPart::PhalanxProximal, Bend::Flexion),
    (DigitPart::PhalanxIntermediate, Bend::Flexion),
    (DigitPart::PhalanxDistal, Bend::Flexion),
];
const THUMB: [(DigitPart, Bend); 5] = [
    (DigitPart::Metacarpal, Bend::Spread),
    (DigitPart::Metacarpal, Bend::Twist),
    (DigitPart::Metacarpal, Bend::Flexion),
    (DigitPart::PhalanxProximal, Bend::Flexion),
    (DigitPart::PhalanxDistal, Bend::Flexion),
];

impl From<[f64; 5]> for Finger {
    fn from([palm, spread, knuckle, middle, last]: [f64; 5]) -> Self {
        Self {
            palm,
            spread,
            knuckle,
            middle,
            last,
        }
    }
}

impl From<Finger> for [f64; 5] {
    fn from(f: Finger) -> Self {
        [f.palm, f.spread, f.knuckle, f.middle, f.last]
    }
}

impl From<[f64; 5]> for Thumb {
    fn from([across, turn, base, middle, last]: [f64; 5]) -> Self {
        Self {
            across,
            turn,
            base,
            middle,
            last,
        }
    }
}

impl From<Thumb> for [f64; 5] {
    fn from(t: Thumb) -> Self {
        [t.across, t.turn, t.base, t.middle, t.last]
    }
}

/// The dials that shape all fingers, or all thumbs.
const OF_ALL: [DialRole; 10] = [
    DialRole::RestFlexion,
    DialRole::Curl,
    DialRole::Opposition,
    DialRole::Arch,
    DialRole::Spread,
    DialRole::Claw,
    DialRole::Fan,
    DialRole::Tension,
    DialRole::ThumbSpread,
    DialRole::ThumbCurl,
];

/// A joint's own dial, the node it turns, about which axis, and how its value turns it: 1, or −1 on
/// the other hand.
struct Own {
    dial: DialId,
    node: NodeId,
    bend: Bend,
    sign: f64,
}

impl Own {
    fn of(posed: &Posed, digit: &str, part: DigitPart, bend: Bend) -> Option<Self> {
        let role = DialRole::Joint(digit.to_owned(), part, bend);
        let dial = posed.rig().role(&role)?;
        let node = posed.rig().part(&Part::of(digit, part))?.id;
        let sign = dial.drives.first()?.gain;
        Some(Self {
            dial: dial.id,
            node,
            bend,
            sign,
        })
    }

    /// What all dials make of the joint, in the sense of its own.
    fn dialled(&self, posed: &Posed) -> f64 {
        self.sign * posed.dialled(self.node, channel(self.bend)) + 0.0
    }
}

/// The digits that a document's hand was built with.
fn digits(posed: &Posed) -> Vec<Digit> {
    let recipe: Option<&Recipe> = posed.rig().hand.as_deref();
    recipe.map_or_else(Vec::new, |recipe| recipe.hand.digits.clone())
}

impl Gesture {
    /// The shape that a hand's dials make now, whatever is held: what to keep.
    pub fn of(posed: &Posed, name: &str) -> Self {
        let shape = |digit: &Digit, joints: [(DigitPart, Bend); 5]| {
            joints.map(|(part, bend)| {
                let own = Own::of(posed, &digit.name, part, bend);
                own.map_or(0.0, |own| own.dialled(posed))
            })
        };
        let digits = digits(posed);
        let fingers = digits.iter().filter(|digit| !digit.thumb);
        let thumb = digits.iter().find(|digit| digit.thumb);
        Self {
            name: name.to_owned(),
            fingers: fingers.map(|digit| shape(digit, FINGER).into()).collect(),
            thumb: thumb.map(|digit| shape(digit, THUMB).into()),
        }
    }

    /// The setting that brings a hand, or one digit of it by its name in the recipe, from where its
    /// dials have it towards this shape by a weight from 0 to 1: every joint by that part of its
    /// way, the dials of many joints fading by as much and every joint's own making up the rest.
    ///
    /// What is held stays held: the shape is what its digit goes to as it lets go.
    pub fn mixed(&self, posed: &Posed, weight: f64, digit: Option<&str>) -> Setting {
        let rig = posed.rig();
        let mut to = posed.clone();
        let mut fade = |role: &DialRole| {
            if let Some(dial) = rig.role(role) {
                let left = (1.0 - weight) * (posed.dial(dial.id) - dial.neutral);
                to.set_dial(dial.id, dial.neutral + left);
            }
        };
        if digit.is_none() {
            OF_ALL.iter().for_each(&mut fade);
        }
        let digits = digits(posed);
        let wanted = |at: &&Digit| digit.is_none_or(|name| at.name == name);
        for at in digits.iter().filter(wanted) {
            for role in [DialRole::CurlOf, DialRole::SpreadOf, DialRole::ClawOf] {
                fade(&role(at.name.clone()));
            }
        }
        for at in digits.iter().filter(wanted) {
            let (shape, joints) = if at.thumb {
                match self.thumb {
                    Some(thumb) => (thumb.into(), THUMB),
                    None => continue,
                }
            } else {
                match self.across(&digits, at) {
                    Some(finger) => (finger.into(), FINGER),
                    None => continue,
                }
            };
            let shape: [f64; 5] = shape;
            for ((part, bend), angle) in joints.into_iter().zip(shape) {
                let Some(own) = Own::of(posed, &at.name, part, bend) else {
                    continue;
                };
                let here = own.dialled(posed);
                let wanted = here + weight * (angle - here);
                to.set_dial(own.dial, 0.0);
                let others = own.dialled(&to);
                to.set_dial(own.dial, wanted - others);
            }
        }
        to.setting().clone()
    }

    /// The shape of a hand's finger: where it lies among the hand's, on a straight line between the
    /// gesture's two next ones.
    fn across(&self, digits: &[Digit], finger: &Digit) -> Option<Finger> {
        let last = self.fingers.len().checked_sub(1)?;
        let fingers: Vec<_> = digits.iter().filter(|digit| !digit.thumb).collect();
        let at = fingers.iter().position(|other| other.name == finger.name)?;
        let steps = fingers.len() - 1;
        // A lone finger is the first.
        let along = at * last;
        let whole = along.checked_div(steps).unwrap_or(0);
        let part = along
            .checked_rem(steps)
            .map_or(0.0, |rest| rest as f64 / steps as f64);
        let near: [f64; 5] = self.fingers[whole].into();
        let far: [f64; 5] = self.fingers[if whole < last { whole + 1 } else { last }].into();
        let between = |joint: usize| near[joint] + part * (far[joint] - near[joint]);
        Some([0, 1, 2, 3, 4].map(between).into())
    }
}
