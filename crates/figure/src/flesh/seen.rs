//! Skin as it is seen: where it is in the picture, and how it is turned to the eye and to the light.
use super::outline::Px;
use super::skin::Skin;
use crate::sheet::Sheet;
use crate::{Layer, Paint, Seg, Shape, View};
use rig::Vec3;

/// From the upper left of the picture and from before it; right, up, towards the eye.
const LIGHT: [f64; 3] = [-0.48, 0.68, 0.555];

/// A skin as it is seen.
pub(super) struct Seen {
    pub at: Vec<Px>,
    /// Towards the eye: 1, edge on: 0.
    pub facing: Vec<f64>,
    /// Empty where the skin has no tones.
    pub light: Vec<f64>,
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

/// A part of flesh.
pub(super) fn tint(segs: Vec<Seg>, paint: Paint, opacity: f64) -> Shape {
    Shape::Path {
        layer: Layer::Bone,
        segs,
        fill: Some(paint),
        fill_opacity: opacity,
        stroke: None,
    }
}
