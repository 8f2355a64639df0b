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

pub use local::{set_setting, setting};
pub use record::Origin;

use database::{Database, Written};
use local::LastWord;
use record::{MOST_REPLACED, Record, There, belongs, copy_name, is_slot};
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, VecDeque};

/// Why nothing is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// The browser allows nothing, or loses what it is given.
    Denied,
    Full,
    /// A newer build has been here.
    Newer,
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

/// Something to be written.
#[derive(Clone)]
struct Job {
    slot: String,
    name: String,
    body: String,
    origin: Origin,
    label: String,
}

/// What became of a writing, for the screen.
pub enum Outcome {
    Kept,
    /// Another tab was here: the work goes on in a copy.
    Beside,
    Not(Why),
}

thread_local! {
    static DATABASE: RefCell<Option<Database>> = const { RefCell::new(None) };
    /// The revision of each name as this page last read or wrote it.
    static SEEN: RefCell<BTreeMap<String, u64>> = const { RefCell::new(BTreeMap::new()) };
    /// Where this page is at, should the browser keep nothing for the tab itself.
    static AT: RefCell<BTreeMap<String, String>> = const { RefCell::new(BTreeMap::new()) };
    static JOBS: RefCell<VecDeque<Job>> = const { RefCell::new(VecDeque::new()) };
    static WRITING: Cell<bool> = const { Cell::new(false) };
    /// This page, drawn when it was loaded: a page brought back from the browser's memory is the same.
    static WRITER: String = format!("{:x}", (js_sys::Math::random() * 9e15) as u64);
}

fn writer() -> String {
    WRITER.with(String::clone)
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

fn seen(name: &str) -> u64 {
    SEEN.with_borrow(|seen| seen.get(name).copied().unwrap_or(0))
}

fn note_seen(name: &str, revision: u64) {
    SEEN.with_borrow_mut(|seen| seen.insert(name.into(), revision));
}

fn record(body: String, origin: Origin, label: String) -> Record {
    Record {
        revision: 1,
        body,
        origin,
        label,
        at: js_sys::Date::now(),
        writer: writer(),
    }
}

/// The database, opened, proved and brought up to date the first time.
async fn database() -> Result<Database, Why> {
    if let Some(open) = DATABASE.with_borrow(Option::clone) {
        return Ok(open);
    }
    let opened = Database::open().await?;
    prove(&opened).await?;
    take_over_earlier(&opened).await?;
    hear_last_words(&opened).await?;
    DATABASE.set(Some(opened.clone()));
    Ok(opened)
}

/// Some browsers take everything and keep nothing.
async fn prove(database: &Database) -> Result<(), Why> {
    let name = format!("probe/{}", writer());
    let probe = record(js_sys::Date::now().to_string(), Origin::Work, String::new());
    let body = probe.body.clone();
    database.put(&name, &name, 0, probe).await?;
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
            .put(to, &copy, 0, record(body, origin, label.into()))
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
            database.put(&word.name, &beside, word.seen, said).await?;
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
            DATABASE.set(None);
            Found::Unknown(why)
        }
    }
}

