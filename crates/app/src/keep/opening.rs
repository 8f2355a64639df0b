//! Opening the database: once for all who ask, proved, and with all that earlier pages left.
use super::database::Database;
use super::local;
use super::page::{go_on_with, note_beside, page, record, salt};
use js_sys::Promise;
use std::cell::{Cell, RefCell};
use std::future::Future;
use std::thread::LocalKey;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::{JsFuture, future_to_promise};
use workbook::last_word::{LastWord, earlier_body};
use workbook::record::{Origin, Seen, There, belongs, copy_name, is_slot};
use workbook::unkept::Why;

thread_local! {
    static DATABASE: RefCell<Option<Database>> = const { RefCell::new(None) };
    static OPENING: Going = const { RefCell::new(None) };
    static FAILED: Cell<Option<Why>> = const { Cell::new(None) };
    /// Whether it takes writing, and has all that earlier pages left to be written.
    static READY: Cell<Result<(), Why>> = const { Cell::new(Err(Why::Denied)) };
    static PREPARING: Going = const { RefCell::new(None) };
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
pub async fn database() -> Result<Database, Why> {
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
pub async fn ready() -> Result<Database, Why> {
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
pub fn failed(why: Why) {
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
                note_beside(&word.slot);
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
