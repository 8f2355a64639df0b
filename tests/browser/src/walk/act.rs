//! One act of a walk, as it is written down and done again.

use serde::{Deserialize, Serialize};
use std::fmt;

/// What is done, and to what by its name. Places are parts of the target's box, ways are in px.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Act {
    Press(String),
    PressTwice(String, [f64; 2]),
    Fill(String, String),
    Choose(String, usize),
    /// To a part of the slider's length.
    Slide(String, f64),
    Drag(String, [f64; 2], Vec<[f64; 2]>),
    Wheel(String, [f64; 2], i32),
    Key(Stroke, usize),
    /// To an address within the site.
    Go(String),
    Back,
    Forward,
    Reload,
    /// To one of `Size::ALL`.
    Resize(usize),
    /// Undoes all, wants the first document, and makes all again.
    TakeBack,
}

/// Keys that mean something to the page.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stroke {
    Tab,
    BackTab,
    Left,
    Right,
    Up,
    Down,
    Enter,
    Space,
    Escape,
    Home,
    End,
    Undo,
    Redo,
}

impl fmt::Display for Act {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Act::Press(on) => write!(f, "press {on}"),
            Act::PressTwice(on, [x, y]) => write!(f, "press {on} twice at {x:.2}, {y:.2}"),
            Act::Fill(on, text) => write!(f, "write {text:?} into {on}"),
            Act::Choose(on, nth) => write!(f, "choose {nth} in {on}"),
            Act::Slide(on, part) => write!(f, "bring {on} to {part:.2}"),
            Act::Drag(on, [x, y], by) => write!(f, "drag {on} from {x:.2}, {y:.2} by {by:?} px"),
            Act::Wheel(on, _, by) => write!(f, "turn the wheel by {by} over {on}"),
            Act::Key(stroke, times) => write!(f, "key {stroke:?} × {times}"),
            Act::Go(to) => write!(f, "go to {to}"),
            Act::Resize(to) => write!(f, "size {}", crate::Size::ALL[*to].name),
            Act::Back | Act::Forward | Act::Reload => {
                write!(f, "{}", format!("{self:?}").to_lowercase())
            }
            Act::TakeBack => write!(f, "undo all and make it again"),
        }
    }
}
