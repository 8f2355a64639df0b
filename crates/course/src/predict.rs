//! Predictions drawn on the figure, and what really happens.
use crate::Task;
use rig::{Document, Vec3};

/// What the reader drew, world mm.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Answer { Pin(Vec3), Path(Vec<Vec3>), /** painted discs: centre, radius */ Region(Vec<(Vec3, f64)>), /** degrees */ Angle(f64), /** node names stapled */ Stay(Vec<String>) }

/// What happens, for the overlay.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Truth { Pin(Vec3), Path(Vec<Vec3>), /** closed outlines, even-odd */ Region(Vec<Vec<Vec3>>), Angle(f64), /** names that stay, and how far each node of `among` moves, mm */ Stay(Vec<(String, f64, bool)>) }

/// How near the drawing was. Predictions are never failed.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Verdict { /** 'Your line stays within 1.8 mm of the arc.' */ pub text: String, pub near: bool }

/// Computes what happens, from the document. Errors are sentences.
pub fn truth(document: &Document, task: &Task) -> Result<Truth, String> { let _ = (document, task); todo!() }

/// Compares a drawing with it.
pub fn judge(document: &Document, task: &Task, answer: &Answer) -> Result<Verdict, String> { let _ = (document, task, answer); todo!() }
