//! What a node of a hand is and what a dial of one does, apart from their names, which are labels
//! that a user may change.
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What of a hand a node is.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Part {
    /// The joint that carries the palm.
    Wrist,
    /// What carries the surface pressed on, and with it all controls and plants.
    Surface,
    /// A pivot of the press.
    Pivot(Press),
    /// What every pivot carries in the end, and the wrist follows.
    WristTarget,
    /// What is dragged to turn a pivot.
    Handle(Handle),
    /// The heel's contact.
    Heel,
    /// Of the arm that carries the hand.
    Arm(ArmPart),
    /// Of a digit, by the digit's name in the recipe.
    Digit(String, DigitPart),
}

/// The pivots of a press, outermost first.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Press {
    Twist,
    Tips,
    InnerEdge,
    OuterEdge,
    Heel,
    Knuckles,
}

impl Press {
    /// All of them, outermost first.
    pub const ALL: [Self; 6] = [
        Self::Twist,
        Self::Tips,
        Self::InnerEdge,
        Self::OuterEdge,
        Self::Heel,
        Self::Knuckles,
    ];

    /// What its node is called when it is built.
    pub fn name(self) -> &'static str {
        match self {
            Self::Twist => "twist",
            Self::Tips => "tips",
            Self::InnerEdge => "inner edge",
            Self::OuterEdge => "outer edge",
            Self::Heel => "heel",
            Self::Knuckles => "knuckles",
        }
    }
}

/// What is dragged.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Handle {
    Roll,
    Lean,
    Twist,
}

/// A part of the arm.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum ArmPart {
    /// The mount the arm hangs from.
    Shoulder,
    /// The mount that swings the elbow.
    ElbowSwing,
    /// The mount the elbow leans towards.
    ElbowPole,
    /// The joint at the shoulder.
    UpperArm,
    /// The joint at the elbow.
    LowerArm,
    /// The joint halfway down the lower arm, which shares the wrist's twist.
    Forearm,
}

/// A part of a digit.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum DigitPart {
    /// The joint at the metacarpal's base.
    Metacarpal,
    /// The joint at the knuckle: of the proximal phalanx.
    PhalanxProximal,
    /// The joint of the intermediate phalanx, which a thumb has not.
    PhalanxIntermediate,
    /// The joint of the distal phalanx.
    PhalanxDistal,
    /// The end of the bone.
    Tip,
    /// The pad's contact.
    Pad,
    /// The contact at the very end.
    TipContact,
    /// What it is held to.
    Plant,
}

impl DigitPart {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Metacarpal,
        Self::PhalanxProximal,
        Self::PhalanxIntermediate,
        Self::PhalanxDistal,
        Self::Tip,
        Self::Pad,
        Self::TipContact,
        Self::Plant,
    ];

    /// How its node's name ends when it is built.
    pub fn name(self) -> &'static str {
        match self {
            Self::Metacarpal => "metacarpal",
            Self::PhalanxProximal => "phalanx-proximal",
            Self::PhalanxIntermediate => "phalanx-intermediate",
            Self::PhalanxDistal => "phalanx-distal",
            Self::Tip => "tip",
            Self::Pad => "pad",
            Self::TipContact => "tip-contact",
            Self::Plant => "plant",
        }
    }
}

impl Part {
    /// A digit's.
    pub fn of(digit: &str, part: DigitPart) -> Self {
        Self::Digit(digit.to_owned(), part)
    }

    /// The digit it belongs to.
    pub fn digit(&self) -> Option<&str> {
        match self {
            Self::Digit(name, _) => Some(name),
            _ => None,
        }
    }
}

/// About which of its axes a joint turns.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Bend {
    /// About z: flexion positive.
    Flexion,
    /// About x: abduction; deviation of a wrist.
    Spread,
    /// About y: along the bone.
    Twist,
}

impl Bend {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Flexion, Self::Spread, Self::Twist];
}

/// What a dial of a hand does.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum DialRole {
    /// Raises the palm about the knuckles.
    Lift,
    /// Rolls over heel, knuckles and tips in turn.
    Roll,
    /// Leans to the sides.
    Lean,
    /// Twists about the surface's normal.
    Twist,
    /// The raw angle of one pivot.
    Raw(Press),
    /// Moves the surface up.
    SurfaceHeight,
    /// Moves the surface forwards.
    SurfaceTravel,
    /// Tilts the surface.
    SurfaceTilt,
    /// Lets a digit go, by the digit's name in the recipe.
    Release(String),
    /// Loads the last joints of all planted fingers.
    CollapseAll,
    /// Loads that of one finger.
    Collapse(String),
    /// Bends the fingers from flat to relaxed.
    RestFlexion,
    /// Closes the fingers.
    Curl,
    /// Closes one finger, by its name in the recipe.
    CurlOf(String),
    /// Spreads the fingers.
    Spread,
    /// Spreads one finger.
    SpreadOf(String),
    /// Bends the fingers' middle and last joints, and opens their knuckles.
    Claw,
    /// Does so to one finger.
    ClawOf(String),
    /// Closes the fingers in turn, the little one first; negative, the first finger first.
    Fan,
    /// Takes the relaxed fingers to tense ones.
    Tension,
    /// Swings the thumb before the palm, and turns it towards the fingers.
    Opposition,
    /// Spreads the thumb off the palm's side.
    ThumbSpread,
    /// Closes the thumb.
    ThumbCurl,
    /// Raises the carpal arch.
    Arch,
    /// Turns the wrist about one of its axes, whatever carries it.
    Wrist(Bend),
    /// One joint of a digit, about one of its axes: added last.
    Joint(String, DigitPart, Bend),
    /// Moves the shoulder forwards.
    ShoulderForward,
    /// Moves the shoulder up.
    ShoulderUp,
    /// Swings the elbow out.
    ElbowSwing,
}

/// A part's or a digit's name as a sentence has it. Open standards call the little finger by another
/// word; on screen it has one name.
pub fn spoken(name: &str) -> String {
    name.replace('-', " ").replace("pinky", "little")
}
