//! From flesh to shapes: fill, tones and ink of each piece, back to front.
use super::making::{Flesh, Piece};
use super::marks::Mark;
use super::order;
use super::outline::{Crossing, Outlines, Px, Tracer};
use super::skin::Skin;
use super::touch::touch;
use crate::bar::Bar;
use crate::layout::Layout;
use crate::path::polyline;
use crate::sheet::Sheet;
use crate::staple::Staple;
use crate::{Layer, Paint, Seg, Shape, View};
use hand::flesh::section::ease;
use rig::{Role, Vec3};

/// From the upper left of the picture and from before it; right, up, towards the eye.
const LIGHT: [f64; 3] = [-0.48, 0.68, 0.555];

/// Tones: where the light is less (or more) than this, so much of a paint. Those of one shadow
/// lie so close that they read as its soft edge.
const TONES: [(f64, bool, Paint, f64); 7] = [
    (0.18, false, Paint::Shade, 0.055),
    (0.05, false, Paint::Shade, 0.065),
    (-0.08, false, Paint::Shade, 0.07),
    (-0.3, false, Paint::Shade, 0.07),
    (0.66, true, Paint::Light, 0.035),
    (0.78, true, Paint::Light, 0.045),
    (0.89, true, Paint::Light, 0.055),
];

/// How much less of a tone, in parts of the light, there is where flesh has faded out.
const FADED: f64 = 0.9;

/// A skin as it is seen.
pub(super) struct Seen {
    pub at: Vec<Px>,
    /// Towards the eye: 1, edge on: 0.
    pub facing: Vec<f64>,
    /// Empty where the skin has no tones.
    light: Vec<f64>,
}

pub(super) fn see(view: &View, skin: &Skin) -> Seen {
    let [right, up, towards] = view.axes();
    let light = right * LIGHT[0] + up * LIGHT[1] + towards * LIGHT[2];
    let (x, y) = (right * view.scale, up * view.scale);
    let centre = (
        view.size.0 / 2.0 - x.dot(&view.centre),
        view.size.1 / 2.0 + y.dot(&view.centre),
    );
    Seen {
        at: skin
            .at
            .iter()
            .map(|p| Px(centre.0 + x.dot(p), centre.1 - y.dot(p)))
            .collect(),
        facing: skin.normal.iter().map(|n| towards.dot(n)).collect(),
        light: skin.lit.iter().map(|n| light.dot(n)).collect(),
    }
}

/// Where the light comes from, in the world: a unit.
pub(crate) fn light(sheet: &Sheet) -> Vec3 {
    let [right, up, towards] = sheet.axes;
    right * LIGHT[0] + up * LIGHT[1] + towards * LIGHT[2]
}

/// All of it, farthest first, the bars between what is round their far side and the rest, and
/// each staple under the flesh that hides it from the eye.
pub(crate) fn draw(
    sheet: &mut Sheet,
    flesh: Option<&Flesh>,
    layout: &Layout,
    bars: &[Bar],
    staples: Vec<Staple>,
) {
    let (light, towards) = (light(sheet), sheet.axes[2]);
    let Some(flesh) = flesh else {
        for bar in bars {
            bar.draw(sheet, &light);
        }
        return;
    };
    let seen: Vec<Seen> = flesh
        .skins
        .iter()
        .map(|skin| see(sheet.view, skin))
        .collect();
    let solids: Vec<&order::Solid> = flesh.pieces.iter().map(|p| &p.solid).collect();
    let order = order::far_to_near(&solids, sheet.view);
    let hidden = |i: &usize| {
        let at = flesh.pieces[*i].solid.middle();
        bars.iter().any(|bar| bar.hides(&at, &towards))
    };
    let (behind, before): (Vec<usize>, Vec<usize>) = order.into_iter().partition(hidden);
    let far = behind.len();
    let order = [behind, before].concat();
    let mut under: Vec<Vec<Shape>> = vec![Vec::new(); order.len() + 1];
    let (away, staples): (Vec<_>, Vec<_>) = staples.into_iter().partition(|s| s.away);
    for staple in staples {
        let place = below(&staple, flesh, &order, sheet.view);
        under[place].extend(staple.shapes);
    }
    let mut brush = Brush::default();
    for (k, staples) in under.into_iter().enumerate() {
        if k == far {
            let away = away.iter().flat_map(|staple| staple.shapes.iter().cloned());
            sheet.shapes.extend(away);
            for bar in bars {
                bar.draw(sheet, &light);
                touch(sheet, flesh, bar.surface, &light);
            }
        }
        sheet.shapes.extend(staples);
        let Some(&i) = order.get(k) else { continue };
        let piece = &flesh.pieces[i];
        let role = layout.nodes[piece.base].role;
        let skin = &flesh.skins[piece.skin];
        brush.paint(sheet, skin, piece, &seen[piece.skin], role);
    }
}

/// Before which piece, as a place in the order, a staple is drawn: over the flesh it belongs to,
/// unless it passes under that, and under what hides it of the rest.
fn below(staple: &Staple, flesh: &Flesh, order: &[usize], view: &View) -> usize {
    let own = |i: &usize| {
        let piece = &flesh.pieces[*i];
        piece.solid.rank == order::Rank::Digit && Some(piece.base) == staple.own
    };
    let from = match order.iter().position(own) {
        Some(at) if staple.under => return at,
        Some(at) => at + 1,
        None => 0,
    };
    let hidden = |i: &usize| order::hides(&flesh.pieces[*i].solid, &staple.at, view);
    let over = order[from..].iter().position(hidden);
    over.map_or(order.len(), |at| from + at)
}

