//! How long a frame's work takes, for the browser benchmark; off unless the address asks with `?measure`.
use leptos::prelude::window;
use std::cell::Cell;

const START: &str = "frame-start";

thread_local! {
    static WANTED: bool = window().location().search().is_ok_and(|s| s.contains("measure"));
    static RUNNING: Cell<bool> = const { Cell::new(false) };
}

/// The first event of a frame arrived. Pointer events come just before the frame's painting.
pub fn begin() {
    if WANTED.with(|w| *w)
        && !RUNNING.replace(true)
        && let Some(performance) = window().performance()
    {
        let _ = performance.mark(START);
    }
}

/// The frame is painted.
pub fn end() {
    if RUNNING.replace(false)
        && let Some(performance) = window().performance()
    {
        let _ = performance.measure_with_start_mark("frame", START);
    }
}

/// Does something and records under a name how long it took.
pub fn timed<T>(name: &str, work: impl FnOnce() -> T) -> T {
    let performance = WANTED
        .with(|w| *w)
        .then(|| window().performance())
        .flatten();
    let start = format!("{name}-start");
    if let Some(performance) = &performance {
        let _ = performance.mark(&start);
    }
    let done = work();
    if let Some(performance) = &performance {
        let _ = performance.measure_with_start_mark(name, &start);
    }
    done
}
