//! The gallery of gestures: one of the user's own built, kept, taken to the other hand and removed;
//! the twenty mixed in by keys alone; two tabs; a store that cannot be read, or takes nothing.

use anyhow::{Result, ensure};
use browser::hand_page::value;
use browser::{Browser, Key, Look, Page, Size, none};
use hand::gesture::Gesture;
use rig::Posed;
use serde_json::json;

const KEPT: &str = "localStorage.getItem('handstand/1/set/gestures')";

async fn open(page: &Page) -> Result<()> {
    page.open_step("hand").await?;
    page.press("Fingers").await?;
    page.wait_for(".gesture").await
}

/// The figure of this name.
fn figure(name: &str) -> String {
    format!(
        "[...document.querySelectorAll('.gesture')].find((g) => g.innerText.trim() === {})",
        json!(name)
    )
}

async fn choose(page: &Page, name: &str) -> Result<()> {
    // Where it stays: a sheet that is drawn up scrolls the page.
    page.wait_until(&format!(
        "(() => {{ const e = {}; if (!e) return false; const t = e.getBoundingClientRect().top; \
         const same = window.stood === t; window.stood = t; return same; }})()",
        figure(name)
    ))
    .await?;
    page.press(name).await?;
    page.wait_for_text(".gallery-caption", name).await
}

/// Every figure has been drawn.
async fn all_drawn(page: &Page, count: usize) -> Result<()> {
    page.wait_until(&format!(
        "document.querySelectorAll('.gesture').length === {count} && \
         [...document.querySelectorAll('.gesture svg')].every((s) => s.querySelector('path'))"
    ))
    .await
}

async fn shape(page: &Page) -> Result<Gesture> {
    let text = page.document().await?.unwrap_or_default();
    Ok(Gesture::of(&Posed::new(&hand::read(&text)?)?, "now"))
}

/// Waits until the hand has this shape, within a millionth of a degree.
async fn has(page: &Page, wanted: &Gesture) -> Result<()> {
    let mut last = shape(page).await?;
    for _ in 0..200 {
        if off(&last, wanted) < 1e-6 {
            return Ok(());
        }
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
        last = shape(page).await?;
    }
    anyhow::bail!("{last:?}, not {wanted:?}")
}

fn off(a: &Gesture, b: &Gesture) -> f64 {
    let all = |g: &Gesture| -> Vec<f64> {
        let fingers = g.fingers.iter().map(|f| (*f).into());
        let thumb = g.thumb.map(<[f64; 5]>::from);
        fingers.chain(thumb).flatten().collect()
    };
    let pairs = all(a).into_iter().zip(all(b));
    pairs.fold(0.0, |most, (a, b)| f64::max(most, (a - b).abs()))
}

/// Types into the percent's field and applies it.
async fn apply(page: &Page, percent: &str) -> Result<()> {
    page.click("#gallery-percent").await?;
    page.eval("document.querySelector('#gallery-percent').select()")
        .await?;
    page.write(percent).await?;
    page.key(Key::Enter).await
}

async fn for_whom(page: &Page, name: &str) -> Result<()> {
    let set = page
        .eval(&format!(
            "(() => {{ const s = document.querySelector('[aria-label=\"For whom\"]'); \
             const o = [...s.options].find((o) => o.text === {}); if (!o) return false; \
             s.value = o.value; s.dispatchEvent(new Event('change', {{ bubbles: true }})); return true; }})()",
            json!(name)
        ))
        .await?;
    ensure!(set == true, "nobody is called {name}");
    Ok(())
}

