//! The parts of the module that are fetched when first wanted: what the hand page needs, what the
//! sketch page needs, and what explains.
//!
//! `xtask` takes the module apart at the functions marked here; each gives the table of a part's
//! entries, so that who has the table calls them like any function.

// A function that comes with a part is foreign to the compiler.
#![allow(unsafe_code)]

use super::{glossary, hand, key, learnt, sketch};
use crate::state::Session;
use leptos::prelude::*;
use leptos::wasm_split::{SplitLoaderError, wasm_split};
use rig::Vec3;
use std::future::Future;
use wasm_bindgen_futures::spawn_local;

/// What only the hand page, and lessons that survey, need.
#[derive(Clone, Copy)]
pub struct Hand {
    pub faces: fn() -> AnyView,
    pub page: fn() -> AnyView,
    pub desk: fn() -> AnyView,
    pub axis_handles: fn() -> AnyView,
    pub contact_map: fn() -> AnyView,
}

#[wasm_split(hand, wasm_split_path = ::leptos::wasm_split, fallible)]
fn load_hand() -> Result<Hand, SplitLoaderError> {
    use hand::{AxisHandles, ContactMap, Faces, HandDesk, HandPage};
    Ok(Hand {
        faces: || view! { <Faces/> }.into_any(),
        page: || view! { <HandPage/> }.into_any(),
        desk: || view! { <HandDesk/> }.into_any(),
        axis_handles: || view! { <AxisHandles/> }.into_any(),
        contact_map: || view! { <ContactMap/> }.into_any(),
    })
}

/// What only the sketch page needs.
#[derive(Clone, Copy)]
pub struct Sketch {
    pub page: fn() -> AnyView,
    pub desk: fn() -> AnyView,
    pub insets: fn() -> AnyView,
    pub add_at: fn(Session, Vec3),
}

#[wasm_split(sketch, wasm_split_path = ::leptos::wasm_split, fallible)]
fn load_sketch() -> Result<Sketch, SplitLoaderError> {
    use sketch::{Insets, SketchDesk, SketchPage, add_at};
    Ok(Sketch {
        page: || view! { <SketchPage/> }.into_any(),
        desk: || view! { <SketchDesk/> }.into_any(),
        insets: || view! { <Insets/> }.into_any(),
        add_at,
    })
}

/// What explains: the key to the plate, the glossary that it leads to, and what was learnt.
#[derive(Clone, Copy)]
pub struct Words {
    pub key: fn() -> AnyView,
    pub glossary: fn() -> AnyView,
    pub learnt: fn() -> AnyView,
}

#[wasm_split(words, wasm_split_path = ::leptos::wasm_split, fallible)]
fn load_words() -> Result<Words, SplitLoaderError> {
    use glossary::Glossary;
    use key::Key;
    use learnt::Learnt;
    Ok(Words {
        key: || view! { <Key/> }.into_any(),
        glossary: || view! { <Glossary/> }.into_any(),
        learnt: || view! { <Learnt/> }.into_any(),
    })
}

/// Where a part is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Place<T> {
    /// Nobody wanted it yet.
    Afar,
    Coming,
    Here(T),
    /// It could not be fetched.
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

    /// Fetches the part, unless it is here or on its way.
    fn fetch(self) {
        if untrack(|| matches!(self.place.get(), Place::Afar | Place::Lost)) {
            self.place.set(Place::Coming);
            (self.load)(self);
        }
    }

    fn come(self, coming: impl Future<Output = Result<T, SplitLoaderError>> + 'static) {
        spawn_local(async move {
            let came = coming.await.map_or(Place::Lost, Place::Here);
            self.place.set(came);
        });
    }

    /// The part's table, if it is here.
    pub fn here(self) -> Option<T> {
        match self.place.get() {
            Place::Here(table) => Some(table),
            _ => None,
        }
    }

    /// What is made of the part's table, once it is here; until then that it is coming.
    pub fn show(self, made: impl Fn(T) -> AnyView + Send + 'static) -> AnyView {
        self.fetch();
        let shown = move || {
            match self.place.get() {
            Place::Here(table) => made(table),
            Place::Afar | Place::Coming => view! { <p class="coming">"Fetching this part…"</p> }.into_any(),
            Place::Lost => view! {
                <p class="lost" role="alert">
                    "This part of Handstand could not be fetched: there is no network, or a newer version has replaced it. Your work is kept. "
                    <button on:click=move |_| self.fetch()>"Try again"</button>
                    <button on:click=move |_| drop(window().location().reload())>"Reload the page"</button>
                </p>
            }
            .into_any(),
        }
        };
        shown.into_any()
    }
}

/// All parts.
#[derive(Clone, Copy)]
pub struct Parts {
    pub hand: Part<Hand>,
    pub sketch: Part<Sketch>,
    pub words: Part<Words>,
}

impl Parts {
    pub fn new() -> Self {
        Self {
            hand: Part::new(|part| part.come(load_hand())),
            sketch: Part::new(|part| part.come(load_sketch())),
            words: Part::new(|part| part.come(load_words())),
        }
    }
}
