//! A rig and how it is set: what a file holds.
use crate::{Anchor, AnchorId, Dial, DialId, Rig, Setting, Shared};
use std::ops::{Deref, DerefMut};

/// A rig and how it is set: all that a file holds.
///
/// It reads as its rig, so whatever asks for a rig's structure takes a document too.
///
/// ```
/// use rig::{Document, Node, NodeId, Posed};
///
/// let mut document = Document::default();
/// let id = NodeId(document.take_id());
/// let mount = Node::mount(id, "pivot", None, [3.0, 4.0, 0.0]);
/// document.nodes.push(mount.into());
/// let posed = Posed::new(&document)?;
/// assert_eq!(posed.point(id).norm(), 5.0); // mm
/// # Ok::<(), rig::Fault>(())
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Document {
    /// The structure. Documents that differ in their settings only share it.
    pub rig: Shared<Rig>,
    /// Where its dials and switches stand: as many as the rig has of each.
    pub setting: Setting,
}

impl Deref for Document {
    type Target = Rig;
    fn deref(&self) -> &Rig {
        &self.rig
    }
}

impl DerefMut for Document {
    fn deref_mut(&mut self) -> &mut Rig {
        &mut self.rig
    }
}

impl Document {
    /// Where a dial stands; none: there is no such dial.
    pub fn value(&self, dial: DialId) -> Option<f64> {
        self.setting.dial(&self.rig, dial)
    }

    /// Whether an anchor is on; none: there is no such anchor.
    pub fn is_active(&self, anchor: AnchorId) -> Option<bool> {
        self.setting.anchor(&self.rig, anchor)
    }

    /// Puts a dial somewhere, within its limits. A dial that is not there is left out.
    pub fn set_value(&mut self, dial: DialId, value: f64) {
        self.setting.set_dial(&self.rig, dial, value);
    }

    /// Adds a dial that stands there; whether it may is a matter of [`crate::validate`].
    pub fn add_dial(&mut self, dial: Dial, value: f64) {
        self.setting.dials.push(value);
        self.rig.dials.push(dial.into());
    }

    /// Adds an anchor that is on or off.
    pub fn add_anchor(&mut self, anchor: Anchor, active: bool) {
        self.setting.active.push(active);
        self.rig.anchors.push(anchor.into());
    }

    /// Keeps the dials, with where they stand, that this says yes to.
    pub fn retain_dials(&mut self, keep: impl FnMut(&mut Shared<Dial>) -> bool) {
        retain(&mut self.rig.dials, &mut self.setting.dials, keep);
    }

    /// Keeps the anchors, with their switches, that this says yes to.
    pub fn retain_anchors(&mut self, keep: impl FnMut(&mut Shared<Anchor>) -> bool) {
        retain(&mut self.rig.anchors, &mut self.setting.active, keep);
    }
}

fn retain<T, S>(items: &mut Vec<T>, settings: &mut Vec<S>, mut keep: impl FnMut(&mut T) -> bool) {
    let kept: Vec<_> = items.iter_mut().map(&mut keep).collect();
    let mut at = kept.iter();
    items.retain(|_| *at.next().expect("one for each"));
    let mut at = kept.iter();
    settings.retain(|_| *at.next().expect("one for each"));
}
