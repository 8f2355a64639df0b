//! What no hand can be.
use crate::Measure;
use crate::part::spoken;

/// Why no hand is built from a recipe. Digits are by name; lengths are in mm, turns in degrees.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Impossible {
    /// Of the whole hand.
    Length {
        mm: f64,
        least: f64,
        most: f64,
    },
    /// Broader than long.
    TooBroad {
        breadth: f64,
        length: f64,
    },
    /// Less broad than a fifth of its length.
    TooNarrow {
        breadth: f64,
        length: f64,
    },
    Percentile {
        measure: Measure,
        percent: f64,
    },
    /// A size in mm that is none.
    Size {
        measure: Measure,
        mm: f64,
    },

    NamelessDigit,
    TwoDigitsNamed(String),
    NoFinger,
    BoneCount {
        digit: String,
        thumb: bool,
        count: usize,
        wanted: usize,
    },
    Bone {
        digit: String,
        bone: &'static str,
        mm: f64,
        least: f64,
        most: f64,
    },
    SoftTip {
        digit: String,
        mm: f64,
        most: f64,
    },
    /// A base or a head too far from the wrist.
    Far {
        digit: String,
        mm: f64,
        most: f64,
    },
    /// The metacarpal is shorter than the knuckle is off its base.
    Unspanned {
        digit: String,
        off: f64,
        metacarpal: f64,
    },
    /// How far its metacarpal moves.
    Mobile {
        digit: String,
        degrees: f64,
        most: f64,
    },
    /// The hand's breadth asks for more than the metacarpal can be turned.
    Splay {
        digit: String,
        most: f64,
    },

    ArmBone {
        bone: &'static str,
        mm: f64,
        least: f64,
        most: f64,
    },
    TwistShare(f64),
    Suppleness(f64),

    Flexion {
        degrees: f64,
        most: f64,
    },
    /// Which way, in words.
    PivotAt {
        mm: f64,
        way: &'static str,
    },
    PivotTurn {
        degrees: f64,
        most: f64,
    },
    NoSuchDigit(String),
    PlantedTwice(String),
    /// Of the surface; `least` is a rail's.
    Radius {
        mm: f64,
        least: f64,
        most: f64,
    },
    Height {
        mm: f64,
        most: f64,
    },
    Tilt {
        degrees: f64,
        most: f64,
    },
    /// Only a flat hand has its heel down.
    Heel,
    /// A hand on its edge rests on it.
    EdgeUnplanted {
        digit: String,
    },
    /// Its chain does not come to the surface.
    OutOfReach {
        digit: String,
    },
    /// In this stance it hovers over the surface, or sinks in.
    OffSurface {
        part: String,
    },
    /// Fewer than two knuckles make no axis.
    LoneKnuckle,
    /// The axis through the knuckles could run any way.
    NoRow,
}

