//! The random walk sees what it is there to see: each fault is planted once. And it tells it in the
//! fewest acts.

use anyhow::{Context, Result, ensure};
use browser::walk::{Act, Doer, Kind, Plan, Stroke, walk};
use browser::{Browser, Page, StaticHost, given};
use std::path::Path;
use std::time::Duration;

const STEP: &str = "#/lesson/4/play";

fn go(to: &str) -> Act {
    Act::Go(to.into())
}

/// Plants a fault in a step's page; the next act must find it.
async fn finds(page: &Page, plant: &str, kind: Kind) -> Result<()> {
    let mut doer = Doer::start(page).await?;
    let arrived = doer.take(&go(STEP)).await;
    ensure!(arrived == Ok(true), "{arrived:?}");
    // What is planted may well throw.
    page.app(&format!("({plant}, 0)")).await.ok();
    doer.patience = Duration::from_secs(6);
    let found = doer.take(&Act::Key(Stroke::Escape, 1)).await;
    let found = found.err().with_context(|| format!("not found: {plant}"))?;
    ensure!(found.kind == kind, "{plant} is found as {found}");
    Ok(())
}

#[tokio::test]
async fn what_must_not_be_is_found() -> Result<()> {
    let page = Page::start().await?;
    for (plant, kind) in [
        ("app.panicForTest()", Kind::Stopped),
        ("console.error('crumbs')", Kind::Complaint),
        ("console.warn('crumbs')", Kind::Complaint),
        (
            "document.querySelector('.engraved').setAttribute('d', 'MNaN 0')",
            Kind::Senseless,
        ),
        (
            "document.querySelector('output').textContent = '-Infinity'",
            Kind::Senseless,
        ),
        (
            "document.querySelector('canvas').getContext('2d').lineTo(NaN, 1)",
            Kind::Senseless,
        ),
        ("fetch('http://127.0.0.1:9/').catch(() => 0)", Kind::Foreign),
        // Last, for the page is gone with it.
        ("setTimeout(() => { for (;;); })", Kind::Mute),
    ] {
        finds(&page, plant, kind).await?;
    }
    Ok(())
}

/// A program that ends without a panic leaves its locks shut, and what it stops over then is not
/// what was wrong.
#[tokio::test]
async fn what_came_before_a_stop_is_told() -> Result<()> {
    let page = Page::start().await?;
    let mut doer = Doer::start(&page).await?;
    ensure!(doer.take(&go(STEP)).await == Ok(true));
    let plant = "console.error('crumbs'), app.panicForTest()";
    page.app(&format!("({plant}, 0)")).await.ok();
    let found = doer.take(&Act::Key(Stroke::Escape, 1)).await.err();
    let found = found.context("not found")?;
    ensure!(found.kind == Kind::Stopped, "{found}");
    let (stop, before) = found
        .said
        .split_once("\nbefore it, ")
        .context("nothing before it")?;
    ensure!(
        stop.contains("asked for by a test") && before.contains("crumbs"),
        "{found}"
    );
    ensure!(!before.contains("asked for by a test"), "{found}");
    Ok(())
}

/// Turns the dial of the step by one arrow key.
async fn turn(doer: &mut Doer<'_>) -> Result<()> {
    for act in [
        Act::Press("handle “Move wrist”".into()),
        Act::Slide("slider “lift”".into(), 0.6),
    ] {
        let done = doer.take(&act).await;
        ensure!(done == Ok(true), "{act}: {done:?}");
    }
    Ok(())
}

#[tokio::test]
async fn work_that_cannot_be_taken_back_is_found() -> Result<()> {
    let page = Page::start().await?;
    let mut doer = Doer::start(&page).await?;
    ensure!(doer.take(&go(STEP)).await == Ok(true));
    turn(&mut doer).await?;
    ensure!(doer.take(&Act::TakeBack).await == Ok(true));
    // Loaded anew behind the walk's back: the work is kept, the way back is not.
    page.reload().await?;
    page.on_step("lesson/4/play").await?;
    let found = doer.take(&Act::TakeBack).await.err();
    ensure!(
        found.as_ref().is_some_and(|f| f.kind == Kind::NotTakenBack),
        "{found:?}"
    );
    Ok(())
}

#[tokio::test]
async fn work_that_does_not_come_back_is_found() -> Result<()> {
    let page = Page::start().await?;
    let mut doer = Doer::start(&page).await?;
    ensure!(doer.take(&go(STEP)).await == Ok(true));
    turn(&mut doer).await?;
    ensure!(doer.take(&go("#/")).await == Ok(true));
    page.forget_all().await?;
    page.open("#/", browser::Size::DESKTOP, browser::Look::Paper)
        .await?;
    let found = doer.take(&go(STEP)).await.err();
    ensure!(
        found.as_ref().is_some_and(|f| f.kind == Kind::NotKept),
        "{found:?}"
    );
    Ok(())
}

fn copy(from: &Path, to: &Path) -> Result<()> {
    std::fs::create_dir_all(to)?;
    for entry in std::fs::read_dir(from)? {
        let entry = entry?;
        let there = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            copy(&entry.path(), &there)?;
        } else {
            std::fs::copy(entry.path(), there)?;
        }
    }
    Ok(())
}

/// A site that shows NaN once the slate look is chosen with the projector on.
#[tokio::test]
async fn a_failing_walk_is_told_in_the_fewest_acts() -> Result<()> {
    let site = tempfile::tempdir()?;
    copy(Path::new(&given("HANDSTAND_SITE_FOLDER")?), site.path())?;
    let boot = std::fs::read_dir(site.path())?
        .filter_map(|entry| Some(entry.ok()?.path()))
        .find(|path| {
            let name = path.file_name().and_then(|name| name.to_str());
            name.is_some_and(|name| name.starts_with("boot") && name.ends_with(".js"))
        })
        .context("the site has no boot script")?;
    let own = std::fs::read_to_string(&boot)?;
    let plant = "\naddEventListener('click', (e) => { if (e.target.innerText === 'Slate' && \
        document.documentElement.dataset.projector === 'on') document.body.append('NaN'); });\n";
    std::fs::write(&boot, own + plant)?;
    let host = StaticHost::serve(site.path(), "").await?;
    let plan = Plan {
        site: host.address.clone(),
        seed: 3,
        acts: 400,
        patience: Duration::from_secs(240),
    };
    let said = walk(Browser::Chromium, &plan).await.err();
    let said = said.context("the walk passes")?.to_string();
    for words in [
        "seed 3, act",
        "2 acts still fail",
        "press button “Projector”\n  press button “Slate”",
        "HANDSTAND_REPLAY='[{\"press\"",
    ] {
        ensure!(said.contains(words), "'{words}' is not in {said}");
    }
    Ok(())
}
