//! Framing: the whole figure, in what the mobile and the switches leave of the plate.
use crate::state::Session;
use figure::Sight;
use leptos::prelude::*;
use workbook::scene::{Frame, extent_in};

/// Brings the whole figure into sight.
pub fn fit_now(session: Session) {
    let camera = session.camera;
    let (sight, size) = camera.view.with_untracked(|v| (v.sight, v.size));
    camera.framed.set(false);
    untrack(|| fit(session, sight, size));
}

pub fn fit(session: Session, sight: Sight, size: (f64, f64)) {
    let Session { stage, camera, .. } = session;
    let step = session.course.step_now();
    let fitted = stage.with(|stage| {
        let points = extent_in(stage.posed(), step.as_deref());
        let frame = || Frame::of(stage.document());
        (!points.is_empty()).then(|| frame().fit(sight, size, &points))
    });
    match fitted {
        None => camera.view.update(|v| v.size = size),
        Some(fitted) if camera.view.with_untracked(|v| *v != fitted) => camera.view.set(fitted),
        Some(_) => {}
    }
}