impl Impossible {
    /// What is wrong, and what mends it: two clauses without a full stop.
    pub fn explain(&self) -> (String, String) {
        use Impossible::*;
        match self {
            Length { mm, least, most } => say(
                format!("its length would be {mm:.1} mm"),
                format!(
                    "give it {least} to {most} mm, from the wrist to the tip of the middle finger"
                ),
            ),
            TooBroad { breadth, length } => say(
                format!("its breadth, {breadth:.1} mm, is greater than its length, {length:.1} mm"),
                "make it longer or narrower",
            ),
            TooNarrow { breadth, length } => say(
                format!(
                    "its breadth, {breadth:.1} mm, is less than a fifth of its length, {length:.1} mm"
                ),
                "make it shorter or broader",
            ),
            Percentile { measure, percent } => say(
                format!(
                    "its {} is asked for at percentile {percent}",
                    measure.name()
                ),
                "ask for one between 0 and 100, both excluded",
            ),
            Size { measure, mm } => say(
                format!("its {} is {mm} mm", measure.name()),
                "give it a length greater than 0",
            ),
            NamelessDigit => say("one of its digits has no name", "give it one"),
            TwoDigitsNamed(name) => say(
                format!("two of its digits are named '{name}'"),
                "rename one of them",
            ),
            NoFinger => say(
                "it has no finger",
                "give it at least one digit that is not a thumb",
            ),
            BoneCount {
                digit,
                thumb,
                count,
                wanted,
            } => say(
                format!(
                    "its {} has {count} bones, and a {} has {wanted}",
                    spoken(digit),
                    if *thumb { "thumb" } else { "finger" }
                ),
                "list its metacarpal and its phalanges, from the wrist outward",
            ),
            Bone {
                digit,
                bone,
                mm,
                least,
                most,
            } => say(
                format!("a bone of its {} is {mm} mm long", spoken(digit)),
                format!("give its {bone} {least:.1} to {most:.1} mm"),
            ),
            SoftTip { digit, mm, most } => say(
                format!("the soft tip of its {} is {mm} mm", spoken(digit)),
                format!("give it 0 to {most:.1} mm"),
            ),
            Far { digit, mm, most } => say(
                format!("its {} starts or ends at {mm} mm", spoken(digit)),
                format!("give places within {most} mm of the wrist"),
            ),
            Unspanned {
                digit,
                off,
                metacarpal,
            } => say(
                format!(
                    "the knuckle of its {} is {off:.1} mm above or below its base, which a \
                     metacarpal of {metacarpal} mm does not span",
                    spoken(digit)
                ),
                "make the metacarpal longer, or bring knuckle and base to one height",
            ),
            Mobile {
                digit,
                degrees,
                most,
            } => say(
                format!(
                    "the metacarpal of its {} moves by {degrees}°",
                    spoken(digit)
                ),
                format!("give it 0 to {most}°"),
            ),
            Splay { digit, most } => say(
                format!(
                    "at that breadth the {} would leave the wrist at more than {most:.0}° to the others",
                    spoken(digit)
                ),
                "make the hand longer or narrower, its metacarpal longer, or bring knuckle and \
                 base nearer",
            ),
            ArmBone {
                bone,
                mm,
                least,
                most,
            } => say(
                format!("its {bone} is {mm} mm long"),
                format!("give it {least:.0} to {most:.0} mm"),
            ),
            TwistShare(share) => say(
                format!("its forearm takes over {share} of the wrist's twist"),
                "give it a part from 0 to 1",
            ),
            Suppleness(part) => say(
                format!("its suppleness is {part}"),
                "give it a part from 0, stiff, to 1, loose",
            ),
            Flexion { degrees, most } => say(
                format!("its fingers are to be planted with a flexion of {degrees}°"),
                format!("give them 0 to {most}°, best 10 to 20"),
            ),
            PivotAt { mm, way } => say(
                format!("its pivot is to lie {mm} mm {way}"),
                "give it a few mm, and never more than the hand is long",
            ),
            PivotTurn { degrees, most } => say(
                format!("its pivot is to be turned by {degrees}°"),
                format!("turn it by {most}° at most"),
            ),
            NoSuchDigit(name) => say(
                format!("'{name}' is to be planted, and the hand has no such digit"),
                "name one of its digits, or add one of that name",
            ),
            PlantedTwice(name) => say(format!("'{name}' is to be planted twice"), "name it once"),
            Radius { mm, least, most } => say(
                format!("the surface's radius is {mm} mm"),
                format!("give an edge 0 to {most} mm, a rail {least} to {most}"),
            ),
            Height { mm, most } => say(
                format!("the surface is {mm} mm high"),
                format!("give it a height within {most} mm"),
            ),
            Tilt { degrees, most } => say(
                format!("the surface is tilted by {degrees}°"),
                format!("tilt it by {most}° at most"),
            ),
            Heel => say(
                "its heel is to be planted, which only a flat hand can",
                "leave the heel, or lay the hand flat",
            ),
            EdgeUnplanted { digit } => say(
                format!(
                    "on its edge the hand rests on its {}, which is not to be planted",
                    spoken(digit)
                ),
                "plant it, or choose another stance",
            ),
            OutOfReach { digit } => say(
                format!("its {} does not come to the surface", spoken(digit)),
                "leave that digit unplanted, lengthen it, or choose another stance or surface",
            ),
            OffSurface { part } => say(
                format!("its {} does not come to the surface", spoken(part)),
                "plant it on a plane, or lay it flat round this surface",
            ),
            LoneKnuckle => say(
                "fewer than two knuckles are planted, which makes no axis",
                "plant another finger",
            ),
            NoRow => say(
                "the planted knuckles lie in no row: their axis could run any way",
                "plant another finger, or move a knuckle",
            ),
        }
    }
}

fn say(what: impl Into<String>, mend: impl Into<String>) -> (String, String) {
    (what.into(), mend.into())
}
