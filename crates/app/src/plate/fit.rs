//! Framing: the whole figure, in what the mobile and the switches leave of the plate.
use crate::state::{Camera, OnStage};
use figure::Sight;
use leptos::prelude::*;
use workbook::scene::{Frame, extent};

/// Brings the whole figure into sight.
pub fn fit_now(stage: OnStage, camera: Camera) {
    let (sight, size) = camera.view.with_untracked(|v| (v.sight, v.size));
    camera.framed.set(false);
    untrack(|| fit(stage, camera, sight, size));
}

pub fn fit(stage: OnStage, camera: Camera, sight: Sight, size: (f64, f64)) {
    let fitted = stage.with(|stage| {
        let points = extent(stage.posed());
        let frame = || Frame::of(stage.document());
        (!points.is_empty()).then(|| frame().fit(sight, size, &points))
    });
    match fitted {
        None => camera.view.update(|v| v.size = size),
        Some(fitted) if camera.view.with_untracked(|v| *v != fitted) => camera.view.set(fitted),
        Some(_) => {}
    }
}
