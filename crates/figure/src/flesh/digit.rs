//! Flesh of the digits.
use super::build::Digit;
use super::making::{Making, Piece};
use super::marks;
use super::order::{Bone, Rank, Solid};
use super::palm;
use super::skin::Skin;
use super::tube::{ALONG, Joint, Place, Section, Tube, square};
use super::wrist::Wrist;
use hand::flesh::section::{ease, palm, phalanx, thumb};
use rig::Vec3;

/// Where a finger's flesh begins in the palm's, as a part of its metacarpal …
const BURIED: f64 = 0.7;
/// … of so many rings there, less one …
const WITHIN: usize = 3;
/// … and where the palm's web lets go of it, as a part of its first phalanx.
const ROOT: f64 = 0.14;

/// From here on nothing of it goes by the palm.
const OWN: f64 = 0.45;
/// How wide it is in the palm over what it is beyond.
const NARROW: f64 = 0.92;
/// Two bones bent by less than this are all but in line, radians.
const STRAIGHT: f64 = 0.7;

/// Where a finger grows out of the palm.
pub(super) struct Root<'a> {
    pub palm: &'a Skin,
    pub ray: f64,
    pub rays: usize,
    pub thumbward: f64,
    /// Whether its thumb's side is free, and its other.
    pub outer: [bool; 2],
    /// How far it is bent at the knuckle.
    pub bend: f64,
    /// Out of the palm at its metacarpal.
    pub out: Vec3,
}

impl Root<'_> {
    /// A side that faces a neighbour is inked from the web on, the palm's side from its root, and
    /// the knuckle on its back and on a free side.
    fn ink(&self, p: Place) -> f64 {
        let aside = p.round.1 * self.thumbward;
        let free = (aside > 0.0 && self.outer[0]) || (aside < 0.0 && self.outer[1]);
        let (in_palm, along) = if p.bone == 0 {
            (p.part, 0.0)
        } else {
            (1.0, p.part)
        };
        let knuckle = ease((in_palm - 0.88) / 0.12);
        let front = ease((along - ROOT - 0.01) / 0.08);
        let face = front + (knuckle - front) * ease((0.35 - p.round.0) / 0.3);
        if free {
            return face;
        }
        let web = ease((along - 0.3) / 0.14);
        face + (web - face) * ease((aside.abs() - 0.45) / 0.35)
    }

    /// The palm's normal beside it, which gives way to its own. Within the palm on its side, where the
    /// palm bulges over it, nothing shows that it is round.
    fn lit(&self, p: Place, at: &Vec3, normal: Vec3) -> Vec3 {
        let front = p.round.0 > 0.0;
        let along = if p.bone == 0 { p.part - 1.0 } else { p.part };
        let up = normal.dot(&self.out) * ease(along / -0.15);
        let normal = normal - self.out * if up > 0.0 { up } else { 0.0 };
        let normal = normal.try_normalize(1e-9).unwrap_or(self.out);
        let begins = if front && p.bone > 0 {
            along - 0.08
        } else {
            along + 0.14
        };
        let side = ease((p.round.1.abs() - 0.35) / 0.5) * ease((begins + 0.1) / 0.2);
        let bent = ease(1.2 * self.bend) * ease((along + 0.1) / 0.1);
        let own = 1.0 - (1.0 - ease(begins / 0.3)) * (1.0 - side) * (1.0 - bent);
        if own == 1.0 {
            return normal;
        }
        let ring = self.palm.hand + palm::metacarpal(1.0 + along.min(0.0));
        let over = palm::over(self.ray, self.rays, front);
        let palm = self
            .palm
            .lit_near(at, &normal, ring..ring + 1, over as usize);
        (palm * (1.0 - own) + normal * own)
            .try_normalize(1e-9)
            .unwrap_or(normal)
    }
}

/// A finger's knuckle: half its width, and how far it is bent.
struct Knuckle {
    half: f64,
    bend: f64,
    /// Its half as a part of the metacarpal and of the first phalanx.
    per: [f64; 2],
}

impl Knuckle {
    fn of(joints: &[Joint], half: f64) -> Self {
        let [hand, finger] = [0, 1].map(|b| joints[b + 1].at - joints[b].at);
        let palm = square(
            &joints[0].palm,
            &hand.try_normalize(1e-9).unwrap_or_else(Vec3::x),
        );
        let bend = libm::atan2(finger.dot(&palm) * hand.norm(), finger.dot(&hand));
        Self {
            half,
            bend: if bend > 0.0 { bend } else { 0.0 },
            per: [hand, finger].map(|bone| half / bone.norm().max(half)),
        }
    }

