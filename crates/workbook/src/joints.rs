//! A hand's joints, turned one by one: what of them the plate offers, whose dials the desk shows,
//! and what a joint's angle is made up of.
use crate::desk::called;
use crate::face::Group;
use crate::strip::digits;
use recipe::{Bend, DialRole, DigitPart};
use rig::{Channel, Dial, DialId, Document, NodeId, Part, Posed, RADIANS, Share, Shared, Vec3};

/// What a tip is pulled by at most.
const PULLED_BY: usize = 4;

/// A joint or a tip that can be taken on the plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Knob {
    pub node: NodeId,
    /// 'index finger, middle joint'.
    pub label: String,
    /// What goes where the pointer does: a joint's bone by its far end, a tip itself.
    pub end: NodeId,
    /// A joint's own dials, sideways first; of a tip those of the joints before it.
    pub dials: Vec<DialId>,
}

impl Knob {
    /// Whether it is pulled, and joints follow.
    pub fn is_tip(&self) -> bool {
        self.node == self.end
    }
}

/// Those of a digit, or of all: each digit's from its base to its tip.
pub fn knobs(document: &Document, whom: Option<&str>) -> Vec<Knob> {
    let all = digits(document).into_iter();
    let all = all.filter(|digit| whom.is_none_or(|whom| digit.name == whom));
    all.flat_map(|digit| {
        let chain = chain(document, &digit.name);
        let mut knobs = Vec::new();
        let mut pull = Vec::new();
        for (at, (part, node)) in chain.iter().enumerate() {
            let word = match part {
                DigitPart::Tip => "tip",
                _ => joint(*part),
            };
            let label = format!("{}, {word}", digit.spoken);
            let bends = [Bend::Spread, Bend::Flexion];
            let own = |bend| own(document, &digit.name, *part, bend);
            let dials: Vec<_> = bends.into_iter().filter_map(own).collect();
            pull.extend(dials.iter().copied());
            match chain.get(at + 1) {
                Some((_, end)) if !dials.is_empty() => knobs.push(Knob {
                    node: *node,
                    label,
                    end: *end,
                    dials,
                }),
                None if *part == DigitPart::Tip && !pull.is_empty() => knobs.push(Knob {
                    node: *node,
                    label,
                    end: *node,
                    dials: pull.split_off(pull.len().saturating_sub(PULLED_BY)),
                }),
                _ => {}
            }
        }
        knobs
    })
    .collect()
}

/// The digit's joints and its tip, from the base on.
fn chain(document: &Document, digit: &str) -> Vec<(DigitPart, NodeId)> {
    let parts = [
        DigitPart::Metacarpal,
        DigitPart::PhalanxProximal,
        DigitPart::PhalanxIntermediate,
        DigitPart::PhalanxDistal,
        DigitPart::Tip,
    ];
    let node = |part| Some((part, document.part(&Part::of(digit, part))?.id));
    parts.into_iter().filter_map(node).collect()
}

fn joint(part: DigitPart) -> &'static str {
    match part {
        DigitPart::Metacarpal => "base",
        DigitPart::PhalanxProximal => "knuckle",
        DigitPart::PhalanxIntermediate => "middle joint",
        _ => "last joint",
    }
}

/// The dial that turns one joint alone.
fn own(document: &Document, digit: &str, part: DigitPart, bend: Bend) -> Option<DialId> {
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
    all.map(|dial| dial.id).collect()
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
    let bends = Bend::ALL.into_iter();
    let dials: Vec<_> = bends
        .filter_map(|bend| own(document, digit, *part, bend))
        .collect();
    (!dials.is_empty()).then(|| Chosen {
        node,
        name: format!("{}, {}", recipe::spoken(digit), joint(*part)),
        dials,
    })
}

