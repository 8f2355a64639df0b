//! The shipped example, for tests that know its numbers.
use rig::*;

pub fn chain() -> Document {
    read(include_str!(
        "../../../../examples/bench-press-chain.hand.json"
    ))
    .expect("a good example")
}

pub fn id(document: &Document, name: &str) -> NodeId {
    document.node_named(name).expect(name).id
}

pub fn at_lift(document: &mut Document, degrees: f64) -> Posed {
    document.setting.dials[0] = degrees;
    Posed::new(document).unwrap()
}
