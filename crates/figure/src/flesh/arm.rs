//! Flesh of the arm: what there is of it above the wrist.
use super::build::Build;
use super::making::{Making, Piece};
use super::order::{Bone, Rank, Solid};
use super::skin::Skin;
use super::tube::{Joint, Place, Section, Tube};
use super::wrist::Wrist;
use hand::flesh::section::ease;
use rig::{Surface, Vec3};

/// Length of the stump of an arm that the document does not have, in half thicknesses of the wrist.
const STUMP: f64 = 2.9;
/// Rings along its first bone and along the others, less one, and over how many of the first it
/// fades out.
const ALONG: usize = 9;
const LONG: usize = 4;
const FADE: usize = 7;

/// The wrist's half thicknesses over the node's own. Assumed, by eye.
const BACK: f64 = 0.68;
const FRONT: f64 = 0.76;

impl Making<'_> {
    /// The forearm and what is above it, which go over into the palm; without any, a stump that
    /// fades out behind the wrist and keeps off the surfaces. Makes one skin of arm and palm.
    pub(super) fn arm(
        &mut self,
        build: &Build,
        wrist: &Wrist,
        surfaces: &[Surface],
        palm: Skin,
    ) -> Skin {
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
        let section = |b: usize, t: f64, _: f64| {
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
        let fading = FADE as f64 / ALONG as f64;
        let ink = |p: Place| {
            if p.bone == 0 {
                ease((p.part - 0.15) / fading)
            } else {
                1.0
            }
        };
        // It has the points round it that the palm's first ring has.
        let first = &palm.at[..palm.sides];
        let centre = first.iter().sum::<Vec3>() / palm.sides as f64;
        let across = along.cross(&wrist.palm);
        let round: Vec<(f64, f64)> = first
            .iter()
            .map(|point| {
                let off = point - centre;
                let (high, wide) = (off.dot(&wrist.palm), off.dot(&across));
                let thick = if high > 0.0 { FRONT } else { BACK } * half;
                let (c, s) = (high / thick, wide / wrist.broad.max(1e-9));
                let long = libm::hypot(c, s).max(1e-9);
                (c / long, s / long)
            })
            .collect();
        let (mut skin, begins) = Tube {
            joints: &joints,
            section: &section,
            ink: &ink,
            lit: None,
            cap: 0.0,
            open: true,
            from: 0.0,
            round: &round,
            along: [ALONG, LONG],
        }
        .skin();
        // Of the bone within the palm only the ring at the wrist.
        skin.hand = begins[bones - 1] + 1;
        let points = skin.hand * skin.sides;
        skin.at.truncate(points);
        skin.ink.truncate(points);
        skin.normal = palm.normal;
        skin.at.extend(palm.at);
        skin.ink.extend(palm.ink);
        // A stump is only hinted at: it touches nothing.
        skin.touches = if stump { begins[1] } else { 0 };

        let mut nodes: Vec<usize> = build.arm.iter().rev().copied().collect();
        nodes.resize(bones, w);
        for &i in nodes.iter().chain(&build.within) {
            self.flesh.covers[i] = true;
        }
        for b in 0..bones - 1 {
            let last = b + 2 == bones;
            let end = if last {
                skin.hand + 2
            } else {
                begins[b + 1] + 1
            };
            self.flesh.pieces.push(Piece {
                skin: 0,
                rings: begins[b].saturating_sub(1)..end,
                into: [0; 2],
                base: nodes[b],
                solid: Solid {
                    bones: vec![Bone {
                        ends: [joints[b].at, joints[b + 1].at],
                        radii: [0.0, 1.0].map(|t| section(b, t, 1.0).side),
                    }],
                    joints: if last { vec![w] } else { Vec::new() },
                    rank: Rank::Arm,
                    off: Vec3::zeros(),
                },
                marks: Vec::new(),
                fades: if b == 0 { FADE } else { 0 },
            });
        }
        skin
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