    /// Half its thickness more on the back, so far from the joint on a bone (in parts of it) and
    /// turned so far to it: the head of the metacarpal stands out of a fist, and what is measured of
    /// it is a ball that lies towards the palm of either bone.
    fn swell(&self, bone: usize, away: f64, turned: f64) -> f64 {
        let from = self.bend * 0.5 * (1.0 + turned);
        let near = 1.0 - ease(away / self.per[bone]);
        0.13 * self.half * (1.0 - libm::cos(from)) * near
    }
}

impl Making<'_> {
    /// A finger's skin from within the palm.
    pub(super) fn finger(
        &self,
        digit: &Digit,
        wrist: &Wrist,
        root: &mut Root,
    ) -> (Skin, Vec<usize>) {
        let chain = &digit.joints[..];
        let halves: Vec<f64> = chain[1..].iter().map(|&i| self.half(i)).collect();
        let bones = chain.len() - 1;
        let joints: Vec<Joint> = chain.iter().map(|&i| self.joint(i)).collect();
        let knuckle = Knuckle::of(&joints, halves[0]);
        root.bend = knuckle.bend;
        let section = |b: usize, t: f64, turned: f64| {
            if b > 0 {
                let mut of = phalanx(&halves, b - 1, t, b + 1 == bones);
                if b == 1 {
                    of.back += knuckle.swell(1, t, turned);
                    of.side *= NARROW + (1.0 - NARROW) * ease(t / ROOT);
                }
                return Section::soft(of);
            }
            // Within the palm, and out of it at its back towards the knuckle.
            let mut of = phalanx(&halves, 0, 0.0, false);
            let out = ease((t - BURIED) / (1.0 - BURIED));
            let back = palm(halves[0], wrist.half, t, false).back - 0.2 * halves[0];
            of.back = back + (of.back - back) * out + knuckle.swell(0, 1.0 - t, turned);
            of.side *= NARROW - 0.3 * (1.0 - out);
            Section::soft(of)
        };
        let own = |p: Place| p.bone > 1 || (p.bone == 1 && p.part > OWN);
        let ink = |p: Place| if own(p) { 1.0 } else { root.ink(p) };
        let lit = |p: Place, at: Vec3, normal: Vec3| {
            if own(p) {
                normal
            } else {
                root.lit(p, &at, normal)
            }
        };
        Tube {
            joints: &joints,
            section: &section,
            ink: &ink,
            lit: self.toned.then_some(&lit),
            cap: 0.95 * halves[bones - 2],
            open: true,
            from: BURIED,
            round: &self.round,
            along: [WITHIN, ALONG],
        }
        .skin()
    }

    pub(super) fn thumb(&mut self, digit: &Digit, wrist: &Wrist) {
        let chain = &digit.joints[..];
        let halves: Vec<f64> = chain.iter().map(|&i| self.half(i)).collect();
        let bones = chain.len() - 1;
        let section =
            |b: usize, t: f64, _: f64| Section::soft(thumb(&halves, b, t, b + 1 == bones));
        // Away from the palm its edge is seen from its beginning, towards the palm it grows out of it.
        let palm = self.out(chain[0]);
        let bone = self.at(chain[1]) - self.at(chain[0]);
        let side = bone.cross(&palm).try_normalize(1e-9).unwrap_or(wrist.side);
        let (front, aside) = (palm.dot(&wrist.side), side.dot(&wrist.side));
        let ink = |p: Place| {
            if p.bone > 0 {
                1.0
            } else if p.round.0 * front + p.round.1 * aside > 0.2 {
                ease((p.part + 0.05) / 0.3)
            } else {
                ease((p.part - 0.35) / 0.4)
            }
        };
        let joints: Vec<Joint> = chain.iter().map(|&i| self.joint(i)).collect();
        let skin = &self.flesh.skins[0];
        // Where it grows out of the palm it is lit as the palm is there.
        let lit = |p: Place, at: Vec3, normal: Vec3| {
            let own = ease((p.part - 0.1) / 0.5);
            if p.bone > 0 || own == 1.0 {
                return normal;
            }
            let ring = skin.hand + palm::metacarpal(0.8 * p.part);
            (skin.lit_near(&at, &normal, ring - 2..ring + 2, 0) * (1.0 - own) + normal * own)
                .try_normalize(1e-9)
                .unwrap_or(normal)
        };
        let made = Tube {
            joints: &joints,
            section: &section,
            ink: &ink,
            lit: self.toned.then_some(&lit),
            cap: 0.95 * halves[bones - 1],
            open: false,
            from: 0.0,
            round: &self.round,
            along: [ALONG; 2],
        }
        .skin();
        let first = self.flesh.pieces.len();
        self.cut(chain, made, false);
        let ball = &mut self.flesh.pieces[first].solid;
        let off = ball.middle() - wrist.at;
        // It belongs to the palm's face even where it lies level with the back's.
        let front = off.dot(&wrist.palm).max(0.0) + wrist.half / 2.0;
        let aside = off.dot(&wrist.side) - wrist.aside;
        ball.rank = Rank::Ball;
        ball.off = wrist.palm * front + wrist.side * (aside / 3.0);
    }

    /// Cuts a digit into pieces, one a bone. A finger's first is its knuckle.
    pub(super) fn cut(
        &mut self,
        chain: &[usize],
        (mut skin, begins): (Skin, Vec<usize>),
        finger: bool,
    ) {
        skin.calm(2);
        skin.hand = if finger { begins[1] + 2 } else { 0 };
        let halves: Vec<f64> = chain.iter().map(|&i| self.half(i)).collect();
        let index = self.flesh.skins.len();
        let at: Vec<Vec3> = chain.iter().map(|&i| self.at(i)).collect();
        let along = |b: usize| at[b + 1] - at[b];
        let bend = |b: usize| {
            if b == 0 || b + 1 == at.len() {
                return 0.0;
            }
            let (a, c) = (along(b - 1), along(b));
            libm::atan2(a.cross(&c).norm(), a.dot(&c))
        };
        let middle = |b: usize| match begins.get(b) {
            // The mitre is halfway between the straight parts.
            Some(&begin) if b > 0 => {
                let rings = if finger && b == 1 { WITHIN } else { ALONG };
                (begins[b - 1] + rings + begin) / 2
            }
            Some(_) => 0,
            None => skin.rings(),
        };
        for (b, &begin) in begins.iter().enumerate() {
            self.flesh.covers[chain[b]] = true;
            self.flesh.covers[chain[b + 1]] = true;
            let knuckle = finger && b == 0;
            // One ring into each neighbour, so that no gap shows between the two: where they are all
            // but in line the contour may turn round the end of one a good way into the other.
            let rings = middle(b).saturating_sub(1)..(middle(b + 1) + 2).min(skin.rings());
            let in_line = |joint: usize| bend(joint) < STRAIGHT && !(finger && joint == 1);
            let into = |joint: usize| if in_line(joint) { 2 } else { 0 };
            let rings = if knuckle { 0..begins[1] + 2 } else { rings };
            // A joint's are on both its bones, whichever lies over the other.
            let marks = || {
                let first = usize::from(finger);
                let mut marks = Vec::new();
                if self.toned {
                    let joints = b.max(first + 1)..(b + 2).min(begins.len());
                    let of = |j: usize| marks::joint(begins[j], begins[j] - middle(j), bend(j));
                    marks.extend(joints.flat_map(of));
                    marks.extend((finger && b == 1).then(|| marks::root(begin)));
                }
                if b + 1 == begins.len() {
                    marks.push(marks::nail(begin));
                }
                marks
            };
            let (from, rank) = if knuckle {
                (BURIED, Rank::Knuckle)
            } else {
                (0.0, Rank::Digit)
            };
            self.flesh.pieces.push(Piece {
                skin: index,
                rings,
                into: if knuckle {
                    [0; 2]
                } else {
                    [b, b + 1].map(into)
                },
                base: chain[b],
                solid: Solid {
                    bones: vec![Bone {
                        ends: [at[b] + along(b) * from, at[b + 1]],
                        radii: [halves[b], halves[b + 1]],
                    }],
                    joints: vec![chain[b], chain[b + 1]],
                    rank,
                    // A knuckle lies over the palm but where that is seen from its own side.
                    off: if knuckle {
                        self.out(chain[0]) * -halves[1]
                    } else {
                        Vec3::zeros()
                    },
                },
                marks: (!knuckle).then(marks).unwrap_or_default(),
                fades: 0,
            });
        }
        self.flesh.skins.push(skin);
    }
}
