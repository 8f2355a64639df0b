//! What every part of the drawing draws on.
use crate::label_layout::Room;
use crate::sign::{Sign, Signs};
use crate::{Paint, Shape, Stroke, View};
use rig::Vec3;

/// The view, the weight, the shapes so far, and the room left for text.
pub(crate) struct Sheet<'a> {
    pub view: &'a View,
    /// The view's axes, which take sines to find.
    pub axes: [Vec3; 3],
    pub weight: f64,
    pub shapes: Vec<Shape>,
    pub room: Room,
    /// What a key to the picture has to explain.
    pub signs: Signs,
}

impl<'a> Sheet<'a> {
    pub fn new(view: &'a View, weight: f64) -> Self {
        Self {
            view,
            axes: view.axes(),
            weight,
            shapes: Vec::new(),
            room: Room::new(view.size),
            signs: Signs::default(),
        }
    }

    /// World to px. A place that is none is a fault of the pose or the scene.
    pub fn at(&self, p: &Vec3) -> (f64, f64) {
        debug_assert!(
            p.iter().all(|x| x.is_finite()),
            "a place in the figure is not finite: {p:?}"
        );
        let d = self.step(&(p - self.view.centre));
        (self.view.size.0 / 2.0 + d.0, self.view.size.1 / 2.0 + d.1)
    }
    /// A world offset to px.
    pub fn step(&self, d: &Vec3) -> (f64, f64) {
        let [right, up, _] = &self.axes;
        (
            right.dot(d) * self.view.scale,
            -(up.dot(d) * self.view.scale),
        )
    }
    /// World points to px; points that are not finite are left out.
    pub fn line(&self, points: &[Vec3]) -> Vec<(f64, f64)> {
        points
            .iter()
            .map(|p| self.at(p))
            .filter(|p| p.0.is_finite() && p.1.is_finite())
            .collect()
    }
    /// A stroke of this many px at weight 1.
    pub fn stroke(&self, paint: Paint, width: f64) -> Stroke {
        Stroke::solid(paint, width * self.weight)
    }
    /// A type size of this many px at weight 1, never below 12.
    pub fn type_size(&self, size: f64) -> f64 {
        (size * self.weight).max(12.0)
    }
    /// Keeps text off a line, by its points.
    pub fn keep_off(&mut self, points: &[(f64, f64)]) {
        for p in points {
            self.room.take_disc(*p, 2.0 * self.weight);
        }
    }
    pub fn push(&mut self, shape: Shape) {
        self.shapes.push(shape);
    }
    /// A shape that the key has by this sign.
    pub fn signed(&mut self, sign: Sign, shape: Shape) {
        self.signs.add(sign);
        self.shapes.push(shape);
    }
}
