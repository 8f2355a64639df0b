//! Undo and redo.
use crate::{Change, Document, Edit, Refusal, check, edit};

/// A document with its past and future.
#[derive(Clone, Debug, Default)]
pub struct History {
    document: Document,
    past: Vec<Change>,
    future: Vec<Change>,
    /// The document before the drag going on, whose change is the last of the past.
    drag: Option<Document>,
}

impl History {
    /// Starts from a document with nothing to undo.
    pub fn new(document: Document) -> Self {
        Self {
            document,
            ..Self::default()
        }
    }

    /// The document now.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// Makes an edit; clears the future.
    ///
    /// # Errors
    /// When the edit is refused; nothing is changed then.
    pub fn edit(&mut self, edit: &Edit) -> Result<(), Refusal> {
        self.settle();
        let change = edit::apply(&mut self.document, edit)?;
        if !change.is_empty() {
            self.past.push(change);
            self.future.clear();
        }
        Ok(())
    }

    /// As [`edit`](Self::edit), but joined to the last change if that was also made by this
    /// since [`settle`](Self::settle): a drag.
    ///
    /// # Errors
    /// When the edit is refused; nothing is changed then, and the drag may go on.
    pub fn edit_live(&mut self, edit: &Edit) -> Result<(), Refusal> {
        let change = if let Some(start) = &self.drag {
            let label = edit::apply(&mut self.document, edit)?.label;
            let joined = Change::between(start, &self.document, label);
            // Made anew from the start, so that taking it back is exact to the sign of a zero.
            self.document.clone_from(start);
            joined.apply(&mut self.document);
            self.past.pop();
            joined
        } else {
            let start = self.document.clone();
            let change = edit::apply(&mut self.document, edit)?;
            self.drag = Some(start);
            change
        };
        // A drag that has changed nothing yet, against a limit, costs nothing.
        if !change.is_empty() {
            self.future.clear();
        }
        self.past.push(change);
        Ok(())
    }

    /// Puts another document in place of this one as one change, whose undo brings back all of
    /// the former to the bit: opening, making new, starting again. Does nothing when they are
    /// equal.
    ///
    /// # Errors
    /// When the other is no sound document; nothing is changed then.
    pub fn replace(&mut self, document: Document, label: impl Into<String>) -> Result<(), Refusal> {
        check::document(&document)?;
        self.settle();
        if document == self.document {
            return Ok(());
        }
        let change = Change::replacing(&self.document, &document, label.into());
        self.document = document;
        self.past.push(change);
        self.future.clear();
        Ok(())
    }

    /// Gives the step going on, of several edits, a name of its own.
    pub fn name_step(&mut self, label: impl Into<String>) {
        if self.drag.is_some()
            && let Some(change) = self.past.last_mut()
        {
            change.label = label.into();
        }
    }

    /// Ends a drag, so that the next edit is a change of its own; drops a drag that came back to
    /// where it began.
    pub fn settle(&mut self) {
        if self.drag.take().is_some() && self.past.last().is_some_and(Change::is_empty) {
            self.past.pop();
        }
    }

    /// Takes back the last change; its label.
    pub fn undo(&mut self) -> Option<String> {
        self.settle();
        let change = self.past.pop()?;
        change.reverse().apply(&mut self.document);
        let label = change.label.clone();
        self.future.push(change);
        Some(label)
    }

    /// Makes the last undone change again; its label.
    pub fn redo(&mut self) -> Option<String> {
        self.settle();
        let change = self.future.pop()?;
        change.apply(&mut self.document);
        let label = change.label.clone();
        self.past.push(change);
        Some(label)
    }

    /// Label of what undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        self.past.last().map(|c| c.label.as_str())
    }

    /// Label of what redo would make again.
    pub fn redo_label(&self) -> Option<&str> {
        self.future.last().map(|c| c.label.as_str())
    }
}
