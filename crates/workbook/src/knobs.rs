//! Joints and tips as the plate offers them: what of them goes where the pointer does, and by which
//! dials.
use crate::joints::{PULLED_BY, is_held, joint, own};
use crate::strip::digits;
use recipe::{Bend, DialRole, DigitPart};
use rig::{Channel, DialId, Document, NodeId, Part, Posed, RADIANS, Vec3};

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
    fn a_tip_that_is_chosen_has_the_dials_that_pull_it() {
        let posed = posed();
        let document = posed.document();
        let tips = knobs(document, None).into_iter().filter(Knob::is_tip);
        let tips: Vec<_> = tips.collect();
        assert_eq!(tips.len(), 5);
        for tip in tips {
            let chosen = crate::joints::chosen(document, tip.node).expect("chosen");
            assert_eq!((chosen.name, chosen.dials), (tip.label, tip.dials));
        }
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
