//! What nodes, anchors and dials are known by inside a document.

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        /// Given out once per document and never again, so a stale id finds nothing.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub u32);
    };
}
id!(
    /// Names a node.
    NodeId
);
id!(
    /// Names an anchor.
    AnchorId
);
id!(
    /// Names a dial.
    DialId
);
