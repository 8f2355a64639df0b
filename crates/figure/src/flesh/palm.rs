//! Flesh of the palm: rings from the wrist over the metacarpals to where the fingers part.
use super::skin::Skin;
use super::tube::square;
use super::wrist::{Ray, Wrist};
use hand::flesh::section::{self, NEARER, ease};
use rig::Vec3;
use std::f64::consts::FRAC_PI_2;

/// A place along a ray, and the flesh about it, in parts of the knuckle's half thickness.
#[derive(Clone, Copy)]
struct Spot {
    at: Vec3,
    palm: Vec3,
    back: f64,
    front: f64,
    side: f64,
}

/// Where a ring is.
#[derive(Clone, Copy)]
enum Station {
    /// From the wrist's centre (0) to the metacarpals' bases (1).
    Carpus(f64),
    /// Along the metacarpals.
    Metacarpal(f64),
    /// Along the first phalanges; how far the ring is turned from the metacarpal to the phalanx.
    Web(f64, f64),
}
use Station::{Carpus, Metacarpal, Web};

const STATIONS: [Station; 22] = [
    Carpus(0.4),
    Carpus(0.7),
    Metacarpal(0.0),
    Metacarpal(0.12),
    Metacarpal(0.25),
    Metacarpal(0.38),
    Metacarpal(0.5),
    Metacarpal(0.62),
    Metacarpal(0.74),
    Metacarpal(0.84),
    Metacarpal(0.92),
    Metacarpal(0.97),
    Web(0.0, 0.2),
    Web(0.015, 0.4),
    Web(0.03, 0.6),
    Web(0.05, 0.8),
    Web(0.09, 1.0),
    Web(0.16, 1.0),
    Web(0.24, 1.0),
    Web(0.32, 1.0),
    Web(0.40, 1.0),
    Web(0.44, 1.0),
];

/// Points round each end of a ring, and between two rays on each face.
const END: usize = 7;
const BETWEEN: usize = 2;

/// The palm's skin over these fingers (at least one), from the thumb's side, and the web to the
/// thumb: without its normals, which what it grows out of has a say in.
pub(super) fn skin(wrist: &Wrist, fingers: &[Ray], thumb: Option<&Ray>) -> Skin {
    let rays = fingers.len() + usize::from(thumb.is_some());
    let sides = 2 * END + 2 * (rays - 1) * BETWEEN + 2 * rays.saturating_sub(2);
    let mut skin = Skin::with_room(sides, STATIONS.len(), false);
    let bends: Vec<Option<Bend>> = fingers.iter().map(Bend::of).collect();
    for station in STATIONS {
        let mut spots: Vec<Spot> = Vec::with_capacity(rays);
        let first = spot(wrist, &fingers[0], fingers.len() == 1, true, station);
        if let Some(thumb) = thumb {
            spots.push(web(wrist, thumb, &fingers[0], &first, station));
        }
        spots.extend(
            fingers
                .iter()
                .enumerate()
                .map(|(k, ray)| spot(wrist, ray, k + 1 == fingers.len(), k == 0, station)),
        );
        let before = skin.at.len();
        ring(&mut skin.at, wrist, &spots, station);
        // Where a finger is bent, the flesh of palm and finger ends where it meets.
        for (n, point) in skin.at[before..].iter_mut().enumerate() {
            let ray = nearest(n, rays);
            let (spot, face) = (&spots[ray], (sides - 2 * END) / 2);
            let out = if (END..END + face).contains(&n) {
                spot.palm
            } else if n >= 2 * END + face {
                -spot.palm
            } else {
                (*point - spot.at).try_normalize(1e-9).unwrap_or(spot.palm)
            };
            skin.normal.push(out);
            let bend = &bends[ray.saturating_sub(usize::from(thumb.is_some()))];
            if let Some(bend) = bend {
                bend.mitre(point, station);
            }
        }
        // The knuckles have a contour of their own, on the back and aside.
        let (back, front) = match station {
            Carpus(_) => (1.0, 1.0),
            Metacarpal(t) => (1.0 - ease((t - 0.84) / 0.13), 1.0),
            Web(t, _) => (0.0, 1.0 - ease((t - 0.12) / 0.2)),
        };
        // Along the thumb the palm has no edge of its own.
        let beside_thumb = match station {
            Metacarpal(t) if thumb.is_some() => ease((t - 0.4) / 0.2),
            Carpus(t) if thumb.is_some() => 1.0 - ease((t - 0.3) / 0.5),
            _ => 1.0,
        };
        skin.ink.extend((0..sides).map(|n| {
            let ink = if (END..sides - END).contains(&n) && n < sides / 2 {
                front
            } else {
                back
            };
            if n < END + 1 || n + 1 == sides {
                ink * beside_thumb
            } else {
                ink
            }
        }));
    }
    skin
}

/// Which ray a point of a ring belongs to.
fn nearest(point: usize, rays: usize) -> usize {
    let face = (rays - 1) * BETWEEN + rays.saturating_sub(2);
    if point < END {
        0
    } else if point < END + face {
        (point - END + 2) / (BETWEEN + 1)
    } else if point < 2 * END + face {
        rays - 1
    } else {
        rays - 1 - (point - 2 * END - face + 2) / (BETWEEN + 1)
    }
}

