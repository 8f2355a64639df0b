//! Flesh and surfaces: soft where they touch, shade where they are near.
use super::making::Flesh;
use super::outline::{Outlines, Px, Tracer};
use super::skin::Skin;
use crate::sheet::Sheet;
use crate::{Layer, Paint, Shape};
use rig::{Form, Surface, Vec3};

/// Soft flesh gives by up to this on a surface, mm.
const SOFT: f64 = 3.0;

/// Nearer than this, mm, so much shade; spread by so much, mm.
const NEAR: [(f64, f64, f64); 3] = [(11.0, 0.10, 3.0), (4.5, 0.13, 1.8), (0.9, 0.22, 0.8)];

/// Whether any of a skin may lie within `near` of a surface.
fn may_reach(skin: &Skin, surface: &Surface, near: f64) -> bool {
    let middle = skin.at.iter().sum::<Vec3>() / skin.at.len().max(1) as f64;
    let reach = skin
        .at
        .iter()
        .map(|p| (p - middle).norm_squared())
        .fold(0.0, f64::max);
    surface.distance(&middle) - near < reach.sqrt()
}

/// Distance of a point from a surface and the direction off it.
fn off(surface: &Surface) -> impl Fn(&Vec3) -> (f64, Vec3) {
    // A plane's are quick to find.
    let up = surface.frame.rotation * Vec3::y();
    let height = up.dot(&surface.frame.translation.vector);
    move |p| match surface.form {
        Form::Plane => (up.dot(p) - height, up),
        _ => (surface.distance(p), surface.normal(p)),
    }
}

/// Flattens what reaches into a surface.
pub(super) fn press(skin: &mut Skin, surface: &Surface) {
    // Looking at every point of a plane's is as quick as asking.
    if surface.form != Form::Plane && !may_reach(skin, surface, 0.0) {
        return;
    }
    let off = off(surface);
    for (point, normal) in skin.at.iter_mut().zip(&skin.normal) {
        let (gap, off) = off(point);
        if gap < 0.0 && off.dot(normal) < 0.0 {
            *point += off * if gap > -SOFT { -gap } else { SOFT };
        }
    }
}

/// Flesh shades the surface along the surface's own normal, the darker the nearer it is.
pub(crate) fn touch(sheet: &mut Sheet, flesh: &Flesh, surface: &Surface) {
    let far = NEAR[0].0;
    let off = off(surface);
    let (mut tracer, mut under) = (Tracer::default(), Outlines::default());
    for skin in flesh.skins.iter().filter(|s| may_reach(s, surface, far)) {
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
        for (near, opacity, spread) in NEAR.into_iter().filter(|n| least < n.0) {
            let value = |i: usize| {
                let (gap, down) = gaps[i - first];
                let gap = near - gap;
                if gap < down { gap } else { down }
            };
            tracer.trace(rings.clone(), skin.sides, value, &mut under);
            if under.is_empty() {
                continue;
            }
            // The foot in the picture with its outward step.
            let foot = |i: usize| {
                let (gap, off) = off(&skin.at[i]);
                let up = off.dot(&skin.normal[i]);
                let foot = sheet.at(&(skin.at[i] - off * gap));
                let aside = sheet.step(&(skin.normal[i] - off * up));
                Px(foot.0 + spread * aside.0, foot.1 + spread * aside.1)
            };
            let segs = under.path(foot);
            let stroke = sheet.stroke(Paint::Shade, 1.5).faint(opacity);
            sheet.push(Shape::Path {
                layer: Layer::Bench,
                segs,
                fill: Some(Paint::Shade),
                fill_opacity: opacity,
                // On a surface seen edge on this is all that shows.
                stroke: Some(stroke),
            });
        }
    }
}
