//! A hand's joints, turned one by one: whose dials the desk shows, and what a joint's angle is made up of.
use crate::desk::called;
use crate::face::Group;
use crate::strip::digits;
use recipe::{Bend, DialRole, DigitPart};
use rig::few;
use rig::{Channel, Dial, DialId, Document, NodeId, Part, Posed, Share, Shared};

/// What a tip is pulled by at most.
pub(crate) const PULLED_BY: usize = 4;
/// A digit's joints, from its base.
const JOINTS: [DigitPart; 4] = [
    DigitPart::Metacarpal,
    DigitPart::PhalanxProximal,
    DigitPart::PhalanxIntermediate,
    DigitPart::PhalanxDistal,
];

pub(crate) fn joint(part: DigitPart) -> &'static str {
    match part {
        DigitPart::Metacarpal => "base",
        DigitPart::PhalanxProximal => "knuckle",
        DigitPart::PhalanxIntermediate => "middle joint",
        _ => "last joint",
    }
}

/// The dial that turns one joint alone.
pub(crate) fn own(document: &Document, digit: &str, part: DigitPart, bend: Bend) -> Option<DialId> {
    let role = DialRole::Joint(digit.to_owned(), part, bend);
    Some(document.role(&role)?.id)
}

/// Of which digit a dial is, if of one.
fn digit_of(dial: &Dial) -> Option<&str> {
    match dial.role.as_ref()? {
        DialRole::Joint(digit, ..)
        | DialRole::CurlOf(digit)
        | DialRole::SpreadOf(digit)
        | DialRole::ClawOf(digit)
        | DialRole::Collapse(digit) => Some(digit),
        _ => None,
    }
}

/// The dials that turn a digit, or all of them at once. A thumb has those besides that no other
/// digit has.
pub fn dials(document: &Document, whom: Option<&str>) -> Vec<DialId> {
    let recipe = document.hand.iter().flat_map(|recipe| &recipe.hand.digits);
    let mut thumbs = recipe.filter(|digit| digit.thumb);
    let thumb = whom.is_some_and(|whom| thumbs.any(|digit| digit.name == whom));
    let mine = |dial: &&Shared<Dial>| match (digit_of(dial), whom) {
        (of, Some(whom)) if of == Some(whom) => true,
        (None, None) => Group::of(document, dial) == Group::Fingers,
        (None, Some(_)) => {
            let roles = [
                DialRole::Opposition,
                DialRole::ThumbSpread,
                DialRole::ThumbCurl,
            ];
            thumb && dial.role.as_ref().is_some_and(|role| roles.contains(role))
        }
        _ => false,
    };
    let all = document.dials.iter().filter(mine);
    let mut all: Vec<_> = all.map(|dial| (rank(dial), dial.id)).collect();
    few::sort(&mut all, |a, b| a.0.cmp(&b.0));
    all.into_iter().map(|(_, id)| id).collect()
}

/// What shapes a hand most comes first; the rest as the document has it.
fn rank(dial: &Dial) -> usize {
    const FIRST: [DialRole; 9] = [
        DialRole::Curl,
        DialRole::Spread,
        DialRole::Opposition,
        DialRole::ThumbSpread,
        DialRole::ThumbCurl,
        DialRole::Claw,
        DialRole::Fan,
        DialRole::Tension,
        DialRole::RestFlexion,
    ];
    let role = dial.role.as_ref();
    let at = FIRST.iter().position(|first| Some(first) == role);
    at.unwrap_or(FIRST.len())
}

/// One joint of a digit, chosen on the plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Chosen {
    pub node: NodeId,
    /// 'index finger, middle joint'.
    pub name: String,
    /// Its own dials.
    pub dials: Vec<DialId>,
}

