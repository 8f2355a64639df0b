//! Where the segments lie: fitted to the drawn skin's palm, back and sides.
//!
//! A section of a digit is wider than it is thick, so its bones carry two rows of balls side by
//! side; along a phalanx a third ball stands in its belly. The palm has a row for each
//! metacarpal, from the heel to the web.
use super::pieces::{Ball, Kind, Piece, Pieces};
use super::section::{self, NEARER, Thickness};
use recipe::bones::{CHANGEOVER, PAD_ROUND, TIP_ROUND, TIP_UNDER};

use recipe::DigitPart;
use rig::index::Index;
use rig::{Node, Part, RADIANS, Rig, Transform, Vec3};
use std::collections::BTreeMap;

/// Least half width, mm: as drawn.
const THINNEST: f64 = 1.0;
/// Where a finger's own flesh begins, as a part of its first bone; before that it is the palm's.
const ROOT: f64 = 0.14;
/// Stations of the palm before the metacarpals' bases (from the wrist's centre at 0 to them at 1),
/// along the metacarpals, and along the first phalanges.
const CARPUS: [f64; 3] = [-0.12, 0.4, 1.0];
const METACARPAL: [f64; 3] = [0.0, 0.5, 1.0];
const WEB: [f64; 2] = [0.0, 0.2];

/// Stations along a digit's bones but the last.
pub(super) const PHALANX: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

/// A digit's joints by what they are.
type Joints<'a> = BTreeMap<DigitPart, &'a Node>;

struct Fit<'a> {
    flesh: Pieces,
    rig: &'a Rig,
    places: Index,
}

/// A finger's part of the palm, in the wrist's frame.
struct Ray<'a> {
    metacarpal: &'a Node,
    knuckle: &'a Node,
    next: Option<&'a Node>,
    base: Vec3,
    palm: Vec3,
}

/// All the flesh of a hand; none where there is no hand.
pub(super) fn fit(rig: &Rig) -> Pieces {
    let places = Index::new(rig.nodes.iter().map(|node| node.id.0));
    // In document order: from the thumb's side.
    let mut digits: Vec<(&str, Joints)> = Vec::new();
    let mut known: BTreeMap<&str, usize> = BTreeMap::new();
    for node in &rig.nodes {
        if let Some(Part::Digit(name, part)) = &node.part {
            let at = *known.entry(name).or_insert_with(|| {
                digits.push((name, Joints::new()));
                digits.len() - 1
            });
            digits[at].1.entry(*part).or_insert(node);
        }
    }
    let flesh = Pieces::default();
    let mut fit = Fit { flesh, rig, places };
    fit.palm(&digits);
    for (_, joints) in &digits {
        fit.digit(joints);
    }
    fit.flesh
}

fn half(node: &Node) -> f64 {
    let half = 0.5 * node.width;
    if half > THINNEST { half } else { THINNEST }
}

/// The part of a direction that is square to another, as a unit.
fn square(direction: &Vec3, to: &Vec3) -> Vec3 {
    let part = |d: &Vec3| (d - to * to.dot(d)).try_normalize(1e-6);
    let other = if to.x.abs() < 0.8 {
        Vec3::x()
    } else {
        Vec3::y()
    };
    part(direction).or_else(|| part(&other)).unwrap_or(other)
}

/// A joint's bone to the next: where that is, and units along it, to the palm and aside.
struct Bone {
    to: Vec3,
    along: Vec3,
    palm: Vec3,
    side: Vec3,
}

impl Bone {
    fn new(to: Vec3) -> Self {
        let along = to.try_normalize(1e-9).unwrap_or_else(|| -Vec3::y());
        let palm = square(&Vec3::x(), &along);
        Self {
            to,
            along,
            palm,
            side: along.cross(&palm),
        }
    }

    /// Two balls that together are as thick as told: as far as they go to the palm and to the
    /// back, and side by side as far as to the sides.
    fn balls(&self, part: f64, of: Thickness) -> [Ball; 2] {
        let (radius, under) = (0.5 * (of.palm + of.back), 0.5 * (of.palm - of.back));
        self.pair(self.to * part + self.palm * under, radius, of.side - radius)
    }

    fn pair(&self, at: Vec3, radius: f64, aside: f64) -> [Ball; 2] {
        let aside = if aside > 0.0 { aside } else { 0.0 };
        [1.0, -1.0].map(|sign| Ball {
            at: at + self.side * (sign * aside),
            radius,
        })
    }

