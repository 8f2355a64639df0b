//! What a press on the plate does, and what the reader's pencil has drawn for a prediction.
use rig::{NodeId, Posed, Vec3};

/// What a press on the plate does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tool {
    /// Drags movers.
    #[default]
    Hand,
    /// Draws predictions.
    Pencil,
    AddJoint,
    AddMount,
}

/// The drawing so far.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pencil {
    pub strokes: Vec<Vec<Vec3>>,
    pub pin: Option<Vec3>,
    pub paint: Vec<Vec3>,
    /// Degrees of the drawn ray from the bone.
    pub angle: Option<f64>,
    pub stay: Vec<NodeId>,
    /// That no node stays.
    pub none_stays: bool,
    /// Keyboard point; none until a key moves it.
    pub cursor: Option<Vec3>,
    /// Whether keys draw as they move.
    pub down: bool,
    /// Whether the line goes from tap to tap, for who cannot drag.
    pub(crate) tapped: bool,
    /// Where such a line was pressed next: it is one point more, unless a drag begins there.
    pub(crate) pressed: Option<Vec3>,
}

/// A line grows by no less than this, mm.
const LEAST: f64 = 0.4;

impl Pencil {
    /// Whether there is something to compare.
    pub fn drawn(&self) -> bool {
        self.pin.is_some()
            || self.strokes.iter().any(|s| s.len() > 1)
            || !self.paint.is_empty()
            || self.angle.is_some()
            || !self.stay.is_empty()
            || self.none_stays
    }

    /// Begins the line at a point (`start`) or draws it on to there. One line: a new stroke replaces
    /// the old.
    pub fn draw(&mut self, at: Vec3, start: bool) {
        if start && self.tapped {
            self.pressed = Some(at);
            return;
        }
        if let Some(begun) = self.pressed.take() {
            self.tapped = false;
            self.strokes = vec![vec![begun]];
        }
        if start || self.strokes.is_empty() {
            self.strokes = vec![vec![at]];
        } else if let Some(stroke) = self.strokes.last_mut()
            && stroke.last().is_none_or(|last| (last - at).norm() > LEAST)
        {
            stroke.push(at);
        }
    }

    /// The press was a tap: the line begins here, or goes on to here from the last one.
    pub fn tap(&mut self, at: Vec3) {
        self.pressed = None;
        match self.strokes.last_mut().filter(|_| self.tapped) {
            Some(line) => line.push(at),
            None => self.strokes = vec![vec![at]],
        }
        self.tapped = true;
    }

    /// Dabs with a brush of this radius, unless that would hardly show beside the last dab.
    pub fn dab(&mut self, at: Vec3, brush: f64) {
        let apart = |last: &Vec3| (last - at).norm() > brush * 0.3;
        if self.paint.last().is_none_or(apart) {
            self.paint.push(at);
        }
    }

    /// Takes all staples out and says that it is so: none stays.
    pub fn say_none_stays(&mut self) {
        self.stay.clear();
        self.none_stays = true;
    }

    /// Staples a node, or takes the staple out.
    pub fn toggle_stay(&mut self, node: NodeId) {
        self.none_stays = false;
        if let Some(index) = self.stay.iter().position(|&n| n == node) {
            self.stay.remove(index);
        } else {
            self.stay.push(node);
        }
    }
}

/// The ray's apex and the bone it starts from.
pub fn apex_and_bone(posed: &Posed, apex: &str, along: &str) -> Option<(Vec3, Vec3)> {
    let point = |name: &str| Some(posed.point(posed.rig().node_named(name)?.id));
    let apex = point(apex)?;
    Some((apex, point(along)? - apex))
}

/// Unsigned degrees between two directions, seen from where `towards` comes from.
pub fn turn_between(a: &Vec3, b: &Vec3, towards: &Vec3) -> f64 {
    let across = libm::fabs(a.cross(b).dot(towards));
    libm::atan2(across, a.dot(b)).to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ray_is_turned_the_same_whichever_way() {
        let towards = Vec3::z();
        for up in [1.0, -1.0] {
            let turned = turn_between(&at(2.0), &Vec3::new(0.0, up, 0.0), &towards);
            assert!((turned - 90.0).abs() < 1e-12);
        }
    }

    #[test]
    fn a_line_goes_from_tap_to_tap_until_one_drags() {
        let mut pencil = Pencil::default();
        let tap = |pencil: &mut Pencil, x| {
            pencil.draw(at(x), true);
            pencil.tap(at(x));
        };
        tap(&mut pencil, 0.0);
        assert!(!pencil.drawn());
        tap(&mut pencil, 5.0);
        tap(&mut pencil, 9.0);
        assert_eq!(pencil.strokes, [[at(0.0), at(5.0), at(9.0)]]);
        pencil.draw(at(2.0), true);
        assert_eq!(pencil.strokes[0].len(), 3);
        pencil.draw(at(3.0), false);
        pencil.draw(at(4.0), false);
        assert_eq!(pencil.strokes, [[at(2.0), at(3.0), at(4.0)]]);
        // What was drawn in one go is replaced by the next line.
        tap(&mut pencil, 7.0);
        assert_eq!(pencil.strokes, [[at(7.0)]]);
    }

    fn at(x: f64) -> Vec3 {
        Vec3::new(x, 0.0, 0.0)
    }

    #[test]
    fn a_point_alone_is_no_line() {
        let mut pencil = Pencil::default();
        assert!(!pencil.drawn());
        pencil.draw(at(0.0), true);
        assert!(!pencil.drawn());
        pencil.draw(at(0.2), false);
        assert!(!pencil.drawn(), "too near to be drawn");
        pencil.draw(at(1.0), false);
        assert!(pencil.drawn());
        pencil.draw(at(5.0), true);
        assert_eq!(pencil.strokes, [[at(5.0)]]);
    }

    #[test]
    fn dabs_keep_apart_by_a_part_of_the_brush() {
        let mut pencil = Pencil::default();
        for x in [0.0, 2.0, 3.1, 4.0] {
            pencil.dab(at(x), 10.0);
        }
        assert_eq!(pencil.paint, [at(0.0), at(3.1)]);
    }

    #[test]
    fn that_none_stays_is_said_without_a_staple() {
        let mut pencil = Pencil::default();
        pencil.toggle_stay(NodeId(3));
        pencil.say_none_stays();
        assert!(pencil.drawn() && pencil.none_stays && pencil.stay.is_empty());
        pencil.toggle_stay(NodeId(3));
        assert!(!pencil.none_stays);
    }

    #[test]
    fn a_staple_goes_in_and_out() {
        let mut pencil = Pencil::default();
        pencil.toggle_stay(NodeId(3));
        assert!(pencil.drawn());
        pencil.toggle_stay(NodeId(3));
        assert!(!pencil.drawn());
    }
}
