//! The digits' strip: who is down, and what a press on a digit does.
use crate::told::slip;
use hand::gauge::Hold;
use recipe::DialRole;
use rig::{AnchorId, DialId, Document, NodeId, Posed};

/// A digit of the strip.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Digit {
    /// As the recipe has it.
    pub name: String,
    /// As the strip has it: 'index'.
    pub short: String,
    /// As a sentence has it: 'index finger'.
    pub spoken: String,
    /// What of it is planted.
    pub plant: Option<NodeId>,
    /// What holds that.
    pub anchor: Option<AnchorId>,
    /// Lets it go by degrees.
    pub release: Option<DialId>,
}

/// The hand's digits in their order; none of a figure that is no hand.
pub fn digits(document: &Document) -> Vec<Digit> {
    let all = document.hand.iter().flat_map(|recipe| &recipe.hand.digits);
    let digit = |of: &recipe::Digit| {
        let mine = |id: NodeId| document.node(id)?.part.as_ref()?.digit();
        let plants = document.plants.iter().map(|plant| plant.node);
        let mut plants = plants.filter(|id| mine(*id) == Some(&of.name));
        let holds = |id: NodeId| document.anchors.iter().find(|anchor| anchor.end == id);
        let first = plants.clone().next();
        let plant = plants.find(|id| holds(*id).is_some()).or(first);
        let spoken = of.spoken();
        Digit {
            name: of.name.clone(),
            short: spoken.trim_end_matches(" finger").to_owned(),
            plant,
            anchor: plant.and_then(holds).map(|anchor| anchor.id),
            release: (document.role(&DialRole::Release(of.name.clone()))).map(|dial| dial.id),
            spoken,
        }
    };
    all.map(digit).collect()
}

/// What a press on a digit does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Press {
    /// Its release dial goes there.
    Turn(DialId, f64),
    /// Its anchor holds, or lets go.
    Hold(AnchorId, bool),
    /// What is planted of it is planted no more.
    Unplant(NodeId),
    /// It comes down and is planted.
    Plant,
}

impl Digit {
    /// Whether it is meant to be down, wherever the pose has it.
    pub fn is_held(&self, posed: &Posed) -> bool {
        let dial = self.release.filter(|dial| posed.has_dial(*dial));
        let let_go = dial.is_some_and(|id| posed.dial(id) >= 50.0);
        let off = self
            .anchor
            .is_some_and(|anchor| !is_active(posed.document(), anchor));
        self.plant.is_some() && !let_go && !off
    }

    /// What a press does to this pose.
    pub fn press(&self, posed: &Posed) -> Press {
        let (held, document) = (self.is_held(posed), posed.document());
        match (self.plant, self.anchor, self.release) {
            (None, ..) => Press::Plant,
            (Some(plant), None, _) => Press::Unplant(plant),
            (_, Some(anchor), _) if !is_active(document, anchor) => Press::Hold(anchor, true),
            (_, Some(_), Some(dial)) => {
                let about = document.dial(dial);
                let to = about.map_or(0.0, |dial| if held { dial.max } else { dial.neutral });
                Press::Turn(dial, to)
            }
            (_, Some(anchor), None) => Press::Hold(anchor, false),
        }
    }

    /// How it is held, in a word or few, and its slip, mm.
    pub fn told(&self, posed: &Posed) -> (String, Option<f64>) {
        let Some(plant) = self.plant.filter(|plant| posed.has(*plant)) else {
            return ("free".into(), None);
        };
        let word = match self.anchor {
            Some(anchor) => Hold::of(posed, anchor).to_string(),
            None if posed.is_down(plant) => Hold::Down.to_string(),
            None => Hold::Up.to_string(),
        };
        (word, slip(posed, plant))
    }
}

fn is_active(document: &Document, anchor: AnchorId) -> bool {
    let all = document.anchors.iter().zip(&document.setting.active);
    let mut all = all.filter(|(known, _)| known.id == anchor);
    all.next().is_some_and(|(_, active)| *active)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn posed(text: &str) -> Posed {
        Posed::new(&hand::read(text).expect("a good example")).expect("checked")
    }

    #[test]
    fn a_press_lets_go_by_the_release_dial_and_back() {
        let mut posed = posed(include_str!("../../../examples/bench-press.hand.json"));
        let all = digits(posed.document());
        let short: Vec<_> = all.iter().map(|digit| &*digit.short).collect();
        assert_eq!(short, ["thumb", "index", "middle", "ring", "little"]);
        assert_eq!(all[0].press(&posed), Press::Plant);
        assert_eq!(all[0].told(&posed), ("free".into(), None));
        let index = &all[1];
        assert!(index.is_held(&posed));
        assert_eq!(index.told(&posed).0, "down");
        assert!(index.told(&posed).1.is_some_and(|slip| slip < 1e-6));
        let Press::Turn(dial, to) = index.press(&posed) else {
            panic!("{:?}", index.press(&posed));
        };
        posed.set_dial(dial, to);
        posed.evaluate();
        assert!(!index.is_held(&posed));
        assert_eq!(index.told(&posed), ("up".into(), None));
        assert_eq!(index.press(&posed), Press::Turn(dial, 0.0));
        posed.set_dial(dial, 40.0);
        posed.evaluate();
        assert_eq!(index.told(&posed).0, "letting go, 60 % down");
    }

    #[test]
    fn a_relaxed_hands_digits_are_held_again() {
        let mut posed = posed(include_str!("../../../examples/bench-press.hand.json"));
        let relaxed = hand::Rest::Relaxed.setting(posed.document());
        posed.set(&relaxed);
        let all = digits(posed.document());
        assert!(!all[1].is_held(&posed));
        let Press::Hold(_, true) = all[1].press(&posed) else {
            panic!("{:?}", all[1].press(&posed));
        };
    }

    #[test]
    fn a_fists_knuckles_are_told_of_too() {
        let posed = posed(include_str!("../../../examples/fist-knead.hand.json"));
        let all = digits(posed.document());
        let down = all.iter().filter(|digit| digit.told(&posed).0 == "down");
        assert!(down.count() >= 3);
    }
}
