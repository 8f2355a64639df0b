//! Undo and redo.
use crate::{Change, Document, Edit, Refusal};

/// A document with its past and future.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)]
pub struct History { document: Document, past: Vec<Change>, future: Vec<Change> }

impl History {
    /// Starts from a document with nothing to undo.
    pub fn new(document: Document) -> Self { Self { document, past: Vec::new(), future: Vec::new() } }
    /// The document now.
    pub fn document(&self) -> &Document { &self.document }
    /// Makes an edit; clears the future.
    pub fn edit(&mut self, edit: &Edit) -> Result<(), Refusal> { let _ = edit; todo!() }
    /// As [`edit`](Self::edit), but joined to the last change if that was also made by this since [`settle`](Self::settle): a drag.
    pub fn edit_live(&mut self, edit: &Edit) -> Result<(), Refusal> { let _ = edit; todo!() }
    /// Ends a drag, so that the next edit is a change of its own; drops a drag that came back to where it began.
    pub fn settle(&mut self) { todo!() }
    /// Takes back the last change; its label.
    pub fn undo(&mut self) -> Option<String> { todo!() }
    /// Makes the last undone change again; its label.
    pub fn redo(&mut self) -> Option<String> { todo!() }
    /// Label of what undo would take back.
    pub fn undo_label(&self) -> Option<&str> { todo!() }
    /// Label of what redo would make again.
    pub fn redo_label(&self) -> Option<&str> { todo!() }
}
