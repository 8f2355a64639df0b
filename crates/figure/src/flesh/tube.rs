//! Flesh along a chain of bones: a tube that bends round at its joints.
use super::skin::Skin;
use hand::flesh::section::{Thickness, ease};
use rig::Vec3;
use std::f64::consts::{FRAC_PI_2, TAU};

/// A joint of the chain and the bone from it to the next.
#[derive(Clone, Copy, Debug)]
pub(super) struct Joint {
    pub at: Vec3,
    /// Unit direction out of the palm's side of the bone.
    pub palm: Vec3,
}

/// Half thicknesses, mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Section {
    pub back: f64,
    pub palm: f64,
    pub side: f64,
    /// How much it bulges towards a square: 0 an ellipse, about 0.3 a rounded box.
    pub square: f64,
}

impl Section {
    /// Of soft flesh, a little squarer than an ellipse.
    pub fn soft(of: Thickness) -> Self {
        Self {
            back: of.back,
            palm: of.palm,
            side: of.side,
            square: 0.06,
        }
    }
    fn scaled(self, k: f64) -> Self {
        Self {
            back: self.back * k,
            palm: self.palm * k,
            side: self.side * k,
            ..self
        }
    }
    /// Between this (0) and another (1).
    pub fn mixed(&self, other: &Self, t: f64) -> Self {
        let mix = |a: f64, b: f64| a + (b - a) * t;
        Self {
            back: mix(self.back, other.back),
            palm: mix(self.palm, other.palm),
            side: mix(self.side, other.side),
            square: mix(self.square, other.square),
        }
    }
    fn mean(&self) -> f64 {
        (self.back + self.palm + 2.0 * self.side) / 4.0
    }
}

/// Where in a tube a point of its skin is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub bone: usize,
    /// From the bone's beginning (0) to its end (1); before it below 0.
    pub part: f64,
    /// Cosine and sine of the angle round from the palm's side: sine 1 is `along × palm`.
    pub round: (f64, f64),
}

/// What makes a tube.
pub(super) struct Tube<'a> {
    pub joints: &'a [Joint],
    /// Thickness at a part of a bone, and how far it is turned from the plane in which two bones'
    /// flesh meets (0) to the bone (1).
    pub section: &'a dyn Fn(usize, f64, f64) -> Section,
    /// Ink of a contour there.
    pub ink: &'a dyn Fn(Place) -> f64,
    /// The normal its tone goes by, for where it is and its own; none: it has no tones.
    pub lit: Option<&'a dyn Fn(Place, Vec3, Vec3) -> Vec3>,
    /// Length of the rounding of the last bone's end, mm; 0: left open.
    pub cap: f64,
    /// Whether the first bone's beginning is left open too.
    pub open: bool,
    /// The part of the first bone at which it begins.
    pub from: f64,
    /// Cosine and sine of the points round it.
    pub round: &'a [(f64, f64)],
    /// Rings along its first bone and along each other, less one.
    pub along: [usize; 2],
}

/// Points round a tube.
pub(super) const SIDES: usize = 20;
/// Rings along a digit's bone, less one.
pub(super) const ALONG: usize = 8;
/// Rings round a tube's end.
pub(super) const CAP: usize = 6;
/// Rings at a joint are turned by at most this, radians.
const FAN: f64 = 0.21;

/// Points evenly round a digit.
pub(super) fn round() -> Vec<(f64, f64)> {
    let turn = |j| libm::sincos(TAU * j as f64 / SIDES as f64);
    (0..SIDES).map(turn).map(|(s, c)| (c, s)).collect()
}

impl Tube<'_> {
    /// The skin, and the ring at which each bone's straight part begins.
    pub fn skin(&self) -> (Skin, Vec<usize>) {
        let bones = self.joints.len() - 1;
        let mut making = Making {
            tube: self,
            skin: Skin::with_room(
                self.round.len(),
                bones * (self.along[1] + CAP + 1),
                self.lit.is_some(),
            ),
        };
        let mut begins = Vec::with_capacity(bones);
        let frames = self.frames();
        for (b, frame) in frames.iter().enumerate() {
            let section = |part| (self.section)(b, part, 1.0);
            let (start, length) = (self.joints[b].at, frame.length);
            let rings = self.along[b.min(1)];
            let (last, per_mm) = (b + 1 == bones, 1.0 / length.max(1e-9));
            match frame.before {
                None if self.open => {}
                None => {
                    for lean in [-1.3, -0.9, -0.45] {
                        let (s, c) = libm::sincos(lean);
                        let r = section(self.from);
                        let at = start + frame.along * (s * r.mean() + self.from * length);
                        let palm = frame.palm;
                        let part = self.from + 0.1 * (c - 1.0);
                        making.ring(frame, at, frame.along, palm, r.scaled(c), lean, b, part);
                    }
                }
                Some(mitre) => {
                    let steps = fan(&mitre, frame);
                    for k in 1..steps {
                        making.turned(frame, &mitre, k as f64 / steps as f64, b, 0.0, start);
                    }
                }
            }
            begins.push(making.skin.rings());
            let cap = if last {
                self.cap.min(0.8 * length)
            } else {
                0.0
            };
            let end = 1.0 - cap * per_mm;
            let begin = if b == 0 { self.from } else { 0.0 };
            for i in 0..=rings {
                let part = begin + (end - begin) * i as f64 / rings as f64;
                let step = 0.5 * end / rings as f64;
                let (low, high) = ((part - step).max(0.0), (part + step).min(1.0));
                let rise = section(high).mean() - section(low).mean();
                let lean = -libm::atan2(rise, ((high - low) * length).max(1e-9));
                let at = start + frame.along * (part * length);
                making.ring(
                    frame,
                    at,
                    frame.along,
                    frame.palm,
                    section(part),
                    lean,
                    b,
                    part,
                );
            }
            if let Some(mitre) = frame.after {
                let steps = fan(&mitre, frame);
                for k in (0..steps).rev() {
                    let at = self.joints[b + 1].at;
                    making.turned(frame, &mitre, k as f64 / steps as f64, b, 1.0, at);
                }
            } else if cap > 0.0 {
                let (from, r) = (start + frame.along * (end * length), section(end));
                for k in 1..=CAP {
                    let lean = FRAC_PI_2 * k as f64 / CAP as f64;
                    let (s, c) = libm::sincos(lean);
                    let part = end + (1.0 - end) * s;
                    let at = from + frame.along * (s * cap);
                    // A thousandth keeps the end's ring a ring.
                    making.ring(
                        frame,
                        at,
                        frame.along,
                        frame.palm,
                        r.scaled(c.max(1e-3)),
                        lean,
                        b,
                        part,
                    );
                }
            }
        }
        (making.skin, begins)
    }

    fn frames(&self) -> Vec<Frame> {
        let mut frames: Vec<Frame> = Vec::with_capacity(self.joints.len() - 1);
        for pair in self.joints.windows(2) {
            let bone = pair[1].at - pair[0].at;
            let length = bone.norm();
            let along = bone
                .try_normalize(1e-9)
                .or(frames.last().map(|f| f.along))
                .unwrap_or_else(Vec3::x);
            frames.push(Frame {
                along,
                palm: square(&pair[0].palm, &along),
                length,
                before: None,
                after: None,
            });
        }
        for b in 1..frames.len() {
            let (a, c) = (frames[b - 1], frames[b]);
            let along = (a.along + c.along).try_normalize(1e-6).unwrap_or(a.along);
            let mitre = Mitre {
                at: self.joints[b].at,
                along,
                palm: square(&(a.palm + c.palm), &along),
            };
            frames[b - 1].after = Some(mitre);
            frames[b].before = Some(mitre);
        }
        frames
    }
}

