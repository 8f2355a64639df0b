//! The hand page's three faces: which dials and handles belong to which. A face changes what is
//! shown of a hand, never its pose.
use crate::moving::{Moving, grip_of};
use rig::{Dial, DialId, DialRole, Document, Kind, NodeId, Part, Shared, Target};

/// What the hand page is turned to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Face {
    /// The joints.
    Fingers,
    /// The hand against what it stands on.
    #[default]
    Press,
    /// Which hand it is, and where its pivots are.
    Plan,
}

impl Face {
    /// As they stand on the page's corners.
    pub const ALL: [Self; 3] = [Self::Fingers, Self::Press, Self::Plan];

    /// On its corner.
    pub fn name(self) -> &'static str {
        match self {
            Self::Fingers => "Fingers",
            Self::Press => "Press",
            Self::Plan => "Plan",
        }
    }

    /// As it is kept, and as markup tells of it.
    pub fn key(self) -> &'static str {
        match self {
            Self::Fingers => "fingers",
            Self::Press => "press",
            Self::Plan => "plan",
        }
    }

    /// The face kept under this key.
    pub fn named(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|face| face.key() == key)
    }

    /// What the page says first.
    pub fn says(self) -> &'static str {
        match self {
            Self::Fingers => {
                "Let the fingers go straight or relax, curl them and set how they give under load."
            }
            Self::Press => {
                "The planted digits stay while the wrist lifts, rolls, leans and twists. Drag a ring on the plate, turn a dial or press the map."
            }
            Self::Plan => {
                "What hand this is, and which axis it presses about. Drag an axis on the plate by its middle or its end, or type its place."
            }
        }
    }

    /// What draws its page up on a phone.
    pub fn sheet(self) -> &'static str {
        match self {
            Self::Fingers => "Gestures",
            Self::Press => "Map and stance",
            Self::Plan => "Hand, axes and advice",
        }
    }
}

/// What a dial of a hand is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Group {
    /// The four that press.
    Press,
    /// A pivot's own angle, beside what roll and lean make of it.
    Pivots,
    Fingers,
    Release,
    Surface,
    Arm,
}

impl Group {
    /// By the dial's role, else by what it drives first.
    pub fn of(document: &Document, dial: &Dial) -> Self {
        let role = dial.role.as_ref();
        if role.is_some_and(|role| hand::PRESS.contains(role)) {
            return Self::Press;
        }
        // It may turn what carries the wrist, which is a pivot's or an arm's.
        if matches!(role, Some(DialRole::Wrist(_))) {
            return Self::Fingers;
        }
        match dial.drives.first().map(|d| d.target) {
            Some(Target::Hold(_)) => Self::Release,
            Some(Target::Collapse(_)) => Self::Fingers,
            Some(Target::Channel(node, _)) => Self::of_node(document, node),
            None => Self::Pivots,
        }
    }

    fn of_node(document: &Document, id: NodeId) -> Self {
        let Some(node) = document.node(id) else {
            return Self::Pivots;
        };
        let carries = |part: Part| {
            let below = document.part(&part);
            below.is_some_and(|below| document.is_below(below.id, id))
        };
        if node.surface.is_some() {
            Self::Surface
        } else if node.kind == Kind::Mount {
            if carries(Part::WristTarget) {
                Self::Pivots
            } else {
                Self::Arm
            }
        } else if carries(Part::Wrist) {
            Self::Arm
        } else {
            Self::Fingers
        }
    }

    /// The face that has it; each has one.
    pub fn face(self) -> Face {
        match self {
            Self::Fingers => Face::Fingers,
            _ => Face::Press,
        }
    }

    /// Its dials, in the document's order.
    pub fn dials(self, document: &Document) -> Vec<DialId> {
        if self == Self::Press {
            return hand::press_dials(document);
        }
        let mine = |dial: &&Shared<Dial>| Self::of(document, dial) == self;
        let mine = document.dials.iter().filter(mine);
        mine.map(|dial| dial.id).collect()
    }
}

/// What stands under a fold of the press's desk.
pub const FOLDS: [(Group, &str); 4] = [
    (Group::Release, "Let go by degrees"),
    (Group::Pivots, "Raw pivots"),
    (Group::Surface, "Move the surface"),
    (Group::Arm, "Arm"),
];

/// The nodes whose handles a face keeps off the plate. What belongs to a group that is shown only
/// when it is asked for comes with it: `asked` are such as are.
pub fn put_away(document: &Document, face: Face, asked: &[Group]) -> Vec<NodeId> {
    let wanted = |moving: &Moving| match moving {
        Moving::Nothing => false,
        // A pivot that can be placed.
        Moving::Place(_) => face == Face::Plan,
        Moving::Dials(dials) => dials.iter().all(|dial| {
            let Some(dial) = document.dial(*dial) else {
                return false;
            };
            let group = Group::of(document, dial);
            let always = matches!(group, Group::Press | Group::Fingers);
            group.face() == face && (always || asked.contains(&group))
        }),
    };
    // Nobody asks what the hand presses about while its fingers are looked at.
    let pivots = |id: &NodeId| {
        let part = document.node(*id).and_then(|node| node.part.as_ref());
        face == Face::Fingers && matches!(part, Some(Part::Pivot(_) | Part::WristTarget))
    };
    let away =
        |id: &NodeId| pivots(id) || grip_of(document, *id).is_some_and(|moving| !wanted(&moving));
    let all = document.nodes.iter().map(|node| node.id);
    all.filter(away).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn document() -> Document {
        let text = include_str!("../../../examples/dough-roll.hand.json");
        hand::read(text).expect("a good example")
    }

    fn handles(face: Face, asked: &[Group]) -> Vec<String> {
        let document = document();
        let away = put_away(&document, face, asked);
        let left = document
            .nodes
            .iter()
            .filter(|node| grip_of(&document, node.id).is_some() && !away.contains(&node.id));
        left.map(|node| node.name.clone()).collect()
    }

    #[test]
    fn every_dial_has_one_home_and_every_face_its_handles() {
        let document = document();
        let groups = [
            Group::Press,
            Group::Pivots,
            Group::Fingers,
            Group::Release,
            Group::Surface,
            Group::Arm,
        ];
        let all: Vec<_> = groups.iter().flat_map(|g| g.dials(&document)).collect();
        assert_eq!(all.len(), document.dials.len());
        for dial in &document.dials {
            assert!(all.contains(&dial.id), "{}", dial.name);
        }
        let press = ["wrist", "roll handle", "lean handle", "twist handle"];
        assert_eq!(handles(Face::Press, &[]), press);
        assert_eq!(
            handles(Face::Press, &[Group::Surface, Group::Arm]).len(),
            press.len() + 3
        );
        assert!(handles(Face::Plan, &[Group::Surface]).is_empty());
    }

    #[test]
    fn a_face_is_kept_by_its_key() {
        for face in Face::ALL {
            assert_eq!(Face::named(face.key()), Some(face));
        }
        assert_eq!(Face::named("4"), None);
    }
}
