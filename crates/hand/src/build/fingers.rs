//! The dials that shape a hand's own joints: all fingers at once, one finger, and every joint by
//! itself, which is added last. Positive closes, spreads or turns as its name says.
use super::make::{dial, id, turn};
use super::skeleton::FLATTENING;
use recipe::bones::{self, range};
use recipe::{Bend, DialRole, Digit, DigitPart, Hand};
use rig::*;

/// Degrees of the opposed thumb: before the palm, and turned about its own bone towards the fingers.
/// Chosen here so that with the turn it is built with a line across its head stands to the backs
/// of the second and third metacarpals as ten people's did (110°, SD 7°, opposed to the little
/// finger: metacarpal-ct-2006): from 71° to 115°, of which the swing itself makes 33°. Turned by
/// 35° it would stand at 122°.
const OPPOSED: [f64; 2] = [-40.0, 22.0];
/// The percent of a curl at which the thumb has swung out before the palm, and begins to close: the
/// fingertips pass under it meanwhile. Chosen here: with the thumb setting out only then it went
/// through the index finger by 4 mm.
const THUMB_FOLLOWS: f64 = 75.0;
/// How far the relaxed hand can be closed, degrees of the middle finger's middle joint. Chosen
/// here.
const MOST_RELAXED: f64 = 60.0;
/// How far curl and claw open a finger, percent.
const OPENS: f64 = -40.0;
/// Degrees by which a spread finger leaves the flat hand's, by its knuckle's place across the hand
/// (see [`Digit::head`]). Chosen here; with what the flat hand's fingers already stand apart, no two
/// are farther apart than 51 young adults spread theirs (chatzioglou-2024: 17.2, 14.3 and 32.1°).
const SPREAD: [(f64, f64); 4] = [(26.8, -12.0), (6.9, -2.0), (-13.6, 7.0), (-31.8, 20.0)];
/// A finger bent at the knuckle by this many degrees spreads by this part only: an examiner's text
/// has none at 90° and less in proportion between, a study some laxity there (15 of 24°).
const SPREAD_FADES: (f64, f64) = (90.0, 0.2);
/// Degrees of a clawed finger's knuckle, middle and last joint. Chosen here.
const CLAW: [f64; 3] = [-20.0, 60.0, 40.0];
/// Degrees by which a fan curls the fingers on one side of the hand and opens those on the other.
/// Chosen here.
const FAN: [f64; 3] = [25.0, 30.0, 15.0];
/// Degrees of a tense finger's joints, whatever it was relaxed, and the part of the spread it
/// takes. Chosen here.
const TENSE: [f64; 3] = [-15.0, 25.0, 10.0];
const TENSE_SPREAD: f64 = 0.4;
/// Degrees of the closed thumb's base, middle and last joint. Chosen here.
const THUMB_CURLED: [f64; 3] = [12.0, 45.0, 65.0];
/// Degrees by which the thumb's base extends, spread to the side: with the flat hand's 40° of its
/// metacarpal to the palm. All that its range has.
const THUMB_SPREAD: f64 = -20.0;
/// How far the thumb's base can be turned about its bone, degrees: it has no muscle of its own for
/// it, so no range. Chosen here about what opposition and a fist turn it by.
const THUMB_TURNS: (f64, f64) = (-30.0, 40.0);

/// A finger's joints, from the knuckle on.
pub(super) const FLEXES: [&str; 3] = ["phalanx-proximal", "phalanx-intermediate", "phalanx-distal"];

/// How a digit is bent in a fist: degrees of its knuckle (a thumb: of its base, across, about itself
/// and in), and of the two hinges after it. Chosen here: the thumb's so that it lies over the middle
/// phalanges of index and middle finger, its tip on the latter, and on the way there passes through
/// none (sought by trial within the ranges of its own muscles, over when it sets out too).
pub(super) fn fist(digit: &Digit) -> Vec<(&'static str, Channel, f64)> {
    use Channel::{TurnX, TurnY, TurnZ};
    if digit.thumb {
        vec![
            ("metacarpal", TurnX, -58.0),
            ("metacarpal", TurnY, 27.5),
            ("metacarpal", TurnZ, 15.0),
            ("phalanx-proximal", TurnZ, 49.0),
            ("phalanx-distal", TurnZ, 30.5),
        ]
    } else {
        flexed([80.0, 98.0, 62.0])
    }
}

