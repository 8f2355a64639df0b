//! What is answered.
use hand::advice::{AxisLine, Placed};
use hand::flesh::Kind;
use hand::in_words;
use hand::survey::{Ends, Greatest, LimitKind, Stay};
use hand::{Pivot, Recipe};
use rig::{NodeId, Rig, Vec3};
use serde::{Deserialize, Serialize};

/// What a bench has to say of a question.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reply {
    /// The question's number.
    pub number: u32,
    /// How much of it is done, 0 to 1.
    pub part: f64,
    /// Whether nothing more comes.
    pub done: bool,
    /// As far as it is known.
    pub answer: Answer,
    /// A survey's numbers ([`hand::survey::Survey::packed`]), which go beside the text.
    #[serde(skip)]
    pub numbers: Vec<f64>,
}

/// An answer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// Nothing can be told before the end.
    Going,
    /// A survey, coarse or whole: its numbers come beside it.
    Survey,
    /// None: nothing is planted.
    Reach(Option<Reach>),
    /// Down and up, dial by dial.
    Spans(Vec<[Option<Reach>; 2]>),
    /// Pivot by pivot; none where the hand cannot be built.
    Lifts(Vec<Option<Reach>>),
    /// How far, and what would help.
    Advice(Advised),
    /// The best place found.
    Seek(Found),
    /// Why it cannot be answered.
    Refused(String),
}

/// How far a dial goes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reach {
    /// Its value there.
    pub value: f64,
    /// What is unsafe beyond. None: the dial's own end.
    pub ended: Option<Ended>,
    /// How far all stay down that way.
    pub stays: Stays,
}

/// [`Stay`], for who has another reading of the document.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stays {
    /// The dial's value there.
    pub value: f64,
    /// Who lets go first beyond. None: the dial's own end.
    pub first: Option<Who>,
    /// How many are down.
    pub count: usize,
}

/// Somebody planted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Who {
    /// Its place in the document's list of nodes.
    pub node: usize,
    /// In words.
    pub who: String,
}

impl Who {
    /// None: the rig has no such node.
    pub(crate) fn new(rig: &Rig, id: NodeId) -> Option<Self> {
        let node = rig.nodes.iter().position(|known| known.id == id)?;
        let who = in_words(rig, id);
        Some(Self { node, who })
    }
}

impl Stays {
    pub(crate) fn new(rig: &Rig, stay: Stay) -> Self {
        Self {
            value: stay.value,
            first: stay.first.and_then(|id| Who::new(rig, id)),
            count: stay.count,
        }
    }

    /// Who stays, to begin a sentence with: 'All four stay'.
    pub fn told(&self) -> String {
        match self.count {
            0 => "None stays".to_owned(),
            1 => "The one planted stays".to_owned(),
            2 => "Both stay".to_owned(),
            3 => "All three stay".to_owned(),
            4 => "All four stay".to_owned(),
            5 => "All five stay".to_owned(),
            count => format!("All {count} stay"),
        }
    }
}

/// What ends a dial.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ended {
    /// How.
    pub how: How,
    /// Whose joint it is: its place in the document's list.
    pub node: usize,
    /// Who it is in words.
    pub who: String,
}

/// How a pose is unsafe.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum How {
    /// It slips.
    Slips,
    /// A digit's flesh is too deep.
    Sinks,
    /// The palm's is.
    PalmSinks,
    /// A joint is past its limit.
    Limit,
    /// What should hold it is too short.
    Reach,
}

impl Ended {
    fn new(rig: &Rig, ends: Ends) -> Option<Self> {
        let (how, node, who) = match ends {
            Ends::Slips(node) => (How::Slips, node, in_words(rig, node)),
            Ends::Sinks(node, Kind::Palm) => (How::PalmSinks, node, "palm".to_owned()),
            Ends::Sinks(node, Kind::Pad) => {
                let part = rig.node(node).and_then(|node| node.part.as_ref());
                let digit = part.and_then(|part| part.digit());
                let digit = digit.map(recipe::spoken);
                let who = digit.unwrap_or_else(|| in_words(rig, node));
                (How::Sinks, node, who)
            }
            Ends::Limit(limit) => {
                let end = rig.anchor(limit.anchor)?.end;
                let how = match limit.kind {
                    LimitKind::Reach => How::Reach,
                    LimitKind::Joint { .. } => How::Limit,
                };
                (how, end, in_words(rig, end))
            }
        };
        let node = rig.nodes.iter().position(|known| known.id == node)?;
        Some(Self { how, node, who })
    }

    /// As a clause: 'the palm sinks in'.
    pub fn told(&self) -> String {
        let who = &self.who;
        match self.how {
            How::Slips => format!("the {who} slips"),
            How::Sinks | How::PalmSinks => format!("the {who} sinks in"),
            How::Limit => format!("the {who} is at its limit"),
            How::Reach => format!("the {who} is out of reach"),
        }
    }
}

impl Reach {
    pub(crate) fn new(rig: &Rig, safe: Greatest, stay: Stay) -> Self {
        let ended = safe.stopped_by.and_then(|ends| Ended::new(rig, ends));
        Self {
            value: safe.value,
            ended,
            stays: Stays::new(rig, stay),
        }
    }
}

/// [`hand::advice::Advice`], for who has another reading of the document.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Advised {
    /// How far the dial goes.
    pub reach: Reach,
    /// How far all stay down the other way.
    pub back: Stays,
    /// What each digit has left in the pose as planted, mm of surface.
    pub left: Vec<(Who, f64)>,
    /// Best first.
    pub helps: Vec<Help>,
}

/// A change that was tried.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Help {
    /// How far the dial goes then.
    pub value: f64,
    /// What it is and what it gains, in a sentence.
    pub told: String,
    /// The recipe with the change, where it takes one.
    pub recipe: Option<Box<Recipe>>,
    /// The name of the anchor whose digit it lets go.
    pub lets_go: Option<String>,
}

/// [`Placed`], with its carrier as a place in the document's list.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Found {
    pub pivot: Pivot,
    pub lift: f64,
    pub tilt: f64,
    carrier: Option<usize>,
    through: [f64; 3],
    along: [f64; 3],
}

impl Found {
    /// Of a hand as built.
    pub fn new(rig: &Rig, placed: Placed) -> Self {
        let carrier = placed.axis.carrier;
        let at = |id| rig.nodes.iter().position(|node| node.id == id);
        Self {
            pivot: placed.pivot,
            lift: placed.lift,
            tilt: placed.tilt,
            carrier: carrier.and_then(at),
            through: placed.axis.through.into(),
            along: placed.axis.along.into(),
        }
    }

    /// Of the same hand.
    pub fn placed(&self, rig: &Rig) -> Placed {
        let carrier = self.carrier.and_then(|at| rig.nodes.get(at));
        Placed {
            pivot: self.pivot,
            lift: self.lift,
            tilt: self.tilt,
            axis: AxisLine {
                carrier: carrier.map(|node| node.id),
                through: Vec3::from(self.through),
                along: Vec3::from(self.along),
            },
        }
    }
}
