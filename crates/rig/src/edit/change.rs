//! Changes: what an edit did, kept so that it can be taken back to the very bit.
use crate::document::{Anchor, Dial, Document, Node, Plant};
use crate::hand::Recipe;

/// A run of a list before and after: everything outside it is the same in both.
#[derive(Clone, Debug, PartialEq)]
pub struct Splice<T> {
    /// Where the run begins.
    pub at: usize,
    /// The run before.
    pub before: Vec<T>,
    /// The run after.
    pub after: Vec<T>,
}

impl<T: Clone + PartialEq> Splice<T> {
    fn between(before: &[T], after: &[T]) -> Self {
        let head = before.iter().zip(after).take_while(|(a, b)| a == b).count();
        let (rest, rest_after) = (&before[head..], &after[head..]);
        let tail = rest
            .iter()
            .rev()
            .zip(rest_after.iter().rev())
            .take_while(|(a, b)| a == b)
            .count();
        Self {
            at: head,
            before: rest[..rest.len() - tail].to_vec(),
            after: rest_after[..rest_after.len() - tail].to_vec(),
        }
    }

    /// All of a list, so that what differs in the sign of a zero differs.
    fn whole(before: &[T], after: &[T]) -> Self {
        Self {
            at: 0,
            before: before.to_vec(),
            after: after.to_vec(),
        }
    }

    fn apply(&self, list: &mut Vec<T>) {
        list.splice(
            self.at..self.at + self.before.len(),
            self.after.iter().cloned(),
        );
    }

    fn reverse(&self) -> Self {
        Self {
            at: self.at,
            before: self.after.clone(),
            after: self.before.clone(),
        }
    }

    fn is_empty(&self) -> bool {
        self.before.is_empty() && self.after.is_empty()
    }
}

/// A change that was made; applying its reverse restores the document bit for bit.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// For the undo button: 'insert pivot', 'turn lift' …
    pub label: String,
    /// The document's name before and after.
    pub name: (String, String),
    /// In the list of nodes.
    pub nodes: Splice<Node>,
    /// In the list of anchors.
    pub anchors: Splice<Anchor>,
    /// In the list of dials.
    pub dials: Splice<Dial>,
    /// In the list of plants.
    pub plants: Splice<Plant>,
    /// The bench before and after.
    pub bench: (Option<f64>, Option<f64>),
    /// What the hand is built from, before and after.
    pub hand: (Option<Box<Recipe>>, Option<Box<Recipe>>),
    /// The next id before and after.
    pub next_id: (u32, u32),
}

impl Change {
    /// What leads from one document to another.
    ///
    /// Zeros of either sign are equal here, so what differs in nothing else is left alone:
    /// make a change by applying it, not by keeping `after`, and undoing is exact.
    pub fn between(before: &Document, after: &Document, label: String) -> Self {
        Self {
            nodes: Splice::between(&before.nodes, &after.nodes),
            anchors: Splice::between(&before.anchors, &after.anchors),
            dials: Splice::between(&before.dials, &after.dials),
            plants: Splice::between(&before.plants, &after.plants),
            ..Self::without_lists(before, after, label)
        }
    }

    /// What puts another document in place of one, to the bit of that other.
    pub fn replacing(before: &Document, after: &Document, label: String) -> Self {
        Self {
            nodes: Splice::whole(&before.nodes, &after.nodes),
            anchors: Splice::whole(&before.anchors, &after.anchors),
            dials: Splice::whole(&before.dials, &after.dials),
            plants: Splice::whole(&before.plants, &after.plants),
            ..Self::without_lists(before, after, label)
        }
    }

    fn without_lists(before: &Document, after: &Document, label: String) -> Self {
        Self {
            label,
            name: (before.name.clone(), after.name.clone()),
            nodes: Splice::whole(&[], &[]),
            anchors: Splice::whole(&[], &[]),
            dials: Splice::whole(&[], &[]),
            plants: Splice::whole(&[], &[]),
            bench: (before.bench, after.bench),
            hand: (before.hand.clone(), after.hand.clone()),
            next_id: (before.next_id, after.next_id),
        }
    }

    /// Makes the change. The document must be as it was before it.
    pub fn apply(&self, document: &mut Document) {
        // An empty change is not kept for undoing, so it must not even turn the sign of a zero.
        if self.is_empty() {
            return;
        }
        document.name.clone_from(&self.name.1);
        self.nodes.apply(&mut document.nodes);
        self.anchors.apply(&mut document.anchors);
        self.dials.apply(&mut document.dials);
        self.plants.apply(&mut document.plants);
        document.bench = self.bench.1;
        document.hand.clone_from(&self.hand.1);
        document.next_id = self.next_id.1;
    }

    /// The change that takes it back.
    pub fn reverse(&self) -> Self {
        Self {
            label: self.label.clone(),
            name: (self.name.1.clone(), self.name.0.clone()),
            nodes: self.nodes.reverse(),
            anchors: self.anchors.reverse(),
            dials: self.dials.reverse(),
            plants: self.plants.reverse(),
            bench: (self.bench.1, self.bench.0),
            hand: (self.hand.1.clone(), self.hand.0.clone()),
            next_id: (self.next_id.1, self.next_id.0),
        }
    }

    /// Whether before and after agree everywhere.
    pub fn is_empty(&self) -> bool {
        self.name.0 == self.name.1
            && self.nodes.is_empty()
            && self.anchors.is_empty()
            && self.dials.is_empty()
            && self.plants.is_empty()
            && self.bench.0 == self.bench.1
            && self.hand.0 == self.hand.1
            && self.next_id.0 == self.next_id.1
    }
}
