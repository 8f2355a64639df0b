//! Shapes as a picture of their own, not on the page.
use super::paint::Painter;
use figure::{Look, Paint, Shape};
use leptos::prelude::document;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement};

/// Pixels of the picture to one of the page: sharp when it is printed or enlarged.
const FINER: f64 = 2.0;

/// A PNG on the look's ground; none where the browser makes none.
pub async fn painted(shapes: &[Shape], size: (f64, f64), look: Look) -> Option<JsValue> {
    let blank = || -> Option<HtmlCanvasElement> {
        let made = document().create_element("canvas").ok()?;
        made.dyn_into().ok()
    };
    let figure = blank()?;
    Painter::new(figure.clone())?.paint(shapes, size, FINER, look);
    let picture = blank()?;
    picture.set_width(figure.width());
    picture.set_height(figure.height());
    let context = picture.get_context("2d").ok()??;
    let context: CanvasRenderingContext2d = context.dyn_into().ok()?;
    context.set_fill_style_str(look.colour(Paint::Ground));
    let (width, height) = (f64::from(figure.width()), f64::from(figure.height()));
    context.fill_rect(0.0, 0.0, width, height);
    context
        .draw_image_with_html_canvas_element(&figure, 0.0, 0.0)
        .ok()?;
    let made = js_sys::Promise::new(&mut |done, failed| {
        let told = Closure::once_into_js(move |blob: JsValue| {
            let _ = done.call1(&JsValue::NULL, &blob);
        });
        if picture.to_blob(told.unchecked_ref()).is_err() {
            let _ = failed.call0(&JsValue::NULL);
        }
    });
    let blob = JsFuture::from(made).await.ok()?;
    blob.is_instance_of::<web_sys::Blob>().then_some(blob)
}
