//! What replaces work can be taken back, and what it replaced stays as a copy.

use anyhow::{Context, Result, ensure};
use browser::{Key, Page, none};
use serde_json::Value;

fn nodes(document: &Value) -> usize {
    document["nodes"].as_array().map_or(0, Vec::len)
}

async fn document(page: &Page) -> Result<Value> {
    Ok(serde_json::from_str(
        &page.document().await?.context("a document")?,
    )?)
}

async fn hold(page: &Page, wanted: impl Fn(&Value) -> bool) -> Result<Value> {
    for _ in 0..400 {
        let now = document(page).await?;
        if wanted(&now) {
            return Ok(now);
        }
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
    }
    anyhow::bail!("the plate never held it: {}", document(page).await?)
}

async fn draw(page: &Page, joints: usize) -> Result<Value> {
    page.press("Add joint").await?;
    for at in 0..joints {
        page.draw(&[(-60.0 + 40.0 * at as f64, 20.0)]).await?;
        hold(page, |d| nodes(d) == at + 1).await?;
    }
    page.press("Drag").await?;
    document(page).await
}

/// The bodies of a place's copies.
async fn copies(page: &Page, slot: &str) -> Result<Vec<Value>> {
    let records = page.records(slot).await?;
    let copies = records.iter().filter(|(name, _)| name != slot);
    copies
        .map(|(_, r)| Ok(serde_json::from_str(r["body"].as_str().context("a body")?)?))
        .collect()
}

#[tokio::test]
async fn c2_new_open_and_start_again_are_undone_and_leave_copies() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("sketch").await?;
    let drawn = draw(&page, 3).await?;
    page.press("New").await?;
    hold(&page, |d| nodes(d) == 0).await?;
    page.wait_for_text(".copies summary", "(1)").await?;
    page.press("Undo").await?;
    hold(&page, |d| *d == drawn).await?;
    page.press("Redo").await?;
    hold(&page, |d| nodes(d) == 0).await?;
    page.press("Undo").await?;

    page.press("Open example").await?;
    let example = hold(&page, |d| nodes(d) > 3).await?;
    page.press("Undo").await?;
    hold(&page, |d| *d == drawn).await?;
    page.press("Redo").await?;
    hold(&page, |d| *d == example).await?;
    page.press("New").await?;
    page.wait_for_text(".copies summary", "(2)").await?;
    let kept = copies(&page, "sketch").await?;
    ensure!(kept.contains(&drawn) && kept.contains(&example), "{kept:?}");

    // Twice the same is one copy, and a copy is opened as a step to undo, after a reload too.
    page.press("Undo").await?;
    page.press("New").await?;
    hold(&page, |d| nodes(d) == 0).await?;
    page.kept("sketch", |d| nodes(d) == 0).await?;
    page.reload().await?;
    page.wait_for_text(".copies summary", "(2)").await?;
    page.press("Other copies (2)").await?;
    page.press_first("Open the copy").await?;
    let opened = hold(&page, |d| nodes(d) > 0).await?;
    ensure!(opened == drawn || opened == example, "{opened}");
    page.press("Undo").await?;
    hold(&page, |d| nodes(d) == 0).await?;
    none(&page.axe().await?)?;
    none(&page.complaints().await?)
}

/// From one hand to another and back: what was done can still be undone.
#[tokio::test]
async fn c2_coming_back_keeps_what_can_be_undone() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("hand").await?;
    let first = document(&page).await?;
    page.nudge("Move wrist", 1.0, 6, 0).await?;
    let lifted = hold(&page, |d| *d != first).await?;
    for other in ["hand/rail-lean", "sketch", "lesson/4/play"] {
        page.eval(&format!("location.hash = '#/{other}'")).await?;
        page.on_step(other).await?;
        hold(&page, |d| *d != lifted).await?;
        page.eval("location.hash = '#/hand'").await?;
        page.on_step("hand").await?;
        hold(&page, |d| *d == lifted).await?;
    }
    page.press("Undo").await?;
    hold(&page, |d| *d == first).await?;
    page.press("Redo").await?;
    hold(&page, |d| *d == lifted).await?;
    page.press("Start again").await?;
    hold(&page, |d| *d == first).await?;
    page.press("Undo").await?;
    hold(&page, |d| *d == lifted).await?;
    ensure!(copies(&page, "hand").await?.contains(&lifted));
    none(&page.complaints().await?)
}

