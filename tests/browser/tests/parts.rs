//! Parts of the module that come when wanted: late, not at all, and on a second try.

use anyhow::{Result, ensure};
use browser::{Look, Page, Size, none};
use serde_json::json;

/// Lets no part of the module through that is not the main one, or all again.
async fn block(page: &Page, urls: &[&str]) -> Result<()> {
    page.devtools("Network.enable", json!({})).await?;
    page.devtools("Network.setBlockedURLs", json!({ "urls": urls }))
        .await?;
    Ok(())
}

async fn go(page: &Page, hash: &str) -> Result<()> {
    page.eval(&format!("location.hash = {}", json!(hash)))
        .await?;
    Ok(())
}

#[tokio::test]
async fn a_part_that_cannot_be_fetched_is_told_and_asked_for_again() -> Result<()> {
    let page = Page::start().await?;
    for (place, title) in [("#/hand", "bench-press"), ("#/sketch", "Sketch")] {
        page.open("?nosw", Size::DESKTOP, Look::Slate).await?;
        block(&page, &["*split_*"]).await?;
        go(&page, place).await?;
        page.wait_for_text("#page [role=alert]", "could not be fetched")
            .await?;
        none(&page.axe().await?)?;
        // What needs no part goes on as ever, and the way back leads to the same words.
        go(&page, "#/lesson/1/1").await?;
        page.wait_for(".dial input").await?;
        go(&page, place).await?;
        page.wait_for_text("#page [role=alert]", "could not be fetched")
            .await?;
        block(&page, &[]).await?;
        page.press("Try again").await?;
        page.wait_for_text("h1", title).await?;
        page.wait_for(".desk").await?;
        ensure!(page.count(".lost").await? == 0);
    }
    Ok(())
}

#[tokio::test]
async fn a_lesson_that_surveys_fetches_the_map_alone() -> Result<()> {
    let page = Page::start().await?;
    let parts = "performance.getEntriesByType('resource').filter((r) => r.name.includes('split_')).map((r) => r.name.match(/split_[a-z]+/)[0]).join()";
    page.open("?nosw#/lesson/1/1", Size::DESKTOP, Look::Paper)
        .await?;
    ensure!(page.eval(parts).await? == "", "lesson 1 needs no part");
    page.open("?nosw#/lesson/8/2", Size::DESKTOP, Look::Paper)
        .await?;
    page.wait_for(".map-panel").await?;
    let fetched = page.eval(parts).await?;
    ensure!(fetched == "split_hand", "{fetched}");
    none(&page.complaints().await?)
}
