//! Work kept in the browser.
//!
//! Each place (a *slot*: a step of a lesson, a hand, the sketch) has a record in IndexedDB, and
//! copies beside it. A change is written within a second, by one writer at a time, in a durable
//! transaction that first looks whether another tab has written since; if so, this page goes on in
//! a copy. What a page had not written when it went away it leaves as a last word in local storage.
//! Nothing that cannot be read is written over: it is set aside.
mod database;
mod local;
mod record;
mod writer;

pub use local::{set_setting, setting};
pub use record::Origin;
pub use writer::{Outcome, ask, ask_copy, leave_last_words, take_back_last_words, write};

use database::Database;
use js_sys::Promise;
use record::{Record, Seen, There, belongs, copy_name, is_slot};
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::{JsFuture, future_to_promise};

/// Why nothing is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// The browser allows nothing, or loses what it is given.
    Denied,
    Full,
    /// A newer build has been here.
    Newer,
    /// The browser does not answer.
    Slow,
}

/// What is kept of a place.
pub enum Found {
    Nothing,
    Body(String),
    /// Kept by another build, or spoilt; it has been set aside as a copy.
    SetAside,
    /// Nothing can be read here now.
    Unknown(Why),
}

/// A copy, for the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Copy {
    pub name: String,
    pub label: String,
    pub at: f64,
    pub origin: Origin,
}

thread_local! {
    static DATABASE: RefCell<Option<Database>> = const { RefCell::new(None) };
    static OPENING: RefCell<Option<Promise>> = const { RefCell::new(None) };
    static FAILED: Cell<Option<Why>> = const { Cell::new(None) };
    /// What lay under each name when this page last read or wrote it.
    static SEEN: RefCell<BTreeMap<String, Seen>> = const { RefCell::new(BTreeMap::new()) };
    /// Where this page is at, should the browser keep nothing for the tab itself.
    static AT: RefCell<BTreeMap<String, String>> = const { RefCell::new(BTreeMap::new()) };
    /// This page, drawn when it was loaded: a page brought back from the browser's memory is the same.
    static PAGE: String = format!("{:x}", (js_sys::Math::random() * 9e15) as u64);
}

fn page() -> String {
    PAGE.with(String::clone)
}

fn salt() -> u32 {
    (js_sys::Math::random() * f64::from(u32::MAX)) as u32
}

/// The name this page keeps a place's work under: the slot's own, or a copy's.
fn name_of(slot: &str) -> String {
    AT.with_borrow(|at| at.get(slot).cloned())
        .or_else(|| local::name_of_tab(slot))
        .filter(|name| belongs(name, slot))
        .unwrap_or_else(|| slot.into())
}

fn go_on_with(slot: &str, name: &str) {
    AT.with_borrow_mut(|at| at.insert(slot.into(), name.into()));
    local::set_name_of_tab(slot, name);
}

fn seen(name: &str) -> Seen {
    SEEN.with_borrow(|seen| seen.get(name).cloned().unwrap_or_default())
}

fn note_seen(name: &str, seen: Seen) {
    SEEN.with_borrow_mut(|all| all.insert(name.into(), seen));
}

fn record(body: String, origin: Origin, label: String) -> Record {
    Record {
        revision: 1,
        body,
        origin,
        label,
        at: js_sys::Date::now(),
        writer: page(),
    }
}

/// The database, opened, proved and brought up to date the first time. Whoever asks meanwhile
/// waits for the same opening.
async fn database() -> Result<Database, Why> {
    if let Some(open) = DATABASE.with_borrow(Option::clone) {
        return Ok(open);
    }
    let opening = OPENING.with_borrow_mut(|opening| {
        opening
            .get_or_insert_with(|| {
                future_to_promise(async {
                    let opened = open().await;
                    OPENING.set(None);
                    FAILED.set(opened.as_ref().err().copied());
                    DATABASE.set(opened.ok());
                    Ok(JsValue::UNDEFINED)
                })
            })
            .clone()
    });
    let _ = JsFuture::from(opening).await;
    DATABASE
        .with_borrow(Option::clone)
        .ok_or_else(|| FAILED.get().unwrap_or(Why::Denied))
}

pub fn is_open() -> bool {
    DATABASE.with_borrow(Option::is_some)
}

/// After a failure, or from outside: the next to ask opens it anew.
fn close() {
    DATABASE.set(None);
}

async fn open() -> Result<Database, Why> {
    let opened = Database::open(close).await?;
    prove(&opened).await?;
    take_over_earlier(&opened).await?;
    hear_last_words(&opened).await?;
    Ok(opened)
}

