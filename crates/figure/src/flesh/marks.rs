//! What is drawn on skin: creases at the joints and in the palm, sinews, nails.
use super::palm;
use super::tube::{ALONG, CAP, SIDES};
use hand::flesh::section::ease;
use std::f64::consts::{PI, TAU};

/// A line or a patch on the skin, by ring and side.
pub(super) struct Mark {
    pub at: Vec<(f64, f64)>,
    /// Of the line, px at weight 1.
    pub width: f64,
    pub opacity: f64,
    /// Whether it is a nail: closed, and lighter than the skin.
    pub nail: bool,
}

/// Past this bend the back of a joint is stretched smooth, radians.
const SMOOTH: f64 = 1.1;
/// At this bend the crease on the palm's side is deepest, radians.
const FOLDED: f64 = 1.4;

fn side(angle: f64) -> f64 {
    angle * SIDES as f64 / TAU
}

/// A crease over part of the way round a digit, bowed along it by so many rings.
fn crease(ring: f64, (from, to): (f64, f64), bow: f64, width: f64, opacity: f64) -> Mark {
    let at = (0..=8).map(|i| {
        let t = f64::from(i) / 8.0;
        let bowed = ring + bow * 4.0 * t * (1.0 - t);
        (bowed, side(from + (to - from) * t))
    });
    Mark {
        at: at.collect(),
        width,
        opacity,
        nail: false,
    }
}

/// Where a finger leaves the palm: the crease of its root, so many rings on from its bone's first.
pub(super) fn root(ring: usize) -> Mark {
    crease(ring as f64 + 3.0, (-0.95, 0.95), 0.3, 1.0, 0.5)
}

/// At a joint within a digit that is bent by so much: its bone begins at a ring, so many after the
/// plane in which it meets the bone before, whose number goes with the bend.
pub(super) fn joint(ring: usize, turned: usize, bend: f64) -> Vec<Mark> {
    let (ring, turned) = (ring as f64, turned as f64);
    // The palm's side folds deeper the more it is bent; the back is stretched smooth.
    let folds = 0.9 + 0.7 * ease(bend / FOLDED);
    let mut marks = vec![crease(
        ring - 0.5 * turned,
        (-1.15, 1.15),
        0.3 * turned,
        folds,
        0.55,
    )];
    let slack = 1.0 - ease(bend / SMOOTH);
    if slack > 0.0 {
        for (off, wide, bow) in [(-0.9 * turned, 0.5, -0.1 * turned), (0.5, 0.62, 0.25)] {
            let over = (PI - wide, PI + wide);
            marks.push(crease(ring + off, over, bow, slack, 0.5));
        }
    }
    marks
}

/// The nail of a last bone that begins at a ring: a squircle on the back, up to where the tip
/// rounds off.
pub(super) fn nail(ring: usize) -> Mark {
    let ring = ring as f64;
    let (middle, half) = (ring + 0.78 * ALONG as f64, 0.4 * ALONG as f64);
    let end = ring + ALONG as f64 + 0.55 * CAP as f64;
    let at = (0..28).map(|i| {
        let (s, c) = libm::sincos(TAU * f64::from(i) / 28.0);
        let square = |v: f64| libm::copysign(libm::sqrt(v.abs()), v);
        let along = square(c);
        let reach = if along > 0.0 { end - middle } else { half };
        (middle + along * reach, side(PI + 0.8 * square(s)))
    });
    Mark {
        at: at.collect(),
        width: 1.0,
        opacity: 0.6,
        nail: true,
    }
}

/// Marks on a palm of so many fingers that begins at a ring: its three creases, and the sinews on
/// its back.
pub(super) fn palm(begin: usize, fingers: usize, thumb: bool) -> Vec<Mark> {
    // Rings are told from the wrist, which is two before the palm's first.
    let begin = begin as f64 - 2.0;
    let rays = fingers + usize::from(thumb);
    let first = f64::from(u8::from(thumb));
    let last = (fingers - 1) as f64;
    let mut marks = Vec::new();
    // Places by finger (0: the first; 1: the last) and ring.
    let front: [&[(f64, f64)]; 3] = [
        &[
            (1.1, 10.6),
            (0.85, 11.0),
            (0.6, 11.6),
            (0.38, 12.6),
            (0.28, 13.8),
        ],
        &[
            (-0.12, 10.4),
            (0.15, 9.9),
            (0.4, 9.2),
            (0.65, 8.2),
            (0.82, 7.2),
        ],
        &[
            (-0.12, 10.2),
            (0.08, 9.0),
            (0.22, 7.2),
            (0.3, 5.2),
            (0.34, 3.2),
        ],
    ];
    for line in front {
        let at = line
            .iter()
            .map(|&(finger, ring)| (begin + ring, palm::over(first + finger * last, rays, true)));
        marks.push(Mark {
            at: fine(&at.collect::<Vec<_>>()),
            width: 1.2,
            opacity: 0.5,
            nail: false,
        });
    }
    for k in 0..fingers {
        let ray = palm::over(first + k as f64, rays, false);
        let at = [12.0, 10.0, 7.5].map(|ring| (begin + ring, ray));
        marks.push(Mark {
            at: fine(&at),
            width: 1.0,
            opacity: 0.28,
            nail: false,
        });
    }
    marks
}

/// More points on a smooth line through these.
fn fine(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    const PIECES: usize = 4;
    let at = |i: isize| points[i.clamp(0, points.len() as isize - 1) as usize];
    let mut all = Vec::new();
    for i in 0..points.len() as isize - 1 {
        let (p, q, r, s) = (at(i - 1), at(i), at(i + 1), at(i + 2));
        for k in 0..PIECES {
            let t = k as f64 / PIECES as f64;
            // Uniform Catmull-Rom.
            let mix = |p: f64, q: f64, r: f64, s: f64| {
                q + 0.5
                    * t
                    * (r - p + t * (2.0 * p - 5.0 * q + 4.0 * r - s + t * (3.0 * (q - r) + s - p)))
            };
            all.push((mix(p.0, q.0, r.0, s.0), mix(p.1, q.1, r.1, s.1)));
        }
    }
    all.extend(points.last());
    all
}