fn spot(wrist: &Wrist, ray: &Ray, last: bool, first: bool, station: Station) -> Spot {
    let half = ray.half;
    let aside = (ray.base - wrist.at).dot(&wrist.side);
    let root = wrist.at + wrist.side * (aside * NEARER);
    let (at, palm, position) = match station {
        Carpus(t) => (
            root + (ray.base - root) * t,
            wrist.palm * (1.0 - t) + ray.palm[0] * t,
            t - 1.0,
        ),
        Metacarpal(t) => (ray.base + (ray.knuckle - ray.base) * t, ray.palm[0], t),
        Web(t, turned) => (
            ray.knuckle + (ray.next - ray.knuckle) * t,
            ray.palm[0] * (1.0 - turned) + ray.palm[1] * turned,
            1.0 + t,
        ),
    };
    let of = section::palm(half, wrist.half, position, last && !first);
    Spot {
        at,
        palm: palm.try_normalize(1e-9).unwrap_or(ray.palm[0]),
        back: of.back,
        front: of.palm,
        side: of.side,
    }
}

/// The fold between thumb and first finger: it runs along the thumb's metacarpal and back.
fn web(wrist: &Wrist, thumb: &Ray, finger: &Ray, beside: &Spot, station: Station) -> Spot {
    /// How far along the thumb's metacarpal it is drawn, and how far aside.
    const FAR: f64 = 0.92;
    let out = |along: &Vec3| square(&wrist.side, along);
    let bone = finger.knuckle - finger.base;
    let along = bone.try_normalize(1e-9).unwrap_or(wrist.side);
    let near = beside.at + out(&along) * (0.3 * finger.half);
    let joint = thumb.base;
    let edge = joint + (thumb.knuckle - joint) * FAR;
    let (at, thick) = match station {
        Carpus(t) => (near + (joint - near) * ease(t), 1.0 - 0.25 * ease(t)),
        Metacarpal(t) => {
            let (u, t2) = (1.0 - t, t * t);
            // `near` is at the first finger's own place by now: what matters is where it ends.
            let end = finger.knuckle + out(&along) * (0.3 * finger.half);
            let at = joint * (u * u) + edge * (2.0 * t * u) + end * t2;
            (at, 0.75 - 1.3 * t * u + 0.1 * t)
        }
        Web(..) => (near, 0.85),
    };
    let across = beside.at - at;
    let turned = along.cross(&across);
    let palm = if turned.dot(&beside.palm) < 0.0 {
        -turned
    } else {
        turned
    };
    let palm = palm.try_normalize(1e-6).map_or(beside.palm, |p| {
        (p + beside.palm).try_normalize(1e-6).unwrap_or(beside.palm)
    });
    Spot {
        at,
        palm,
        back: beside.back * thick,
        front: beside.front * thick,
        side: (beside.side * thick - 0.3 * finger.half).max(0.3 * finger.half),
    }
}

/// One ring: round the first ray's free side, along the front, round the last's, back along the back.
fn ring(points: &mut Vec<Vec3>, wrist: &Wrist, spots: &[Spot], station: Station) {
    let n = spots.len();
    let out = |k: usize, other: usize, sign: f64| {
        let spot = &spots[k];
        let away = if k == other {
            wrist.side * sign
        } else {
            spot.at - spots[other].at
        };
        square(&away, &spot.palm)
    };
    let around = |points: &mut Vec<Vec3>, spot: &Spot, out: Vec3, from: f64, to: f64| {
        for i in 0..END {
            let angle = from + (to - from) * i as f64 / (END - 1) as f64;
            let (s, c) = libm::sincos(angle);
            let high = if s > 0.0 { spot.front } else { spot.back };
            points.push(spot.at + out * (c * spot.side) + spot.palm * (s * high));
        }
    };
    // Between two knuckles, and more between two fingers, the skin lies deeper.
    let (dip_back, dip_front) = match station {
        Carpus(_) => (0.0, 0.0),
        Metacarpal(t) => (0.06 * ease((t - 0.4) / 0.6), 0.0),
        Web(t, _) => (
            0.06 + 0.5 * ease((t - 0.05) / 0.35),
            0.4 * ease((t - 0.1) / 0.3),
        ),
    };
    let face = |points: &mut Vec<Vec3>, order: &[usize], front: bool| {
        let at = |k: usize| {
            let s = &spots[k];
            s.at + s.palm * if front { s.front } else { -s.back }
        };
        for (i, pair) in order.windows(2).enumerate() {
            let (a, b) = (pair[0], pair[1]);
            if i > 0 {
                points.push(at(a));
            }
            for m in 1..=BETWEEN {
                let t = m as f64 / (BETWEEN + 1) as f64;
                let flat = at(a) * (1.0 - t) + at(b) * t;
                let (s, dip) = (&spots[a], if front { -dip_front } else { dip_back });
                let thick = if front { s.front } else { s.back };
                points.push(flat + s.palm * (dip * thick));
            }
        }
    };
    let forth: Vec<usize> = (0..n).collect();
    let back: Vec<usize> = (0..n).rev().collect();
    around(
        points,
        &spots[0],
        out(0, 1.min(n - 1), 1.0),
        -FRAC_PI_2,
        FRAC_PI_2,
    );
    face(points, &forth, true);
    around(
        points,
        &spots[n - 1],
        out(n - 1, n.saturating_sub(2), -1.0),
        FRAC_PI_2,
        -FRAC_PI_2,
    );
    face(points, &back, false);
}

