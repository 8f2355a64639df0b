//! IndexedDB as far as it is needed: one store of records by name, every writing durable and in a
//! transaction of its own. The wrappers on crates.io know neither durability nor an early commit.
use crate::timing::timed;
use js_sys::{Array, Function, Object, Promise, Reflect};
use leptos::prelude::window;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    DomException, IdbDatabase, IdbObjectStore, IdbOpenDbRequest, IdbRequest, IdbTransaction,
};
use workbook::record::{Fields, Origin, Record, Seen, There, Turn, turn};
use workbook::unkept::Why;

const NAME: &str = "handstand";
/// Raised when records change their form, so that an older build keeps its hands off.
const VERSION: u32 = 1;
const STORE: &str = "kept";
/// Longest that anything is waited for, ms. A page that the browser has frozen can hold the
/// database, and there is no word of that.
const PATIENCE: i32 = 8000;

#[wasm_bindgen::prelude::wasm_bindgen]
extern "C" {
    /// As web-sys has it, with the options that it knows only as unstable.
    #[wasm_bindgen(js_name = IDBDatabase)]
    type Opened;
    #[wasm_bindgen(method, catch, js_name = transaction)]
    fn transaction(
        this: &Opened,
        store: &str,
        mode: &str,
        options: &JsValue,
    ) -> Result<IdbTransaction, JsValue>;

    /// As web-sys has it, but for what it may throw.
    #[wasm_bindgen(js_name = IDBTransaction)]
    type Started;
    #[wasm_bindgen(method, catch)]
    fn commit(this: &Started) -> Result<(), JsValue>;
}

/// An open database.
#[derive(Clone, PartialEq)]
pub struct Database(IdbDatabase);

/// What became of a writing.
pub struct Written {
    pub seen: Seen,
    /// Under the other name.
    pub beside: bool,
}

impl Database {
    /// `gone` is called once it has been closed from outside.
    pub async fn open(gone: fn(&Self)) -> Result<Self, Why> {
        let factory = window().indexed_db().map_err(why)?.ok_or(Why::Denied)?;
        let request = factory.open_with_u32(NAME, VERSION).map_err(why)?;
        let upgrading = request.clone();
        // Called at most once, perhaps after nobody waits for it any more.
        let upgrade = Closure::once_into_js(move || {
            if let Some(database) = result(&upgrading) {
                let _ = database.create_object_store(STORE);
            }
        });
        request.set_onupgradeneeded(Some(upgrade.unchecked_ref()));
        let came = done(&request).await;
        if came.is_err() {
            // Nobody will close what still opens now.
            let late = request.clone();
            let close = Closure::once_into_js(move || {
                if let Some(database) = result(&late) {
                    database.close();
                }
            });
            request.set_onsuccess(Some(close.unchecked_ref()));
        }
        came?;
        let opened = Self(result(&request).ok_or(Why::Denied)?);
        // A newer build in another tab must not wait for this one; or the browser has closed it,
        // as when the reader clears what it keeps.
        let closing = opened.clone();
        let give_way = Closure::<dyn FnMut()>::new(move || {
            closing.close();
            gone(&closing);
        });
        let listener = give_way.as_ref().unchecked_ref();
        opened.0.set_onversionchange(Some(listener));
        opened.0.set_onclose(Some(listener));
        give_way.forget();
        Ok(opened)
    }

    pub fn close(&self) {
        self.0.close();
    }

    pub async fn get(&self, name: &str) -> Result<There, Why> {
        let (_, store) = self.begin(false)?;
        get(&store, name).await
    }

    /// Every name that `wanted` wants, sorted.
    pub async fn all(&self, wanted: impl Fn(&str) -> bool) -> Result<Vec<(String, There)>, Why> {
        let (_, store) = self.begin(false)?;
        let keys: Array = done(&store.get_all_keys().map_err(why)?).await?.into();
        let mut found = Vec::new();
        for key in keys.iter().filter_map(|k| k.as_string()) {
            if wanted(&key) {
                let there = get(&store, &key).await?;
                found.push((key, there));
            }
        }
        Ok(found)
    }

    /// Writes under `name` unless somebody else did since `seen`; then under `beside`.
    pub async fn put(
        &self,
        name: &str,
        beside: &str,
        seen: &Seen,
        mut record: Record,
    ) -> Result<Written, Why> {
        let (transaction, store) = self.begin(true)?;
        let end = ending(&transaction);
        let there = get(&store, name).await?;
        let (name, revision, aside) = match turn(&there, seen, &record.writer, &record.body) {
            Turn::Same(seen) => {
                return Ok(Written {
                    seen,
                    beside: false,
                });
            }
            Turn::Write(revision) => (name, revision, false),
            Turn::Beside => (beside, 1, true),
        };
        record.revision = revision;
        if aside {
            record.origin = Origin::Tab;
            record.label = "from another tab".into();
        }
        timed("save-put", || {
            store.put_with_key(&object(&record), &name.into())
        })
        .map_err(why)?;
        finish(&transaction, end).await?;
        Ok(Written {
            seen: Seen::of(&record),
            beside: aside,
        })
    }

    /// Moves what lies under a name, whatever it is, under another, as a record's body.
    pub async fn set_aside(&self, name: &str, to: &str, mut record: Record) -> Result<(), Why> {
        let (transaction, store) = self.begin(true)?;
        let end = ending(&transaction);
        match get(&store, name).await? {
            There::Nothing => return Ok(()),
            There::Record(found) => record.body = found.body,
            There::Unread(text) => record.body = text,
        }
        store
            .put_with_key(&object(&record), &to.into())
            .map_err(why)?;
        store.delete(&name.into()).map_err(why)?;
        finish(&transaction, end).await
    }

