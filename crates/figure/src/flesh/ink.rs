//! Lines on flesh: contours and marks, as ribbons that taper.
use super::marks::Mark;
use super::outline::{Crossing, Outlines, Px};
use super::seen::{Seen, tint};
use super::skin::Skin;
use crate::path::polyline;
use crate::sheet::Sheet;
use crate::{Layer, Paint, Seg, Shape};
use hand::flesh::section::ease;

/// Skin turned away by more than this shows no marks.
const TURNED: f64 = 0.06;
/// Over so much more they come to their full width.
const FULL: f64 = 0.3;

/// A mark on skin.
pub(super) fn mark(sheet: &mut Sheet, skin: &Skin, mark: &Mark) {
    let towards = sheet.axes[2];
    let points: Vec<(Px, f64)> = mark
        .at
        .iter()
        .map(|&(ring, side)| {
            let (at, normal) = skin.between(ring, side);
            let (x, y) = sheet.at(&at);
            (Px(x, y), towards.dot(&normal))
        })
        .collect();
    if mark.nail {
        let most = points.iter().map(|p| p.1).fold(0.0, f64::max);
        let shown = ease((most - TURNED) / FULL);
        let seen = points.iter().filter(|p| p.1 > TURNED);
        let seen: Vec<_> = seen.map(|p| (p.0.0, p.0.1)).collect();
        if seen.len() > 2 {
            let mut segs = polyline(seen);
            segs.push(Seg::Close);
            let edge = sheet.stroke(Paint::Ink, mark.width);
            sheet.push(Shape::Path {
                layer: Layer::Bone,
                segs,
                fill: Some(Paint::Light),
                fill_opacity: 0.3 * shown,
                stroke: Some(edge.faint(mark.opacity * shown)),
            });
        }
        return;
    }
    // It thins out where the skin turns away, so that nothing of it comes or goes at once.
    let n = points.len();
    let tapered: Vec<(Px, f64)> = points
        .iter()
        .enumerate()
        .map(|(k, &(at, facing))| {
            let t = k as f64 / (n - 1) as f64;
            let seen = ease((facing - TURNED) / FULL);
            let half = 0.5 * mark.width * sheet.weight * seen;
            (at, half * (0.15 + 3.4 * t * (1.0 - t)))
        })
        .collect();
    let mut segs = Vec::new();
    for run in tapered.split(|p| p.1 <= 0.0).filter(|run| run.len() > 1) {
        ribbon(&mut segs, run);
    }
    if !segs.is_empty() {
        sheet.push(tint(segs, Paint::Ink, mark.opacity));
    }
}

/// Ink along the contour, px at weight 1: thin towards the light, heavy away from it.
const THIN: f64 = 1.1;
const HEAVY: f64 = 2.3;

/// The contour as ribbons whose width goes with the light; where the ink runs out it tapers off.
pub(super) fn contours(sheet: &Sheet, silhouette: &Outlines, seen: &Seen, skin: &Skin) -> Vec<Seg> {
    let mut segs = Vec::new();
    let weight = sheet.weight;
    for run in silhouette.iter().flat_map(contour) {
        let hollow = hollow(sheet, &run, seen, skin);
        let points: Vec<(Px, f64)> = run
            .iter()
            .zip(hollow)
            .map(|(c, hollow)| {
                let light = if seen.light.is_empty() {
                    0.0
                } else {
                    c.of(&seen.light)
                };
                let heavy = (0.5 - 0.6 * light).clamp(0.0, 1.0);
                let ink = c.of(&skin.ink) * (1.0 - hollow);
                (
                    c.of(&seen.at),
                    0.5 * weight * ink * (THIN + (HEAVY - THIN) * heavy),
                )
            })
            .collect();
        let inked = |p: &(Px, f64)| p.1 > 0.12 * weight;
        for part in points.split(|p| !inked(p)).filter(|part| part.len() > 1) {
            ribbon(&mut segs, part);
        }
    }
    segs
}

/// Where skin that comes towards the eye turns away from it, it is hollow and hides its own contour
/// (Koenderink 1984, What does the occluding contour tell us): 1 there, 0 elsewhere, smooth
/// between.
fn hollow(sheet: &Sheet, run: &[Crossing], seen: &Seen, skin: &Skin) -> Vec<f64> {
    const REACH: usize = 3;
    let (sides, points, towards) = (skin.sides, skin.at.len(), sheet.axes[2]);
    let mut last = 0.0;
    let signs: Vec<f64> = run
        .iter()
        .map(|c| {
            let at = (c.from as usize).min(c.to as usize);
            let at = if at + sides < points { at } else { at - sides };
            let right = if (at + 1).is_multiple_of(sides) {
                at + 1 - sides
            } else {
                at + 1
            };
            // The way to the eye within the skin, by two of its edges.
            let [a, b] = [at + sides, right].map(|to| skin.at[to] - skin.at[at]);
            let [f, g] = [at + sides, right].map(|to| seen.facing[to] - seen.facing[at]);
            let (aa, ab, bb) = (a.norm_squared(), a.dot(&b), b.norm_squared());
            let (ta, tb) = (a.dot(&towards), b.dot(&towards));
            let area = aa * bb - ab * ab;
            if area > 1e-3 * aa * bb {
                let turns = (ta * bb - tb * ab) * f + (tb * aa - ta * ab) * g;
                last = if turns < 0.0 { 1.0 } else { 0.0 };
            }
            last
        })
        .collect();
    (0..run.len())
        .map(|k| {
            let near = &signs[k.saturating_sub(REACH)..(k + REACH + 1).min(run.len())];
            let share = near.iter().sum::<f64>() / near.len() as f64;
            ((share - 0.4) / 0.5).clamp(0.0, 1.0)
        })
        .collect()
}

/// The stretches of an outline that are not the rim of the grid.
pub(super) fn contour(outline: &[Crossing]) -> Vec<Vec<Crossing>> {
    let Some(start) = outline.iter().position(|c| c.rim) else {
        let mut round = outline.to_vec();
        round.push(outline[0]);
        return vec![round];
    };
    let turned: Vec<Crossing> = outline[start..]
        .iter()
        .chain(&outline[..start])
        .copied()
        .collect();
    turned
        .split(|c| c.rim)
        .filter(|run| run.len() > 1)
        .map(<[Crossing]>::to_vec)
        .collect()
}

fn ribbon(segs: &mut Vec<Seg>, points: &[(Px, f64)]) {
    let n = points.len();
    let across = (0..n).map(|k| {
        let (a, b) = (points[k.saturating_sub(1)].0, points[(k + 1).min(n - 1)].0);
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let d = libm::hypot(dx, dy);
        if d > 1e-9 {
            (-dy / d, dx / d)
        } else {
            (0.0, 0.0)
        }
    });
    let across: Vec<_> = across.collect();
    let edge = |k: usize, sign: f64| {
        let ((Px(x, y), half), (nx, ny)) = (points[k], across[k]);
        (x + sign * nx * half, y + sign * ny * half)
    };
    segs.reserve(2 * n + 1);
    let (x, y) = edge(0, 1.0);
    segs.push(Seg::Move(x, y));
    let forth = (1..n).map(|k| edge(k, 1.0));
    let back = (0..n).rev().map(|k| edge(k, -1.0));
    segs.extend(forth.chain(back).map(|(x, y)| Seg::Line(x, y)));
    segs.push(Seg::Close);
}
