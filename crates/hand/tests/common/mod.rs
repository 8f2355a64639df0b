//! The shipped example, for tests that know its numbers.
use hand::Refusal;
use rig::{Document, History, NodeId, Posed, read};

#[allow(dead_code)]
pub fn chain() -> Document {
    read(include_str!(
        "../../../../examples/bench-press-chain.hand.json"
    ))
    .expect("a good example")
}

#[allow(dead_code)]
pub fn id(document: &Document, name: &str) -> NodeId {
    document.node_named(name).expect(name).id
}

#[allow(dead_code)]
pub fn at_lift(document: &mut Document, degrees: f64) -> Posed {
    document.setting.dials[0] = degrees;
    Posed::new(document).unwrap()
}

/// Edits of a rig and of a hand, made alike.
#[allow(dead_code)]
pub trait Act: std::fmt::Debug {
    fn act(&self, history: &mut History) -> Result<(), Refusal>;
}

impl Act for rig::Edit {
    fn act(&self, history: &mut History) -> Result<(), Refusal> {
        Ok(history.edit(self)?)
    }
}

impl Act for hand::Edit {
    fn act(&self, history: &mut History) -> Result<(), Refusal> {
        history.change(|posed, to| self.make(posed, to))
    }
}

#[allow(dead_code)]
pub fn apply(document: &mut Document, edit: &impl Act) -> Result<(), Refusal> {
    let mut history = History::new(Posed::new(document)?);
    edit.act(&mut history)?;
    *document = history.document().clone();
    Ok(())
}
