//! What a hand is built from. Kept in the document, so that every proportion can be edited
//! afterwards; in a file, what is left out is the table's.
use crate::bones;
use crate::part::spoken;
use crate::size::Size;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Digits of a hand, and of a planting, at most.
pub const MOST_DIGITS: usize = 12;
/// Characters of a digit's name at most: what is built of it is called after it,
/// `…-phalanx-proximal`.
pub const MOST_DIGIT_NAME: usize = 160;

/// How far the knuckle pivot lies below the fitted axis, mm: of 0, 2, … 10 the depth with the
/// greatest safe lift for the table's hand at its rest flexion: 40°, against 16° on the axis.
/// Found by trying six depths, not yet by a search (docs/mathematics.md 11).
const DROP: f64 = 4.0;

/// A hand and, if it presses, how it is planted.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Recipe {
    /// The hand.
    pub hand: Hand,
    /// How it is planted; left out: it hangs free in its relaxed pose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planting: Option<Planting>,
}

/// Which hand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    #[allow(missing_docs)]
    #[default]
    Right,
    #[allow(missing_docs)]
    Left,
}

/// How the dials of a left hand that lean, deviate or twist it are counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Sideways {
    /// One value is one motion seen in a mirror: towards the thumb on either hand.
    #[default]
    Mirrored,
    /// One value is one direction in the world: both hands go the same way.
    SameWay,
}

impl Sideways {
    fn is_usual(&self) -> bool {
        *self == Self::Mirrored
    }
}

/// A hand to build.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Hand {
    /// Right or left.
    pub side: Side,
    /// Which way a left hand's sideways dials count.
    #[serde(skip_serializing_if = "Sideways::is_usual")]
    pub sideways: Sideways,
    /// Wrist to middle fingertip, 20 to 2000 mm. All bones scale with it.
    pub length: Size,
    /// Over the four knuckles, a fifth of the length to all of it. Spacing and widths scale with
    /// it.
    pub breadth: Size,
    /// From the thumb's side to the little finger's.
    #[schemars(length(max = MOST_DIGITS))]
    pub digits: Vec<Digit>,
    /// How far pressing bends its joints past what its own muscles do: from 0, a stiff hand, to 1,
    /// a loose one, as published ranges end.
    #[schemars(range(min = 0, max = 1))]
    #[serde(skip_serializing_if = "is_usual")]
    pub suppleness: f64,
    /// The arm that carries it; left out: the wrist hangs from its control.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub arm: Option<Arm>,
}

fn is_usual(suppleness: &f64) -> bool {
    *suppleness == bones::loaded::SUPPLENESS
}

impl Hand {
    /// The hand of the table itself, without an arm.
    pub fn table() -> Self {
        Self {
            side: Side::Right,
            sideways: Sideways::Mirrored,
            length: Size::Mm(bones::LENGTH),
            breadth: Size::Mm(bones::BREADTH),
            digits: bones::DIGITS.iter().map(Digit::of_table).collect(),
            suppleness: bones::loaded::SUPPLENESS,
            arm: None,
        }
    }
}

impl Default for Hand {
    fn default() -> Self {
        Self::table()
    }
}

/// One digit, as it is in a hand of the table's size: lengths scale with the hand.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Digit {
    /// Start of its joints' names.
    #[schemars(length(max = MOST_DIGIT_NAME))]
    pub name: String,
    /// Opposed to the others: a saddle joint at its base, and one phalanx fewer.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub thumb: bool,
    /// Metacarpal, then phalanges, mm: three for a thumb, four for a finger. None is shorter than
    /// a quarter of the shortest of its kind in the table, or longer than four times the longest.
    pub bones: Vec<f64>,
    /// Soft tissue beyond the last bone, mm: four times the table's at most.
    pub soft_tip: f64,
    /// The metacarpal's base from the wrist's centre: mm towards the fingertips, the thumb's
    /// side and the back of the hand, 200 at most.
    pub base: [f64; 3],
    /// The knuckle's distance to the thumb's side and to the back, mm, 200 at most.
    pub head: [f64; 2],
    /// How far the metacarpal flexes on the carpals, degrees.
    #[serde(default)]
    pub mobile: f64,
}

