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

/// The address behind `#`, with it.
pub fn address() -> String {
    window().location().hash().unwrap_or_default()
}

/// Writes the address as it is meant, without another entry in the history.
pub fn correct_to(link: &str) {
    let history = window().history();
    let _ = history.and_then(|h| h.replace_state_with_url(&JsValue::NULL, "", Some(link)));
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

/// Hands a text or a blob to the reader as a file to save, with this ending.
pub fn save_file(name: &str, ending: &str, what: &JsValue) -> Result<(), JsValue> {
    let parts = js_sys::Array::of1(what);
    let blob = web_sys::Blob::new_with_blob_sequence(&parts)?;
    let url = web_sys::Url::create_object_url_with_blob(&blob)?;
    let link: web_sys::HtmlAnchorElement = document().create_element("a")?.unchecked_into();
    link.set_href(&url);
    link.set_download(&format!("{}.{ending}", stem(name)));
    link.click();
    let _ = web_sys::Url::revoke_object_url(&url);
    Ok(())
}

/// While a pointer is down on what an event is for, all its moves come there too.
pub fn capture(event: &web_sys::PointerEvent) {
    let element: web_sys::Element = event_target(event);
    let _ = element.set_pointer_capture(event.pointer_id());
}

/// Whether keys go into what has the focus as text.
pub fn typing_in(target: &web_sys::Element) -> bool {
    let input = target.dyn_ref::<web_sys::HtmlInputElement>();
    input.is_some_and(|input| matches!(input.type_().as_str(), "text" | "number"))
        || target.matches("select, textarea").unwrap_or(false)
}