/// The joint that this node is; none if it is no joint of a digit.
pub fn chosen(document: &Document, node: NodeId) -> Option<Chosen> {
    let Some(Part::Digit(digit, part)) = &document.node(node)?.part else {
        return None;
    };
    let turn = |part, bends: &[Bend]| -> Vec<DialId> {
        let own = |bend: &Bend| own(document, digit, part, *bend);
        bends.iter().filter_map(own).collect()
    };
    let (word, dials) = match part {
        // It has no joint: it is pulled by those before it.
        DigitPart::Tip => {
            let before = |part: &DigitPart| turn(*part, &[Bend::Spread, Bend::Flexion]);
            let mut all: Vec<_> = JOINTS.iter().flat_map(before).collect();
            let dials = all.split_off(all.len().saturating_sub(PULLED_BY));
            ("tip", dials)
        }
        part => (joint(*part), turn(*part, &Bend::ALL)),
    };
    (!dials.is_empty()).then(|| Chosen {
        node,
        name: format!("{}, {word}", recipe::spoken(digit)),
        dials,
    })
}

/// What a joint's angles are made up of: a sentence for each way it turns by a dial of its own.
pub fn told(posed: &Posed, chosen: &Chosen) -> Vec<(String, String)> {
    let document = posed.document();
    let told = |id: &DialId| {
        let Some(DialRole::Joint(digit, part, bend)) = &document.dial(*id)?.role else {
            return None;
        };
        let (word, channel) = match bend {
            Bend::Flexion => ("flexion", Channel::TurnZ),
            Bend::Spread => ("spread", Channel::TurnX),
            Bend::Twist => ("turn", Channel::TurnY),
        };
        let node = document.part(&Part::of(digit, *part))?.id;
        let of = match node == chosen.node {
            true => word.to_owned(),
            false => format!("{}, {word}", joint(*part)),
        };
        Some((of, sentence(posed, node, channel)))
    };
    chosen.dials.iter().filter_map(told).collect()
}

/// To a tenth; what rounds to nothing is none.
fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0 + 0.0
}

fn sentence(posed: &Posed, node: NodeId, channel: Channel) -> String {
    let document = posed.document();
    let makeup = posed.makeup(node, channel);
    let mut adds: Vec<(String, f64)> = Vec::new();
    for &(dial, by) in &makeup.dials {
        adds.extend(document.dial(dial).map(|dial| (word(dial), by)));
    }
    for &(link, by) in &makeup.brought {
        let from = document.links.get(link).and_then(|l| document.node(l.node));
        let from = from.map_or_else(String::new, |node| recipe::spoken(&node.name));
        adds.push((format!("following the {from}"), by));
    }
    let mut sum = String::new();
    for (word, by) in adds {
        let by = tenth(by);
        if by != 0.0 {
            let sign = match (sum.is_empty(), by < 0.0) {
                (true, false) => "",
                (true, true) => "−",
                (false, false) => " + ",
                (false, true) => " − ",
            };
            sum += &format!("{sign}{word} {:.1}", libm::fabs(by));
        }
    }
    if sum.is_empty() {
        sum = "nothing turns it".to_owned();
    }
    let mut said = format!("{:.1}° = {sum}", tenth(makeup.stands()));
    let fades = document.links.iter().any(|link| {
        link.node == node && link.channel == channel && matches!(link.share, Share::Fading { .. })
    });
    let parted = if fades {
        "its bend"
    } else {
        "what it passes on"
    };
    let mut took = |who: &str, by: f64, always: bool| {
        let by = tenth(by);
        if by != 0.0 || always {
            // What is taken brings it nearer to straight, or past it.
            said += &format!("; {who} took {by:.1}").replace('-', "−");
        }
    };
    took(parted, makeup.parted, false);
    took("its limit", makeup.limit, false);
    took("contact", 0.0 - makeup.contact, is_held(posed, node));
    said + "."
}

/// Whether what it belongs to is down.
pub fn is_held(posed: &Posed, node: NodeId) -> bool {
    let document = posed.document();
    let part = document.node(node).and_then(|node| node.part.as_ref());
    let Some(digit) = part.and_then(Part::digit) else {
        return false;
    };
    let mut all = digits(document).into_iter();
    let anchor = all.find(|of| of.name == digit).and_then(|of| of.anchor);
    anchor.is_some_and(|anchor| posed.hold(anchor) > 0.0)
}

