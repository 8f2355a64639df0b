//! The flesh of a hand: what a plate shows in place of the strokes of its bones.
//!
//! A document that was built as a hand is drawn so. Its wrist is the joint of that name, else the one from which most
//! chains hang, its digits are those chains, in document order from the thumb's side; where one
//! is too short to be a digit, its bones stay strokes, and where there is more than any hand has, all do.
mod arm;
mod bare;
mod build;
mod digit;
mod ghost;
mod ink;
mod making;
mod marks;
mod near;
mod order;
mod outline;
mod paint;
mod palm;
mod press;
mod seen;
mod skin;
mod thumbnail;
mod touch;
mod tube;
mod wrist;

use crate::layout::Layout;
use build::{Build, Digit};
use digit::Root;
use making::{Making, Piece};
use order::{Bone, Rank, Solid};
use rig::{Posed, Surface, Vec3};
use tube::square;
use wrist::{Ray, Wrist};

pub use bare::{Skin, skins};
pub use ghost::Ghosts;
pub(crate) use ghost::moved;
pub(crate) use making::Flesh;
pub(crate) use paint::draw;
pub(crate) use seen::light;
pub use thumbnail::thumbnail;
pub(crate) use touch::touch;

impl Flesh {
    /// The flesh of a document that was built as a hand, where `posed` has it.
    pub fn new(posed: &Posed, layout: &Layout, surfaces: &[Surface]) -> Option<Self> {
        Self::make(posed, layout, surfaces, true)
    }

    /// The same of which only the contour is drawn, without tones and marks.
    pub fn ghost(posed: &Posed, layout: &Layout, surfaces: &[Surface]) -> Option<Self> {
        Self::make(posed, layout, surfaces, false)
    }

    fn make(posed: &Posed, layout: &Layout, surfaces: &[Surface], toned: bool) -> Option<Self> {
        let document = posed.document();
        let build = Build::find(document, layout)?;
        let mut making = Making {
            posed,
            toned,
            layout,
            round: tube::round(),
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
        let bears = bearing(posed, layout);
        let firm = |joints: &[usize]| joints.iter().map(|&i| bears[i]).fold(0.0, f64::max);
        let wrist = making.palm(&build, surfaces);
        making.flesh.skins[0].holds = bears[build.wrist];
        let fingers = || build.digits.iter().filter(|d| !d.thumb);
        let (first, last) = (fingers().next(), fingers().next_back());
        let same = |a: Option<&Digit>, b: &Digit| a.is_some_and(|a| std::ptr::eq(a, b));
        let thumbs = build.digits.iter().filter(|d| d.thumb).count();
        let rays = fingers().count() + thumbs.min(1);
        for digit in build.digits.iter().filter(|d| d.thumb) {
            making.thumb(digit, &wrist);
            making.held(firm(&digit.joints));
        }
        for (k, digit) in fingers().enumerate() {
            let outer = [same(first, digit), same(last, digit)];
            let mut root = Root {
                palm: &making.flesh.skins[0],
                ray: (k + thumbs.min(1)) as f64,
                rays,
                thumbward: wrist.thumbward,
                outer,
                bend: 0.0,
                out: making.out(digit.joints[0]),
            };
            let skin = making.finger(digit, &wrist, &mut root);
            making.cut(&digit.joints, skin, true);
            making.held(firm(&digit.joints));
        }
        let mut flesh = making.flesh;
        for skin in &mut flesh.skins {
            for surface in surfaces {
                press::press(skin, surface);
            }
        }
        Some(flesh)
    }
}

/// How firmly what hangs from each joint is held to what it is planted on: a digit as its anchor
/// holds it, anything else wholly.
fn bearing(posed: &Posed, layout: &Layout) -> Vec<f64> {
    let mut bears = vec![0.0; layout.nodes.len()];
    let document = posed.document();
    for plant in &document.plants {
        let Some(joint) = layout.get(plant.node).and_then(|l| l.bone_from) else {
            continue;
        };
        let mut anchors = document.anchors.iter();
        let holds = anchors.find(|a| a.end == plant.node && a.solver.is_digit());
        let hold = holds.map_or(1.0, |anchor| posed.hold(anchor.id));
        bears[joint] = hold.max(bears[joint]);
    }
    bears
}

impl Making<'_> {
    /// Says of the skin made last how firmly it is held.
    fn held(&mut self, firm: f64) {
        if let Some(skin) = self.flesh.skins.last_mut() {
            skin.holds = firm;
        }
    }

    /// Palm and arm, which are one skin: the first.
    fn palm(&mut self, build: &Build, surfaces: &[Surface]) -> Wrist {
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
        let mut skin = self.arm(build, &wrist, surfaces, skin);
        palm::normals(&mut skin, self.toned);
        let begin = skin.hand;
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
        let marks = || marks::palm(begin, rays.len(), thumb.is_some());
        let marks = self.toned.then(marks).unwrap_or_default();
        let cut = begin + palm::KNUCKLES;
        let parts = [
            (begin - 1..cut + 2, hand, marks),
            (cut..skin.rings(), web, Vec::new()),
        ];
        for (rings, solid, marks) in parts {
            self.flesh.pieces.push(Piece {
                skin: 0,
                rings,
                into: [0; 2],
                base: w,
                solid,
                marks,
                fades: 0,
            });
        }
        self.flesh.skins.push(skin);
        wrist
    }
}
