//! Work is kept: over a reload, between two tabs, when the program stops; and everything can be
//! taken back.

use anyhow::{Context, Result, ensure};
use browser::learner::says;
use browser::{Key, Page, none};
use serde_json::{Value, json};

fn value(document: &Value) -> f64 {
    document["dials"][0]["value"].as_f64().unwrap_or_default()
}

/// Lesson 4's first document has one dial, gripped at the wrist.
async fn lift(page: &Page, degrees: i32) -> Result<()> {
    page.nudge("Move wrist", 1.0, degrees, 0).await
}

#[tokio::test]
async fn work_survives_a_reload_and_is_undone_by_button_and_by_key() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/4/play").await?;
    lift(&page, 12).await?;
    page.kept("lesson-4-play", |d| value(d) == 12.0).await?;
    page.reload().await?;
    page.on_step("lesson/4/play").await?;
    page.dial_reads("lift", 12.0, 0.0).await?;

    // What is kept is kept for this step alone.
    page.open_step("lesson/4/3").await?;
    page.dial_reads("lift", 0.0, 0.0).await?;
    page.open_step("lesson/4/play").await?;
    page.dial_reads("lift", 12.0, 0.0).await?;

    // What was undone before the reload cannot be; what is done from here on can.
    // Two drags are two things to undo, each whole.
    let plate = page.plate().await?;
    let wrist = page.grip("Move wrist").await?;
    page.take("Move wrist", &[(wrist.0, wrist.1 + 20.0)])
        .await?;
    let first = page.dial("lift").await?;
    ensure!(first > 20.0, "the drag lifts: {first}");
    page.take("Move wrist", &[(-90.0, 0.0)]).await?;
    page.dial_reads("lift", 0.0, 0.4).await?;
    let last = page.dial("lift").await?;
    page.press("Undo").await?;
    page.wait_until("document.querySelector('.spoken').textContent.startsWith('Undone')")
        .await?;
    page.dial_reads("lift", first, 0.0).await?;
    page.chord(Key::Control, 'z').await?;
    page.dial_reads("lift", 12.0, 0.0).await?;
    page.press("Redo").await?;
    page.dial_reads("lift", first, 0.0).await?;
    page.chord(Key::Control, 'y').await?;
    page.dial_reads("lift", last, 0.0).await?;
    ensure!(page.plate().await?.scale == plate.scale, "the view moved");
    page.kept("lesson-4-play", |d| value(d).abs() < 0.4).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn two_tabs_never_overwrite_each_other() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/4/play").await?;
    let first = page.driver()?.window().await?;
    lift(&page, 5).await?;
    page.kept("lesson-4-play", |d| value(d) == 5.0).await?;

    let second = page.driver()?.new_tab().await?;
    page.driver()?.switch_to_window(second.clone()).await?;
    page.open_step("lesson/4/play").await?;
    page.dial_reads("lift", 5.0, 0.0).await?;
    lift(&page, 20).await?;
    page.kept("lesson-4-play", |d| value(d) == 25.0).await?;

    // The first tab goes on from 5, and does not know of 25.
    page.driver()?.switch_to_window(first.clone()).await?;
    lift(&page, 3).await?;
    page.wait_for_text(".notices", "Other work has been kept here meanwhile")
        .await?;
    page.kept("lesson-4-play", |d| value(d) == 25.0).await?;
    let copies: Vec<f64> = (page.records("lesson-4-play").await?.iter())
        .filter(|(name, _)| name != "lesson-4-play")
        .map(|(_, record)| body(record).map(|d| value(&d)))
        .collect::<Result<_>>()?;
    ensure!(copies == [8.0], "{copies:?}");

    // The copy is this tab's own: a reload goes on with it.
    page.reload().await?;
    page.on_step("lesson/4/play").await?;
    page.dial_reads("lift", 8.0, 0.0).await?;

    // And the second goes on where it was, undisturbed; it can open the copy, and come back.
    page.driver()?.switch_to_window(second).await?;
    page.eval("(() => { dispatchEvent(new Event('focus')); return 0 })()")
        .await?;
    page.wait_for_text(".copies summary", "(1)").await?;
    lift(&page, 1).await?;
    page.kept("lesson-4-play", |d| value(d) == 26.0).await?;
    ensure!(page.count(".notice").await? == 0);
    page.reload().await?;
    page.on_step("lesson/4/play").await?;
    // Opening the copy is a step to undo, and what it replaces stays as a copy too.
    page.press("Other copies (1)").await?;
    page.press_first("Open the copy").await?;
    page.dial_reads("lift", 8.0, 0.0).await?;
    page.press("Undo").await?;
    page.dial_reads("lift", 26.0, 0.0).await?;
    page.wait_for_text(".copies summary", "(2)").await?;
    none(&page.complaints().await?)
}

