//! A browser's store as it can be: unreadable, denied, full, forgetful, slow, written by other
//! builds. Nothing kept is ever written over, and the page says what it knows.

use anyhow::{Context, Result, ensure};
use browser::learner::says;
use browser::{Look, Page, Size, none};
use serde_json::{Value, json};
use std::time::Duration;

const SLOT: &str = "lesson-4-play";

fn lift_of(document: &Value) -> f64 {
    document["dials"][0]["value"].as_f64().unwrap_or_default()
}

async fn lift(page: &Page, degrees: i32) -> Result<()> {
    page.nudge("Move wrist", 1.0, degrees, 0).await
}

/// Runs a script before any of the page's own, whenever it is loaded.
async fn before_loading(page: &Page, script: &str) -> Result<()> {
    page.devtools("Page.enable", json!({})).await?;
    page.devtools(
        "Page.addScriptToEvaluateOnNewDocument",
        json!({ "source": script }),
    )
    .await?;
    Ok(())
}

/// The sketch is worked on before the list of lessons has come.
#[tokio::test]
async fn k1_a_late_list_of_lessons_opens_nothing_anew() -> Result<()> {
    let page = Page::start().await?;
    before_loading(
        &page,
        "const quick = window.fetch; window.late = []; window.fetch = (what, ...rest) => String(what).includes('index.json') \
           ? new Promise((go) => late.push(go)).then(() => quick(what, ...rest)) : quick(what, ...rest)",
    )
    .await?;
    for (route, slot) in [("sketch", "sketch"), ("hand", "hand")] {
        page.open_step_unlisted(route).await?;
        let undo = "document.querySelector('.top button[title^=Undo]')?.title";
        if route == "sketch" {
            page.press("Add joint").await?;
            page.draw(&[(0.0, 30.0)]).await?;
        } else {
            page.nudge("Move wrist", 1.0, 3, 0).await?;
        }
        page.wait_until(&format!("{undo}?.startsWith('Undo: ')"))
            .await?;
        let (before, document) = (page.eval(undo).await?, page.document().await?);
        page.eval("late.forEach((go) => go())").await?;
        page.wait_until("document.querySelectorAll('.top nav .leaf').length > 8")
            .await?;
        tokio::time::sleep(Duration::from_millis(400)).await;
        ensure!(page.eval(undo).await? == before, "{route}: undo is gone");
        ensure!(
            page.document().await? == document,
            "{route} was opened anew"
        );
        let kept = document.context("a document")?;
        let kept: Value = serde_json::from_str(&kept)?;
        page.kept(slot, |d| *d == kept).await?;
    }
    none(&page.complaints().await?)
}

/// What another build, or a fault, left in the store.
fn unreadable() -> Vec<(&'static str, Value)> {
    let record = |body: &str| json!({"revision": 3, "body": body, "origin": "work", "label": "", "at": 5, "writer": "w"});
    let with = |field: &str, value: Value| {
        let mut record = record("{\"format\": \"handstand/1\", \"nodes\": []}");
        record[field] = value;
        record
    };
    vec![
        (
            "a newer format",
            record("{\"format\": \"handstand/9\", \"hand\": {}}"),
        ),
        (
            "cut off",
            record("{\"format\": \"handstand/1\", \"nodes\": [{\"na"),
        ),
        ("empty", record("")),
        ("not JSON", record("flour")),
        ("no nodes", record("{\"format\": \"handstand/1\"}")),
        ("revision 0", with("revision", json!(0))),
        ("a negative revision", with("revision", json!(-4))),
        ("half a revision", with("revision", json!(2.5))),
        ("a revision in words", with("revision", json!("3"))),
        ("a huge revision", with("revision", json!(1e300))),
        ("no body", with("body", Value::Null)),
        ("a later origin", with("origin", json!("shared"))),
        ("no record at all", json!("flour")),
    ]
}

#[tokio::test]
async fn k2_what_cannot_be_read_is_set_aside_and_said() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/4/play").await?;
    let mut aside = 0;
    for (what, value) in unreadable() {
        page.put_record(SLOT, &value).await?;
        page.open("#/", Size::DESKTOP, Look::Paper).await?;
        page.open_step("lesson/4/play").await?;
        page.wait_for_text(".notices", "has been set aside")
            .await
            .context(what)?;
        aside += 1;
        page.wait_for_text(".copies summary", &format!("({aside})"))
            .await
            .context(what)?;
        let body = value["body"].as_str().or(value.as_str()).map(String::from);
        let body = body.unwrap_or_else(|| value.to_string());
        let kept = |records: &[(String, Value)]| {
            let of = |r: &&(String, Value)| r.1["origin"] == "unread";
            records.iter().filter(of).any(|r| {
                let text = r.1["body"].as_str().unwrap_or_default();
                text == body
                    || serde_json::from_str::<Value>(text).ok() == serde_json::from_str(&body).ok()
            })
        };
        ensure!(kept(&page.records(SLOT).await?), "{what}: it is gone");
        // The next edit does not write over it.
        lift(&page, 2).await?;
        page.kept(SLOT, |d| lift_of(d) == 2.0).await.context(what)?;
        ensure!(
            kept(&page.records(SLOT).await?),
            "{what}: it was written over"
        );
        // For the next round nothing must be waiting to be kept.
        page.press("Undo").await?;
        page.kept(SLOT, |d| lift_of(d) == 0.0).await.context(what)?;
    }
    // Opening one says why not; saving one gives the text as it is.
    page.press(&format!("Other copies ({aside})")).await?;
    page.eval("window.blobs = []; const make = URL.createObjectURL; URL.createObjectURL = (blob) => { blobs.push(blob); return make(blob) }").await?;
    page.press_first("Open the copy").await?;
    page.wait_for_text(".notices", "cannot be opened").await?;
    page.press_first("Save file of the copy").await?;
    page.wait_until("window.blobs.length === 1").await?;
    ensure!(page.eval("blobs[0].text()").await? == "flour");
    none(&page.axe().await?)?;
    none(&page.complaints().await?)
}

