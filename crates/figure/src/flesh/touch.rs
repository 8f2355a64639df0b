//! The shade of flesh on what it is near.
use super::making::Flesh;
use super::near::{may_reach, off};
use super::outline::{Outlines, Px, Tracer};
use super::press::RESTS;
use super::skin::Skin;
use crate::path::polyline;
use crate::sheet::Sheet;
use crate::{Layer, Paint, Seg, Shape};
use rig::few;
use rig::{Form, Surface, Vec3};

/// How a surface is shaded under flesh that is nearer than `near`, mm: each step adds to those
/// before. None is dark enough to show as a band.
struct Step {
    near: f64,
    opacity: f64,
    /// How far it reaches beyond the flesh, mm.
    spread: f64,
    /// Only under what bears.
    bears: bool,
}

const fn step(near: f64, opacity: f64, spread: f64) -> Step {
    Step {
        near,
        opacity,
        spread,
        bears: false,
    }
}

/// Soft and wide under what hovers, dark and tight under what bears, none under what is more than
/// 11 mm off.
const STEPS: [Step; 7] = [
    step(11.0, 0.035, 3.0),
    step(8.0, 0.04, 2.6),
    step(5.5, 0.045, 2.2),
    step(3.2, 0.055, 1.6),
    step(1.4, 0.08, 1.0),
    step(0.5, 0.12, 0.6),
    Step {
        near: 0.2,
        opacity: 0.16,
        spread: 0.5,
        bears: true,
    },
];
/// Shade lies off what hovers, away from the light, by this part of where a lamp would cast it.
const CAST: f64 = 0.35;
/// Seen at less than this sine a surface shows its edge.
const EDGE_ON: f64 = 0.02;

/// Flesh shades the surface along the surface's own normal, the darker the nearer it is. Each
/// step is one shape, so that what two fingers shade is not twice as dark.
pub(crate) fn touch(sheet: &mut Sheet, flesh: &Flesh, surface: &Surface, light: &Vec3) {
    let off = off(surface);
    let mut shades: [Vec<Seg>; STEPS.len()] = [const { Vec::new() }; STEPS.len()];
    let (mut tracer, mut under) = (Tracer::default(), Outlines::default());
    let near = |skin: &&Skin| may_reach(skin, surface, STEPS[0].near);
    for skin in flesh.skins.iter().filter(near) {
        let rings = skin.touches..skin.rings();
        let first = rings.start * skin.sides;
        // How far off, and how much turned down.
        let mut gaps = Vec::with_capacity(skin.at.len() - first);
        for (point, normal) in skin.at.iter().zip(&skin.normal).skip(first) {
            let (gap, off) = off(point);
            let up = off.dot(normal);
            // What is on the far side of a bar is out of sight; a sheet is thin.
            let sight = match surface.form {
                Form::Plane => f64::INFINITY,
                _ => 12.0 * sheet.axes[2].dot(&off) + 1.0,
            };
            let down = 12.0 * (0.35 - up);
            gaps.push((gap, if down < sight { down } else { sight }));
        }
        let least = gaps.iter().map(|g| g.0).fold(f64::INFINITY, f64::min);
        for (step, shade) in STEPS.iter().zip(&mut shades) {
            if least >= step.near || (step.bears && skin.bears <= RESTS) {
                continue;
            }
            let value = |i: usize| {
                let (gap, down) = gaps[i - first];
                let gap = step.near - gap;
                if gap < down { gap } else { down }
            };
            tracer.trace(rings.clone(), skin.sides, value, &mut under);
            // The foot in the picture with its outward step, and away from the light.
            let foot = |i: usize| {
                let (gap, off) = off(&skin.at[i]);
                let up = off.dot(&skin.normal[i]);
                let lit = off.dot(light);
                let cast = (off * lit - light) * (CAST / lit.max(CAST));
                let out = (skin.normal[i] - off * up) * step.spread + cast * gap.max(0.0);
                let (x, y) = sheet.at(&(skin.at[i] - off * gap + out));
                Px(x, y)
            };
            let mut segs = under.path(foot);
            turn(&mut segs);
            shade.extend(segs);
        }
    }
    let up = surface.frame.rotation * Vec3::y();
    let edge_on = surface.form == Form::Plane && up.dot(&sheet.axes[2]).abs() < EDGE_ON;
    for (step, segs) in STEPS
        .iter()
        .zip(shades)
        .filter(|(_, segs)| !segs.is_empty())
    {
        let segs = if edge_on {
            below(sheet, surface, &segs)
        } else {
            segs
        };
        sheet.push(Shape::Path {
            layer: Layer::Bench,
            segs,
            fill: Some(Paint::Shade),
            fill_opacity: step.opacity,
            stroke: None,
        });
    }
}

