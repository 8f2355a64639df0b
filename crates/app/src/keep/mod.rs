//! Work kept in the browser.
//!
//! Each place (a *slot*: a step of a lesson, a hand, the sketch) has a record in IndexedDB, and
//! copies beside it. A change is written within a second, by one writer at a time, in a durable
//! transaction that first looks whether another tab has written since; if so, this page goes on in
//! a copy. What a page had not written when it went away it leaves as a last word in local storage.
//! Nothing that cannot be read is written over: it is set aside.
mod database;
mod local;
mod writer;

pub use local::{set_setting, setting};
pub use writer::{Outcome, ask, ask_copy, leave_last_words, take_back_last_words, write};

use database::Database;
use js_sys::Promise;
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::future::Future;
use std::thread::LocalKey;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::{JsFuture, future_to_promise};
use workbook::last_word::{LastWord, earlier_body};
use workbook::record::{Origin, Record, Seen, There, belongs, copy_name, is_slot};

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
    Unknown,
}

/// A place's work, read.
pub struct Loaded {
    pub found: Found,
    /// Why nothing could be written.
    pub unkept: Option<Why>,
    /// It is this tab's work, from before it was loaded anew; another tab's has the place's name.
    pub beside: bool,
    name: String,
    seen: Seen,
}

impl Loaded {
    /// It stands on the plate now: what is kept next follows upon it.
    pub fn opened(&self) {
        note_seen(&self.name, self.seen.clone());
    }
}

/// A copy, for the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Listed {
    pub name: String,
    pub label: String,
    pub at: f64,
}