/// Local storage is where earlier builds kept documents, revisions and copies.
#[tokio::test]
async fn k2_what_earlier_builds_kept_is_taken_over() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/4/play").await?;
    lift(&page, 11).await?;
    page.kept(SLOT, |d| lift_of(d) == 11.0).await?;
    let body = page.kept_text(SLOT).await?.context("a body")?;
    let old = json!({"revision": 7, "body": body}).to_string();
    let copy =
        json!({"revision": 1, "body": body.replace("\"value\": 11", "\"value\": 12")}).to_string();
    page.eval(&format!(
        "localStorage['handstand/1/{SLOT}'] = {}; localStorage['handstand/1/{SLOT}~ab'] = {}; \
         localStorage['handstand/1/sketch'] = 'spoilt'; localStorage['handstand/1/set/look'] = 'slate'; \
         new Promise((good) => {{ const gone = indexedDB.deleteDatabase('handstand'); gone.onsuccess = gone.onblocked = () => good(1) }})",
        json!(old),
        json!(copy)
    ))
    .await?;
    page.open("#/", Size::DESKTOP, Look::Paper).await?;
    page.open_step("lesson/4/play").await?;
    page.dial_reads("lift", 11.0, 0.0).await?;
    page.wait_for_text(".copies summary", "(1)").await?;
    page.open_step("sketch").await?;
    page.wait_for_text(".copies summary", "(1)").await?;
    let sketches = page.records("sketch").await?;
    ensure!(
        sketches.len() == 1 && sketches[0].1["body"] == "spoilt",
        "{sketches:?}"
    );
    ensure!(page.eval("localStorage['handstand/1/set/look']").await? == "slate");
    ensure!(
        page.eval("Object.keys(localStorage).filter((k) => !k.includes('/set/')).length")
            .await?
            == 0
    );
    none(&page.complaints().await?)
}

/// What is undone is undone in what is kept, and a page that goes away in mid-change says its last word.
#[tokio::test]
async fn k3_the_last_change_before_a_page_goes_away_is_kept() -> Result<()> {
    let page = Page::start().await?;
    for degrees in 1..=10 {
        page.open_step("lesson/4/play").await?;
        page.dial_reads("lift", f64::from(degrees - 1), 0.0).await?;
        lift(&page, 1).await?;
        page.reload().await?;
        page.on_step("lesson/4/play").await?;
        page.dial_reads("lift", f64::from(degrees), 0.0).await?;
    }
    none(&page.complaints().await?)
}

/// A drag that goes on is kept while it goes on, not after it.
#[tokio::test]
async fn k3_a_long_drag_is_kept_as_it_goes() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/4/play").await?;
    let plate = page.plate().await?;
    let (x, y) = plate.pixel(page.grip("Move wrist").await?);
    page.drag_and_hold(&[(x, y), (x, y - 4.0)]).await?;
    let mut kept = std::collections::BTreeSet::new();
    let start = std::time::Instant::now();
    let mut up = 4.0;
    // Moved far oftener than a save waits.
    while start.elapsed() < Duration::from_secs(4) {
        up += 0.25;
        page.hover((x, y - up)).await?;
        if let Some(text) = page.kept_text(SLOT).await? {
            kept.insert(lift_of(&serde_json::from_str(&text)?).to_bits());
        }
    }
    page.let_go().await?;
    ensure!(kept.len() >= 4, "kept {} times in 4 s", kept.len());
    none(&page.complaints().await?)
}

