//! How near flesh and a surface are.
use super::skin::Skin;
use rig::{Form, Surface, Vec3};

/// Whether any of a skin may lie within `near` of a surface.
pub(super) fn may_reach(skin: &Skin, surface: &Surface, near: f64) -> bool {
    let middle = skin.at.iter().sum::<Vec3>() / skin.at.len().max(1) as f64;
    let reach = skin
        .at
        .iter()
        .map(|p| (p - middle).norm_squared())
        .fold(0.0, f64::max);
    surface.distance(&middle) - near < reach.sqrt()
}

/// Distance of a point from a surface and the direction off it.
pub(super) fn off(surface: &Surface) -> impl Fn(&Vec3) -> (f64, Vec3) {
    // A plane's are quick to find.
    let up = surface.frame.rotation * Vec3::y();
    let height = up.dot(&surface.frame.translation.vector);
    move |p| match surface.form {
        Form::Plane => (up.dot(p) - height, up),
        _ => (surface.distance(p), surface.normal(p)),
    }
}