fn body(record: &Value) -> Result<Value> {
    Ok(serde_json::from_str(
        record["body"].as_str().context("a body")?,
    )?)
}

/// The route changes before the next lesson has come: what was on the plate is kept where it belongs.
#[tokio::test]
async fn leaving_in_haste_keeps_each_figure_in_its_place() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/4/play").await?;
    page.eval(
        "(() => { const quick = window.fetch; window.fetch = (what, ...rest) => String(what).includes('05-side-lean') \
           ? new Promise((go) => setTimeout(go, 1200)).then(() => quick(what, ...rest)) : quick(what, ...rest); return 0 })()",
    )
    .await?;
    lift(&page, 7).await?;
    page.eval("(() => { location.hash = '#/lesson/5/1'; return 0 })()")
        .await?;
    // Longer than a save waits after a change, shorter than the lesson takes.
    tokio::time::sleep(std::time::Duration::from_millis(700)).await;
    page.on_step("lesson/5/1").await?;
    page.wait_for(".bead[data-node='inner edge']").await?;
    ensure!(page.count(".bead[data-node='knuckle pivot']").await? == 0);
    page.kept("lesson-4-play", |d| value(d) == 7.0).await?;
    none(&page.complaints().await?)
}

/// Every look into the store takes a second or so, once `slow`.
const SLOW: &str = "(() => { const get = IDBObjectStore.prototype.get; IDBObjectStore.prototype.get = function (...what) { \
    for (let i = 0; window.slow && i < 20000; i++) get.apply(this, what); return get.apply(this, what) }; return 0 })()";

/// A figure left and come back to before another had come can be worked on while it is read again.
#[tokio::test]
async fn work_done_while_its_place_is_read_again_stays() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("sketch").await?;
    page.press("Add joint").await?;
    page.draw(&[(-60.0, 20.0)]).await?;
    let nodes = |d: &Value| d["nodes"].as_array().map_or(0, Vec::len);
    page.kept("sketch", |d| nodes(d) == 1).await?;
    page.eval(SLOW).await?;
    page.eval("(() => { slow = true; location.hash = '#/'; return 0 })()")
        .await?;
    page.wait_for(".contents").await?;
    page.eval("(() => { location.hash = '#/sketch'; return 0 })()")
        .await?;
    page.wait_for(".plate").await?;
    page.press("Add joint").await?;
    page.draw(&[(20.0, 20.0)]).await?;
    page.wait_until("document.querySelectorAll('.bead').length === 2")
        .await?;
    // Longer than the reading takes.
    tokio::time::sleep(std::time::Duration::from_millis(2500)).await;
    page.eval("(() => { slow = false; return 0 })()").await?;
    ensure!(page.count(".bead").await? == 2, "the joint is gone");
    page.kept("sketch", |d| nodes(d) == 2).await?;
    page.press("Undo").await?;
    page.press("Undo").await?;
    page.kept("sketch", |d| nodes(d) == 0).await?;
    none(&page.complaints().await?)
}

/// A tab is loaded anew before its last change was written, and another tab was there first.
#[tokio::test]
async fn a_last_word_that_came_too_late_is_gone_on_with() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/4/play").await?;
    let first = page.driver()?.window().await?;
    let second = page.driver()?.new_window().await?;
    page.driver()?.switch_to_window(second.clone()).await?;
    page.open_step("lesson/4/play").await?;
    page.driver()?.switch_to_window(first).await?;
    lift(&page, 5).await?;
    page.kept("lesson-4-play", |d| value(d) == 5.0).await?;
    page.driver()?.switch_to_window(second).await?;
    // The last change is made as the page goes.
    page.eval(
        "(() => { addEventListener('beforeunload', () => { const e = document.querySelector('.dial input[type=range]'); \
         e.value = 20; e.dispatchEvent(new Event('input', { bubbles: true })); }); return 0 })()",
    )
    .await?;
    page.reload().await?;
    page.on_step("lesson/4/play").await?;
    page.dial_reads("lift", 20.0, 0.0).await?;
    page.wait_for_text(".notices", "this tab's work is kept beside it")
        .await?;
    page.wait_for_text(".copies summary", "(1)").await?;
    page.kept("lesson-4-play", |d| value(d) == 5.0).await?;
    lift(&page, 1).await?;
    page.dial_reads("lift", 21.0, 0.0).await?;
    page.reload().await?;
    page.on_step("lesson/4/play").await?;
    page.dial_reads("lift", 21.0, 0.0).await?;
    ensure!(page.records("lesson-4-play").await?.len() == 2);
    none(&page.complaints().await?)
}

