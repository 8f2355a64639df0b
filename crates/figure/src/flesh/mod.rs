//! The flesh of a hand: what a plate shows in place of the strokes of its bones.
//!
//! A document that was built as a hand is drawn so. Its wrist is the joint from which most
//! chains hang, its digits are those chains, in document order from the thumb's side; where one
//! is too short to be a digit, its bones stay strokes.
mod marks;
mod order;
mod paint;
mod palm;
mod skin;
mod touch;
mod tube;

use crate::laid::Layout;
use marks::Mark;
use order::{Bone, Rank, Solid};
use palm::{Ray, Wrist, ease};
use rig::{Document, Posed, Surface, Vec3};
use skin::Skin;
use std::ops::Range;
use tube::{ALONG, Joint, Place, Section, Tube, square};

pub(crate) use paint::draw;
pub(crate) use touch::touch;

/// The joints of a hand, as indices into the layout.
struct Build {
    wrist: usize,
    digits: Vec<Digit>,
    /// Joints above the wrist, nearest first.
    arm: Vec<usize>,
}

struct Digit {
    joints: Vec<usize>,
    thumb: bool,
}

/// Joints a digit has: a finger's metacarpal, three phalanges and tip, a thumb's one fewer.
const THUMB: usize = 4;

impl Build {
    fn find(document: &Document, layout: &Layout) -> Option<Self> {
        document.hand.as_ref()?;
        let mut below = vec![Vec::new(); layout.nodes.len()];
        for (base, end) in layout.bones() {
            below[base].push(end);
        }
        let follow = |first: usize| {
            let mut joints = vec![first];
            while let [next] = below[joints[joints.len() - 1]][..] {
                joints.push(next);
            }
            joints
        };
        let digits = |wrist: usize| -> Vec<Digit> {
            let chains = below[wrist].iter().map(|&first| follow(first));
            chains
                .filter(|joints| joints.len() >= THUMB)
                .map(|joints| Digit {
                    thumb: joints.len() == THUMB,
                    joints,
                })
                .collect()
        };
        let wrist = (0..below.len()).max_by_key(|&i| (below[i].len(), usize::MAX - i))?;
        let digits = digits(wrist);
        if !digits.iter().any(|d| !d.thumb) || layout.nodes[wrist].node.hidden {
            return None;
        }
        let up = |&i: &usize| layout.nodes[i].bone_from;
        Some(Self {
            wrist,
            digits,
            arm: std::iter::successors(layout.nodes[wrist].bone_from, up).collect(),
        })
    }
}

/// A part of a skin that is painted at once.
struct Piece {
    skin: usize,
    rings: Range<usize>,
    /// The node whose role it shows.
    base: usize,
    solid: Solid,
    marks: Vec<Mark>,
    /// How opaque it is: less where it fades out.
    fade: f64,
}

/// All of a hand's flesh in a pose.
pub(crate) struct Flesh {
    skins: Vec<Skin>,
    pieces: Vec<Piece>,
    /// Joints whose bones it covers.
    pub covers: Vec<bool>,
}

impl Flesh {
    /// The flesh of a document that was built as a hand, where `posed` has it.
    pub fn new(
        document: &Document,
        posed: &Posed,
        layout: &Layout,
        surfaces: &[Surface],
    ) -> Option<Self> {
        let build = Build::find(document, layout)?;
        let mut making = Making {
            posed,
            layout,
            flesh: Flesh {
                skins: Vec::new(),
                pieces: Vec::new(),
                covers: vec![false; layout.nodes.len()],
            },
        };
        let known = |&i: &usize| posed.has(layout.nodes[i].node.id);
        let all = build.digits.iter().flat_map(|d| &d.joints);
        if !all.chain([&build.wrist]).chain(&build.arm).all(known) {
            return None;
        }
        let thumbward = making.palm(&build);
        making.arm(&build, thumbward);
        let fingers = || build.digits.iter().filter(|d| !d.thumb);
        let (first, last) = (fingers().next(), fingers().next_back());
        let same = |a: Option<&Digit>, b: &Digit| a.is_some_and(|a| std::ptr::eq(a, b));
        let thumbs = build.digits.iter().filter(|d| d.thumb).count();
        let rays = fingers().count() + thumbs.min(1);
        for digit in build.digits.iter().filter(|d| d.thumb) {
            making.thumb(digit);
        }
        for (k, digit) in fingers().enumerate() {
            let outer = [same(first, digit), same(last, digit)];
            let root = Root {
                palm: &making.flesh.skins[0],
                ray: (k + thumbs.min(1)) as f64,
                rays,
                thumbward,
                outer,
            };
            let skin = making.finger(digit, &root);
            making.cut(&digit.joints[1..], skin);
        }
        let mut flesh = making.flesh;
        for skin in &mut flesh.skins {
            for surface in surfaces {
                touch::press(skin, surface);
            }
        }
        Some(flesh)
    }
}