/// What a joint's angles are made up of: a sentence for each way it turns by a dial of its own.
pub fn told(posed: &Posed, chosen: &Chosen) -> Vec<(&'static str, String)> {
    let document = posed.document();
    let told = |id: &DialId| {
        let (word, channel) = match &document.dial(*id)?.role {
            Some(DialRole::Joint(_, _, Bend::Flexion)) => ("flexion", Channel::TurnZ),
            Some(DialRole::Joint(_, _, Bend::Spread)) => ("spread", Channel::TurnX),
            Some(DialRole::Joint(_, _, Bend::Twist)) => ("turn", Channel::TurnY),
            _ => return None,
        };
        Some((word, sentence(posed, chosen.node, channel)))
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

/// As far as a joint's own dial is turned past what contact turns back, degrees.
const CLEAR: f64 = 0.2;

/// The pose from which these dials are pulled, where contact has taken from joints of theirs that
/// no anchor holds: a finger that lies on the bench lies there however far its knuckle's dial is
/// turned down, so the dial begins where the joint stands, and a little off. None: as it is.
pub fn freed(posed: &Posed, dials: &[DialId]) -> Option<Posed> {
    let document = posed.document();
    let begins = |id: &DialId| {
        let dial = document.dial(*id)?;
        let Some(DialRole::Joint(digit, part, bend)) = &dial.role else {
            return None;
        };
        let node = document.part(&Part::of(digit, *part))?.id;
        let channel = match bend {
            Bend::Flexion => Channel::TurnZ,
            Bend::Spread => Channel::TurnX,
            Bend::Twist => Channel::TurnY,
        };
        let contact = posed.makeup(node, channel).contact;
        let taken = libm::fabs(contact) > CLEAR && !is_held(posed, node);
        let off = if contact < 0.0 { -CLEAR } else { CLEAR };
        taken.then(|| (*id, posed.dial(*id) + contact + off))
    };
    let begins: Vec<_> = dials.iter().filter_map(begins).collect();
    if begins.is_empty() {
        return None;
    }
    let mut freed = posed.clone();
    for (dial, to) in begins {
        freed.set_dial(dial, to);
    }
    freed.evaluate();
    Some(freed)
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

/// Where a joint's bone would end, straight, where it ends, and how far it is bent, as the plate
/// draws it: joint, straight, bent, degrees.
pub fn bend(posed: &Posed, knob: &Knob) -> Option<(Vec3, Vec3, Vec3, f64)> {
    if knob.is_tip() || !posed.has(knob.node) || !posed.has(knob.end) {
        return None;
    }
    let (at, end) = (posed.point(knob.node), posed.point(knob.end));
    let bent = posed.turns(knob.node)[Channel::TurnZ.axis()];
    // Flexion is the innermost of a joint's turns: about its own z as it stands.
    let axis = posed.world(knob.node).rotation * Vec3::z();
    let arm = end - at;
    let (sin, cos) = (libm::sin(-bent * RADIANS), libm::cos(bent * RADIANS));
    let along = axis * axis.dot(&arm);
    let straight = along + (arm - along) * cos + axis.cross(&arm) * sin;
    Some((at, at + straight, end, bent))
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

    fn named(document: &Document, label: &str) -> Knob {
        let mut all = knobs(document, None).into_iter();
        all.find(|knob| knob.label == label).expect(label)
    }

    #[test]
    fn every_joint_and_tip_is_offered_once() {
        let posed = posed();
        let all = knobs(posed.document(), None);
        let tips = all.iter().filter(|knob| knob.is_tip()).count();
        assert_eq!(tips, 5);
        // Three joints each, and the base of ring and little finger, which give.
        assert_eq!(all.len() - tips, 3 * 5 + 2);
        let index = knobs(posed.document(), Some("index-finger"));
        let labels: Vec<_> = index.iter().map(|knob| &*knob.label).collect();
        assert_eq!(
            labels,
            [
                "index finger, knuckle",
                "index finger, middle joint",
                "index finger, last joint",
                "index finger, tip"
            ]
        );
        assert_eq!(index[0].dials.len(), 2);
        assert_eq!(index[3].dials.len(), 4);
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
        let knob = named(posed.document(), "index finger, middle joint");
        let joint = chosen(posed.document(), knob.node).expect("a joint");
        assert_eq!(joint.name, knob.label);
        let says = |posed: &Posed| told(posed, &joint)[0].1.clone();
        let stands = posed.turns(knob.node)[2];
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
        assert_eq!(back, [(knob.dials[0], 0.0)]);
    }

    /// The arc of a joint that turns freely ends where its bone does, and begins where the bone
    /// would end were the joint straight.
    #[test]
    fn the_arc_begins_straight() {
        let mut posed = posed();
        let index = || "index-finger".to_owned();
        turn(&mut posed, &DialRole::Release(index()), 100.0);
        let knob = named(posed.document(), "index finger, middle joint");
        let (_, straight, end, bent) = bend(&posed, &knob).expect("a joint");
        assert!(bent > 5.0 && (straight - end).norm() > 1.0);
        // As the bone before it sees them.
        let before = named(posed.document(), "index finger, knuckle").node;
        let seen = |posed: &Posed, at: Vec3| posed.local(Some(before), &at);
        let wanted = seen(&posed, straight);
        let own = DialRole::Joint(index(), DigitPart::PhalanxIntermediate, Bend::Flexion);
        turn(&mut posed, &own, 0.0 - bent);
        let there = seen(&posed, posed.point(knob.end));
        let off = |k: usize| libm::fabs(there[k] - wanted[k]);
        assert!((0..3).all(|k| off(k) < 1e-9), "{there:?} {wanted:?}");
    }

    /// A drag of any of them tries its poses without the digits that have no say in it, to the bit
    /// as with them. What is down or lies on the bench has not gone from the pointer; a finger off it
    /// comes there, and one that lies there rises by its knuckle.
    #[test]
    fn a_drag_brings_it_to_the_pointer() {
        let index = || "index-finger".to_owned();
        let mut lying = posed();
        turn(&mut lying, &DialRole::Release(index()), 100.0);
        let mut raised = lying.clone();
        let own = DialRole::Joint(index(), DigitPart::PhalanxProximal, Bend::Flexion);
        turn(&mut raised, &own, -50.0);
        let mut trials = crate::pull::Trials::default();
        let bits = |all: &[(DialId, f64)]| {
            let all = all.iter().map(|(dial, value)| (*dial, value.to_bits()));
            all.collect::<Vec<_>>()
        };
        for (posed, lies) in [(&lying, true), (&raised, false)] {
            for knob in knobs(posed.document(), None) {
                let from = posed.point(knob.end);
                // Where its own turn takes it: less bent by 6° or so.
                let to = match bend(posed, &knob) {
                    Some((at, ..)) => {
                        let axis = posed.world(knob.node).rotation * Vec3::z();
                        from - axis.cross(&(from - at)) * 0.1
                    }
                    None => from + Vec3::new(-3.0, 4.0, 0.0),
                };
                let freed = freed(posed, &knob.dials);
                let posed = freed.as_ref().unwrap_or(posed);
                let ours = trials.pull(posed, knob.end, &knob.dials, to, Vec3::z());
                let mut whole = posed.clone();
                let theirs = rig::pull::pull(&mut whole, knob.end, &knob.dials, to, Vec3::z());
                assert_eq!(bits(&ours), bits(&theirs), "{}", knob.label);
                let off = |at: Vec3| libm::hypot(at.x - to.x, at.y - to.y);
                let [before, after] = [off(from), off(whole.point(knob.end))];
                assert!(after <= before + 0.1, "{}: {before} {after}", knob.label);
                let index = knob.label.starts_with("index");
                if index && (!lies || knob.label.ends_with("knuckle")) {
                    assert!(after < 0.2 * before, "{}: {before} {after}", knob.label);
                }
            }
        }
    }
}
