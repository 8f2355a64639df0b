//! The flesh of a hand: what a plate shows in place of the strokes of its bones.
//!
//! A document that was built as a hand is drawn so. Its wrist is the joint of that name, else the one from which most
//! chains hang, its digits are those chains, in document order from the thumb's side; where one
//! is too short to be a digit, its bones stay strokes, and where there is more than any hand has, all do.
mod arm;
mod digit;
mod marks;
mod order;
mod paint;
mod palm;
mod skin;
mod touch;
mod tube;

use crate::laid::Layout;
use digit::Root;
use marks::Mark;
use order::{Bone, Rank, Solid};
use palm::{Ray, Wrist};
use recipe::MOST_DIGITS;
use rig::{Document, Part, Posed, Surface, Vec3};
use skin::Skin;
use std::ops::Range;
use tube::{Joint, square};

pub(crate) use paint::{draw, moved};
pub(crate) use touch::touch;

/// The joints of a hand, as indices into the layout.
struct Build {
    wrist: usize,
    digits: Vec<Digit>,
    /// Joints above the wrist, nearest first.
    arm: Vec<usize>,
    /// Joints within the arm that carry nothing.
    within: Vec<usize>,
}

struct Digit {
    joints: Vec<usize>,
    thumb: bool,
}

/// More joints than this, arm and digits together, are no hand's: each is looked at with every
/// other to find which lies over which. The largest hand with an arm has 62.
const MOST_JOINTS: usize = 200;

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
        let named = |i: &usize| {
            let l = &layout.nodes[*i];
            l.is_joint() && l.node.part == Some(Part::Wrist)
        };
        let wrist = (0..below.len())
            .find(named)
            .or_else(|| (0..below.len()).max_by_key(|&i| (below[i].len(), usize::MAX - i)))?;
        let digits = digits(wrist);
        if !digits.iter().any(|d| !d.thumb) || layout.nodes[wrist].node.hidden {
            return None;
        }
        let up = |&i: &usize| layout.nodes[i].bone_from;
        let arm: Vec<usize> = std::iter::successors(layout.nodes[wrist].bone_from, up).collect();
        let joints = digits.iter().map(|d| d.joints.len()).sum::<usize>();
        if digits.len() > MOST_DIGITS || joints + arm.len() > MOST_JOINTS {
            return None;
        }
        let beside = |&&i: &&usize| below[i].is_empty() && i != wrist;
        Some(Self {
            wrist,
            digits,
            within: arm
                .iter()
                .flat_map(|&i| &below[i])
                .filter(beside)
                .copied()
                .collect(),
            arm,
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
    pub fn new(posed: &Posed, layout: &Layout, surfaces: &[Surface]) -> Option<Self> {
        let document = posed.document();
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
        let wrist = making.palm(&build);
        making.arm(&build, &wrist, surfaces);
        let fingers = || build.digits.iter().filter(|d| !d.thumb);
        let (first, last) = (fingers().next(), fingers().next_back());
        let same = |a: Option<&Digit>, b: &Digit| a.is_some_and(|a| std::ptr::eq(a, b));
        let thumbs = build.digits.iter().filter(|d| d.thumb).count();
        let rays = fingers().count() + thumbs.min(1);
        for digit in build.digits.iter().filter(|d| d.thumb) {
            making.thumb(digit, &wrist);
        }
        for (k, digit) in fingers().enumerate() {
            let outer = [same(first, digit), same(last, digit)];
            let root = Root {
                palm: &making.flesh.skins[0],
                ray: (k + thumbs.min(1)) as f64,
                rays,
                thumbward: wrist.thumbward,
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

    fn palm(&mut self, build: &Build) -> Wrist {
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
        let (at, side) = (self.at(w), square(&square(&side, &palm), &along));
        let wrist = Wrist::new(at, along, palm, side, self.half(w), &rays);
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
            off: Vec3::zeros(),
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
            off: Vec3::zeros(),
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
        wrist
    }

    fn joint(&self, i: usize) -> Joint {
        Joint {
            at: self.at(i),
            palm: self.out(i),
        }
    }
}
