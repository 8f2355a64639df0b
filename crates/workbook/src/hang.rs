//! The mobile's layout: where each bead hangs. A hand's digits are folded into one bead each until
//! opened, and so are the places its digits are planted at.
use crate::names;
use crate::plate::Plate;
use recipe::{DigitPart, Part};
use rig::few;
use rig::{Document, Grip, Kind, Node, NodeId};
use std::collections::{BTreeMap, BTreeSet};

const STEP_Y: f64 = 44.0;
/// A hand's controls hang deep.
const STEP_Y_HAND: f64 = 31.0;
const TOP: f64 = 40.0;

/// Where a bead hangs.
#[derive(Clone, PartialEq)]
pub struct Bead {
    pub id: NodeId,
    /// Its node's own, or its fold's.
    pub name: String,
    /// As it stands beside it.
    pub called: String,
    pub kind: Kind,
    pub x: f64,
    pub y: f64,
    pub parent: Option<NodeId>,
    pub held: bool,
    pub fold: Option<Fold>,
}

/// Several nodes that can hang as one bead.
#[derive(Clone, Debug, PartialEq)]
pub struct Fold {
    /// What they are together.
    pub name: String,
    /// The nodes, its bead's own first.
    pub members: Vec<NodeId>,
    /// Hanging one by one.
    pub open: bool,
}

/// A mobile of more beads is a wall, and slow; the rest is still on the plate.
const MOST_BEADS: usize = 300;

/// The mobile laid out.
#[derive(Clone, Default, PartialEq)]
pub struct Hung {
    pub beads: Vec<Bead>,
    pub width: f64,
    /// Visible nodes, hung or not.
    pub of: usize,
    /// Where the controls' thread begins, and the skeleton's.
    pub captions: [Option<f64>; 2],
}

impl Hung {
    pub fn depth(&self) -> f64 {
        depth(self.beads.iter())
    }

    /// Nodes that hang, folded or not.
    pub fn hanging(&self) -> usize {
        let folded = |b: &Bead| {
            b.fold
                .as_ref()
                .filter(|f| !f.open)
                .map_or(1, |f| f.members.len())
        };
        self.beads.iter().map(folded).sum()
    }
}

fn depth<'a>(beads: impl Iterator<Item = &'a Bead>) -> f64 {
    beads.map(|b| b.y).fold(0.0, f64::max) + 26.0
}

/// A document's nodes by who carries them, asked for many times while hanging.
struct Carriers<'a> {
    nodes: BTreeMap<NodeId, &'a Node>,
    children: BTreeMap<NodeId, Vec<NodeId>>,
    roots: Vec<NodeId>,
    held: BTreeSet<NodeId>,
    folds: BTreeMap<NodeId, Fold>,
    document: &'a Document,
    step: f64,
    /// How much lower every second of several siblings hangs.
    lower: f64,
}

impl<'a> Carriers<'a> {
    fn new(document: &'a Document, opened: &BTreeSet<NodeId>, narrow: bool) -> Self {
        let nodes = few::map(document.nodes.iter().map(|n| (n.id, &**n)));
        let whole_hand = document.hand.is_some();
        let mut children: BTreeMap<_, Vec<_>> = BTreeMap::new();
        let mut roots = Vec::new();
        for node in document.nodes.iter().filter(|n| !n.hidden) {
            // A pad is part of its finger, mount though it is.
            let pad = whole_hand && node.kind == Kind::Mount;
            let carrier = node
                .parent
                .and_then(|p| nodes.get(&p))
                .filter(|p| pad && p.kind == Kind::Joint);
            match carrier.map(|c| c.id).or_else(|| up(&nodes, node)) {
                Some(parent) => children.entry(parent).or_default().push(node.id),
                None => roots.push(node.id),
            }
        }
        let anchors = document.anchors.iter().zip(&document.setting.active);
        let held = few::set(anchors.filter_map(|(anchor, active)| active.then_some(anchor.end)));
        let mut carriers = Self {
            nodes,
            children,
            roots,
            held,
            folds: BTreeMap::new(),
            document,
            step: if whole_hand { STEP_Y_HAND } else { STEP_Y },
            // A finger needs each bead's whole height.
            lower: if narrow { STEP_Y } else { STEP_Y / 2.0 },
        };
        let mut folds = carriers.digits_and_rows(document);
        if narrow && !whole_hand {
            folds.extend(carriers.staples(document));
        }
        for (name, members) in folds {
            let open = opened.contains(&members[0]);
            let fold = Fold {
                name,
                members,
                open,
            };
            carriers.folds.insert(fold.members[0], fold);
        }
        carriers
    }

    /// On a narrow plate what several anchors hold to hangs as one bead.
    fn staples(&self, document: &Document) -> Vec<(String, Vec<NodeId>)> {
        let targets = few::set(document.anchors.iter().map(|anchor| anchor.target));
        let rows = self.children.values().map(|children| {
            let bare = |id: &&NodeId| targets.contains(*id) && self.children(**id).is_empty();
            children.iter().filter(bare).copied().collect::<Vec<_>>()
        });
        let rows = rows.filter(|row| row.len() > 1);
        rows.map(|row| (format!("{} staples", row.len()), row))
            .collect()
    }