    pub async fn remove(&self, names: &[String]) -> Result<(), Why> {
        let (transaction, store) = self.begin(true)?;
        let end = ending(&transaction);
        for name in names {
            store.delete(&name.as_str().into()).map_err(why)?;
        }
        finish(&transaction, end).await
    }

    fn begin(&self, writing: bool) -> Result<(IdbTransaction, IdbObjectStore), Why> {
        let options = Object::new();
        // On the disk, not only on the way there, before it is called kept.
        let durability = if writing { "strict" } else { "default" };
        let _ = Reflect::set(&options, &"durability".into(), &durability.into());
        let mode = if writing { "readwrite" } else { "readonly" };
        let transaction = self
            .0
            .unchecked_ref::<Opened>()
            .transaction(STORE, mode, &options)
            .map_err(why)?;
        let store = transaction.object_store(STORE).map_err(why)?;
        Ok((transaction, store))
    }
}

async fn get(store: &IdbObjectStore, name: &str) -> Result<There, Why> {
    let value = done(&store.get(&name.into()).map_err(why)?).await?;
    if value.is_undefined() {
        return Ok(There::Nothing);
    }
    Ok(match Record::from_fields(fields(&value)) {
        Some(record) => There::Record(record),
        None => There::Unread(text(&value)),
    })
}

fn fields(value: &JsValue) -> Fields {
    let field = |name: &str| Reflect::get(value, &name.into()).ok();
    let text = |name: &str| field(name)?.as_string();
    let number = |name: &str| field(name)?.as_f64();
    Fields {
        revision: number("revision"),
        body: text("body"),
        origin: text("origin"),
        label: text("label"),
        at: number("at"),
        writer: text("writer"),
    }
}

/// What can be told of something that is no record: its body if it has one, else all of it.
fn text(value: &JsValue) -> String {
    let body = Reflect::get(value, &"body".into()).ok();
    body.and_then(|b| b.as_string())
        .or_else(|| value.as_string())
        .or_else(|| js_sys::JSON::stringify(value).ok()?.as_string())
        .unwrap_or_default()
}

fn object(record: &Record) -> Object {
    let object = Object::new();
    let fields: [(&str, JsValue); 6] = [
        ("revision", (record.revision as f64).into()),
        ("body", record.body.as_str().into()),
        ("origin", record.origin.name().into()),
        ("label", record.label.as_str().into()),
        ("at", record.at.into()),
        ("writer", record.writer.as_str().into()),
    ];
    for (name, value) in fields {
        let _ = Reflect::set(&object, &name.into(), &value);
    }
    object
}

/// A promise that settles as `hear` is given its two listeners.
fn promise(mut hear: impl FnMut(Function, Function)) -> Promise {
    Promise::new(&mut |good, bad| hear(good, bad))
}

fn result(request: &IdbOpenDbRequest) -> Option<IdbDatabase> {
    request.result().ok()?.dyn_into().ok()
}

async fn done(request: &IdbRequest) -> Result<JsValue, Why> {
    let end = promise(|good, bad| {
        request.set_onsuccess(Some(&good));
        request.set_onerror(Some(&bad));
    });
    match in_time(end).await? {
        Ok(_) => request.result().map_err(why),
        Err(_) => Err(request
            .error()
            .ok()
            .flatten()
            .map_or(Why::Denied, |e| why(e.into()))),
    }
}

/// What a promise of an event came to, if it does so while there is patience.
async fn in_time(end: Promise) -> Result<Result<JsValue, JsValue>, Why> {
    let window = window();
    let mut timer = None;
    let late = promise(|good, _| {
        timer = window
            .set_timeout_with_callback_and_timeout_and_arguments_0(&good, PATIENCE)
            .ok();
    });
    let first = JsFuture::from(Promise::race(&Array::of2(&end, &late))).await;
    if let Some(timer) = timer {
        window.clear_timeout_with_handle(timer);
    }
    match first {
        // A timer has no event to tell of.
        Ok(event) if event.is_undefined() => Err(Why::Slow),
        came => Ok(came),
    }
}

/// Settles when all of a transaction is on the disk, or none of it.
fn ending(transaction: &IdbTransaction) -> Promise {
    let end = promise(|good, bad| {
        transaction.set_oncomplete(Some(&good));
        transaction.set_onabort(Some(&bad));
    });
    // A request that failed is told by itself; then nobody waits for this.
    QUIET.with(|quiet| {
        let _ = end.catch(quiet);
    });
    end
}

thread_local! {
    static QUIET: Closure<dyn FnMut(JsValue)> = Closure::new(|_| {});
}

/// Waits until all that was asked for is on the disk.
async fn finish(transaction: &IdbTransaction, end: Promise) -> Result<(), Why> {
    // Sooner than by itself; a browser that does not know it takes a moment longer.
    let _ = transaction.unchecked_ref::<Started>().commit();
    let failed = |_| {
        transaction
            .error()
            .map_or(Why::Denied, |e: DomException| why(e.into()))
    };
    in_time(end).await?.map(drop).map_err(failed)
}

fn why(thrown: JsValue) -> Why {
    let name = thrown.dyn_ref::<DomException>().map(DomException::name);
    match name.as_deref() {
        Some("QuotaExceededError") => Why::Full,
        Some("VersionError") => Why::Newer,
        _ => Why::Denied,
    }
}