impl Digit {
    /// Its name as a sentence has it.
    pub fn spoken(&self) -> String {
        spoken(&self.name)
    }

    fn of_table(row: &bones::Digit) -> Self {
        Self {
            name: row.name.to_owned(),
            thumb: row.name == "thumb",
            bones: row.bones.to_vec(),
            soft_tip: row.soft_tip,
            base: row.base,
            head: row.head,
            mobile: row.mobile,
        }
    }
}

/// The arm that carries the hand.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Arm {
    /// Shoulder to elbow, mm beside a hand of the table's size: lengths scale with the hand.
    /// 75 to 1200.
    #[schemars(range(min = 75, max = 1200))]
    pub upper: f64,
    /// Elbow to wrist, mm, 65 to 1040.
    #[schemars(range(min = 65, max = 1040))]
    pub lower: f64,
    /// What part of the wrist's twist the forearm takes over halfway along it.
    #[schemars(range(min = 0, max = 1))]
    pub twist_share: f64,
}

impl Default for Arm {
    /// Assumed, in proportion to the table's hand: no arm is in the tables here.
    fn default() -> Self {
        Self {
            upper: 300.0,
            lower: 260.0,
            twist_share: 0.5,
        }
    }
}

/// What of the hand rests on the surface.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Stance {
    /// The palm low, the digits planted by their pads.
    #[default]
    Flat,
    /// The palm high, the digits planted by their tips.
    Fingertips,
    /// A fist, on its knuckles.
    Fist,
    /// The little finger's side.
    Edge,
}

/// How the hand is planted and where it turns.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Planting {
    /// What rests on the surface.
    pub stance: Stance,
    /// Names of the digits planted. The others keep their relaxed pose. None: the hand only hovers.
    #[schemars(length(max = MOST_DIGITS))]
    pub digits: Vec<String>,
    /// Whether the heel of a flat hand is planted too.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub heel: bool,
    /// Proximal flexion of the planted fingers, degrees, beyond what the stance itself bends them
    /// by, 0 to 60: their slack. A finger planted dead straight has none at all; a fist needs
    /// none.
    #[schemars(range(min = 0, max = 60))]
    pub flexion: f64,
    /// The surface's shape.
    pub surface: Ground,
    /// Where the knuckle pivot is.
    pub pivot: Pivot,
}

/// A surface to be planted on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Ground {
    /// Plane, edge or rail.
    pub form: GroundForm,
    /// Of its rounding or its section, mm. A plane has none.
    pub radius: f64,
    /// Its height in the world, mm.
    pub height: f64,
    /// Its tilt about the hand's side axis, degrees: positive, the fingertips are higher.
    pub tilt: f64,
}

/// The shape of a surface to be planted on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum GroundForm {
    #[default]
    Plane,
    Edge,
    Rail,
}

impl Default for Ground {
    fn default() -> Self {
        Self {
            form: GroundForm::Plane,
            radius: 20.0,
            height: 0.0,
            tilt: 0.0,
        }
    }
}

/// The knuckle pivot against the fitted knuckle axis.
///
/// Where no digit gives way (a fist, an edge) it is the centre of the foremost contact's flesh, and
/// `drop` has no say.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Pivot {
    /// Towards the fingertips, mm: never more than the hand is long.
    pub offset: f64,
    /// Below the axis, mm. Knuckles above their pivot move towards the fingertips as the wrist
    /// rises, which gives the outer fingers slack.
    pub drop: f64,
    /// Turned from the axis about the surface's normal, degrees.
    pub yaw: f64,
}

impl Default for Pivot {
    fn default() -> Self {
        Self {
            offset: 0.0,
            drop: DROP,
            yaw: 0.0,
        }
    }
}

impl Default for Planting {
    fn default() -> Self {
        Self {
            stance: Stance::Flat,
            digits: bones::DIGITS[1..]
                .iter()
                .map(|row| row.name.to_owned())
                .collect(),
            heel: false,
            flexion: bones::PLANTED_FLEXION,
            surface: Ground::default(),
            pivot: Pivot::default(),
        }
    }
}
