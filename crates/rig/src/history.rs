//! Undo and redo.
use crate::{Document, Edit, Posed, Refusal, edit, validate};

/// Steps kept; the oldest go first.
pub const MOST_STEPS: usize = 2_000;

/// A posed document with its past and future.
///
/// Each step keeps the whole document as it was, which costs what the step changed: rigs share
/// their nodes, and a setting alone leaves the rig shared. So undoing is exact to the bit.
///
/// ```
/// use rig::{Edit, History, Kind, Vec3};
///
/// let mut history = History::default();
/// history.edit(&Edit::AddNode {
///     name: "wrist".to_owned(),
///     kind: Kind::Joint,
///     parent: None,
///     at: Vec3::new(0.0, 12.0, 0.0),
///     width: 24.0,
/// })?;
/// let wrist = history.document().nodes[0].id;
/// let to = Vec3::new(0.0, 40.0, 0.0);
/// history.edit(&Edit::Move { node: wrist, to, keep_children: true })?;
/// assert_eq!(history.posed().point(wrist).y, 40.0); // mm
/// assert_eq!(history.undo().as_deref(), Some("move wrist"));
/// assert_eq!(history.posed().point(wrist).y, 12.0);
/// # Ok::<(), rig::Refusal>(())
/// ```
#[derive(Clone, Debug)]
pub struct History {
    posed: Posed,
    past: Vec<Step>,
    future: Vec<Step>,
    drag: Drag,
}

/// A run of edits that is one step.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Drag {
    #[default]
    None,
    /// Going on, without having changed anything yet.
    Begun,
    /// Going on; the last step of the past is its start.
    Changed,
}

/// A change by its name, and the document on its other side.
#[derive(Clone, Debug)]
struct Step {
    label: String,
    document: Document,
}

impl Default for History {
    fn default() -> Self {
        let posed = Posed::new(&Document::default());
        Self::new(posed.expect("nothing can be posed"))
    }
}

impl History {
    /// Starts from a document with nothing to undo.
    pub fn new(posed: Posed) -> Self {
        Self {
            posed,
            past: Vec::new(),
            future: Vec::new(),
            drag: Drag::None,
        }
    }

    /// The document now, in its pose.
    pub fn posed(&self) -> &Posed {
        &self.posed
    }

    /// The document now.
    pub fn document(&self) -> &Document {
        self.posed.document()
    }

    /// Makes an edit; clears the future.
    ///
    /// # Errors
    /// When the edit is refused; nothing is changed then.
    pub fn edit(&mut self, edit: &Edit) -> Result<(), Refusal> {
        self.settle();
        self.make(edit)
    }

    /// As [`edit`](Self::edit), but joined to the last change if that was also made by this
    /// since [`settle`](Self::settle): a drag.
    ///
    /// # Errors
    /// When the edit is refused; nothing is changed then, and the drag may go on.
    pub fn edit_live(&mut self, edit: &Edit) -> Result<(), Refusal> {
        self.begin();
        self.make(edit)
    }

    /// Makes a change to a copy of the document, checked before it stands; its label is what the
    /// change gives.
    ///
    /// # Errors
    /// When the change or the check refuses; nothing is changed then.
    pub fn change<E: From<Refusal>>(
        &mut self,
        change: impl FnOnce(&Posed, &mut Document) -> Result<String, E>,
    ) -> Result<(), E> {
        self.settle();
        self.make_change(change)
    }

    /// As [`change`](Self::change), joined to its neighbours as [`edit_live`](Self::edit_live) is.
    ///
    /// # Errors
    /// As [`change`](Self::change).
    pub fn change_live<E: From<Refusal>>(
        &mut self,
        change: impl FnOnce(&Posed, &mut Document) -> Result<String, E>,
    ) -> Result<(), E> {
        self.begin();
        self.make_change(change)
    }

    /// Puts another document in place of this one as one change, whose undo brings back all of
    /// the former to the bit: opening, making new, starting again. Does nothing when they are
    /// equal.
    ///
    /// # Errors
    /// When the other is no sound document; nothing is changed then.
    pub fn replace(&mut self, document: Document, label: impl Into<String>) -> Result<(), Refusal> {
        self.change(|_, to| {
            *to = document;
            Ok(label.into())
        })
    }

    fn begin(&mut self) {
        if self.drag == Drag::None {
            self.drag = Drag::Begun;
        }
    }

    fn make(&mut self, edit: &Edit) -> Result<(), Refusal> {
        let Some(setting) = edit::setting(self.document(), edit) else {
            return self.make_change(|posed, to| edit::make(posed, to, edit));
        };
        // A drag makes many of these a second, and none can make a bad document.
        let (setting, label) = setting?;
        if setting != *self.posed.setting() {
            self.step(label);
            self.posed.set(&setting);
        } else {
            self.name_step(label);
        }
        Ok(())
    }

    fn make_change<E: From<Refusal>>(
        &mut self,
        change: impl FnOnce(&Posed, &mut Document) -> Result<String, E>,
    ) -> Result<(), E> {
        let mut wanted = self.document().clone();
        let label = change(&self.posed, &mut wanted)?;
        let posed = validate::document(&wanted).map_err(Refusal::from)?;
        // What differs in nothing but the signs of zeros is left alone.
        if wanted != *self.document() {
            self.step(label);
            self.posed = posed;
        } else {
            self.name_step(label);
        }
        Ok(())
    }

    /// Keeps the document as it is before a change, unless a drag has kept it already.
    fn step(&mut self, label: String) {
        self.future.clear();
        if self.drag == Drag::Changed {
            self.name_step(label);
            return;
        }
        if self.drag == Drag::Begun {
            self.drag = Drag::Changed;
        }
        if self.past.len() >= MOST_STEPS {
            self.past.remove(0);
        }
        let document = self.document().clone();
        self.past.push(Step { label, document });
    }

    /// Gives the step going on, of several edits, a name of its own.
    pub fn name_step(&mut self, label: impl Into<String>) {
        if self.drag == Drag::Changed
            && let Some(step) = self.past.last_mut()
        {
            step.label = label.into();
        }
    }

    /// Ends a drag, so that the next edit is a change of its own; drops a drag that came back to
    /// where it began.
    pub fn settle(&mut self) {
        if std::mem::take(&mut self.drag) == Drag::Changed
            && let Some(start) = self.past.last()
            && start.document == *self.document()
        {
            self.past.pop();
        }
    }

    /// Takes back the last change; its label.
    pub fn undo(&mut self) -> Option<String> {
        self.settle();
        let step = self.past.pop()?;
        let undone = self.put(step);
        let label = undone.label.clone();
        self.future.push(undone);
        Some(label)
    }

    /// Makes the last undone change again; its label.
    pub fn redo(&mut self) -> Option<String> {
        self.settle();
        let step = self.future.pop()?;
        let done = self.put(step);
        let label = done.label.clone();
        self.past.push(done);
        Some(label)
    }

    /// Goes to a step's document; the same step seen from there.
    fn put(&mut self, step: Step) -> Step {
        let Step { label, document } = step;
        let left = self.document().clone();
        if document.rig.is_same(&left.rig) {
            self.posed.set(&document.setting);
        } else {
            self.posed = Posed::new(&document).expect("it was posed before");
        }
        Step {
            label,
            document: left,
        }
    }

    /// Label of what undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        self.past.last().map(|step| step.label.as_str())
    }

    /// Label of what redo would make again.
    pub fn redo_label(&self) -> Option<&str> {
        self.future.last().map(|step| step.label.as_str())
    }
}