/// What painting one piece after the other uses again.
#[derive(Default)]
struct Brush {
    tracer: Tracer,
    silhouette: Outlines,
    tone: Outlines,
}

impl Brush {
    fn paint(&mut self, sheet: &mut Sheet, skin: &Skin, piece: &Piece, seen: &Seen, role: Role) {
        let Self {
            tracer,
            silhouette,
            tone,
        } = self;
        let (facing, light) = (&seen.facing[..], &seen.light[..]);
        let rings = || piece.rings.clone();
        tracer.trace(rings(), skin.sides, |i| facing[i], silhouette);
        // Small folds would only be specks.
        let speck = SPECK * sheet.view.scale * sheet.view.scale;
        silhouette.retain(|outline| area(outline, &seen.at).abs() > speck);
        if silhouette.is_empty() {
            return;
        }
        let fill = match role {
            Role::Mover | Role::Carried => Paint::Carried,
            Role::Anchored | Role::Still => Paint::Still,
        };
        // Fading out: over one another from ring to ring, the last of them opaque.
        for k in 0..piece.fades {
            let rings = piece.rings.start + k..piece.rings.end;
            tracer.trace(rings, skin.sides, |i| facing[i], tone);
            let segs = tone.path(|i| seen.at[i]);
            sheet.push(tint(segs, fill, 1.0 / (piece.fades + 1 - k) as f64));
        }
        tracer.trace(
            piece.rings.start + piece.fades..piece.rings.end,
            skin.sides,
            |i| facing[i],
            tone,
        );
        let segs = tone.path(|i| seen.at[i]);
        let hatched = (role == Role::Anchored).then(|| segs.clone());
        sheet.push(tint(segs, fill, 1.0));
        if let Some(segs) = hatched {
            sheet.push(tint(segs, Paint::Hatch, 0.5));
        }
        // Where it fades out its tones taper off.
        let first = piece.rings.start * skin.sides;
        let faded = (piece.fades * skin.sides) as f64;
        let dim = |i: usize| {
            if piece.fades == 0 {
                return 0.0;
            }
            let left = 1.0 - (i - first) as f64 / faded;
            if left > 0.0 { FADED * left } else { 0.0 }
        };
        for (edge, above, paint, opacity) in TONES {
            let sign = if above { 1.0 } else { -1.0 };
            let value = |i: usize| {
                let (light, facing) = (sign * (light[i] - edge) - dim(i), facing[i]);
                if light < facing { light } else { facing }
            };
            tracer.trace(rings(), skin.sides, value, tone);
            if !tone.is_empty() {
                let segs = tone.path(|i| seen.at[i]);
                sheet.push(tint(segs, paint, opacity));
            }
        }
        for mark in &piece.marks {
            draw_mark(sheet, skin, mark);
        }
        let ink = ribbons(sheet, silhouette, seen, skin);
        if !ink.is_empty() {
            sheet.push(Shape::filled(Layer::Bone, ink, Paint::Ink, None));
        }
    }
}

fn tint(segs: Vec<Seg>, paint: Paint, opacity: f64) -> Shape {
    Shape::Path {
        layer: Layer::Bone,
        segs,
        fill: Some(paint),
        fill_opacity: opacity,
        stroke: None,
    }
}

/// Folds of less than this are left out, mm².
const SPECK: f64 = 25.0;

fn area(outline: &[Crossing], at: &[Px]) -> f64 {
    let mut twice = 0.0;
    let mut before = match outline.last() {
        Some(last) => last.of(at),
        None => return 0.0,
    };
    for crossing in outline {
        let here = crossing.of(at);
        twice += before.0 * here.1 - here.0 * before.1;
        before = here;
    }
    twice / 2.0
}

/// Skin turned away by more than this shows no marks.
const TURNED: f64 = 0.06;
/// Over so much more they come to their full width.
const FULL: f64 = 0.3;

fn draw_mark(sheet: &mut Sheet, skin: &Skin, mark: &Mark) {
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
        let seen: Vec<_> = points
            .iter()
            .filter(|p| p.1 > TURNED)
            .map(|p| (p.0.0, p.0.1))
            .collect();
        if seen.len() > 6 {
            let mut segs = polyline(seen);
            segs.push(Seg::Close);
            sheet.push(Shape::Path {
                layer: Layer::Bone,
                segs,
                fill: Some(Paint::Light),
                fill_opacity: 0.3,
                stroke: Some(sheet.stroke(Paint::Ink, mark.width).faint(mark.opacity)),
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
fn ribbons(sheet: &Sheet, silhouette: &Outlines, seen: &Seen, skin: &Skin) -> Vec<Seg> {
    let mut segs = Vec::new();
    let weight = sheet.weight;
    for run in silhouette.iter().flat_map(contour) {
        let hollow = hollow(sheet, &run, seen, skin);
        let points: Vec<(Px, f64)> = run
            .iter()
            .zip(hollow)
            .map(|(c, hollow)| {
                let heavy = (0.5 - 0.6 * c.of(&seen.light)).clamp(0.0, 1.0);
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