    /// Digits by the recipe's names, and bare mounts side by side.
    fn digits_and_rows(&self, document: &Document) -> Vec<(String, Vec<NodeId>)> {
        let Some(recipe) = &document.hand else {
            return Vec::new();
        };
        let mut folds = Vec::new();
        for digit in &recipe.hand.digits {
            let root = document.part(&Part::of(&digit.name, DigitPart::Metacarpal));
            if let Some(root) = root.filter(|n| !n.hidden) {
                let spoken = digit.spoken();
                let short = spoken.trim_end_matches(" finger");
                folds.push((short.to_string(), self.below(root.id)));
            }
        }
        for children in self.children.values() {
            for (grips, what) in [(false, "staples"), (true, "handles")] {
                let bare = |id: &&NodeId| {
                    let node = self.nodes[*id];
                    node.kind == Kind::Mount
                        && (node.grip != Grip::None) == grips
                        && self.children(**id).is_empty()
                };
                let bare: Vec<_> = children.iter().filter(bare).copied().collect();
                if bare.len() > 1 {
                    folds.push((format!("{} {what}", bare.len()), bare));
                }
            }
        }
        folds
    }

    /// A node and all that hang below it.
    fn below(&self, id: NodeId) -> Vec<NodeId> {
        let mut all = vec![id];
        let mut at = 0;
        while at < all.len() {
            all.extend(self.children(all[at]));
            at += 1;
        }
        all
    }

    /// Inside a fold that hangs as one bead, and not that bead.
    fn folded_away(&self, id: NodeId) -> bool {
        let away = |f: &Fold| !f.open && f.members[1..].contains(&id);
        self.folds.values().any(away)
    }

    /// What its bead is called, folded or not.
    fn called(&self, id: NodeId) -> String {
        match self.folds.get(&id).filter(|fold| !fold.open) {
            Some(fold) => fold.name.clone(),
            None => names::node(self.document, self.nodes[&id]),
        }
    }

    fn children(&self, id: NodeId) -> &[NodeId] {
        self.children.get(&id).map_or(&[], Vec::as_slice)
    }
}

/// The nearest visible ancestor within the same lineage.
fn up(nodes: &BTreeMap<NodeId, &Node>, node: &Node) -> Option<NodeId> {
    let mut parent = nodes.get(&node.parent?)?;
    while parent.kind == node.kind {
        if !parent.hidden {
            return Some(parent.id);
        }
        parent = nodes.get(&parent.parent?)?;
    }
    None
}

/// Lays both lineages out: controls to the left, skeleton to the right; a child hangs under its
/// parent, and further children branch to the right. `narrow`: on a phone's plate.
pub fn hang(document: &Document, opened: &BTreeSet<NodeId>, narrow: bool) -> Hung {
    let carriers = Carriers::new(document, opened, narrow);
    let mut hung = Hung {
        of: document.nodes.iter().filter(|n| !n.hidden).count(),
        ..Hung::default()
    };
    let mut x = 26.0;
    for (which, kind) in [Kind::Mount, Kind::Joint].into_iter().enumerate() {
        let first = hung.beads.len();
        for root in carriers
            .roots
            .iter()
            .filter(|r| carriers.nodes[r].kind == kind)
        {
            branch(&carriers, *root, None, (x, TOP), &mut hung.beads);
            hung.width = right_of(&hung.beads);
            x = hung.width + 24.0;
        }
        hung.captions[which] = hung.beads.get(first).map(|b| b.x);
        if kind == Kind::Mount && !hung.beads.is_empty() {
            x += 30.0;
        }
    }
    hung
}

impl Hung {
    /// Where beads and their names lie on a plate, px: left, top, right, bottom; on a narrow one,
    /// the switch that brings them.
    pub fn areas(&self, plate: Plate) -> Vec<[f64; 4]> {
        if !plate.is_wide() {
            return vec![SWITCH.map(|v| v * plate.text)];
        }
        let beads = self.beads.iter();
        let from = INDENT * plate.size.0;
        let area = |bead: &Bead| {
            let right = bead.x - 30.0 + label_width(&bead.called);
            [bead.x - 14.0, bead.y - 14.0, right + 14.0, bead.y + 14.0].map(|v| v * plate.text)
        };
        beads
            .map(area)
            .map(|[a, b, c, d]| [a + from, b, c + from, d])
            .collect()
    }
}

/// The mobile hangs so far from the plate's left edge, of its width; the styles have the same.
const INDENT: f64 = 0.05;
/// Where the switch is that brings the mobile on a narrow plate.
const SWITCH: [f64; 4] = [0.0, 0.0, 112.0, 46.0];

/// About how wide a bead and its name are, px.
fn label_width(name: &str) -> f64 {
    30.0 + 7.6 * name.chars().count() as f64
}

/// Where these beads' names end.
fn right_of(beads: &[Bead]) -> f64 {
    beads
        .iter()
        .map(|b| b.x + label_width(&b.called))
        .fold(0.0, f64::max)
}

