//! The wrist, the rays from it, and how thick the flesh about them is.
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

/// How much nearer the rays are to each other at the wrist than at the metacarpals' bases.
pub(super) const NEARER: f64 = 0.92;

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

/// Half thicknesses over the knuckle's by station: (position, back, front, side), the wrist at
/// −1, the metacarpals' bases at 0, the knuckles at 1, the web beyond. Assumed, by eye.
const PROFILE: [(f64, f64, f64, f64); 8] = [
    (-1.3, 1.32, 1.45, 1.05),
    (-0.7, 1.3, 1.5, 1.0),
    (0.0, 1.12, 1.45, 1.1),
    (0.5, 0.9, 1.3, 1.1),
    (1.0, 0.84, 1.22, 1.0),
    (1.2, 0.72, 1.1, 0.9),
    (1.36, 0.5, 0.85, 0.72),
    (1.44, 0.06, 0.25, 0.5),
];

/// Back, front and side at such a position.
pub(super) fn profile(at: f64) -> (f64, f64, f64) {
    let i = PROFILE
        .iter()
        .rposition(|p| p.0 <= at)
        .unwrap_or(0)
        .min(PROFILE.len() - 2);
    let (a, b) = (PROFILE[i], PROFILE[i + 1]);
    let t = ease((at - a.0) / (b.0 - a.0));
    let mix = |a: f64, b: f64| a + (b - a) * t;
    (mix(a.1, b.1), mix(a.2, b.2), mix(a.3, b.3))
}

/// From 0 to 1 without a corner at either.
pub(super) fn ease(t: f64) -> f64 {
    let t = t.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}
