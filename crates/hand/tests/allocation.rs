//! Measuring a cell, or how deep flesh is in flesh, allocates nothing: a global allocator that counts, in a process of its own.
// Counting needs an allocator, and an allocator is unsafe by its trait.
#![allow(unsafe_code)]
use hand::flesh::{Flesh, Overlaps};
use hand::survey::{Progress, Sweep};
use hand::{SCENARIOS, document, press_dials, scenario};
use rig::Posed;
use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

struct Counting;

thread_local! {
    // By thread: the test harness allocates on its own.
    static CALLS: Cell<usize> = const { Cell::new(0) };
}

unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        CALLS.set(CALLS.get() + 1);
        unsafe { System.alloc(layout) }
    }
    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        CALLS.set(CALLS.get() + 1);
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

#[test]
fn a_survey_allocates_nothing_by_the_cell() {
    for name in SCENARIOS {
        let posed = Posed::new(&document(&scenario(name).unwrap()).unwrap()).unwrap();
        let flesh = Flesh::of(posed.rig());
        let before = CALLS.get();
        let clear = flesh.clearances(&posed);
        assert_eq!(CALLS.get(), before, "{name}");
        assert!(clear.pad.is_some());
        let overlaps = Overlaps::of(posed.rig());
        let before = CALLS.get();
        let _ = overlaps.deepest(&posed);
        assert_eq!(CALLS.get(), before, "{name}");
        let sweep = |at: usize| {
            let dial = press_dials(posed.rig())[at];
            Sweep {
                dial,
                from: -5.0,
                to: 5.0,
                count: 9,
            }
        };
        let (across, up) = (sweep(0), sweep(2));
        let mut progress = Progress::new(&posed, across, up).unwrap();
        let before = CALLS.get();
        assert!(progress.step(usize::MAX));
        assert_eq!(CALLS.get(), before, "{name}");
        assert_eq!(progress.measured(), 81);
    }
}
