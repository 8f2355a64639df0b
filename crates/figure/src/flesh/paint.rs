//! From flesh to shapes: fill, tones and ink of each piece, back to front.
use super::ink;
use super::making::{Flesh, Piece};
use super::order;
use super::outline::{Crossing, Outlines, Px, Tracer};
use super::seen::{Seen, light, see, tint};
use super::skin::Skin;
use super::touch::touch;
use crate::bar::Bar;
use crate::layout::Layout;
use crate::path::polyline;
use crate::sheet::Sheet;
use crate::staple::Staple;
use crate::{Layer, Paint, Seg, Shape, View};
use hand::flesh::section::ease;
use rig::Role;
use std::ops::Range;

/// Tones: where the light is less (or more) than this, so much of a paint. Those of one shadow
/// lie so close that they read as its soft edge.
const TONES: [(f64, bool, Paint, f64); 6] = [
    (0.18, false, Paint::Shade, 0.055),
    (0.05, false, Paint::Shade, 0.065),
    (-0.08, false, Paint::Shade, 0.07),
    (-0.3, false, Paint::Shade, 0.07),
    (0.7, true, Paint::Light, 0.055),
    (0.85, true, Paint::Light, 0.07),
];

/// How much less of a tone, in parts of the light, there is where flesh has faded out.
const FADED: f64 = 0.9;

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
        let role = |piece: &Piece| layout.nodes[piece.base].role;
        let skin = &flesh.skins[piece.skin];
        let rings = flesh.reach(i, role);
        brush.paint(sheet, skin, (piece, rings), &seen[piece.skin], role(piece));
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
    let hidden = |i: &usize| order::hides(&flesh.pieces[*i].solid, staple, view);
    let over = order[from..].iter().position(hidden);
    over.map_or(order.len(), |at| from + at)
}

impl Flesh {
    /// The rings of a piece, and as many of its neighbours' as it may cover that look alike.
    pub(super) fn reach(&self, i: usize, role: impl Fn(&Piece) -> Role) -> Range<usize> {
        let piece = &self.pieces[i];
        let alike = |other: Option<usize>| {
            let other = other.and_then(|other| self.pieces.get(other));
            other.is_some_and(|other| other.skin == piece.skin && role(other) == role(piece))
        };
        let mut rings = piece.rings.clone();
        if alike(i.checked_sub(1)) {
            rings.start = rings.start.saturating_sub(piece.into[0]);
        }
        if alike(Some(i + 1)) {
            rings.end = (rings.end + piece.into[1]).min(self.skins[piece.skin].rings());
        }
        rings
    }
}

/// What painting one piece after the other uses again.
#[derive(Default)]
pub(super) struct Brush {
    tracer: Tracer,
    silhouette: Outlines,
    tone: Outlines,
}

impl Brush {
    pub fn paint(
        &mut self,
        sheet: &mut Sheet,
        skin: &Skin,
        (piece, mut rings): (&Piece, Range<usize>),
        seen: &Seen,
        role: Role,
    ) {
        // What fades out has an end where that is turned to the eye.
        let end = cut(sheet, skin, piece);
        let fades = if end < 0.5 { piece.fades } else { 0 };
        rings.start += piece.fades - fades;
        let Self {
            tracer,
            silhouette,
            tone,
        } = self;
        let (facing, light) = (&seen.facing[..], &seen.light[..]);
        tracer.trace(rings.clone(), skin.sides, |i| facing[i], silhouette);
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
        let mut segs = silhouette.path(|i| seen.at[i]);
        // Fading out: over one another from ring to ring, the last of them opaque.
        for k in 1..=fades {
            let part = 1.0 / (fades + 2 - k) as f64;
            sheet.push(tint(segs, fill, part * (1.0 - 2.0 * end)));
            tracer.trace(rings.start + k..rings.end, skin.sides, |i| facing[i], tone);
            segs = tone.path(|i| seen.at[i]);
        }
        let hatched = (role == Role::Anchored).then(|| segs.clone());
        sheet.push(tint(segs, fill, 1.0));
        if let Some(segs) = hatched {
            sheet.push(tint(segs, Paint::Hatch, 0.5));
        }
        // Where it fades out its tones taper off.
        let first = rings.start * skin.sides;
        let faded = (fades * skin.sides) as f64;
        let dim = |i: usize| {
            if fades == 0 {
                return 0.0;
            }
            let left = 1.0 - (i - first) as f64 / faded;
            if left > 0.0 { FADED * left } else { 0.0 }
        };
        let tones = if light.is_empty() { &[][..] } else { &TONES };
        for &(edge, above, paint, opacity) in tones {
            let sign = if above { 1.0 } else { -1.0 };
            let value = |i: usize| {
                let (light, facing) = (sign * (light[i] - edge) - dim(i), facing[i]);
                if light < facing { light } else { facing }
            };
            tracer.trace(rings.clone(), skin.sides, value, tone);
            if !tone.is_empty() {
                let segs = tone.path(|i| seen.at[i]);
                sheet.push(tint(segs, paint, opacity));
            }
        }
        for mark in &piece.marks {
            ink::mark(sheet, skin, mark);
        }
        let ink = ink::contours(sheet, silhouette, seen, skin);
        if !ink.is_empty() {
            sheet.push(Shape::filled(Layer::Bone, ink, Paint::Ink, None));
        }
        if end > 0.0 {
            let ring = piece.fades * skin.sides;
            let points = seen.at[ring..ring + skin.sides].iter();
            let mut segs = polyline(points.map(|p| (p.0, p.1)));
            segs.push(Seg::Close);
            sheet.push(tint(segs.clone(), fill, end));
            let edge = sheet.stroke(Paint::Ink, 1.2).faint(0.7 * end);
            sheet.push(Shape::Path {
                layer: Layer::Bone,
                segs,
                fill: Some(Paint::Shade),
                fill_opacity: 0.1 * end,
                stroke: Some(edge),
            });
        }
    }
}

/// How far the end of what fades out is turned to the eye, 0 to 1: then it is seen as if cut.
fn cut(sheet: &Sheet, skin: &Skin, piece: &Piece) -> f64 {
    if piece.fades == 0 {
        return 0.0;
    }
    let middle = |ring: usize| {
        let ring = ring * skin.sides;
        (skin.at[ring] + skin.at[ring + skin.sides / 2]) * 0.5
    };
    let out = (middle(0) - middle(piece.fades)).try_normalize(1e-9);
    out.map_or(0.0, |out| ease((out.dot(&sheet.axes[2]) - 0.35) / 0.25))
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