/// Some browsers take everything and keep nothing.
async fn prove(database: &Database) -> Result<(), Why> {
    let name = format!("probe/{}", page());
    let probe = record(js_sys::Date::now().to_string(), Origin::Work, String::new());
    let body = probe.body.clone();
    database.put(&name, &name, &Seen::default(), probe).await?;
    let there = database.get(&name).await?;
    database.remove(&[name]).await?;
    match there {
        There::Record(record) if record.body == body => Ok(()),
        _ => Err(Why::Denied),
    }
}

/// What earlier builds kept in local storage; what of it is no record comes along as it is.
async fn take_over_earlier(database: &Database) -> Result<(), Why> {
    for (name, text) in local::earlier() {
        let slot = name.split('~').next().unwrap_or_default();
        if !is_slot(slot) {
            continue;
        }
        let copy = copy_name(slot, js_sys::Date::now(), salt());
        let (body, origin) = match local::earlier_body(&text) {
            Some(body) => (body, Origin::Work),
            None => (text, Origin::Unread),
        };
        let (to, label) = match origin {
            Origin::Unread => (copy.as_str(), "kept by an earlier build, not readable"),
            _ if name == slot => (slot, ""),
            _ => (copy.as_str(), "from another tab"),
        };
        database
            .put(
                to,
                &copy,
                &Seen::default(),
                record(body, origin, label.into()),
            )
            .await?;
        local::forget_earlier(&name);
    }
    Ok(())
}

/// Writes what pages had still to say when they went away.
async fn hear_last_words(database: &Database) -> Result<(), Why> {
    for (writer, words) in local::last_words() {
        for word in words.into_iter().filter(|w| belongs(&w.name, &w.slot)) {
            let beside = copy_name(&word.slot, word.at, salt());
            let origin = Origin::named(&word.origin).unwrap_or(Origin::Tab);
            let mut said = record(word.body, origin, word.label);
            (said.at, said.writer) = (word.at, writer.clone());
            database.put(&word.name, &beside, &word.seen, said).await?;
        }
        local::leave(&writer, &[]);
    }
    Ok(())
}

/// What is kept of a place, as far as this page is concerned. `readable` tells whether this build
/// can read a body; what it cannot is set aside, never written over.
pub async fn load(slot: &str, readable: impl Fn(&str) -> bool) -> Found {
    match try_load(slot, readable).await {
        Ok(found) => found,
        Err(why) => {
            close();
            Found::Unknown(why)
        }
    }
}

async fn try_load(slot: &str, readable: impl Fn(&str) -> bool) -> Result<Found, Why> {
    let mut name = name_of(slot);
    let waiting = writer::waiting(&name);
    if let Some(body) = waiting {
        return Ok(Found::Body(body));
    }
    let database = database().await?;
    let mut there = database.get(&name).await?;
    if there == There::Nothing && name != slot {
        // The copy that this tab was at is gone.
        go_on_with(slot, slot);
        name = slot.into();
        there = database.get(&name).await?;
    }
    let found = match there {
        There::Nothing => {
            note_seen(&name, Seen::default());
            return Ok(Found::Nothing);
        }
        There::Record(record) => Some(record),
        There::Unread(_) => None,
    };
    if let Some(record) = found.filter(|r| readable(&r.body)) {
        note_seen(&name, Seen::of(&record));
        return Ok(Found::Body(record.body));
    }
    let label = "cannot be read by this build";
    let copy = copy_name(slot, js_sys::Date::now(), salt());
    database
        .set_aside(
            &name,
            &copy,
            record(String::new(), Origin::Unread, label.into()),
        )
        .await?;
    note_seen(&name, Seen::default());
    Ok(Found::SetAside)
}

/// The copies of a place: everything kept of it but what this page is writing, newest first.
pub async fn copies(slot: &str) -> Vec<Copy> {
    let own = name_of(slot);
    let Ok(database) = database().await else {
        return Vec::new();
    };
    let all = database
        .all(|name| belongs(name, slot) && name != own)
        .await
        .unwrap_or_default();
    let copy = |(name, there): (String, There)| match there {
        There::Nothing => None,
        There::Unread(_) => Some(Copy {
            name,
            label: "cannot be read by this build".into(),
            at: 0.0,
            origin: Origin::Unread,
        }),
        There::Record(record) => Some(Copy {
            name,
            label: match record.origin {
                Origin::Work => "from another tab".into(),
                _ => record.label,
            },
            at: record.at,
            origin: record.origin,
        }),
    };
    let mut copies: Vec<_> = all.into_iter().filter_map(copy).collect();
    copies.sort_by(|a, b| b.at.total_cmp(&a.at));
    copies
}

/// A copy's text.
pub async fn copy_text(name: &str) -> Option<String> {
    match database().await.ok()?.get(name).await.ok()? {
        There::Nothing => None,
        There::Record(record) => Some(record.body),
        There::Unread(text) => Some(text),
    }
}
