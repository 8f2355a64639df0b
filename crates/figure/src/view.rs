//! From world mm to view pixels and back.
use rig::Vec3;

/// Where one looks from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sight {
    /// From +z: x to the right, y up.
    Side,
    /// From +x, looking at the fingertips: −z to the right, y up.
    Front,
    /// From above: x to the right, −z up.
    Top,
    /// Free: turned about world y by `yaw`, then tipped by `pitch` (radians); 0, 0 is the side view.
    Oblique { #[allow(missing_docs)] yaw: f64, #[allow(missing_docs)] pitch: f64 },
}

/// An orthographic view.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Direction.
    pub sight: Sight,
    /// World point at the middle of the picture.
    pub centre: Vec3,
    /// Pixels per mm.
    pub scale: f64,
    /// Picture size, px.
    pub size: (f64, f64),
}

impl View {
    /// Unit vectors right, up and towards the viewer, in the world.
    pub fn axes(&self) -> [Vec3; 3] { todo!() }
    /// World to pixels, and depth towards the viewer in mm.
    pub fn project(&self, p: &Vec3) -> (f64, f64, f64) { let _ = p; todo!() }
    /// The world point under a pixel, in the view plane through `through`.
    pub fn unproject(&self, x: f64, y: f64, through: &Vec3) -> Vec3 { let _ = (x, y, through); todo!() }
    /// A view of this direction and size that shows all points with a margin (px).
    pub fn fit(sight: Sight, size: (f64, f64), points: &[Vec3], margin: f64) -> View { let _ = (sight, size, points, margin); todo!() }
}