/// Where a finger begins: units along the metacarpal and the phalanx, and square to the plane in
/// which the flesh of both meets.
struct Bend {
    knuckle: Vec3,
    hand: Vec3,
    finger: Vec3,
    normal: Vec3,
}

impl Bend {
    /// None where one of the two bones has no length, or they lie on one another.
    fn of(ray: &Ray) -> Option<Self> {
        let unit = |v: Vec3| v.try_normalize(1e-9);
        let (hand, finger) = (unit(ray.knuckle - ray.base)?, unit(ray.next - ray.knuckle)?);
        Some(Self {
            knuckle: ray.knuckle,
            hand,
            finger,
            normal: unit(hand + finger)?,
        })
    }

    /// Brings what is past the plane back to it.
    fn mitre(&self, point: &mut Vec3, station: Station) {
        let (along, sign) = match station {
            Carpus(_) => return,
            Metacarpal(_) => (self.hand, -1.0),
            Web(..) => (self.finger, 1.0),
        };
        let past = self.normal.dot(&(*point - self.knuckle)) * sign;
        let slope = self.normal.dot(&along);
        if past < 0.0 && slope > 0.2 {
            *point -= along * (past * sign / slope);
        }
    }
}

/// Rings lie close together at the knuckles: a normal is taken over so many each way.
const WIDE: usize = 2;
/// From these rings on, counted from the palm's first, skin that is folded at bent fingers is in the
/// way of that: normals go more and more straight out of each finger.
const FOLDED: [f64; 2] = [6.0, 11.0];

/// Normals from the neighbours of each point in the grid.
pub(super) fn normals(skin: &mut Skin, toned: bool) {
    let (sides, rings) = (skin.sides, skin.rings());
    let middle = |ring: &[Vec3]| ring.iter().sum::<Vec3>() / sides as f64;
    let middles: Vec<Vec3> = skin.at.chunks_exact(sides).map(middle).collect();
    let at = |i: usize, j: usize| skin.at[i * sides + j];
    let folded = std::mem::take(&mut skin.normal);
    let mut normal = Vec::with_capacity(skin.at.len());
    for (i, middle) in middles.iter().enumerate() {
        for j in 0..sides {
            // Out of the arm from its middle; out of a palm that is cupped from its own ray.
            let own = i
                .checked_sub(skin.hand)
                .map(|ring| folded[ring * sides + j]);
            let outward = own.unwrap_or_else(|| at(i, j) - middle);
            let along = at((i + WIDE).min(rings - 1), j) - at(i.saturating_sub(WIDE), j);
            let round = at(i, (j + 1) % sides) - at(i, (j + sides - 1) % sides);
            let square = along.cross(&round);
            let square = if square.dot(&outward) < 0.0 {
                -square
            } else {
                square
            };
            let square = square
                .try_normalize(1e-9)
                .or_else(|| outward.try_normalize(1e-9))
                .unwrap_or_else(Vec3::y);
            let ring = i as f64 - skin.hand as f64;
            normal.push(match own {
                Some(out) if ring > FOLDED[0] => {
                    let part = ease((ring - FOLDED[0]) / (FOLDED[1] - FOLDED[0]));
                    let mixed = square * (1.0 - part) + out * part;
                    mixed.try_normalize(1e-9).unwrap_or(square)
                }
                _ => square,
            });
        }
    }
    skin.normal = normal;
    if toned {
        skin.lit.clone_from(&skin.normal);
        skin.calm(5);
    }
}

/// Which point of a ring lies over a ray, counted from the thumb's side in parts of one; at the front or at the back.
pub(super) fn over(ray: f64, rays: usize, front: bool) -> f64 {
    let step = (BETWEEN + 1) as f64;
    if front {
        (END - 1) as f64 + step * ray
    } else {
        let sides = 2 * END + 2 * (rays - 1) * BETWEEN + 2 * rays.saturating_sub(2);
        sides as f64 - step * ray
    }
}

/// The ring at which the fingers' own direction begins.
pub(super) const KNUCKLES: usize = 16;

/// The ring, counted from the palm's first, that is about so far along the metacarpals.
pub(super) fn metacarpal(part: f64) -> usize {
    let before = |station: &&Station| {
        matches!(station, Carpus(_) | Metacarpal(_))
            && !matches!(station, Metacarpal(t) if *t > part)
    };
    STATIONS.iter().filter(before).count() - 1
}
