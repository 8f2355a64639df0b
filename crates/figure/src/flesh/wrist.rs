//! The wrist, the rays from it, and how thick the flesh about them is.
use hand::flesh::section::{NEARER, profile};
use rig::Vec3;

/// What the palm is made round: a finger's metacarpal and its first phalanx, or the thumb's.
#[derive(Clone, Copy)]
pub(super) struct Ray {
    pub base: Vec3,
    pub knuckle: Vec3,
    pub next: Vec3,
    /// Out of the palm at the metacarpal and at the phalanx, unit.
    pub palm: [Vec3; 2],
    /// Half the knuckle's thickness, mm.
    pub half: f64,
}

/// The wrist: its centre, and units out of the palm and towards the first finger's side.
#[derive(Clone, Copy)]
pub(super) struct Wrist {
    pub at: Vec3,
    pub palm: Vec3,
    pub side: Vec3,
    /// Half its thickness, mm.
    pub half: f64,
    /// 1 where `along × palm` of a bone points to the thumb's side, −1 where it points away.
    pub thumbward: f64,
    /// How far the middle of its flesh is from its centre towards `side`, half its breadth, and
    /// how far the metacarpals begin from it, mm.
    pub aside: f64,
    pub broad: f64,
    pub carpus: f64,
}

impl Wrist {
    /// `along` to the fingers; `rays` at least one.
    pub fn new(at: Vec3, along: Vec3, palm: Vec3, side: Vec3, half: f64, rays: &[Ray]) -> Self {
        let aside = |ray: &Ray| NEARER * (ray.base - at).dot(&side);
        let (first, last) = (&rays[0], &rays[rays.len() - 1]);
        let (thumb, little) = (
            aside(first) + profile(-1.0).2 * first.half,
            aside(last) - profile(-1.0).2 * last.half,
        );
        let bases = rays.iter().map(|ray| (ray.base - at).dot(&along));
        Self {
            at,
            palm,
            side,
            half,
            thumbward: if along.cross(&palm).dot(&side) < 0.0 {
                -1.0
            } else {
                1.0
            },
            aside: (thumb + little) / 2.0,
            broad: (thumb - little).abs() / 2.0,
            carpus: bases.sum::<f64>() / rays.len() as f64,
        }
    }
}
