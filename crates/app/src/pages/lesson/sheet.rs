//! The page as a sheet, which it is on a phone only, and how it is scrolled.
use crate::browser::media_matches;
use leptos::prelude::*;

/// Whether the page is drawn up over the plate; it is a sheet on a phone only.
#[derive(Clone, Copy)]
pub struct Sheet(pub RwSignal<bool>);

pub fn on_phone() -> bool {
    // The styles' own breakpoint.
    media_matches("(max-width: 760px), (max-height: 500px)")
}

/// Scrolls the page so that an element is at its top. Not `scrollIntoView`: after that some browsers
/// begin at the element when Tab is first pressed, past the link that leads over all this.
pub fn scroll_to(element: &web_sys::Element) {
    // On a phone the sheet's text scrolls under its handle.
    let scrolls = if on_phone() { ".page-text" } else { ".page" };
    if let Ok(Some(page)) = element.closest(scrolls) {
        let top = |e: &web_sys::Element| e.get_bounding_client_rect().top();
        page.set_scroll_top(page.scroll_top() + (top(element) - top(&page)) as i32);
    }
}