/// Closed outlines as lists of points.
fn outlines(segs: &[Seg]) -> Vec<Vec<(f64, f64)>> {
    let mut all = Vec::new();
    for seg in segs {
        match *seg {
            Seg::Move(x, y) => all.push(vec![(x, y)]),
            Seg::Line(x, y) => {
                if let Some(outline) = all.last_mut() {
                    outline.push((x, y));
                }
            }
            _ => {}
        }
    }
    all
}

/// Turns outlines so that together they go clockwise on screen: where those of two skins overlap
/// neither takes away from the other.
fn turn(segs: &mut Vec<Seg>) {
    let all = outlines(segs);
    let mut twice = 0.0;
    for outline in &all {
        let mut before = outline[outline.len() - 1];
        for &here in outline {
            twice += before.0 * here.1 - here.0 * before.1;
            before = here;
        }
    }
    if twice < 0.0 {
        segs.clear();
        for mut outline in all {
            outline.reverse();
            segs.extend(polyline(outline));
            segs.push(Seg::Close);
        }
    }
}

/// What is shaded of a surface that shows only its edge: under each stretch a lens, so deep in
/// px at weight 1, and as a part of its length.
const LENS: (f64, f64) = (6.0, 0.12);

fn below(sheet: &Sheet, surface: &Surface, segs: &[Seg]) -> Vec<Seg> {
    let origin = sheet.at(&surface.frame.translation.vector);
    let off = sheet.step(&(surface.frame.rotation * Vec3::y()));
    let long = libm::hypot(off.0, off.1);
    let into = (-off.0 / long, -off.1 / long);
    let along = (into.1, -into.0);
    let at = |s: f64, d: f64| {
        (
            origin.0 + along.0 * s + into.0 * d,
            origin.1 + along.1 * s + into.1 * d,
        )
    };
    let mut spans: Vec<(f64, f64)> = outlines(segs)
        .iter()
        .map(|outline| {
            let s = |p: &(f64, f64)| (p.0 - origin.0) * along.0 + (p.1 - origin.1) * along.1;
            let least = outline.iter().map(s).fold(f64::INFINITY, f64::min);
            let most = outline.iter().map(s).fold(f64::NEG_INFINITY, f64::max);
            (least, most)
        })
        .collect();
    few::sort(&mut spans, |a, b| a.0.total_cmp(&b.0));
    let mut apart: Vec<(f64, f64)> = Vec::new();
    for span in spans {
        match apart.last_mut() {
            Some(last) if span.0 <= last.1 => last.1 = last.1.max(span.1),
            _ => apart.push(span),
        }
    }
    let mut lenses = Vec::new();
    for (least, most) in apart {
        let span = most - least;
        let deep = (LENS.0 * sheet.weight).min(LENS.1 * span);
        // A cubic whose arms are this deep comes three quarters as far down.
        let (a, b) = (
            at(least + 0.1 * span, deep / 0.75),
            at(most - 0.1 * span, deep / 0.75),
        );
        let (from, to) = (at(least, 0.0), at(most, 0.0));
        lenses.push(Seg::Move(from.0, from.1));
        lenses.push(Seg::Cubic(a.0, a.1, b.0, b.1, to.0, to.1));
        lenses.push(Seg::Close);
    }
    lenses
}