async fn try_load(slot: &str, readable: impl Fn(&str) -> bool) -> Result<Found, Why> {
    let mut name = name_of(slot);
    let waiting =
        JOBS.with_borrow(|jobs| jobs.iter().find(|j| j.name == name).map(|j| j.body.clone()));
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
            note_seen(&name, 0);
            return Ok(Found::Nothing);
        }
        There::Record(record) => Some(record),
        There::Unread(_) => None,
    };
    if let Some(record) = found.filter(|r| readable(&r.body)) {
        note_seen(&name, record.revision);
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
    note_seen(&name, 0);
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

/// Asks for a place's work to be kept. What waits for the same name is written over.
pub fn ask(slot: &str, body: String) {
    let name = name_of(slot);
    JOBS.with_borrow_mut(|jobs| {
        jobs.retain(|job| job.name != name);
        jobs.push_back(Job {
            slot: slot.into(),
            name,
            body,
            origin: Origin::Work,
            label: String::new(),
        });
    });
}

/// Asks for a copy of what is about to be replaced.
pub fn ask_copy(slot: &str, body: String, label: &str) {
    let name = copy_name(slot, js_sys::Date::now(), salt());
    JOBS.with_borrow_mut(|jobs| {
        jobs.push_back(Job {
            slot: slot.into(),
            name,
            body,
            origin: Origin::Replaced,
            label: label.into(),
        });
    });
}

/// Writes what was asked for, one after the other, and tells of each. Does nothing while it is at
/// it already; what cannot be written waits for the next time.
pub async fn write(mut tell: impl FnMut(&str, Outcome)) {
    if WRITING.replace(true) {
        return;
    }
    // Nothing to write: whether it could be is still worth knowing.
    if JOBS.with_borrow(VecDeque::is_empty) && DATABASE.with_borrow(Option::is_none) {
        match database().await {
            Ok(_) => tell("", Outcome::Kept),
            Err(why) => tell("", Outcome::Not(why)),
        }
    }
    // In the queue until it is on the disk, so that a last word can still say it.
    while let Some(job) = JOBS.with_borrow(|jobs| jobs.front().cloned()) {
        let written = write_one(&job).await;
        if let Err(why) = written {
            DATABASE.set(None);
            tell(&job.slot, Outcome::Not(why));
            break;
        }
        JOBS.with_borrow_mut(|jobs| {
            jobs.retain(|waiting| waiting.name != job.name || waiting.body != job.body);
        });
        let beside = written.is_ok_and(|beside| beside);
        tell(
            &job.slot,
            if beside {
                Outcome::Beside
            } else {
                Outcome::Kept
            },
        );
    }
    WRITING.set(false);
}

/// Whether it went to a copy.
async fn write_one(job: &Job) -> Result<bool, Why> {
    let database = database().await?;
    if job.origin == Origin::Replaced && make_room(&database, job).await? {
        return Ok(false);
    }
    let beside = copy_name(&job.slot, js_sys::Date::now(), salt());
    let said = record(job.body.clone(), job.origin, job.label.clone());
    let Written::As {
        revision,
        beside: aside,
    } = database
        .put(&job.name, &beside, seen(&job.name), said)
        .await?;
    if !aside {
        note_seen(&job.name, revision);
        return Ok(false);
    }
    note_seen(&beside, revision);
    go_on_with(&job.slot, &beside);
    // What was asked for meanwhile belongs to the copy as well.
    JOBS.with_borrow_mut(|jobs| {
        for waiting in jobs
            .iter_mut()
            .filter(|w| w.name == job.name && w.body != job.body)
        {
            waiting.name.clone_from(&beside);
        }
    });
    Ok(true)
}

/// Drops the oldest copies of replaced work beyond the most that are kept. Whether the very same
/// work is kept already.
async fn make_room(database: &Database, job: &Job) -> Result<bool, Why> {
    let mut replaced = Vec::new();
    for (name, there) in database.all(|name| belongs(name, &job.slot)).await? {
        if let There::Record(record) = there
            && record.origin == Origin::Replaced
        {
            if record.body == job.body {
                return Ok(true);
            }
            replaced.push((record.at, name));
        }
    }
    replaced.sort_by(|a, b| a.0.total_cmp(&b.0));
    let over = (replaced.len() + 1).saturating_sub(MOST_REPLACED);
    let names: Vec<_> = replaced.into_iter().take(over).map(|r| r.1).collect();
    if !names.is_empty() {
        database.remove(&names).await?;
    }
    Ok(false)
}

/// Leaves what is not on the disk yet for the next page, as this one goes away.
pub fn leave_last_words() {
    let words: Vec<_> = JOBS.with_borrow(|jobs| {
        let word = |job: &Job| LastWord {
            slot: job.slot.clone(),
            name: job.name.clone(),
            seen: seen(&job.name),
            body: job.body.clone(),
            origin: job.origin.name().into(),
            label: job.label.clone(),
            at: js_sys::Date::now(),
        };
        jobs.iter().map(word).collect()
    });
    local::leave(&writer(), &words);
}

/// The page lives on: it says by itself what it has to say.
pub fn take_back_last_words() {
    local::leave(&writer(), &[]);
}
