//! What need not be asked or worked out in every frame of a drag.
use crate::browser::now;
use crate::state::OnStage;
use leptos::prelude::*;
use std::time::Duration;

/// Between one asking and the next, ms: each is some thousand poses for the worker, and begun
/// anew with the next.
const PAUSE: f64 = 120.0;

/// A hand that has stood for so long rests, ms.
const REST: Duration = Duration::from_millis(150);

/// Another number each time the figure has come to rest after a change: for what takes longer than
/// a frame.
pub fn rested(stage: OnStage) -> Signal<u32> {
    let (changes, at_rest) = (StoredValue::new(0_u32), RwSignal::new(0));
    Effect::new(move || {
        stage.track();
        changes.update_value(|count| *count += 1);
        let then = changes.get_value();
        set_timeout(
            move || {
                if changes.try_get_value() == Some(then) {
                    let _ = at_rest.try_set(then);
                }
            },
            REST,
        );
    });
    at_rest.into()
}

/// For the component that makes it; after that is gone nothing is asked any more.
#[derive(Clone, Copy)]
pub struct Pace(StoredValue<Beat>);

#[derive(Clone, Copy, Default)]
struct Beat {
    last: f64,
    waits: bool,
}

impl Pace {
    pub fn new() -> Self {
        Self(StoredValue::new(Beat {
            last: f64::NEG_INFINITY,
            waits: false,
        }))
    }

    /// Asks at once, or when the pause is over; one that waits stands for all that come meanwhile,
    /// so it must look at things as they are by then.
    pub fn run(self, ask: impl FnOnce() + 'static) {
        let (now, beat) = (now(), self.0.get_value());
        let left = beat.last + PAUSE - now;
        if beat.waits {
            return;
        }
        if left <= 0.0 {
            self.0.update_value(|beat| beat.last = now);
            return ask();
        }
        self.0.update_value(|beat| beat.waits = true);
        set_timeout(
            move || {
                let last = crate::browser::now();
                let there = self.0.try_set_value(Beat { last, waits: false });
                if there.is_none() {
                    ask();
                }
            },
            Duration::from_millis(left as u64 + 1),
        );
    }
}
