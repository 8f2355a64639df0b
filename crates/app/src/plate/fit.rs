//! Framing: the whole figure, in what the mobile and the switches leave of the plate.
use crate::state::Session;
use figure::Sight;
use leptos::prelude::*;
use workbook::scene::{Frame, extent};

/// Brings the whole figure into sight.
pub fn fit_now(session: Session) {
    let camera = session.camera;
    let (sight, size) = camera.view.with_untracked(|v| (v.sight, v.size));
    camera.framed.set(false);
    untrack(|| fit(session, sight, size));
}

pub fn fit(session: Session, sight: Sight, size: (f64, f64)) {
    let Session { stage, camera, .. } = session;
    camera.text.set(text());
    let plate = camera.plate(size);
    let step = session.course.step_now();
    let fitted = stage.with(|stage| {
        let points = extent(stage.posed(), step.as_deref());
        let frame = || Frame::of(stage.document());
        (!points.is_empty()).then(|| frame().fit(sight, plate, &points))
    });
    match fitted {
        None => camera.view.update(|v| v.size = size),
        Some(fitted) if camera.view.with_untracked(|v| *v != fitted) => camera.view.set(fitted),
        Some(_) => {}
    }
}

/// How large texts are set, of the 16 px that places are reckoned in.
fn text() -> f64 {
    let root = document().document_element();
    let style = root.and_then(|root| window().get_computed_style(&root).ok().flatten());
    let size = style.and_then(|style| style.get_property_value("font-size").ok());
    let px = size.map_or(f64::NAN, |size| js_sys::parse_float(&size));
    if px > 0.0 { px / 16.0 } else { 1.0 }
}
