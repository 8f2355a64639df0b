//! Painting on a canvas, at most once a frame however many signals change.
use super::paint::Painter;
use figure::{Look, Shape};
use leptos::html::{Canvas, Div};
use leptos::prelude::*;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// Shapes, the canvas's size in CSS px, and the look.
pub type Drawing = (Vec<Shape>, (f64, f64), Look);

/// Paints `drawing` whenever what it reads has changed, then calls `painted`.
pub fn paint_on(
    canvas: NodeRef<Canvas>,
    drawing: impl Fn() -> Option<Drawing> + 'static,
    painted: impl Fn() + 'static,
) {
    let painter: Rc<RefCell<Option<Painter>>> = Rc::default();
    // Full from when a frame is asked for until it comes.
    let waiting: Rc<Cell<Option<Drawing>>> = Rc::default();
    let painted = Rc::new(painted);
    Effect::new(move || {
        let (Some(drawing), Some(element)) = (drawing(), canvas.get()) else {
            return;
        };
        if waiting.replace(Some(drawing)).is_some() {
            return;
        }
        let (painter, waiting, painted) = (painter.clone(), waiting.clone(), painted.clone());
        request_animation_frame(move || {
            let Some((shapes, size, look)) = waiting.take() else {
                return;
            };
            let mut painter = painter.borrow_mut();
            if painter.is_none() {
                *painter = Painter::new(element);
            }
            if let Some(painter) = painter.as_mut() {
                painter.paint(&shapes, size, window().device_pixel_ratio(), look);
            }
            painted();
        });
    });
}

/// Keeps `size` at what the element measures, CSS px.
pub fn watch_size(frame: NodeRef<Div>, size: RwSignal<(f64, f64)>) {
    Effect::new(move || {
        let Some(element) = frame.get() else { return };
        let target = element.clone();
        let measure = Closure::<dyn FnMut()>::new(move || {
            size.set((
                f64::from(target.client_width()),
                f64::from(target.client_height()),
            ));
        });
        if let Ok(observer) = web_sys::ResizeObserver::new(measure.as_ref().unchecked_ref()) {
            observer.observe(&element);
            // The element lives about as long as the page, and so does its observer.
            measure.forget();
        }
    });
}