fn flexed(angles: [f64; 3]) -> Vec<(&'static str, Channel, f64)> {
    let joints = FLEXES.into_iter().zip(angles);
    joints
        .map(|(joint, angle)| (joint, Channel::TurnZ, angle))
        .collect()
}

/// A value told at places across the hand, at another: on straight lines between them, and beyond
/// the outermost theirs.
fn across(table: &[(f64, f64)], at: f64) -> f64 {
    // Written so that a NaN has an answer too.
    if at.is_nan() || at >= table[0].0 {
        return table[0].1;
    }
    for pair in table.windows(2) {
        let [(near, from), (far, to)] = [pair[0], pair[1]];
        if at >= far {
            return from + (near - at) / (near - far) * (to - from);
        }
    }
    table[table.len() - 1].1
}

/// The makers of one hand's dials.
struct Dials<'a> {
    document: &'a mut Document,
    hand: &'a Hand,
}

impl Dials<'_> {
    fn node(&self, digit: &Digit, part: &str) -> NodeId {
        id(self.document, &format!("{}-{part}", digit.name))
    }

    /// Drives of one digit's joints by a dial in percent.
    fn percent(&self, digit: &Digit, of: &[(&'static str, Channel, f64)]) -> Vec<Drive> {
        let drives = of.iter().filter(|(.., angle)| *angle != 0.0);
        let drive = |(joint, channel, angle): &(&str, Channel, f64)| {
            turn(self.node(digit, joint), *channel, angle / 100.0)
        };
        drives.map(drive).collect()
    }

    fn add(&mut self, name: &str, range: (f64, f64), drives: Vec<Drive>) {
        if !drives.is_empty() {
            dial(self.document, name, range, drives).unit = Unit::Percent;
        }
    }

    /// One dial for all fingers, and, where it is named so, one for each.
    fn fingers(
        &mut self,
        name: &str,
        range: (f64, f64),
        bent: impl Fn(&Digit) -> Vec<(&'static str, Channel, f64)>,
    ) {
        let fingers = self.hand.digits.iter().filter(|digit| !digit.thumb);
        let drives = fingers.flat_map(|digit| self.percent(digit, &bent(digit)));
        let drives = drives.collect();
        self.add(name, range, drives);
    }

    fn each(
        &mut self,
        name: &str,
        range: (f64, f64),
        bent: impl Fn(&Digit) -> Vec<(&'static str, Channel, f64)>,
    ) {
        for digit in self.hand.digits.iter().filter(|digit| !digit.thumb) {
            let drives = self.percent(digit, &bent(digit));
            self.add(&format!("{name} {}", digit.name), range, drives);
        }
    }

    fn thumbs(&mut self, name: &str, range: (f64, f64), bent: &[(&'static str, Channel, f64)]) {
        let thumbs = self.hand.digits.iter().filter(|digit| digit.thumb);
        let drives = thumbs.flat_map(|digit| self.percent(digit, bent));
        let drives = drives.collect();
        self.add(name, range, drives);
    }
}

fn spread(digit: &Digit) -> f64 {
    across(&SPREAD, digit.head[0])
}

fn spreads(digit: &Digit) -> Vec<(&'static str, Channel, f64)> {
    vec![(FLEXES[0], Channel::TurnX, spread(digit))]
}

fn claws(_: &Digit) -> Vec<(&'static str, Channel, f64)> {
    flexed(CLAW)
}

/// The dials of all fingers: the arch of the palm, the fingers' flexion at rest (from flat at 0 to
/// relaxed), how far they are curled to a fist, its knuckles as `knuckle` says, and how far the
/// thumb opposes; spread, claw, fan and tension; the thumb's own.
pub(super) fn add_shapes(
    document: &mut Document,
    hand: &Hand,
    knuckle: impl Fn(&Digit) -> Option<f64>,
) {
    let mut dials = Dials { document, hand };
    let mobile = hand.digits.iter().map(|digit| digit.mobile);
    let most = mobile.fold(0.0, |most, here| if here > most { here } else { most });
    if most > 0.0 {
        let digits = hand.digits.iter().filter(|digit| digit.mobile > 0.0);
        let drives = digits.map(|digit| {
            let bone = dials.node(digit, "metacarpal");
            turn(bone, Channel::TurnZ, digit.mobile / most)
        });
        let drives = drives.collect();
        dial(dials.document, "arch", (-FLATTENING * most, most), drives);
    }
    let mut drives = Vec::new();
    for digit in hand.digits.iter().filter(|digit| !digit.thumb) {
        for (joint, flexion) in FLEXES.into_iter().zip(bones::relaxed(digit.head[0])) {
            let gain = flexion / bones::REST_FLEXION;
            drives.push(turn(dials.node(digit, joint), Channel::TurnZ, gain));
        }
    }
    let relaxed = dial(dials.document, "rest flexion", (0.0, MOST_RELAXED), drives).id;
    dials.document.set_value(relaxed, bones::REST_FLEXION);
    let mut drives = Vec::new();
    for digit in &hand.digits {
        for (joint, channel, angle) in fist(digit) {
            let angle = match knuckle(digit) {
                Some(own) if joint == FLEXES[0] => own,
                _ => angle,
            };
            let node = dials.node(digit, joint);
            let mut add = |over: f64, ramp| {
                let drive = turn(node, channel, angle / over);
                drives.push(Drive { ramp, ..drive });
            };
            let past = Ramp::RisingPast(THUMB_FOLLOWS);
            if !digit.thumb {
                add(100.0, Ramp::Whole);
            } else if channel == Channel::TurnZ {
                add(100.0 - THUMB_FOLLOWS, past);
            } else {
                // All of it by then, and no more from there on.
                add(THUMB_FOLLOWS, Ramp::Rising);
                add(0.0 - THUMB_FOLLOWS, past);
            }
        }
    }
    dials.add("curl", (OPENS, 100.0), drives);
    let [before, turned] = OPPOSED;
    let opposed = [
        ("metacarpal", Channel::TurnX, before),
        ("metacarpal", Channel::TurnY, turned),
    ];
    dials.thumbs("opposition", (0.0, 100.0), &opposed);
    dials.fingers("spread", (-100.0, 100.0), spreads);
    dials.fingers("claw", (OPENS, 100.0), claws);
    dials.fingers("fan", (-100.0, 100.0), |digit| {
        // From the outermost finger on the thumb's side to the outermost on the other.
        let part = across(&[(SPREAD[0].0, -1.0), (SPREAD[3].0, 1.0)], digit.head[0]);
        flexed(FAN.map(|angle| part * angle))
    });
    dials.fingers("tension", (0.0, 100.0), |digit| {
        let relaxed = bones::relaxed(digit.head[0]);
        let mut bent = flexed([0, 1, 2].map(|joint| TENSE[joint] - relaxed[joint]));
        bent.push((FLEXES[0], Channel::TurnX, TENSE_SPREAD * spread(digit)));
        bent
    });
    let aside = [("metacarpal", Channel::TurnZ, THUMB_SPREAD)];
    dials.thumbs("thumb spread", (-50.0, 100.0), &aside);
    let [base, middle, last] = THUMB_CURLED;
    let curled = [
        ("metacarpal", Channel::TurnZ, base),
        (FLEXES[0], Channel::TurnZ, middle),
        (FLEXES[2], Channel::TurnZ, last),
    ];
    dials.thumbs("thumb curl", (-20.0, 100.0), &curled);
}

/// The dials of one finger, of the wrist and of every joint; and what follows from how a joint
/// stands: a bent knuckle spreads less, and relaxed fingers follow the wrist as the tendons that
/// run over it make them. They come after all others, so that they are added last.
pub(super) fn add_joints(document: &mut Document, hand: &Hand) {
    let mut dials = Dials { document, hand };
    // Down to what takes a whole curl of all fingers back.
    dials.each("curl", (-100.0, 100.0), fist);
    dials.each("spread", (-100.0, 100.0), spreads);
    dials.each("claw", (OPENS, 100.0), claws);
    wrist(dials.document, hand);
    for digit in &hand.digits {
        joints(dials.document, digit);
    }
    for digit in hand.digits.iter().filter(|digit| !digit.thumb) {
        let (until, left) = SPREAD_FADES;
        let node = id(dials.document, &format!("{}-{}", digit.name, FLEXES[0]));
        dials.document.links.push(Link {
            node,
            channel: Channel::TurnX,
            share: Share::Fading {
                by: Channel::TurnZ,
                until,
                left,
            },
            to: Vec::new(),
        });
    }
}

/// The wrist turns on what carries it; an arm's is held to its target, which turns instead.
fn wrist(document: &mut Document, hand: &Hand) {
    let held = document
        .node_named("wrist target")
        .filter(|_| hand.arm.is_some());
    let node = held.map_or_else(|| id(document, "wrist"), |target| target.id);
    for (bend, limits) in [
        (Bend::Flexion, range::WRIST_FLEXION),
        (Bend::Spread, range::WRIST_DEVIATION),
        (Bend::Twist, range::FOREARM),
    ] {
        let name = name(&DialRole::Wrist(bend)).expect("a wrist's dial has a name");
        dial(
            document,
            &name,
            limits,
            vec![turn(node, channel(bend), 1.0)],
        );
    }
    let mut to = Vec::new();
    for digit in hand.digits.iter().filter(|digit| !digit.thumb) {
        for (joint, gain) in FLEXES.into_iter().zip(bones::FOLLOWS_WRIST) {
            to.push(Passed {
                node: id(document, &format!("{}-{joint}", digit.name)),
                channel: Channel::TurnZ,
                gain: 0.0 - gain,
            });
        }
    }
    if !to.is_empty() {
        document.links.push(Link {
            node,
            channel: Channel::TurnZ,
            share: Share::All { from: 0.0 },
            to,
        });
    }
}

/// Every way a digit's joints turn, its own dial from one end of it to the other: what the others
/// made of the joint can be taken back whole.
fn joints(document: &mut Document, digit: &Digit) {
    for part in DigitPart::ALL {
        for bend in Bend::ALL {
            let node = document.node_named(&format!("{}-{}", digit.name, part.name()));
            let Some(node) = node else { continue };
            let role = DialRole::Joint(digit.name.clone(), part, bend);
            let Some(name) = name(&role).filter(|_| node.kind == Kind::Joint) else {
                continue;
            };
            let node_id = node.id;
            let turns_about = digit.thumb && part == DigitPart::Metacarpal && bend == Bend::Twist;
            let range = match node.limits[channel(bend).index()] {
                _ if turns_about => THUMB_TURNS,
                Some((min, max)) if min < max => (min - max, max - min),
                _ => continue,
            };
            dial(
                document,
                &name,
                range,
                vec![turn(node_id, channel(bend), 1.0)],
            );
        }
    }
}

/// The channel of a joint that turns so.
pub(crate) fn channel(bend: Bend) -> Channel {
    match bend {
        Bend::Flexion => Channel::TurnZ,
        Bend::Spread => Channel::TurnX,
        Bend::Twist => Channel::TurnY,
    }
}

/// What the dial of one joint or of the wrist is called when it is built.
pub(crate) fn name(role: &DialRole) -> Option<String> {
    let (digit, part, bend) = match role {
        DialRole::Wrist(Bend::Flexion) => return Some("wrist flexion".to_owned()),
        DialRole::Wrist(Bend::Spread) => return Some("wrist deviation".to_owned()),
        DialRole::Wrist(Bend::Twist) => return Some("wrist twist".to_owned()),
        DialRole::Joint(digit, part, bend) => (digit, *part, *bend),
        _ => return None,
    };
    let joint = match part {
        DigitPart::Metacarpal => "base",
        DigitPart::PhalanxProximal => "knuckle",
        DigitPart::PhalanxIntermediate => "middle joint",
        DigitPart::PhalanxDistal => "last joint",
        _ => return None,
    };
    let turn = match bend {
        // A hinge turns one way only.
        Bend::Flexion
            if matches!(
                part,
                DigitPart::PhalanxIntermediate | DigitPart::PhalanxDistal
            ) =>
        {
            return Some(format!("{digit} {joint}"));
        }
        Bend::Flexion => "flexion",
        Bend::Spread => "spread",
        Bend::Twist => "turn",
    };
    Some(format!("{digit} {joint} {turn}"))
}
