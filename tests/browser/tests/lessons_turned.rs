//! The lessons Zero and Turn order: what their tools do, by pointer.

use anyhow::{Result, ensure};
use browser::learner::says;
use browser::{Key, Page, none};

/// Types a value into a dial, pressed by what it reads now.
async fn type_into(page: &Page, reads: &str, value: &str) -> Result<()> {
    page.press(&format!("{reads}: type it")).await?;
    page.chord(Key::Control, 'a').await?;
    page.write(value).await?;
    page.key(Key::Enter).await
}

async fn holds(page: &Page) -> Result<()> {
    let (verdict, findings) = page.check().await?;
    ensure!(verdict == "It holds.", "{findings}");
    none(&page.complaints().await?)
}

/// Each act is seen, and is a step of undo of its own; half done it is kept and taken up again.
#[tokio::test]
async fn a_mount_takes_the_rest_in() -> Result<()> {
    let off = "Tip from where it rested";
    let page = Page::start().await?;
    page.open_step("lesson/zero/2").await?;
    says(
        &page.check().await?.1,
        "The dial of the knuckle is not at nought.",
    )?;
    page.press("Mount above, knuckle").await?;
    page.gauge_reads(off, 0.0, 0.005).await?;
    page.press("Turn the mount by 25°, knuckle").await?;
    // 2·r·sin 12.5°, r the tip's distance from the knuckle.
    page.gauge_reads(off, 33.45, 0.005).await?;
    page.press("Undo").await?;
    page.gauge_reads(off, 0.0, 0.005).await?;
    page.press("Redo").await?;
    type_into(&page, "25.0°, knuckle", "0").await?;
    page.gauge_reads(off, 0.0, 0.005).await?;
    let half = |document: &serde_json::Value| document.to_string().contains("knuckle mount");
    page.kept("lesson-zero-2", half).await?;
    page.reload().await?;
    page.on_step("lesson/zero/2").await?;
    page.press("Mount above, middle joint").await?;
    page.press("Turn the mount by 30°, middle joint").await?;
    page.gauge_reads("Bend at the middle joint", 60.0, 0.05)
        .await?;
    type_into(&page, "30.0°, middle", "0").await?;
    holds(&page).await
}

#[tokio::test]
async fn dials_are_turned_about_and_an_order_is_picked() -> Result<()> {
    let off = "Left tip from its mirror place";
    let page = Page::start().await?;
    page.open_step("lesson/zero/4").await?;
    page.gauge_reads(off, 41.30, 0.005).await?;
    page.press("opposite, twist").await?;
    page.gauge_reads(off, 20.32, 0.005).await?;
    page.press("opposite, spread").await?;
    page.gauge_reads(off, 0.0, 0.005).await?;
    holds(&page).await?;
    page.open_step("lesson/turn-order/2").await?;
    let lock = "Distance to the lock, over all poses";
    page.gauge_reads(lock, 10.0, 0.05).await?;
    page.choose_by_key("Turns, outermost first", "flexion, deviation, twist")
        .await?;
    page.gauge_reads(lock, 60.0, 0.05).await?;
    holds(&page).await
}