    /// The last phalanx's pad and tip: the segment over the pad's arc touches it at both ends and
    /// lies inside it by R·(1 − cos(φ/2)) between, 0.04 mm in the table's hand.
    fn end(&self, halves: &[f64], b: usize) -> [[Ball; 2]; 2] {
        let (h, length) = (halves[b], self.to.norm());
        let (s, c) = libm::sincos(CHANGEOVER * RADIANS);
        let radius = TIP_ROUND * h;
        let far = length - radius;
        // A bone shorter than its flesh is thick keeps its tip off its joint.
        let far = if far > 0.2 * length {
            far
        } else {
            0.2 * length
        };
        let near = far - (PAD_ROUND - TIP_ROUND) * h * s;
        let near = if near > 0.1 * length {
            near
        } else {
            0.1 * length
        };
        let under = TIP_UNDER * h;
        let deeper = (PAD_ROUND - TIP_ROUND) * h * (1.0 - c);
        let place = |far: f64, under: f64| {
            let part = if length > 0.0 { far / length } else { 0.0 };
            let side = section::phalanx(halves, b, part, true).side;
            let at = self.along * far + self.palm * under;
            self.pair(at, radius, side - radius)
        };
        [place(near, under + deeper), place(far, under)]
    }
}

impl<'a> Fit<'a> {
    /// The rest transform of a node against one above it; none where it is not below that.
    fn rest(&self, node: &Node, above: &Node) -> Option<Transform> {
        let mut rest = node.rest();
        let mut at = node;
        for _ in 0..self.rig.nodes.len() {
            at = &self.rig.nodes[self.places.get(at.parent?.0)?];
            if at.id == above.id {
                return Some(rest);
            }
            rest = at.rest() * rest;
        }
        None
    }

    /// A piece of rows of balls, each ball linked to the next of its row.
    fn piece<const N: usize>(&mut self, node: &Node, kind: Kind, stations: &[[Ball; N]]) {
        let flesh = &mut self.flesh;
        let (balls, links) = (flesh.balls.len(), flesh.links.len());
        flesh.balls.extend(stations.iter().flatten());
        for ball in balls..flesh.balls.len().saturating_sub(N) {
            flesh.links.push([ball, ball + N]);
        }
        if stations.len() == 1 {
            flesh.links.extend((0..N).map(|k| [balls + k; 2]));
        }
        let about = about(&flesh.balls[balls..]);
        flesh.pieces.push(Piece {
            node: node.id,
            kind,
            far: about.at.norm() + about.radius,
            about,
            balls: balls..flesh.balls.len(),
            links: links..flesh.links.len(),
        });
    }

    fn digit(&mut self, joints: &Joints) {
        use DigitPart::{Metacarpal, PhalanxDistal, PhalanxIntermediate, PhalanxProximal, Tip};
        let is_thumb = !joints.contains_key(&PhalanxIntermediate);
        let chain: &[DigitPart] = if is_thumb {
            &[Metacarpal, PhalanxProximal, PhalanxDistal, Tip]
        } else {
            &[PhalanxProximal, PhalanxIntermediate, PhalanxDistal, Tip]
        };
        let chain: Vec<&Node> = chain
            .iter()
            .map_while(|part| joints.get(part).copied())
            .collect();
        let halves: Vec<f64> = chain.iter().map(|node| half(node)).collect();
        for (b, pair) in chain.windows(2).enumerate() {
            let Some(next) = self.rest(pair[1], pair[0]) else {
                continue;
            };
            let bone = Bone::new(next.translation.vector);
            let at = |part: f64| {
                let of = if is_thumb {
                    section::thumb(&halves, b, part, false)
                } else {
                    section::phalanx(&halves, b, part, false)
                };
                bone.balls(part, of)
            };
            let kind = if is_thumb && b == 0 {
                Kind::Palm
            } else {
                Kind::Pad
            };
            if pair[1].part.as_ref().is_some_and(is_tip) {
                let [pad, tip] = bone.end(&halves, b);
                let first = bone.balls(0.0, section::phalanx(&halves, b, 0.0, true));
                self.piece(pair[0], kind, &[first, pad, tip]);
            } else {
                let root = if b == 0 && !is_thumb { ROOT } else { 0.0 };
                let part = |t: f64| if t > root { t } else { root };
                self.piece(pair[0], kind, &PHALANX.map(|t| at(part(t))));
            }
        }
    }

