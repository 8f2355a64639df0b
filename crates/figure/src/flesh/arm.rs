//! Flesh of the arm: what there is of it above the wrist.
use super::build::Build;
use super::making::{Making, Piece};
use super::order::{Bone, Rank, Solid};
use super::palm;
use super::tube::{ALONG, Joint, Place, Section, Tube};
use super::wrist::Wrist;
use hand::flesh::section::ease;
use rig::{Surface, Vec3};

/// Length of the stump of an arm that the document does not have, in half thicknesses of the wrist.
const STUMP: f64 = 2.9;
/// Steps in which an arm fades out, and over how much of its first bone.
const FADE: usize = 5;
const FADING: f64 = 0.5;

/// The wrist's half thicknesses over the node's own. Assumed, by eye.
const BACK: f64 = 0.68;
const FRONT: f64 = 0.76;

impl Making<'_> {
    /// The forearm and what is above it; without any, a stump that fades out behind the wrist and
    /// keeps off the surfaces.
    pub(super) fn arm(&mut self, build: &Build, wrist: &Wrist, surfaces: &[Surface]) {
        let (w, half) = (build.wrist, wrist.half);
        let along = self.posed.world(self.layout.nodes[w].node.id).rotation * -Vec3::y();
        let middle = wrist.at + wrist.side * wrist.aside;
        let joint = |at| Joint {
            at,
            palm: wrist.palm,
        };
        let above = build.arm.iter().rev();
        let mut joints: Vec<Joint> = above.clone().map(|&i| joint(self.at(i))).collect();
        let mut halves: Vec<f64> = above.map(|&i| self.half(i)).collect();
        let stump = joints.is_empty();
        if stump {
            let mut end = middle - along * (STUMP * half);
            for surface in surfaces {
                let deep = half - surface.distance(&end);
                if deep > 0.0 {
                    end += surface.normal(&end) * deep;
                }
            }
            joints.push(joint(end));
            halves.push(half * 1.05);
        }
        joints.push(joint(middle));
        joints.push(joint(middle + along * wrist.carpus * 0.8));
        halves.extend([half, half]);
        let bones = joints.len() - 1;
        let at_wrist = Section {
            back: BACK * half,
            palm: FRONT * half,
            side: wrist.broad,
            square: 0.2,
        };
        let section = |b: usize, t: f64| {
            if b + 1 == bones {
                return at_wrist;
            }
            let of = |i: usize| {
                if i + 1 >= bones {
                    at_wrist
                } else {
                    round(halves[i])
                }
            };
            // The forearm keeps its thickness from the elbow to past its middle.
            let t = if b + 2 == bones {
                ease((t - 0.15) / 0.85)
            } else {
                t
            };
            of(b).mixed(&of(b + 1), t)
        };
        let ink = |p: Place| {
            if p.bone + 1 == bones {
                1.0 - ease((p.part - 0.5) / 0.4)
            } else if p.bone == 0 {
                ease(p.part / FADING)
            } else {
                1.0
            }
        };
        let palm = &self.flesh.skins[0];
        let fingers = build.digits.iter().filter(|d| !d.thumb).count();
        let rays = fingers + usize::from(build.digits.iter().any(|d| d.thumb));
        // The tones of the palm, where it comes out of the arm.
        let lit = |p: Place, normal: Vec3| {
            if p.bone + 1 < bones {
                return normal;
            }
            let at = palm::towards(p.round.1 * wrist.thumbward, p.round.0, rays);
            let own = 1.0 - ease(1.8 * p.part);
            (palm.lit(0.8 + 2.2 * p.part, at) * (1.0 - own) + normal * own)
                .try_normalize(1e-9)
                .unwrap_or(normal)
        };
        let (mut skin, begins) = Tube {
            joints: &joints,
            section: &section,
            ink: &ink,
            lit: self.toned.then_some(&lit),
            cap: 0.0,
            open: true,
            from: 0.0,
        }
        .skin();
        skin.calm(1);
        // A stump is only hinted at: it touches nothing.
        skin.touches = if stump { begins[1] } else { 0 };

        let mut nodes: Vec<usize> = build.arm.iter().rev().copied().collect();
        nodes.resize(bones, w);
        for &i in nodes.iter().chain(&build.within) {
            self.flesh.covers[i] = true;
        }
        for (b, &begin) in begins.iter().enumerate() {
            let end = begins.get(b + 1).map_or(skin.rings(), |&next| next + 1);
            let mut cuts = vec![(begin.saturating_sub(1), 1.0)];
            if b == 0 {
                cuts = (0..=FADE)
                    .map(|k| {
                        let part = FADING * k as f64 / FADE as f64;
                        let fade = (k + 1) as f64 / (FADE + 1) as f64;
                        (begin + (part * ALONG as f64).round() as usize, fade)
                    })
                    .collect();
            }
            for (k, &(from, fade)) in cuts.iter().enumerate() {
                let to = cuts.get(k + 1).map_or(end, |next| next.0 + 1);
                if to < from + 2 {
                    continue;
                }
                let part = |ring: usize| {
                    (ring.saturating_sub(begin) as f64 / ALONG as f64).clamp(0.0, 1.0)
                };
                let (from_part, to_part) = (part(from), part(to));
                let at = |t: f64| joints[b].at + (joints[b + 1].at - joints[b].at) * t;
                self.flesh.pieces.push(Piece {
                    skin: self.flesh.skins.len(),
                    rings: from..to,
                    base: nodes[b],
                    solid: Solid {
                        bones: vec![Bone {
                            ends: [from_part, to_part].map(at),
                            radii: [from_part, to_part].map(|t| section(b, t).side),
                        }],
                        joints: if b + 2 >= bones { vec![w] } else { Vec::new() },
                        rank: Rank::Arm,
                        off: Vec3::zeros(),
                    },
                    marks: Vec::new(),
                    fade,
                });
            }
        }
        self.flesh.skins.push(skin);
    }
}

/// An arm's own section: nearly round.
fn round(half: f64) -> Section {
    Section {
        back: 0.95 * half,
        palm: half,
        side: half,
        square: 0.0,
    }
}