/// Building the hand anew does away with pivots moved by hand: a copy keeps them.
#[tokio::test]
async fn c2_a_hand_built_anew_leaves_a_copy_of_the_old() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("hand").await?;
    page.nudge("Move wrist", 1.0, 5, 0).await?;
    let lifted = hold(&page, |d| d["dials"].to_string().contains("\"value\":5")).await?;
    page.press("Plan").await?;
    page.press("Left").await?;
    hold(&page, |d| d["hand"] != lifted["hand"]).await?;
    page.wait_for_text(".copies summary", "(1)").await?;
    ensure!(copies(&page, "hand").await? == std::slice::from_ref(&lifted));
    page.press("Undo").await?;
    hold(&page, |d| *d == lifted).await?;
    none(&page.complaints().await?)
}

/// A mount is added, and a key held down is pressed, in one step each.
#[tokio::test]
async fn c4_one_act_is_one_step_of_undo() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("sketch").await?;
    page.press("Add mount").await?;
    page.draw(&[(10.0, 30.0)]).await?;
    hold(&page, |d| nodes(d) == 1).await?;
    page.press("Undo").await?;
    hold(&page, |d| nodes(d) == 0).await?;
    page.wait_for_text(".spoken", "Undone: add mount").await?;
    let disabled = "[...document.querySelectorAll('.top button')].find((b) => b.innerText === 'Undo').disabled";
    ensure!(page.eval(disabled).await? == true);

    page.open_step("hand").await?;
    let first = document(&page).await?;
    page.nudge("Move wrist", 1.0, 16, 0).await?;
    hold(&page, |d| d["dials"].to_string().contains("\"value\":16")).await?;
    page.chord(Key::Control, 'z').await?;
    hold(&page, |d| *d == first).await?;
    ensure!(page.eval(disabled).await? == true);
    // Another thing moved is another step.
    page.nudge("Move wrist", 1.0, 2, 0).await?;
    let lifted = hold(&page, |d| *d != first).await?;
    page.nudge("Move lean handle", 1.0, 3, 0).await?;
    hold(&page, |d| *d != lifted).await?;
    page.chord(Key::Control, 'z').await?;
    hold(&page, |d| *d == lifted).await?;
    page.chord(Key::Control, 'z').await?;
    hold(&page, |d| *d == first).await?;
    none(&page.complaints().await?)
}

/// A refusal leaves with the next act that succeeds, and never follows to another page.
#[tokio::test]
async fn n1_a_notice_leaves_with_what_it_speaks_of() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/4/1").await?;
    page.press("By name or by number").await?;
    page.choose_by_key("The wrist hangs from", "knuckle")
        .await?;
    page.press("Hang it").await?;
    page.wait_for(".refused").await?;
    page.eval("location.hash = '#/lesson/4/2'").await?;
    page.on_step("lesson/4/2").await?;
    page.wait_until("!document.querySelector('.notice, .refused')")
        .await?;
    page.eval("location.hash = '#/lesson/4/1'").await?;
    page.on_step("lesson/4/1").await?;
    ensure!(page.count(".refused").await? == 0, "it came back");

    page.open_step("sketch").await?;
    draw(&page, 2).await?;
    page.press("Turn dial").await?;
    page.press("Turn dial").await?;
    page.wait_for(".notice").await?;
    let refused = document(&page).await?;
    page.press("Undo").await?;
    page.wait_until("!document.querySelector('.notice')")
        .await?;
    page.press("Redo").await?;
    ensure!(document(&page).await? == refused);
    none(&page.complaints().await?)
}

/// A dial that turns a joint is given to it once.
#[tokio::test]
async fn c3_a_second_turn_dial_doubles_nothing() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("sketch").await?;
    draw(&page, 2).await?;
    page.press("Turn dial").await?;
    let once = hold(&page, |d| {
        d["dials"].as_array().is_some_and(|d| !d.is_empty())
    })
    .await?;
    page.press("Turn dial").await?;
    page.wait_for_text(".notice", "already turns").await?;
    ensure!(document(&page).await? == once);
    page.nudge("Move joint 2", 5.0, 6, 0).await.ok();
    none(&page.complaints().await?)
}
