//! What is on the plate: a figure with its past, the pose shown of it, and the pose a motion
//! began from.
use rig::{Document, Edit, History, Posed, Refusal, Setting};

/// One value, so that no view can hold a pose of another document than the one it draws.
#[derive(Clone, Debug, Default)]
pub struct Stage {
    history: History,
    /// While something is played: the same rig, set otherwise.
    shown: Option<Posed>,
    ghost: Option<Posed>,
}

impl Stage {
    /// Puts a figure with its past on the plate.
    pub fn new(history: History) -> Self {
        Self {
            history,
            shown: None,
            ghost: None,
        }
    }

    /// The figure with its past.
    pub fn history(&self) -> &History {
        &self.history
    }

    /// The document, whatever is played.
    pub fn document(&self) -> &Document {
        self.history.document()
    }

    /// The pose to be drawn: the document's, or what is played.
    pub fn posed(&self) -> &Posed {
        self.shown.as_ref().unwrap_or(self.history.posed())
    }

    /// The pose that a motion began from; none from before the rig was changed.
    pub fn ghost(&self) -> Option<&Posed> {
        self.ghost.as_ref()
    }

    /// Changes the document. A ghost of another rig than it has then goes, and so does what was
    /// played.
    pub fn change<T>(&mut self, how: impl FnOnce(&mut History) -> T) -> T {
        let changed = how(&mut self.history);
        self.shown = None;
        let rig = self.history.posed().rig();
        self.ghost.take_if(|ghost| !ghost.rig().is_same(rig));
        changed
    }

    /// Gives the step going on a name of its own; what is played goes on.
    pub fn name_step(&mut self, label: &str) {
        self.history.name_step(label);
    }

    /// Ends a drag; what is played goes on.
    pub fn settle(&mut self) {
        self.history.settle();
    }

    /// Makes an edit as one step of undo.
    ///
    /// # Errors
    /// When it is refused; the document is as before then.
    pub fn edit(&mut self, edit: &Edit) -> Result<(), Refusal> {
        self.change(|history| history.edit(edit))
    }

    /// Shows another setting of the document's rig without touching the document.
    pub fn show(&mut self, setting: &Setting) {
        let own = self.history.posed();
        self.shown.get_or_insert_with(|| own.clone()).set(setting);
    }

    /// Shows the document again.
    pub fn stop(&mut self) {
        self.shown = None;
    }

    /// Whether something is played.
    pub fn is_played(&self) -> bool {
        self.shown.is_some()
    }

    /// Keeps the pose as it is shown as the ghost.
    pub fn keep_ghost(&mut self) {
        self.ghost = Some(self.posed().clone());
    }

    /// Lets the ghost go.
    pub fn drop_ghost(&mut self) {
        self.ghost = None;
    }

    /// Label of what undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        self.history.undo_label()
    }

    /// Label of what redo would make again.
    pub fn redo_label(&self) -> Option<&str> {
        self.history.redo_label()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chain() -> Stage {
        let text = include_str!("../../../examples/bench-press-chain.hand.json");
        let document = hand::read(text).expect("a good example");
        Stage::new(History::new(Posed::new(&document).expect("checked")))
    }

    fn turned(stage: &Stage, value: f64) -> Setting {
        let mut setting = stage.document().setting.clone();
        setting.dials[0] = value;
        setting
    }

    fn lift(stage: &Stage, value: f64) -> Edit {
        let values = vec![(stage.document().dials[0].id, value)];
        Edit::SetDials { values }
    }

    #[test]
    fn what_is_played_is_no_part_of_the_document() {
        let mut stage = chain();
        let before = stage.document().clone();
        stage.show(&turned(&stage, 20.0));
        assert!(stage.is_played());
        assert_eq!(stage.posed().setting().dials[0], 20.0);
        assert_eq!(*stage.document(), before);
        stage.stop();
        assert_eq!(*stage.posed().document(), before);
    }

    /// A run of key presses is ended by a clock, whatever goes on by then.
    #[test]
    fn the_end_of_a_drag_leaves_what_is_played() {
        let mut stage = chain();
        let edit = lift(&stage, 5.0);
        stage.change(|history| history.edit_live(&edit)).unwrap();
        stage.show(&turned(&stage, 20.0));
        stage.name_step("lift it");
        stage.settle();
        assert!(stage.is_played());
        assert_eq!(stage.undo_label(), Some("lift it"));
    }

    #[test]
    fn an_edit_ends_what_is_played() {
        let mut stage = chain();
        stage.show(&turned(&stage, 20.0));
        stage.edit(&lift(&stage, 5.0)).unwrap();
        assert!(!stage.is_played());
        assert_eq!(stage.posed().setting().dials[0], 5.0);
    }

    #[test]
    fn a_ghost_outlives_a_turn_but_not_its_rig() {
        let mut stage = chain();
        stage.keep_ghost();
        stage.edit(&lift(&stage, 5.0)).unwrap();
        let ghost = stage.ghost().expect("of the same rig");
        assert_ne!(ghost.setting(), stage.posed().setting());
        let node = stage.document().nodes[1].id;
        let name = "wrist of the baker".to_owned();
        stage.edit(&Edit::Rename { node, name }).unwrap();
        assert!(stage.ghost().is_none());
    }
}