thread_local! {
    static DATABASE: RefCell<Option<Database>> = const { RefCell::new(None) };
    static OPENING: Going = const { RefCell::new(None) };
    static FAILED: Cell<Option<Why>> = const { Cell::new(None) };
    /// Whether it takes writing, and has all that earlier pages left to be written.
    static READY: Cell<Result<(), Why>> = const { Cell::new(Err(Why::Denied)) };
    static PREPARING: Going = const { RefCell::new(None) };
    /// Places where this tab's last word came too late to stand under their own name.
    static BESIDE: RefCell<BTreeSet<String>> = const { RefCell::new(BTreeSet::new()) };
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

/// Something that is going on, for whoever asks meanwhile to wait for.
type Going = RefCell<Option<Promise>>;

/// Waits until something is done that is done once for all who ask.
async fn once(going: &'static LocalKey<Going>, work: impl Future<Output = ()> + 'static) {
    let end = going.with_borrow_mut(|end| {
        end.get_or_insert_with(|| {
            future_to_promise(async move {
                work.await;
                going.set(None);
                Ok(JsValue::UNDEFINED)
            })
        })
        .clone()
    });
    let _ = JsFuture::from(end).await;
}

/// The database, to read from.
async fn database() -> Result<Database, Why> {
    if let Some(open) = DATABASE.with_borrow(Option::clone) {
        return Ok(open);
    }
    once(&OPENING, async {
        let opened = Database::open(gone).await;
        FAILED.set(opened.as_ref().err().copied());
        DATABASE.set(opened.ok());
    })
    .await;
    DATABASE
        .with_borrow(Option::clone)
        .ok_or_else(|| FAILED.get().unwrap_or(Why::Denied))
}

/// The database, to write to.
async fn ready() -> Result<Database, Why> {
    let database = database().await?;
    if READY.get().is_err() {
        let prepared = database.clone();
        once(&PREPARING, async move {
            READY.set(prepare(&prepared).await);
        })
        .await;
    }
    READY.get().map(|()| database)
}

pub fn is_ready() -> bool {
    DATABASE.with_borrow(Option::is_some) && READY.get().is_ok()
}

/// After a failure: the next to ask opens it anew. A full disk is no failure of the database's.
fn failed(why: Why) {
    if why != Why::Full
        && let Some(database) = DATABASE.take()
    {
        database.close();
        READY.set(Err(why));
    }
}

fn gone(closed: &Database) {
    if DATABASE.with_borrow(|open| open.as_ref() == Some(closed)) {
        DATABASE.set(None);
        READY.set(Err(Why::Denied));
    }
}

async fn prepare(database: &Database) -> Result<(), Why> {
    prove(database).await?;
    take_over_earlier(database).await?;
    hear_last_words(database).await
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
        let (body, origin) = match earlier_body(&text) {
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
    let before = local::page_of_tab();
    for last in local::last_words() {
        for word in last.words.iter().filter(|w| belongs(&w.name, &w.slot)) {
            let at = hear(database, word, &last.writer).await?;
            let ours = before.as_ref() == Some(&last.writer) && word.origin == Origin::Work.name();
            if let Some(at) = at.filter(|_| ours) {
                go_on_with(&word.slot, &at);
                BESIDE.with_borrow_mut(|all| all.insert(word.slot.clone()));
            }
        }
        local::forget_last_words(&last);
    }
    Ok(())
}

/// Writes one last word. The name of the copy, if it had to become one.
async fn hear(database: &Database, word: &LastWord, writer: &str) -> Result<Option<String>, Why> {
    // Its page may have got so far itself.
    for (name, there) in database.all(|name| belongs(name, &word.slot)).await? {
        if let There::Record(record) = there
            && (record.origin, &*record.writer) == (Origin::Tab, writer)
            && record.body == word.body
        {
            return Ok((name != word.name).then_some(name));
        }
    }
    let beside = copy_name(&word.slot, word.at, salt());
    let origin = Origin::named(&word.origin).unwrap_or(Origin::Tab);
    let mut said = record(word.body.clone(), origin, word.label.clone());
    (said.at, said.writer) = (word.at, writer.into());
    let written = database.put(&word.name, &beside, &word.seen, said).await?;
    Ok(written.beside.then_some(beside))
}

/// What is kept of a place, as far as this page is concerned. `readable` tells whether this build
/// can read a body; what it cannot is set aside, never written over.
pub async fn load(slot: &str, readable: impl Fn(&str) -> bool) -> Loaded {
    let mut loaded = Loaded {
        found: Found::Nothing,
        unkept: None,
        beside: false,
        name: name_of(slot),
        seen: Seen::default(),
    };
    if let Err(why) = load_into(&mut loaded, slot, readable).await {
        failed(why);
        loaded.found = Found::Unknown;
        loaded.unkept = Some(why);
    }
    loaded
}

async fn load_into(
    loaded: &mut Loaded,
    slot: &str,
    readable: impl Fn(&str) -> bool,
) -> Result<(), Why> {
    if let Some(body) = writer::waiting(&loaded.name) {
        loaded.seen = seen(&loaded.name);
        loaded.found = Found::Body(body);
        return Ok(());
    }
    let database = database().await?;
    // What cannot be written to may still be read.
    loaded.unkept = ready().await.err();
    loaded.beside = BESIDE.with_borrow_mut(|all| all.remove(slot));
    loaded.name = name_of(slot);
    let mut there = database.get(&loaded.name).await?;
    if there == There::Nothing && loaded.name != slot {
        // The copy that this tab was at is gone.
        go_on_with(slot, slot);
        loaded.name = slot.into();
        there = database.get(slot).await?;
    }
    let found = match there {
        There::Nothing => return Ok(()),
        There::Record(record) => Some(record),
        There::Unread(_) => None,
    };
    if let Some(record) = found.filter(|r| readable(&r.body)) {
        loaded.seen = Seen::of(&record);
        loaded.found = Found::Body(record.body);
        return Ok(());
    }
    let label = "cannot be read by this build";
    let copy = copy_name(slot, js_sys::Date::now(), salt());
    let aside = record(String::new(), Origin::Unread, label.into());
    database.set_aside(&loaded.name, &copy, aside).await?;
    loaded.found = Found::SetAside;
    Ok(())
}

/// The copies of a place: everything kept of it but what this page is writing, newest first.
pub async fn copies(slot: &str) -> Vec<Listed> {
    let own = name_of(slot);
    let Ok(database) = database().await else {
        return Vec::new();
    };
    let all = database
        .all(|name| belongs(name, slot) && name != own)
        .await
        .unwrap_or_default();
    let listed = |(name, there): (String, There)| match there {
        There::Nothing => None,
        There::Unread(_) => Some(Listed {
            name,
            label: "cannot be read by this build".into(),
            at: 0.0,
        }),
        There::Record(record) => Some(Listed {
            name,
            label: match record.origin {
                Origin::Work => "from another tab".into(),
                _ => record.label,
            },
            at: record.at,
        }),
    };
    let mut copies: Vec<_> = all.into_iter().filter_map(listed).collect();
    copies.sort_by(|a, b| b.at.total_cmp(&a.at));
    copies
}

/// A copy's text, if it is still there.
pub async fn copy_text(name: &str) -> Result<Option<String>, Why> {
    Ok(match database().await?.get(name).await? {
        There::Nothing => None,
        There::Record(record) => Some(record.body),
        There::Unread(text) => Some(text),
    })
}