#[tokio::test]
async fn k5_where_nothing_may_be_kept_the_page_runs_and_says_so() -> Result<()> {
    let denied = "const no = { get() { throw new DOMException('denied', 'SecurityError') } }; \
        Object.defineProperty(window, 'localStorage', no); Object.defineProperty(window, 'sessionStorage', no);";
    for (what, script) in [
        ("denied", format!("{denied} Object.defineProperty(window, 'indexedDB', no)")),
        ("absent", "Object.defineProperty(window, 'indexedDB', { get() { return undefined } })".into()),
        (
            "throws on opening",
            "IDBFactory.prototype.open = () => { throw new DOMException('no', 'InvalidStateError') }".into(),
        ),
        (
            "throws on reading",
            "IDBObjectStore.prototype.get = () => { throw new DOMException('no', 'UnknownError') }".into(),
        ),
        (
            "drops silently",
            "const put = IDBObjectStore.prototype.put; IDBObjectStore.prototype.put = function (value, key) { return put.call(this, { ...value, body: '' }, key) }".into(),
        ),
    ] {
        let page = Page::start().await?;
        before_loading(&page, &script).await?;
        page.open_step("lesson/4/play").await?;
        page.wait_for_text(".notices", "does not keep anything").await.context(what)?;
        says(&page.text(".top").await?, "not kept")?;
        lift(&page, 7).await?;
        page.dial_reads("lift", 7.0, 0.0).await?;
        // Left and come back to: the work and its undo are still in this tab.
        page.eval("location.hash = '#/lesson/4/1'").await?;
        page.on_step("lesson/4/1").await?;
        page.eval("location.hash = '#/lesson/4/play'").await?;
        page.on_step("lesson/4/play").await?;
        page.dial_reads("lift", 7.0, 0.0).await.context(what)?;
        page.press("Undo").await?;
        page.dial_reads("lift", 0.0, 0.0).await.context(what)?;
        ensure!(page.count(".notice").await? == 1, "{what}: one notice says it");
        none(&page.axe().await?)?;
        none(&page.complaints().await?).context(what)?;
    }
    Ok(())
}

/// Makes every writing fail as a full disk does, until `full` is false.
const FULL: &str = "window.full = true; const put = IDBObjectStore.prototype.put; \
    IDBObjectStore.prototype.put = function (...what) { if (window.full) throw new DOMException('full', 'QuotaExceededError'); return put.apply(this, what) }";

#[tokio::test]
async fn k5_a_full_store_keeps_the_old_says_so_and_takes_up_again() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/4/play").await?;
    lift(&page, 4).await?;
    page.kept(SLOT, |d| lift_of(d) == 4.0).await?;
    page.eval(&format!("{{ {FULL} }}")).await?;
    lift(&page, 4).await?;
    page.wait_for_text(".notices", "storage is full").await?;
    page.dial_reads("lift", 8.0, 0.0).await?;
    page.kept(SLOT, |d| lift_of(d) == 4.0).await?;
    // Space freed later is noticed without another edit, and the notice goes.
    page.eval("window.full = false").await?;
    page.wait_until("!document.querySelector('.notice')")
        .await?;
    page.kept(SLOT, |d| lift_of(d) == 8.0).await?;
    ensure!(!page.text(".top").await?.contains("not kept"));

    // Full from the start is told as full; what is kept can still be read, and gone on from.
    before_loading(&page, FULL).await?;
    page.reload().await?;
    page.on_step("lesson/4/play").await?;
    page.dial_reads("lift", 8.0, 0.0).await?;
    page.wait_for_text(".notices", "storage is full").await?;
    lift(&page, 1).await?;
    page.eval("window.full = false").await?;
    page.kept(SLOT, |d| lift_of(d) == 9.0).await?;
    page.wait_until("!document.querySelector('.notice')")
        .await?;
    ensure!(page.records(SLOT).await?.len() == 1);

    let page = Page::start().await?;
    before_loading(&page, FULL).await?;
    page.open_step("lesson/4/play").await?;
    page.wait_for_text(".notices", "storage is full").await?;
    page.eval("window.full = false").await?;
    page.wait_until("!document.querySelector('.notice')")
        .await?;
    none(&page.complaints().await?)
}

/// The tab's own memory says under which name it keeps a place's work.
#[tokio::test]
async fn k6_a_tab_led_astray_writes_over_nothing() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/4/play").await?;
    lift(&page, 4).await?;
    page.kept(SLOT, |d| lift_of(d) == 4.0).await?;
    for name in ["set/look", SLOT, "", "hand~1"] {
        page.eval(&format!("sessionStorage.setItem('handstand/1/sketch', {}); localStorage.setItem('handstand/1/set/look', 'slate')", json!(name)))
            .await?;
        page.open_step("sketch").await?;
        page.press("Add joint").await?;
        page.draw(&[(0.0, 30.0)]).await?;
        page.kept("sketch", |d| {
            d["nodes"].as_array().is_some_and(|n| !n.is_empty())
        })
        .await?;
        page.kept(SLOT, |d| lift_of(d) == 4.0).await?;
        ensure!(
            page.eval("localStorage['handstand/1/set/look']").await? == "slate",
            "{name}"
        );
        ensure!(
            page.records(name).await?.iter().all(|(n, _)| n == SLOT),
            "{name}"
        );
    }
    none(&page.complaints().await?)
}
