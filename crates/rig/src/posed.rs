//! A document compiled and evaluated.
use crate::{AnchorId, DialId, Document, Fault, NodeId};
use kinematics::{Mechanism, Outcome, Pose, Transform, Vec3};

/// The compiled mechanism and its pose at the document's dial values (or others set here).
#[derive(Clone, Debug)]
#[allow(dead_code)]
pub struct Posed { mechanism: Mechanism, pose: Pose }

impl Posed {
    /// Compiles and evaluates. Fails with a sentence when the structure cannot be evaluated (a cycle, say).
    pub fn new(document: &Document) -> Result<Self, Fault> { let _ = document; todo!() }
    /// Whether `document` still has the structure this was compiled from; if so its dial values
    /// and anchor switches are taken over and only what depends on them is evaluated.
    pub fn refresh(&mut self, document: &Document) -> bool { let _ = document; todo!() }
    /// Sets a dial (clamped) without evaluating.
    pub fn set_dial(&mut self, dial: DialId, value: f64) { let _ = (dial, value); todo!() }
    /// A dial's value here.
    pub fn dial(&self, dial: DialId) -> f64 { let _ = dial; todo!() }
    /// Every dial to its neutral value.
    pub fn set_neutral(&mut self) { todo!() }
    /// Turns an anchor on or off without evaluating.
    pub fn set_active(&mut self, anchor: AnchorId, active: bool) { let _ = (anchor, active); todo!() }
    /// Evaluates what changed.
    pub fn evaluate(&mut self) { todo!() }
    /// World transform of a node. Panics on an id the document did not have.
    pub fn world(&self, node: NodeId) -> &Transform { let _ = node; todo!() }
    /// World position of a node, mm.
    pub fn point(&self, node: NodeId) -> Vec3 { self.world(node).translation.vector }
    /// What an anchor achieved.
    pub fn outcome(&self, anchor: AnchorId) -> &Outcome { let _ = anchor; todo!() }
    /// Distance of a planted node from where it was planted, in its surface's coordinates, mm.
    pub fn slip(&self, document: &Document, node: NodeId) -> Option<f64> { let _ = (document, node); todo!() }
}