#[tokio::test]
async fn a_gesture_is_built_kept_undone_and_put_on_the_other_hand() -> Result<()> {
    let page = Page::start_in(Browser::Chromium).await?;
    open(&page).await?;
    all_drawn(&page, 20).await?;
    let flat = shape(&page).await?;
    choose(&page, "cup").await?;
    page.wait_for_text(".gallery-stays", "planted and stay")
        .await?;
    apply(&page, "120/2").await?;
    page.wait_for("button[title=\"Undo: mix in cup\"]").await?;
    let built = shape(&page).await?;
    ensure!(off(&built, &flat) > 5.0, "{built:?}");

    page.press("Keep this gesture").await?;
    for (bad, told) in [("", "needs a name"), ("fist", "one of the twenty")] {
        page.eval("document.querySelector('.gallery-name input').select()")
            .await?;
        page.write(bad).await?;
        page.key(Key::Enter).await?;
        page.wait_for_text("#gallery-name-amiss", told).await?;
    }
    page.eval("document.querySelector('.gallery-name input').select()")
        .await?;
    page.write("dough cup").await?;
    page.key(Key::Enter).await?;
    all_drawn(&page, 21).await?;

    page.press("Undo").await?;
    has(&page, &flat).await?;
    page.reload().await?;
    page.on_step("hand").await?;
    all_drawn(&page, 21).await?;

    page.press("Plan").await?;
    page.press("Left").await?;
    page.kept("hand", |d| d["hand"]["hand"]["side"] == "left")
        .await?;
    page.press("Fingers").await?;
    all_drawn(&page, 21).await?;
    choose(&page, "dough cup").await?;
    page.press("dough cup").await?;
    has(&page, &built).await?;

    choose(&page, "fist").await?;
    for_whom(&page, "little finger").await?;
    apply(&page, "30").await?;
    let fist = hand::gesture::starters()
        .find(|g| g.name == "fist")
        .unwrap();
    let mut wanted = built.clone();
    let (from, to): ([f64; 5], [f64; 5]) = (built.fingers[3].into(), fist.fingers[3].into());
    wanted.fingers[3] = [0, 1, 2, 3, 4]
        .map(|i| from[i] + 0.3 * (to[i] - from[i]))
        .into();
    has(&page, &wanted).await?;
    apply(&page, "101").await?;
    page.wait_for_text("#gallery-amiss", "100 is the most")
        .await?;

    choose(&page, "dough cup").await?;
    page.press("Remove").await?;
    page.wait_for_text(".gallery-caption", "is removed").await?;
    ensure!(page.count(".gesture").await? == 20);
    page.press("Put it back").await?;
    all_drawn(&page, 21).await?;
    page.press("Remove").await?;
    page.reload().await?;
    page.on_step("hand").await?;
    all_drawn(&page, 20).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn by_keys_alone() -> Result<()> {
    let page = Page::start_in(Browser::Chromium).await?;
    open(&page).await?;
    all_drawn(&page, 20).await?;
    page.eval(&format!("{}.id = 'wanted'", figure("fist")))
        .await?;
    page.tab_to("#wanted").await?;
    page.key(Key::Enter).await?;
    page.wait_until("document.activeElement.id === 'gallery-percent'")
        .await?;
    page.write("60/2").await?;
    page.wait_for_text(".gallery-caption", "= 30").await?;
    page.key(Key::Enter).await?;
    page.wait_for("button[title=\"Undo: mix in fist\"]").await?;
    page.key(Key::Escape).await?;
    page.wait_until("document.activeElement.id === 'wanted'")
        .await?;
    page.tab_to("#gallery-keep").await?;
    page.key(Key::Enter).await?;
    page.wait_for(".gallery-name input").await?;
    page.write("by keys").await?;
    page.key(Key::Enter).await?;
    all_drawn(&page, 21).await?;
    page.wait_until("document.activeElement.id === 'gallery-keep'")
        .await?;
    let kept = page.kept("hand", |d| value(d, "lift").is_some()).await?;
    ensure!(kept.is_object());
    none(&page.complaints().await?)
}

#[tokio::test]
async fn what_one_tab_keeps_another_lists() -> Result<()> {
    let page = Page::start_in(Browser::Chromium).await?;
    open(&page).await?;
    let first = page.driver()?.window().await?;
    let second = page.driver()?.new_tab().await?;
    page.driver()?.switch_to_window(second.clone()).await?;
    open(&page).await?;
    page.press("Keep this gesture").await?;
    page.wait_for(".gallery-name input").await?;
    page.write("from another tab").await?;
    page.key(Key::Enter).await?;
    all_drawn(&page, 21).await?;
    page.driver()?.switch_to_window(first).await?;
    page.press("Press").await?;
    page.press("Fingers").await?;
    all_drawn(&page, 21).await?;
    page.press("Keep this gesture").await?;
    page.wait_for(".gallery-name input").await?;
    page.write("from the first").await?;
    page.key(Key::Enter).await?;
    all_drawn(&page, 22).await?;
    page.driver()?.switch_to_window(second).await?;
    all_drawn(&page, 22).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn what_cannot_be_read_is_put_aside() -> Result<()> {
    let page = Page::start_in(Browser::Chromium).await?;
    open(&page).await?;
    page.eval("localStorage.setItem('handstand/1/set/gestures', '{\"of\": \"another build\"}')")
        .await?;
    page.press("Press").await?;
    page.press("Fingers").await?;
    page.wait_for_text(".notice", "put aside").await?;
    ensure!(page.eval(KEPT).await?.is_null());
    page.press("Keep this gesture").await?;
    page.wait_for(".gallery-name input").await?;
    page.write("after it").await?;
    page.key(Key::Enter).await?;
    all_drawn(&page, 21).await?;
    let aside = page
        .eval("localStorage.getItem('handstand/1/set/gestures~aside-1')")
        .await?;
    ensure!(aside == json!("{\"of\": \"another build\"}"), "{aside}");
    // A store that takes nothing: what is kept then is there until the page goes, and that is said.
    page.eval("Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); }")
        .await?;
    page.press("Keep this gesture").await?;
    page.wait_for(".gallery-name input").await?;
    page.write("in memory").await?;
    page.key(Key::Enter).await?;
    page.wait_for_text(".notice", "only until this page closes")
        .await?;
    all_drawn(&page, 22).await?;
    page.press("Press").await?;
    page.press("Fingers").await?;
    all_drawn(&page, 22).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn axe_finds_nothing_and_targets_are_large() -> Result<()> {
    let page = Page::start_in(Browser::Chromium).await?;
    for look in Look::ALL {
        for size in Size::ALL {
            page.open("#/hand", size, look).await?;
            page.arrived().await?;
            page.press("Fingers").await?;
            if size == Size::PHONE {
                page.press("Gestures").await?;
            }
            all_drawn(&page, 20).await?;
            choose(&page, "fist").await?;
            none(&page.axe().await?)?;
            let least = if size == Size::PHONE { 44 } else { 24 };
            let small = page
                .eval(&format!(
                    "[...document.querySelectorAll('.gallery :is(button, input, select)')].filter((e) => {{ \
                     const r = e.getBoundingClientRect(); return r.width < {least} || r.height < {least}; }}).map((e) => e.outerHTML)"
                ))
                .await?;
            ensure!(small == json!([]), "{} {}: {small}", size.name, look.name());
            if let Ok(folder) = std::env::var("HANDSTAND_SHOTS") {
                let name = format!("gallery-{}-{}.png", size.name, look.name());
                page.screenshot(&std::path::Path::new(&folder).join(name))
                    .await?;
            }
        }
    }
    none(&page.complaints().await?)
}
