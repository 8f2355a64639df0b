//! Flesh of the digits.
use super::build::Digit;
use super::making::{Making, Piece};
use super::marks;
use super::order::{Bone, Rank, Solid};
use super::palm;
use super::skin::Skin;
use super::tube::{ALONG, Joint, Place, Section, Tube};
use super::wrist::Wrist;
use hand::flesh::section::{ease, phalanx, thumb};
use rig::Vec3;

/// Where a finger's flesh begins, as a part of its first bone: before that it is the palm's.
const ROOT: f64 = 0.14;

/// Where a finger grows out of the palm.
pub(super) struct Root<'a> {
    pub palm: &'a Skin,
    pub ray: f64,
    pub rays: usize,
    pub thumbward: f64,
    /// Whether its thumb's side is free, and its other.
    pub outer: [bool; 2],
}

impl Root<'_> {
    /// A side that faces a neighbour is inked from the web on, the others sooner.
    fn ink(&self, p: Place) -> f64 {
        let aside = p.round.1 * self.thumbward;
        let free = (aside > 0.3 && self.outer[0]) || (aside < -0.3 && self.outer[1]);
        if aside.abs() > 0.5 && !free {
            ease((p.part - 0.34) / 0.14)
        } else {
            ease((p.part - ROOT - 0.01) / 0.08)
        }
    }

    /// The palm's normal beside it, which gives way to its own.
    fn lit(&self, p: Place, normal: Vec3) -> Vec3 {
        let own = ease((p.part - ROOT) / 0.4);
        if own == 1.0 {
            return normal.try_normalize(1e-9).unwrap_or(normal);
        }
        let front = p.round.0 > 0.0;
        let aside = 1.5 * p.round.1 * self.thumbward * if front { -1.0 } else { 1.0 };
        let at = palm::over(self.ray, self.rays, front) + aside;
        let palm = self.palm.lit(palm::KNUCKLES as f64 - 3.5, at);
        (palm * (1.0 - own) + normal * own)
            .try_normalize(1e-9)
            .unwrap_or(normal)
    }
}

impl Making<'_> {
    pub(super) fn finger(&self, digit: &Digit, root: &Root) -> (Skin, Vec<usize>) {
        let chain = &digit.joints[1..];
        let halves: Vec<f64> = chain.iter().map(|&i| self.half(i)).collect();
        let bones = chain.len() - 1;
        let section = |b: usize, t: f64| Section::soft(phalanx(&halves, b, t, b + 1 == bones));
        let ink = |p: Place| if p.bone > 0 { 1.0 } else { root.ink(p) };
        let lit = |p: Place, normal: Vec3| {
            if p.bone > 0 {
                normal
            } else {
                root.lit(p, normal)
            }
        };
        let joints: Vec<Joint> = chain.iter().map(|&i| self.joint(i)).collect();
        Tube {
            joints: &joints,
            section: &section,
            ink: &ink,
            lit: self.toned.then_some(&lit),
            cap: 0.95 * halves[bones - 1],
            open: false,
            from: ROOT,
        }
        .skin()
    }

    pub(super) fn thumb(&mut self, digit: &Digit, wrist: &Wrist) {
        let chain = &digit.joints[..];
        let halves: Vec<f64> = chain.iter().map(|&i| self.half(i)).collect();
        let bones = chain.len() - 1;
        let section = |b: usize, t: f64| Section::soft(thumb(&halves, b, t, b + 1 == bones));
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
        let made = Tube {
            joints: &joints,
            section: &section,
            ink: &ink,
            lit: self.toned.then_some(&|_, normal| normal),
            cap: 0.95 * halves[bones - 1],
            open: false,
            from: 0.0,
        }
        .skin();
        let first = self.flesh.pieces.len();
        self.cut(chain, made);
        let ball = &mut self.flesh.pieces[first].solid;
        let off = ball.middle() - wrist.at;
        // It belongs to the palm's face even where it lies level with the back's.
        let front = off.dot(&wrist.palm).max(0.0) + wrist.half / 2.0;
        let aside = off.dot(&wrist.side) - wrist.aside;
        ball.rank = Rank::Ball;
        ball.off = wrist.palm * front + wrist.side * (aside / 3.0);
    }

    /// Cuts a digit into pieces, one a bone.
    pub(super) fn cut(&mut self, chain: &[usize], (mut skin, begins): (Skin, Vec<usize>)) {
        skin.calm(2);
        let halves: Vec<f64> = chain.iter().map(|&i| self.half(i)).collect();
        let index = self.flesh.skins.len();
        let at: Vec<Vec3> = chain.iter().map(|&i| self.at(i)).collect();
        let along = |b: usize| at[b + 1] - at[b];
        let bend = |b: usize| {
            if b == 0 {
                return 0.0;
            }
            let (a, c) = (along(b - 1), along(b));
            libm::atan2(a.cross(&c).norm(), a.dot(&c))
        };
        let middle = |b: usize| match begins.get(b) {
            // The mitre is halfway between the straight parts.
            Some(&begin) if b > 0 => (begins[b - 1] + ALONG + begin) / 2,
            Some(_) => 0,
            None => skin.rings(),
        };
        for (b, &begin) in begins.iter().enumerate() {
            // One ring into each neighbour, so that no gap shows between the two.
            let rings = middle(b).saturating_sub(1)..(middle(b + 1) + 2).min(skin.rings());
            let marks = || marks::bone(begin, b, b + 1 == begins.len(), bend(b));
            self.flesh.covers[chain[b]] = true;
            self.flesh.covers[chain[b + 1]] = true;
            self.flesh.pieces.push(Piece {
                skin: index,
                rings,
                base: chain[b],
                solid: Solid {
                    bones: vec![Bone {
                        ends: [at[b], at[b + 1]],
                        radii: [halves[b], halves[b + 1]],
                    }],
                    joints: vec![chain[b], chain[b + 1]],
                    rank: Rank::Digit,
                    off: Vec3::zeros(),
                },
                marks: self.toned.then(marks).unwrap_or_default(),
                fade: 1.0,
            });
        }
        self.flesh.skins.push(skin);
    }
}