/// Length of an arm's stump, in half thicknesses of the wrist; and the steps in which it fades out.
const STUMP: f64 = 2.6;
const FADE: usize = 5;

/// Where a finger's flesh begins, as a part of its first bone: before that it is the palm's.
const ROOT: f64 = 0.14;

/// Where a finger grows out of the palm.
struct Root<'a> {
    palm: &'a Skin,
    ray: f64,
    rays: usize,
    thumbward: f64,
    /// Whether its thumb's side is free, and its other.
    outer: [bool; 2],
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
        let front = p.round.0 > 0.0;
        let aside = 1.5 * p.round.1 * self.thumbward * if front { -1.0 } else { 1.0 };
        let at = palm::over(self.ray, self.rays, front) + aside;
        let palm = self.palm.lit(palm::KNUCKLES as f64 - 3.5, at);
        let own = ease((p.part - ROOT) / 0.4);
        (palm * (1.0 - own) + normal * own)
            .try_normalize(1e-9)
            .unwrap_or(normal)
    }
}

struct Making<'a> {
    posed: &'a Posed,
    layout: &'a Layout<'a>,
    flesh: Flesh,
}

impl Making<'_> {
    fn at(&self, i: usize) -> Vec3 {
        self.posed.point(self.layout.nodes[i].node.id)
    }
    fn half(&self, i: usize) -> f64 {
        let half = self.layout.nodes[i].node.width / 2.0;
        if half > 1.0 { half } else { 1.0 }
    }
    /// Out of the palm at a joint.
    fn out(&self, i: usize) -> Vec3 {
        self.posed.world(self.layout.nodes[i].node.id).rotation * Vec3::x()
    }
    fn ray(&self, digit: &Digit) -> Ray {
        let j = &digit.joints;
        Ray {
            base: self.at(j[0]),
            knuckle: self.at(j[1]),
            next: self.at(j[2]),
            palm: [self.out(j[0]), self.out(j[1])],
            half: self.half(j[1]),
        }
    }

    /// Gives 1 where `along × palm` of a bone points to the thumb's side, −1 where it points away.
    fn palm(&mut self, build: &Build) -> f64 {
        let fingers: Vec<_> = build.digits.iter().filter(|d| !d.thumb).collect();
        let rays: Vec<Ray> = fingers.iter().map(|d| self.ray(d)).collect();
        let thumb = build.digits.iter().find(|d| d.thumb).map(|d| self.ray(d));
        let w = build.wrist;
        let palm = self.out(w);
        let (first, last) = (&rays[0], &rays[rays.len() - 1]);
        let across = first.base - last.base;
        let along = self.posed.world(self.layout.nodes[w].node.id).rotation * -Vec3::y();
        let side = across
            .try_normalize(1e-6)
            .unwrap_or_else(|| along.cross(&palm));
        let wrist = Wrist {
            at: self.at(w),
            palm,
            side: square(&square(&side, &palm), &along),
            half: self.half(w),
        };
        let skin = palm::skin(&wrist, &rays, thumb.as_ref());
        self.flesh.covers[w] = true;
        for joint in fingers.iter().flat_map(|d| &d.joints[..2]) {
            self.flesh.covers[*joint] = true;
        }
        let knuckles = || fingers.iter().map(|d| d.joints[1]);
        let hand = Solid {
            bones: rays
                .iter()
                .map(|ray| Bone {
                    ends: [wrist.at * 0.4 + ray.base * 0.6, ray.knuckle],
                    radii: [wrist.half * 0.7, ray.half],
                })
                .collect(),
            joints: std::iter::once(w).chain(knuckles()).collect(),
            rank: Rank::Palm,
        };
        let web = Solid {
            bones: rays
                .iter()
                .map(|ray| Bone {
                    ends: [ray.knuckle, ray.knuckle * 0.6 + ray.next * 0.4],
                    radii: [ray.half * 0.8; 2],
                })
                .collect(),
            joints: knuckles().collect(),
            rank: Rank::Web,
        };
        let marks = marks::palm(rays.len(), thumb.is_some());
        let cut = palm::KNUCKLES;
        let parts = [
            (0..cut + 2, hand, marks),
            (cut..skin.rings(), web, Vec::new()),
        ];
        for (rings, solid, marks) in parts {
            self.flesh.pieces.push(Piece {
                skin: self.flesh.skins.len(),
                rings,
                base: w,
                solid,
                marks,
                fade: 1.0,
            });
        }
        self.flesh.skins.push(skin);
        if along.cross(&palm).dot(&wrist.side) < 0.0 {
            -1.0
        } else {
            1.0
        }
    }

    /// The forearm and what is above it; without any, a stump that fades out behind the wrist.
    fn arm(&mut self, build: &Build, thumbward: f64) {
        let w = build.wrist;
        let half = self.half(w);
        let fingers = build.digits.iter().filter(|d| !d.thumb);
        let bases: Vec<Vec3> = fingers.map(|d| self.at(d.joints[0])).collect();
        let into = bases.iter().sum::<Vec3>() / bases.len() as f64;
        let wrist = Joint {
            at: self.at(w),
            palm: self.out(w),
        };
        let mut joints: Vec<Joint> = build.arm.iter().rev().map(|&i| self.joint(i)).collect();
        let stump = joints.is_empty();
        if stump {
            let along = (into - wrist.at)
                .try_normalize(1e-6)
                .unwrap_or_else(Vec3::x);
            joints.push(Joint {
                at: wrist.at - along * (STUMP * half),
                palm: wrist.palm,
            });
        }
        joints.push(wrist);
        joints.push(Joint {
            at: wrist.at + (into - wrist.at) * 0.7,
            palm: wrist.palm,
        });
        let bones = joints.len() - 1;
        // From the wrist: the forearm swells to the elbow, and the upper arm keeps its thickness.
        let section = |b: usize, t: f64| {
            let out = (bones - 1 - b) as f64 - t;
            let swell = if stump {
                0.16 * ease(out)
            } else if out > 1.0 {
                0.75
            } else {
                0.75 * ease(out * 1.25)
            };
            let round = if stump { 0.0 } else { 0.3 * ease(out) };
            Section {
                back: half * (0.68 + round) * (1.0 + swell),
                palm: half * (0.76 + round) * (1.0 + swell),
                side: half * 1.2 * (1.0 + 0.75 * swell),
                square: 0.2 * (1.0 - ease(out)),
            }
        };
        let ink = |p: Place| {
            if p.bone + 1 == bones {
                1.0 - ease((p.part - 0.2) / 0.5)
            } else if p.bone == 0 {
                ease(p.part / if stump { 0.9 } else { 0.4 })
            } else {
                1.0
            }
        };
        let palm = &self.flesh.skins[0];
        let rays = bases.len() + usize::from(build.digits.iter().any(|d| d.thumb));
        let lit = |p: Place, normal: Vec3| {
            if p.bone + 1 < bones {
                return normal;
            }
            let at = palm::towards(p.round.1 * thumbward, p.round.0, rays);
            let own = 1.0 - ease(1.8 * p.part);
            (palm.lit(0.8 + 2.2 * p.part, at) * (1.0 - own) + normal * own)
                .try_normalize(1e-9)
                .unwrap_or(normal)
        };
        let (mut skin, begins) = Tube {
            joints: &joints,
            section: &section,
            ink: &ink,
            lit: &lit,
            cap: 0.0,
            open: true,
            from: 0.0,
        }
        .skin();
        skin.calm(1);
        let mut nodes: Vec<usize> = build.arm.iter().rev().copied().collect();
        nodes.extend([w, w]);
        for pair in nodes.windows(2).take(bones) {
            self.flesh.covers[pair[0]] = true;
            self.flesh.covers[pair[1]] = true;
        }
        let shift = usize::from(stump);
        for (b, &begin) in begins.iter().enumerate() {
            let end = begins.get(b + 1).copied().unwrap_or(skin.rings());
            let base = nodes[b.saturating_sub(shift).min(nodes.len() - 1)];
            let solid = |from: f64, to: f64| Solid {
                bones: vec![Bone {
                    ends: [from, to].map(|t| joints[b].at + (joints[b + 1].at - joints[b].at) * t),
                    radii: [from, to].map(|t| section(b, t).side),
                }],
                joints: if b + 2 >= bones { vec![w] } else { Vec::new() },
                rank: Rank::Palm,
            };
            let mut cuts = vec![(begin, 1.0)];
            if b == 0 {
                // Fading out, in steps.
                cuts = (0..FADE)
                    .map(|k| {
                        let part = k as f64 / FADE as f64;
                        (
                            begin + (part * ALONG as f64).round() as usize,
                            (k + 1) as f64 / FADE as f64,
                        )
                    })
                    .collect();
            }
            for (k, &(from, fade)) in cuts.iter().enumerate() {
                let to = cuts
                    .get(k + 1)
                    .map_or((end + 1).min(skin.rings()), |c| c.0 + 1);
                let parts = [k, k + 1].map(|k| k as f64 / cuts.len() as f64);
                self.flesh.pieces.push(Piece {
                    skin: self.flesh.skins.len(),
                    rings: from.saturating_sub(usize::from(k == 0))..to,
                    base,
                    solid: solid(parts[0], parts[1]),
                    marks: Vec::new(),
                    fade,
                });
            }
        }
        self.flesh.skins.push(skin);
    }

    fn joint(&self, i: usize) -> Joint {
        Joint {
            at: self.at(i),
            palm: self.out(i),
        }
    }

    fn finger(&self, digit: &Digit, root: &Root) -> (Skin, Vec<usize>) {
        let chain = &digit.joints[1..];
        let halves: Vec<f64> = chain.iter().map(|&i| self.half(i)).collect();
        let bones = chain.len() - 1;
        let section = |b: usize, t: f64| phalanx(&halves, b, t, b + 1 == bones);
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
            lit: &lit,
            cap: 0.95 * halves[bones - 1],
            open: false,
            from: ROOT,
        }
        .skin()
    }

    fn thumb(&mut self, digit: &Digit) {
        let chain = &digit.joints[..];
        let halves: Vec<f64> = chain.iter().map(|&i| self.half(i)).collect();
        let bones = chain.len() - 1;
        let section = |b: usize, t: f64| {
            let mut s = phalanx(&halves, b, t, b + 1 == bones);
            if b == 0 {
                // The ball of the thumb.
                let ball = 4.0 * t * (1.0 - t);
                let root = 1.0 - ease(t);
                s.palm *= 1.0 + 0.2 * ball;
                s.side *= 1.0 - 0.12 * root + 0.06 * ball;
                s.back *= 1.0 - 0.2 * root;
            }
            s
        };
        let ink = |p: Place| {
            if p.bone > 0 {
                1.0
            } else {
                ease((p.part - 0.35) / 0.4)
            }
        };
        let joints: Vec<Joint> = chain.iter().map(|&i| self.joint(i)).collect();
        let made = Tube {
            joints: &joints,
            section: &section,
            ink: &ink,
            lit: &|_, normal| normal,
            cap: 0.95 * halves[bones - 1],
            open: false,
            from: 0.0,
        }
        .skin();
        self.cut(chain, made);
    }

    /// Cuts a digit into pieces, one a bone.
    fn cut(&mut self, chain: &[usize], (mut skin, begins): (Skin, Vec<usize>)) {
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
                },
                marks: marks::bone(begin, b, b + 1 == begins.len(), bend(b)),
                fade: 1.0,
            });
        }
        self.flesh.skins.push(skin);
    }
}

/// Half thicknesses of a digit's bone at a part of it: wider at the joints, a soft belly between
/// the creases of the palm's side, and a fingertip with its pad. Assumed, by eye.
fn phalanx(halves: &[f64], b: usize, t: f64, last: bool) -> Section {
    let bulge = 4.0 * t * (1.0 - t);
    if last {
        let half = halves[b] + (0.93 * halves[b] - halves[b]) * t;
        return Section {
            back: half * (0.9 - 0.22 * ease(t)),
            palm: half * (0.94 + 0.1 * bulge),
            side: half * (1.08 + 0.02 * bulge),
            square: 0.06,
        };
    }
    let half = halves[b] + (halves[b + 1] - halves[b]) * ease(t);
    Section {
        back: half * (0.9 - 0.08 * bulge),
        palm: half * (0.98 + 0.07 * bulge),
        side: half * (1.08 - 0.1 * bulge),
        square: 0.06,
    }
}
