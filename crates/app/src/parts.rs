//! Parts of the module that are fetched when first wanted.
//!
//! What only some pages need is not loaded with the first. `xtask` takes the module apart at the
//! functions marked here; each gives the table of a part's entries, so that who has the table
//! calls them like any function. A part that could not be fetched is asked for again by a button.

// A function that comes with a part is foreign to the compiler.
#![allow(unsafe_code)]

use leptos::prelude::*;
use leptos::wasm_split::{SplitLoaderError, wasm_split};
use std::future::Future;
use wasm_bindgen_futures::spawn_local;

/// What only the hand page, and lessons that survey, need.
#[derive(Clone, Copy)]
pub struct Hand {
    pub page: fn() -> AnyView,
    pub desk: fn() -> AnyView,
    pub axis_handles: fn() -> AnyView,
    pub contact_map: fn() -> AnyView,
}

#[wasm_split(hand, wasm_split_path = ::leptos::wasm_split, fallible)]
fn load_hand() -> Result<Hand, SplitLoaderError> {
    use crate::hand::{AxisHandles, ContactMap, HandDesk, HandPage};
    Ok(Hand {
        page: || view! { <HandPage/> }.into_any(),
        desk: || view! { <HandDesk/> }.into_any(),
        axis_handles: || view! { <AxisHandles/> }.into_any(),
        contact_map: || view! { <ContactMap/> }.into_any(),
    })
}

/// What only the sketch page needs.
#[derive(Clone, Copy)]
pub struct Sketch {
    pub tools: fn() -> AnyView,
    pub add_at: fn(crate::session::Session, rig::Vec3),
}

#[wasm_split(sketch, wasm_split_path = ::leptos::wasm_split, fallible)]
fn load_sketch() -> Result<Sketch, SplitLoaderError> {
    use crate::sketch::{SketchTools, add_at};
    Ok(Sketch {
        tools: || view! { <SketchTools/> }.into_any(),
        add_at,
    })
}

/// Where a part is.
#[derive(Clone, Copy)]
enum Place<T> {
    /// Nobody wanted it yet.
    Afar,
    Coming,
    Here(T),
    Lost,
}

/// A part of the module, as far as it is here.
pub struct Part<T: Send + Sync + 'static> {
    place: RwSignal<Place<T>>,
    load: fn(Part<T>),
}

impl<T: Send + Sync> Copy for Part<T> {}
impl<T: Send + Sync> Clone for Part<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T: Copy + Send + Sync> Part<T> {
    fn new(load: fn(Part<T>)) -> Self {
        let place = RwSignal::new(Place::Afar);
        Self { place, load }
    }

    /// Asks for the part, if it is not here and not on its way.
    pub fn want(self) {
        if matches!(self.place.get_untracked(), Place::Afar | Place::Lost) {
            self.place.set(Place::Coming);
            (self.load)(self);
        }
    }

    fn come(self, coming: impl Future<Output = Result<T, SplitLoaderError>> + 'static) {
        spawn_local(async move {
            self.place
                .set(coming.await.map_or(Place::Lost, Place::Here));
        });
    }

    /// The part's table, once it is here.
    pub fn here(self) -> Option<T> {
        match self.place.get() {
            Place::Here(table) => Some(table),
            _ => None,
        }
    }

    /// What an entry of the part shows, from when it is here.
    pub fn show(self, entry: fn(T) -> AnyView) -> impl IntoView {
        self.want();
        move || match self.place.get() {
            Place::Here(table) => entry(table),
            Place::Afar | Place::Coming => ().into_any(),
            Place::Lost => view! {
                <p role="alert">
                    "This part of Handstand could not be fetched. "
                    <button on:click=move |_| self.want()>"Try again"</button>
                </p>
            }
            .into_any(),
        }
    }
}

/// All parts.
#[derive(Clone, Copy)]
pub struct Parts {
    pub hand: Part<Hand>,
    pub sketch: Part<Sketch>,
}

impl Parts {
    pub fn new() -> Self {
        Self {
            hand: Part::new(|part| part.come(load_hand())),
            sketch: Part::new(|part| part.come(load_sketch())),
        }
    }
}
