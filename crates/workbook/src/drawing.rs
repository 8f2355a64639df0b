//! A prediction's drawing as a tab keeps it: over a reload, and until its step is come back to.
use crate::pencil::Pencil;
use rig::{Document, NodeId, Vec3};
use serde::{Deserialize, Serialize};

/// Of one place's prediction.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Drawing {
    /// The place.
    pub slot: String,
    /// Whether what happens has been shown beside it.
    pub seen: bool,
    strokes: Vec<Vec<[f64; 3]>>,
    pin: Option<[f64; 3]>,
    paint: Vec<[f64; 3]>,
    angle: Option<f64>,
    stay: Vec<u32>,
    none_stays: bool,
}

impl Drawing {
    pub fn of(slot: String, pencil: &Pencil, seen: bool) -> Self {
        let plain = |at: &Vec3| [at.x, at.y, at.z];
        let line = |line: &Vec<Vec3>| line.iter().map(plain).collect();
        Self {
            slot,
            seen,
            strokes: pencil.strokes.iter().map(line).collect(),
            pin: pencil.pin.as_ref().map(plain),
            paint: pencil.paint.iter().map(plain).collect(),
            angle: pencil.angle,
            stay: pencil.stay.iter().map(|node| node.0).collect(),
            none_stays: pencil.none_stays,
        }
    }

    /// As it was written; none if it was not, or somebody else wrote it.
    pub fn read(text: &str) -> Option<Self> {
        serde_json::from_str(text).ok()
    }

    pub fn written(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    /// Drawn again on a figure, of which only what it has is stapled.
    pub fn pencil(&self, on: &Document) -> Pencil {
        let line = |line: &Vec<[f64; 3]>| line.iter().copied().map(Vec3::from).collect();
        let stay = self.stay.iter().map(|id| NodeId(*id));
        Pencil {
            strokes: self.strokes.iter().map(line).collect(),
            pin: self.pin.map(Vec3::from),
            paint: self.paint.iter().copied().map(Vec3::from).collect(),
            angle: self.angle,
            stay: stay.filter(|id| on.node(*id).is_some()).collect(),
            none_stays: self.none_stays,
            ..Pencil::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sketch;

    #[test]
    fn it_comes_back_as_it_was_drawn() {
        let at = |x: f64| Vec3::new(x, 1.0 / 3.0, -0.1);
        let pencil = Pencil {
            strokes: vec![vec![at(0.0), at(1.0)]],
            pin: Some(at(2.0)),
            paint: vec![at(3.0)],
            angle: Some(18.1),
            none_stays: true,
            ..Pencil::default()
        };
        let drawing = Drawing::of("lesson-1-1".into(), &pencil, true);
        let again = Drawing::read(&drawing.written()).expect("as written");
        assert_eq!(again, drawing);
        assert_eq!(again.pencil(&sketch::blank()), pencil);
    }

    #[test]
    fn what_is_no_drawing_is_none_and_what_is_gone_is_left_out() {
        assert_eq!(Drawing::read("[1, 2"), None);
        assert_eq!(Drawing::read(r#"{"pin": "here"}"#), None);
        let drawing = Drawing::read(r#"{"slot": "lesson-3-1", "stay": [7, 4294967295]}"#);
        let pencil = drawing.expect("a drawing").pencil(&sketch::blank());
        assert!(pencil.stay.is_empty());
    }
}