/// Hangs a node and all below it.
fn branch(
    carriers: &Carriers,
    id: NodeId,
    parent: Option<NodeId>,
    (x, y): (f64, f64),
    beads: &mut Vec<Bead>,
) {
    if beads.len() == MOST_BEADS {
        return;
    }
    let node = carriers.nodes[&id];
    let fold = carriers.folds.get(&id);
    let closed = fold.filter(|f| !f.open);
    let held = |id: &NodeId| carriers.held.contains(id);
    beads.push(Bead {
        id,
        name: closed.map_or(&node.name, |f| &f.name).clone(),
        called: carriers.called(id),
        kind: node.kind,
        x,
        y,
        parent,
        held: closed.map_or_else(|| held(&id), |f| f.members.iter().any(held)),
        fold: fold.cloned(),
    });
    let children = carriers.children(id).iter().copied();
    let children: Vec<_> = children.filter(|c| !carriers.folded_away(*c)).collect();
    let widest = children
        .iter()
        .map(|c| label_width(&carriers.called(*c)))
        .fold(0.0, f64::max);
    let folded = |id: NodeId| carriers.folds.get(&id).is_some_and(|f| !f.open);
    let carries = |id: NodeId| !carriers.children(id).is_empty() && !folded(id);
    let own = beads.len();
    let (mut at, mut low) = (x, false);
    for (index, child) in children.iter().copied().enumerate() {
        if index > 0 {
            // Beside a branch that goes further down, clear of all its names; bare siblings hang on
            // threads of two lengths, so that their names pass each other.
            if carries(children[index - 1]) || carries(child) {
                at = right_of(&beads[own..]).max(at) + 10.0;
                low = false;
            } else {
                at += widest / 2.0 + 8.0;
                low = !low;
            }
        }
        let drop = carriers.step + if low { carriers.lower } else { 0.0 };
        branch(carriers, child, Some(id), (at, y + drop), beads);
    }
}

/// Threads from mounts to the joints that hang from them, where one lineage leads the other.
pub fn leads(document: &Document, beads: &BTreeMap<NodeId, (Kind, f64, f64)>) -> Vec<String> {
    let thread = |a: &NodeId, b: &NodeId| {
        let (_, ax, ay) = beads.get(a)?;
        let (_, bx, by) = beads.get(b)?;
        let middle = (ax + bx) / 2.0;
        Some(format!(
            "M{ax:.1} {ay:.1}C{middle:.1} {ay:.1} {middle:.1} {by:.1} {bx:.1} {by:.1}"
        ))
    };
    let carried = document.nodes.iter().filter_map(|n| {
        let parent = n.parent?;
        let crosses =
            n.kind == Kind::Joint && beads.get(&parent).is_some_and(|p| p.0 == Kind::Mount);
        crosses.then(|| thread(&parent, &n.id))?
    });
    carried.collect()
}

/// What the mobile takes of a wide plate, px; the figure is framed clear of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Room {
    pub top: f64,
    pub left: f64,
}

/// Room for the mobile with everything folded. A hand's controls hang deep beside the figure.
pub fn room_of(document: &Document) -> Room {
    let hung = hang(document, &BTreeSet::new(), false);
    let [controls, skeleton] = hung.captions;
    let (Some(controls), Some(skeleton), true) = (controls, skeleton, document.hand.is_some())
    else {
        return Room {
            top: hung.depth(),
            left: 0.0,
        };
    };
    let column: Vec<_> = hung
        .beads
        .iter()
        .filter(|b| b.x == controls)
        .cloned()
        .collect();
    Room {
        top: depth(hung.beads.iter().filter(|b| b.x >= skeleton)),
        left: right_of(&column),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a phone shows while the wrist is to be hung: all of it within 390 px, no two beads
    /// nearer than a finger is wide.
    #[test]
    fn on_a_narrow_plate_the_staples_hang_as_one() {
        let text = include_str!("../../../lessons/04-pivot-above.lesson.json");
        let lesson = course::read(text).expect("a good lesson");
        let step = &lesson.steps[0];
        let mut document = lesson.figure(step).document().clone();
        let acts = step.task.acts();
        let put = course::build::put_of(acts).expect("one is put");
        course::build::put(&mut document, acts, put, rig::Vec3::zeros()).expect("put");
        let hung = hang(&document, &BTreeSet::new(), true);
        let names: Vec<_> = hung.beads.iter().map(|bead| bead.name.as_str()).collect();
        let controls = ["bench", "3 staples", "mount"];
        assert_eq!(names[..3], controls);
        assert_eq!(names[3..], ["wrist", "knuckle", "finger", "tip"]);
        assert!(hung.width <= 378.0, "{}", hung.width);
        for (at, a) in hung.beads.iter().enumerate() {
            for b in &hung.beads[at + 1..] {
                let apart = a.x + label_width(&a.name) <= b.x - 12.0 || (a.y - b.y).abs() >= 44.0;
                assert!(apart, "{} and {}", a.name, b.name);
            }
        }
        assert_eq!(hang(&document, &BTreeSet::new(), false).beads.len(), 9);
    }
}