/// The plane in which two bones' flesh meets.
#[derive(Clone, Copy)]
struct Mitre {
    at: Vec3,
    along: Vec3,
    palm: Vec3,
}

#[derive(Clone, Copy)]
struct Frame {
    along: Vec3,
    palm: Vec3,
    length: f64,
    before: Option<Mitre>,
    after: Option<Mitre>,
}

/// Steps from a mitre to its bone.
fn fan(mitre: &Mitre, frame: &Frame) -> usize {
    let angle = libm::atan2(
        mitre.along.cross(&frame.along).norm(),
        mitre.along.dot(&frame.along),
    );
    (angle / FAN).ceil().clamp(1.0, 12.0) as usize
}

/// The part of a direction that is square to another, as a unit.
pub(super) fn square(direction: &Vec3, to: &Vec3) -> Vec3 {
    let least = if to.x.abs() < 0.8 {
        Vec3::x()
    } else {
        Vec3::y()
    };
    let part = |d: &Vec3| (d - to * to.dot(d)).try_normalize(1e-6);
    part(direction).or_else(|| part(&least)).unwrap_or(least)
}

struct Making<'a> {
    tube: &'a Tube<'a>,
    skin: Skin,
}

impl Making<'_> {
    /// A ring between a mitre (0) and the bone (1).
    fn turned(&mut self, frame: &Frame, mitre: &Mitre, k: f64, bone: usize, part: f64, at: Vec3) {
        let along = (mitre.along * (1.0 - k) + frame.along * k).normalize();
        let palm = square(&(mitre.palm * (1.0 - k) + frame.palm * k), &along);
        let section = (self.tube.section)(bone, part, k);
        self.ring(frame, at, along, palm, section, 0.0, bone, part);
    }

    #[allow(clippy::too_many_arguments)]
    fn ring(
        &mut self,
        frame: &Frame,
        at: Vec3,
        along: Vec3,
        palm: Vec3,
        r: Section,
        lean: f64,
        bone: usize,
        part: f64,
    ) {
        let side = along.cross(&palm);
        let (tip, flat) = libm::sincos(lean);
        // On the inside of a bend the flesh of both bones ends where it meets.
        let mitres = [(frame.before, 1.0), (frame.after, -1.0)].map(|(mitre, sign)| {
            let slope = mitre.map_or(0.0, |m| m.along.dot(&frame.along));
            mitre.filter(|_| slope > 0.2).map(|m| (m, sign, slope))
        });
        for &(c, s) in self.tube.round {
            let high = if c > 0.0 { r.palm } else { r.back };
            let boxed = (c * (1.0 + r.square * s * s), s * (1.0 + r.square * c * c));
            let mut point = at + palm * (boxed.0 * high) + side * (boxed.1 * r.side);
            let mut cut = 0.0_f64;
            for (mitre, sign, slope) in mitres.iter().flatten() {
                let past = mitre.along.dot(&(point - mitre.at)) * sign;
                if past < 0.0 {
                    point -= frame.along * (past * sign / slope);
                    cut -= past;
                }
            }
            let place = Place {
                bone,
                part,
                round: (c, s),
            };
            let out = palm * (c * r.side) + side * (s * high);
            let out = out.try_normalize(1e-9).unwrap_or(palm);
            let normal = out * flat + along * tip;
            self.skin.at.push(point);
            self.skin.normal.push(normal);
            // What lies within the fold has no contour.
            let ink = (self.tube.ink)(place);
            let ink = if cut > 0.0 {
                ink * (1.0 - ease(4.0 * cut / r.side.max(1e-9)))
            } else {
                ink
            };
            self.skin.ink.push(ink);
            if let Some(lit) = self.tube.lit {
                self.skin.lit.push(lit(place, point, normal));
            }
        }
    }
}