/// What a dial adds, in a word or two.
fn word(dial: &Dial) -> String {
    let word = match &dial.role {
        Some(DialRole::RestFlexion) => "relaxed",
        Some(DialRole::CurlOf(_)) => "its finger's curl",
        Some(DialRole::SpreadOf(_)) => "its finger's spread",
        Some(DialRole::ClawOf(_)) => "its finger's claw",
        Some(DialRole::Joint(..)) => "by itself",
        _ => return called(dial),
    };
    word.to_owned()
}

/// What puts its own dials back.
pub fn set_back(document: &Document, chosen: &Chosen) -> Vec<(DialId, f64)> {
    let neutral = |id: &DialId| Some((*id, document.dial(*id)?.neutral));
    chosen.dials.iter().filter_map(neutral).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn posed() -> Posed {
        let text = include_str!("../../../examples/bench-press.hand.json");
        Posed::new(&hand::read(text).expect("a good example")).expect("checked")
    }

    fn turn(posed: &mut Posed, role: &DialRole, to: f64) {
        let dial = posed.rig().role(role).expect("it has one").id;
        posed.set_dial(dial, to);
        posed.evaluate();
    }

    /// Every dial of the fingers has a place, and none stands under a finger that is not its own.
    #[test]
    fn every_finger_dial_is_found() {
        let posed = posed();
        let document = posed.document();
        let mut found = dials(document, None);
        let all = found.len();
        for digit in digits(document) {
            let mine = dials(document, Some(&digit.name));
            for id in &mine {
                let dial = document.dial(*id).expect("its own");
                assert!(digit_of(dial).is_none_or(|of| of == digit.name));
            }
            found.extend(mine);
        }
        for dial in &document.dials {
            let fingers = Group::of(document, dial) == Group::Fingers;
            assert_eq!(fingers, found.contains(&dial.id), "{}", dial.name);
        }
        for role in [
            DialRole::Curl,
            DialRole::RestFlexion,
            DialRole::Wrist(Bend::Twist),
            DialRole::CollapseAll,
        ] {
            let id = document.role(&role).expect("it has one").id;
            assert!(found[..all].contains(&id), "{role:?}");
        }
    }

    /// What is told is what is measured of the pose, not what was asked.
    #[test]
    fn a_joint_s_angle_is_made_up() {
        let mut posed = posed();
        let index = || "index-finger".to_owned();
        turn(&mut posed, &DialRole::Release(index()), 100.0);
        let own = DialRole::Joint(index(), DigitPart::PhalanxIntermediate, Bend::Flexion);
        turn(&mut posed, &own, 6.0);
        let part = Part::of("index-finger", DigitPart::PhalanxIntermediate);
        let node = posed.rig().part(&part).expect("it has one").id;
        let joint = chosen(posed.document(), node).expect("a joint");
        assert_eq!(joint.name, "index finger, middle joint");
        let says = |posed: &Posed| told(posed, &joint)[0].1.clone();
        let stands = posed.turns(node)[2];
        assert!(
            says(&posed).starts_with(&format!("{stands:.1}° = relaxed ")),
            "{}",
            says(&posed)
        );
        assert!(says(&posed).ends_with("by itself 6.0."), "{}", says(&posed));
        turn(&mut posed, &own, 100.0);
        assert!(says(&posed).contains("its limit took "), "{}", says(&posed));
        // Down again: what contact does is said, however little.
        turn(&mut posed, &own, 0.0);
        assert!(!says(&posed).contains("contact"), "{}", says(&posed));
        turn(&mut posed, &DialRole::Release(index()), 0.0);
        assert!(says(&posed).contains("contact took "), "{}", says(&posed));
        let back = set_back(posed.document(), &joint);
        let dial = posed.rig().role(&own).expect("it has one").id;
        assert_eq!(back, [(dial, 0.0)]);
    }
}