    fn palm(&mut self, digits: &[(&str, Joints<'a>)]) {
        use DigitPart::{Metacarpal, PhalanxIntermediate, PhalanxProximal};
        let rig = self.rig;
        let Some(wrist) = rig.part(&Part::Wrist) else {
            return;
        };
        let ray = |joints: &Joints<'a>| {
            let next = joints.get(&PhalanxIntermediate).copied()?;
            let (metacarpal, knuckle) = (*joints.get(&Metacarpal)?, *joints.get(&PhalanxProximal)?);
            let rest = self.rest(metacarpal, wrist)?;
            self.rest(knuckle, metacarpal)?;
            Some(Ray {
                metacarpal,
                knuckle,
                next: self.rest(next, knuckle).map(|_| next),
                base: rest.translation.vector,
                palm: rest.rotation * Vec3::x(),
            })
        };
        let rays: Vec<Ray> = digits
            .iter()
            .filter_map(|(_, joints)| ray(joints))
            .collect();
        let (Some(first), Some(last)) = (rays.first(), rays.last()) else {
            return;
        };
        let along = -Vec3::y();
        let across = (first.base - last.base).try_normalize(1e-6);
        let across = across.unwrap_or_else(|| along.cross(&Vec3::x()));
        let across = square(&square(&across, &Vec3::x()), &along);
        let has_thumb = digits
            .iter()
            .any(|(_, joints)| !joints.contains_key(&PhalanxIntermediate));
        for (k, ray) in rays.iter().enumerate() {
            // Which way its free side lies; beside a thumb the first has none.
            let out = if rays.len() < 2 {
                0.0
            } else if k + 1 == rays.len() {
                -1.0
            } else if k == 0 && !has_thumb {
                1.0
            } else {
                0.0
            };
            let thick =
                |position: f64| section::palm(half(ray.knuckle), half(wrist), position, out < 0.0);
            // On a free side the ball is moved so that it goes as far aside as the skin does.
            let ball = |at: Vec3, palm: Vec3, side: Vec3, position: f64| {
                let of = thick(position);
                let radius = 0.5 * (of.palm + of.back);
                let aside = side * (out * (of.side - radius));
                let at = at + palm * (0.5 * (of.palm - of.back)) + aside;
                [Ball { at, radius }]
            };
            let root = across * (ray.base.dot(&across) * NEARER);
            let carpus = CARPUS.map(|t| {
                let palm = Vec3::x() * (1.0 - t) + ray.palm * t;
                let palm = palm.try_normalize(1e-9).unwrap_or(ray.palm);
                ball(root + (ray.base - root) * t, palm, across, t - 1.0)
            });
            let Some(hand) = self.rest(ray.metacarpal, wrist) else {
                continue;
            };
            let Some(knuckle) = self.rest(ray.knuckle, ray.metacarpal) else {
                continue;
            };
            let aside = hand.rotation.inverse() * across;
            let metacarpal =
                METACARPAL.map(|t| ball(knuckle.translation.vector * t, Vec3::x(), aside, t));
            let next = ray.next.and_then(|next| self.rest(next, ray.knuckle));
            let web = next.map(|next| {
                let aside = knuckle.rotation.inverse() * aside;
                WEB.map(|t| ball(next.translation.vector * t, Vec3::x(), aside, 1.0 + t))
            });
            self.piece(wrist, Kind::Palm, &carpus);
            self.piece(ray.metacarpal, Kind::Palm, &metacarpal);
            if let Some(web) = web {
                self.piece(ray.knuckle, Kind::Palm, &web);
            }
        }
    }
}

/// A sphere that holds all of these: about the mean of their centres.
fn about(balls: &[Ball]) -> Ball {
    let at = balls.iter().map(|ball| ball.at).sum::<Vec3>() / balls.len() as f64;
    let far = balls.iter().map(|ball| (ball.at - at).norm() + ball.radius);
    let radius = far.fold(0.0, |most, far| if far > most { far } else { most });
    Ball { at, radius }
}

fn is_tip(part: &Part) -> bool {
    matches!(part, Part::Digit(_, DigitPart::Tip))
}
