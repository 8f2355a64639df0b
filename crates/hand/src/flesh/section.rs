//! How thick a hand's flesh is about its bones. Assumed, by eye, in parts of the drawn widths;
//! what is drawn and what is measured both go by these.

/// Half thicknesses about a bone, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Thickness {
    pub back: f64,
    pub palm: f64,
    pub side: f64,
}

/// From 0 to 1 without a corner at either.
pub fn ease(t: f64) -> f64 {
    let t = if t > 1.0 {
        1.0
    } else if t > 0.0 {
        t
    } else {
        0.0
    };
    t * t * (3.0 - 2.0 * t)
}

/// About bone `b` of a digit at a part of it, its joints' half widths being `halves`: wider at
/// the joints, a soft belly between the creases of the palm's side, and a fingertip with its pad.
pub fn phalanx(halves: &[f64], b: usize, t: f64, last: bool) -> Thickness {
    let bulge = 4.0 * t * (1.0 - t);
    if last {
        let half = halves[b] + (0.93 * halves[b] - halves[b]) * t;
        return Thickness {
            back: half * (0.9 - 0.22 * ease(t)),
            palm: half * (0.94 + 0.1 * bulge),
            side: half * (1.08 + 0.02 * bulge),
        };
    }
    let half = halves[b] + (halves[b + 1] - halves[b]) * ease(t);
    Thickness {
        back: half * (0.9 - 0.08 * bulge),
        palm: half * (0.98 + 0.07 * bulge),
        side: half * (1.08 - 0.1 * bulge),
    }
}

/// About a thumb's bone: its first carries the ball.
pub fn thumb(halves: &[f64], b: usize, t: f64, last: bool) -> Thickness {
    let mut of = phalanx(halves, b, t, last);
    if b == 0 {
        let ball = 4.0 * t * (1.0 - t);
        let root = 1.0 - ease(t);
        of.palm *= 1.0 + 0.2 * ball;
        of.side *= 1.0 - 0.12 * root + 0.06 * ball;
        of.back *= 1.0 - 0.2 * root;
    }
    of
}

/// Half thicknesses of the palm over the knuckle's by station: (position, back, front, side), the
/// wrist at −1, the metacarpals' bases at 0, the knuckles at 1, the web beyond.
const PALM: [(f64, f64, f64, f64); 8] = [
    (-1.3, 1.32, 1.37, 1.05),
    (-0.7, 1.3, 1.42, 1.0),
    (0.0, 1.12, 1.37, 1.1),
    (0.5, 0.9, 1.3, 1.1),
    (1.0, 0.84, 1.22, 1.0),
    (1.2, 0.72, 1.1, 0.9),
    (1.36, 0.5, 0.85, 0.72),
    (1.44, 0.06, 0.25, 0.5),
];

/// How far along a finger's first bone the web reaches, as a part of it.
pub const WEB: f64 = PALM[PALM.len() - 1].0 - 1.0;

/// Back, front and side of the palm at such a position, over the knuckle's half width.
pub fn profile(at: f64) -> (f64, f64, f64) {
    let i = PALM.iter().rposition(|p| p.0 <= at).unwrap_or(0);
    let i = i.min(PALM.len() - 2);
    let (a, b) = (PALM[i], PALM[i + 1]);
    let t = ease((at - a.0) / (b.0 - a.0));
    let mix = |a: f64, b: f64| a + (b - a) * t;
    (mix(a.1, b.1), mix(a.2, b.2), mix(a.3, b.3))
}

/// About a ray of the palm at such a position, mm: `half` is half the knuckle's width, `wrist`
/// half the wrist's, `ball` whether it is the little finger's side.
pub fn palm(half: f64, wrist: f64, position: f64, ball: bool) -> Thickness {
    let (mut back, mut front, mut side) = profile(position);
    if position < 0.0 {
        // The wrist has its own thickness.
        let own = wrist / (1.9 * half);
        let near = if position < -1.0 { 1.0 } else { 0.0 - position };
        back *= 1.0 + (own - 1.0) * near;
        front *= 1.0 + (own - 1.0) * near;
    }
    if ball {
        let ball = ease((position + 0.8) / 0.7) * (1.0 - ease((position - 0.2) / 0.8));
        side += 0.22 * ball;
        front += 0.18 * ball;
    }
    // Its beginning is tucked into the arm.
    let half = half * (1.0 - 0.16 * ease((-0.5 - position) / 0.75));
    Thickness {
        back: back * half,
        palm: front * half,
        side: side * half,
    }
}

/// How much nearer the palm's rays are to each other at the wrist than at the metacarpals' bases.
pub const NEARER: f64 = 0.92;
