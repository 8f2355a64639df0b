//! Edits that only a hand knows: planting, letting go, and building it anew.
mod plant;
mod refusal;
mod remake;
mod replant;

pub use refusal::{Need, Refusal};

use recipe::Recipe;
use rig::{Document, NodeId, Posed, validate};

/// What is wanted. Nothing that is planted or planted anew moves by it.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Edit {
    /// A contact kept from now on, where it is, on a surface's node or the world; it may have been
    /// kept elsewhere. A digit of a hand is held there from now on.
    Plant {
        node: NodeId,
        surface: Option<NodeId>,
    },
    /// A contact kept no longer. Its digit relaxes, and rests on the surface it was planted on;
    /// nothing else moves.
    Release { node: NodeId },
    /// The present pose becomes the planted one: contacts are kept where they are, and the dials
    /// that move controls on their surfaces go back to neutral without moving anything.
    Replant,
    /// The hand built anew from another recipe. Ids and values stay by part and role, else by
    /// name, and so does what the user made or set; nodes hang and rest as the recipe has them.
    Remake { recipe: Box<Recipe> },
}

impl Edit {
    /// Makes the edit on a copy of what is posed, which is thrown away on refusal; its label. For
    /// [`rig::History::change`].
    ///
    /// # Errors
    /// When what is wanted cannot be, with the reason and the mend.
    pub fn make(&self, posed: &Posed, to: &mut Document) -> Result<String, Refusal> {
        match self {
            Self::Plant { node, surface } => plant::plant(posed, to, *node, *surface),
            Self::Release { node } => plant::release(to, *node),
            Self::Replant => replant::replant(posed, to),
            Self::Remake { recipe } => remake::remake(to, recipe),
        }
    }
}

/// Makes an edit of a document by itself and gives its label; on refusal nothing is changed.
///
/// # Errors
/// When what is wanted cannot be, with the reason and the mend.
pub fn apply(document: &mut Document, edit: &Edit) -> Result<String, Refusal> {
    let mut wanted = document.clone();
    let label = edit.make(&Posed::new(document)?, &mut wanted)?;
    validate::document(&wanted)?;
    *document = wanted;
    Ok(label)
}