/// What is asked for in one place is not put into another.
#[tokio::test]
async fn an_example_that_comes_late_is_not_opened_elsewhere() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("sketch").await?;
    page.eval(
        "(() => { const quick = window.fetch; window.fetch = (what, ...rest) => String(what).includes('bench-press-chain') \
           ? new Promise((go) => window.late = go).then(() => quick(what, ...rest)) : quick(what, ...rest); return 0 })()",
    )
    .await?;
    page.press("Open example").await?;
    page.wait_until("!!window.late").await?;
    page.eval("(() => { location.hash = '#/lesson/4/play'; return 0 })()")
        .await?;
    page.on_step("lesson/4/play").await?;
    let before = page.document().await?;
    page.eval("(() => { late(); return 0 })()").await?;
    tokio::time::sleep(std::time::Duration::from_millis(700)).await;
    ensure!(page.document().await? == before);
    page.wait_until("document.querySelector('.top button[title^=\"Nothing to undo\"]') !== null")
        .await?;
    none(&page.complaints().await?)
}

/// A prediction half drawn, and one that was shown, are there again after a reload and when their
/// step is come back to.
#[tokio::test]
async fn l2_a_prediction_comes_back_as_it_was_left() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/1/1").await?;
    page.press("Now predict").await?;
    page.draw(&[(57.0, 85.0)]).await?;
    let kept = "JSON.parse(sessionStorage.getItem('handstand/1/set/drawing') || '{}')";
    page.wait_until(&format!("{kept}.pin?.length === 3"))
        .await?;
    page.reload().await?;
    page.on_step("lesson/1/1").await?;
    // Held still, and no answer told.
    page.wait_until("!!document.querySelector('.desk-dials[inert]')")
        .await?;
    page.dial_reads("wrist turn", 0.0, 0.0).await?;
    ensure!(page.count(".box.now .verdict").await? == 0);
    let said = page.reveal().await?;
    says(&said, "Right. Your pin is 0.")?;
    page.dial_reads("wrist turn", 30.0, 0.0).await?;
    page.wait_until(&format!("{kept}.seen")).await?;
    page.reload().await?;
    page.on_step("lesson/1/1").await?;
    page.wait_for_text(".box.now .verdict", &said).await?;
    page.eval("location.hash = '#/lesson/1/2'").await?;
    page.on_step("lesson/1/2").await?;
    ensure!(page.count(".box.now .verdict").await? == 0);
    page.eval("location.hash = '#/lesson/1/1'").await?;
    page.on_step("lesson/1/1").await?;
    page.wait_for_text(".box.now .verdict", &said).await?;
    // What nobody drew is nothing.
    page.eval("void sessionStorage.setItem('handstand/1/set/drawing', '{\"slot\": 7')")
        .await?;
    page.eval("location.hash = '#/lesson/2/1'").await?;
    page.on_step("lesson/2/1").await?;
    page.press("Now predict").await?;
    none(&page.complaints().await?)
}

/// Steps done in two tabs are both done.
#[tokio::test]
async fn progress_of_two_tabs_is_joined() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/1/1").await?;
    page.eval("(() => { localStorage.setItem('handstand/1/set/done', 'lesson-5-1'); return 0 })()")
        .await?;
    page.press("Now predict").await?;
    page.draw(&[(57.0, 85.0)]).await?;
    page.reveal().await?;
    let done = page
        .eval("localStorage.getItem('handstand/1/set/done')")
        .await?;
    ensure!(done == json!("lesson-1-1 lesson-5-1"), "{done}");
    none(&page.complaints().await?)
}

#[tokio::test]
async fn a_panic_loses_no_saved_work() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/4/play").await?;
    lift(&page, 9).await?;
    page.kept("lesson-4-play", |d| value(d) == 9.0).await?;
    let thrown = page.app("app.panicForTest()").await;
    ensure!(thrown.is_err(), "it did not panic");
    page.wait_for_text("[role=alert] h2", "Handstand has stopped")
        .await?;
    let said = page.text(".alarm").await?;
    says(&said, "Your saved work is safe")?;
    ensure!(
        page.eval("document.activeElement.textContent").await? == "Reopen the last saved state",
        "{said}"
    );
    none(&page.axe().await?)?;
    page.press("Reopen the last saved state").await?;
    page.wait_until("!document.querySelector('.alarm')").await?;
    page.on_step("lesson/4/play").await?;
    page.dial_reads("lift", 9.0, 0.0).await
}
