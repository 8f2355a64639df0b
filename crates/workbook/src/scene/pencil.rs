//! The reader's pencil: what is drawn for a prediction, and what really happens laid over it.
use crate::pencil::{Pencil, apex_and_bone};
use course::{Answer, Task, Truth};
use figure::{Scene, View};
use rig::{Posed, Vec3};

/// The drawing for a task, on the pose `drawn_on`, into a scene that shows `posed`.
pub(super) fn draw(scene: &mut Scene, pencil: Pencil, task: &Task, on: &On) {
    // Of a line from tap to tap the first point is seen too.
    let begun = pencil.strokes.iter().filter(|line| line.len() == 1);
    scene
        .marks
        .extend(begun.map(|line| (String::new(), line[0])));
    scene.pencil_strokes = pencil.strokes;
    scene.pencil_pins = pencil.pin.into_iter().collect();
    if let Task::PredictRegion { brush, .. } = task {
        scene.pencil_paint = pencil.paint.iter().map(|p| (*p, *brush)).collect();
    }
    if let (Some(angle), Some((apex, bone))) = (pencil.angle, on.bone(task)) {
        let ray = on.ray(&bone, angle);
        scene.pencil_strokes.push(vec![apex, apex + ray]);
        scene.arcs.push((
            apex,
            apex + bone * 0.6,
            apex + ray * 0.6,
            format!("{angle:.1}°"),
        ));
    }
    let stay = pencil.stay.iter().map(|id| on.posed.point(*id));
    scene.pencil_pins.extend(stay);
}

/// Apart by no more than this two places are one on the plate, mm.
const SAME: f64 = 1.0;

/// How far what was drawn is from what happens, as a dimension between the two.
fn gap(scene: &mut Scene, truth: &Truth, task: &Task) {
    // A line drawn for an axis is judged by its turn, not by where it ends.
    let line = scene.pencil_strokes.last().cloned();
    let answer = match task {
        Task::PredictPin { .. } => scene.pencil_pins.first().copied().map(Answer::Pin),
        Task::PredictPath { .. } => line.map(Answer::Path),
        _ => None,
    };
    let apart = answer.and_then(|answer| course::apart(truth, &answer));
    let Some((from, to)) = apart.filter(|(from, to)| (to - from).norm() > SAME) else {
        return;
    };
    let label = format!("{:.1} mm", (to - from).norm());
    scene.dimensions.push((from, to, label));
}

/// What really happens, over the drawing.
pub(super) fn reveal(scene: &mut Scene, truth: &Truth, task: &Task, on: &On) {
    gap(scene, truth, task);
    match truth {
        Truth::Pin(at) => scene.truth_pins.push(*at),
        Truth::Path(points) => scene.truth_strokes.push(points.clone()),
        Truth::Region(outlines) => scene.truth_regions = outlines.clone(),
        Truth::Angle(angle) => {
            if let Some((apex, bone)) = on.bone(task) {
                let ray = on.ray(&bone, *angle);
                scene.truth_strokes.push(vec![apex, apex + ray]);
            }
        }
        Truth::Stay(_) => {}
    }
}

/// What the drawing is made on.
pub(super) struct On<'a> {
    pub posed: &'a Posed,
    /// Once the truth is shown the pose moves on, and the ghost keeps the one drawn on.
    pub before: Option<&'a Posed>,
    pub view: &'a View,
}

impl On<'_> {
    /// The bone a ray was drawn from.
    fn bone(&self, task: &Task) -> Option<(Vec3, Vec3)> {
        let Task::PredictAngle { apex, along, .. } = task else {
            return None;
        };
        apex_and_bone(self.before.unwrap_or(self.posed), apex, along)
    }

    /// The bone's direction turned by `angle` degrees, clockwise as seen: a finger bending up at
    /// its root points down beyond the joint.
    fn ray(&self, bone: &Vec3, angle: f64) -> Vec3 {
        let towards = self.view.axes()[2];
        let (sin, cos) = libm::sincos(angle.to_radians());
        bone * cos - towards.cross(bone) * sin
    }
}
