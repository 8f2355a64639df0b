//! Small things asked of the browser.
use leptos::prelude::*;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use workbook::file_name::stem;

/// Whether a query of the styles' kind holds now.
pub fn media_matches(query: &str) -> bool {
    let asked = window().match_media(query);
    asked.ok().flatten().is_some_and(|m| m.matches())
}

/// Time since the page was loaded, ms.
pub fn now() -> f64 {
    window().performance().map_or(0.0, |p| p.now())
}

/// Sends the reader to another address.
pub fn go_to(link: &str) {
    let _ = window().location().set_hash(link);
}

/// A file beside the page, as text. The error is a clause for a notice.
pub async fn fetch_text(path: &str) -> Result<String, String> {
    let failed = |_| format!("{path} could not be reached");
    let response: web_sys::Response = JsFuture::from(window().fetch_with_str(path))
        .await
        .map_err(failed)?
        .dyn_into()
        .map_err(failed)?;
    if !response.ok() {
        return Err(format!(
            "{path} could not be reached (status {})",
            response.status()
        ));
    }
    let text = JsFuture::from(response.text().map_err(failed)?)
        .await
        .map_err(failed)?;
    text.as_string()
        .ok_or_else(|| format!("{path} is not text"))
}

/// Hands a text to the reader as a document's file to save.
pub fn save_file(name: &str, text: &str) -> Result<(), JsValue> {
    let parts = js_sys::Array::of1(&text.into());
    let blob = web_sys::Blob::new_with_str_sequence(&parts)?;
    let url = web_sys::Url::create_object_url_with_blob(&blob)?;
    let link: web_sys::HtmlAnchorElement = document().create_element("a")?.unchecked_into();
    link.set_href(&url);
    link.set_download(&format!("{}.hand.json", stem(name)));
    link.click();
    let _ = web_sys::Url::revoke_object_url(&url);
    Ok(())
}

/// While a pointer is down on what an event is for, all its moves come there too.
pub fn capture(event: &web_sys::PointerEvent) {
    let element: web_sys::Element = event_target(event);
    let _ = element.set_pointer_capture(event.pointer_id());
}
