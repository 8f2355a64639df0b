//! Framing: the whole figure, in what the mobile and the switches leave of the plate.
use super::lineage::{Room, room_of};
use crate::scene::extent;
use crate::state::{Camera, OnStage};
use figure::{Sight, View};
use leptos::prelude::*;

/// Brings the whole figure into sight.
pub fn fit_now(stage: OnStage, camera: Camera) {
    let (sight, size) = camera.view.with_untracked(|v| (v.sight, v.size));
    camera.framed.set(false);
    untrack(|| fit(stage, camera, sight, size));
}

/// Kept free at the plate's foot for its switches, px; more where a hand's slips are written.
const FOOT: f64 = 48.0;
const FOOT_HAND: f64 = 92.0;
/// Pixels per mm at most when framing.
const MOST_SCALE: f64 = 3.2;

pub fn fit(stage: OnStage, camera: Camera, sight: Sight, size: (f64, f64)) {
    let points = stage.with(|h| extent(h.posed()));
    if points.is_empty() {
        camera.view.update(|v| v.size = size);
        return;
    }
    // On wide plates the mobile hangs from the top edge; the figure goes below it, and a hand
    // beside its controls.
    let mobile = if size.0 < 600.0 {
        Room {
            top: 40.0,
            left: 0.0,
        }
    } else {
        stage.with(|h| room_of(h.document()))
    };
    let (hangs, aside) = (mobile.top.min(size.1 * 0.36), mobile.left.min(size.0 * 0.3));
    let margin = (size.0.min(size.1) * 0.09).clamp(18.0, 60.0);
    let whole_hand = stage.with(|h| h.document().hand.is_some());
    let foot = if whole_hand && size.0 >= 600.0 {
        FOOT_HAND
    } else {
        FOOT
    };
    let free = (size.0 - aside, size.1 - hangs - foot);
    let mut fitted = View::fit(sight, free, &points, margin);
    // A short chain on a wide plate is not blown up: drawn strokes keep their proportions.
    fitted.scale = fitted.scale.min(MOST_SCALE);
    fitted.size = size;
    let [right, up, _] = fitted.axes();
    fitted.centre += (up * ((hangs - foot) / 2.0) - right * (aside / 2.0)) / fitted.scale;
    if camera.view.with_untracked(|v| *v != fitted) {
        camera.view.set(fitted);
    }
}
