//! Handles over a canvas, and the arrow keys that move them.
use web_sys::KeyboardEvent;

/// Right and up of an arrow key, which then does nothing else.
pub fn arrow(e: &KeyboardEvent) -> Option<(f64, f64)> {
    let direction = match e.key().as_str() {
        "ArrowLeft" => (-1.0, 0.0),
        "ArrowRight" => (1.0, 0.0),
        "ArrowUp" => (0.0, 1.0),
        "ArrowDown" => (0.0, -1.0),
        _ => return None,
    };
    e.prevent_default();
    Some(direction)
}

/// A handle's place as a CSS transform: moving by it costs no layout.
pub fn transform(x: f64, y: f64) -> String {
    format!("translate({x:.1}px,{y:.1}px)")
}
