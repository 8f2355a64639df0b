//! What keeps a structure from being evaluated.

/// Why a mechanism cannot be built. Indices are those of the caller's nodes and anchors.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BuildError {
    /// A parent index is not smaller than its child's.
    ParentAfterChild {
        /// The child.
        node: usize,
    },
    /// `end` is not below `base` (or, for an anchor that only turns its base, is not the base),
    /// or an index is out of range.
    NotAChain {
        /// The anchor.
        anchor: usize,
    },
    /// A two-bone anchor's chain does not have exactly two bones, a finger's or thumb's three, an aim's
    /// one, or any other's none. Bones are counted between joints that can turn. None for an
    /// anchor that only turns its base, if the base cannot turn as it must.
    WrongBoneCount {
        /// The anchor.
        anchor: usize,
        /// Bones found.
        bones: usize,
    },
    /// A finger's or thumb's anchor's joints are not a knuckle with two free turns, next to each other in
    /// its order, and then two joints with one each; or its numbers are not
    /// finite, or its give is negative.
    NotAFinger {
        /// The anchor.
        anchor: usize,
    },
    /// Two anchors would turn the same joint.
    SharedJoint {
        /// The anchor met first.
        first: usize,
        /// The other anchor.
        second: usize,
        /// The joint.
        node: usize,
    },
    /// The anchor's target (or pole) `reads` is carried, directly or through other
    /// anchors, by `moved`, a node of the anchor's own chain.
    Cycle {
        /// The anchor.
        anchor: usize,
        /// Its target or pole.
        reads: usize,
        /// The node of its chain that carries `reads`.
        moved: usize,
    },
    /// A number of a node or of the anchor based there is not finite, or a limit's minimum is
    /// above its maximum.
    NotFinite {
        /// The node.
        node: usize,
    },
}
