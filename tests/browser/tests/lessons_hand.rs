//! Lessons 6 to 9, the whole hand, worked through with a mouse.

use anyhow::{Context, Result, ensure};
use browser::learner::{near, number_before, says};
use browser::{Page, none};
use course::{Lesson, Truth};
use figure::{Sight, View};
use rig::{Posed, Vec3};
use std::path::Path;

/// A lesson as its file gives it: where its nodes are is computed here, not read off the screen.
fn lesson(file: &str) -> Result<Lesson> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../lessons");
    let text = std::fs::read_to_string(folder.join(format!("{file}.lesson.json")))?;
    Ok(course::read(&text)?)
}

fn figure_of(lesson: &Lesson, step: usize) -> &Posed {
    lesson.figure(&lesson.steps[step])
}

/// A world point as a view sees it: so far right, so far up.
fn seen(sight: Sight, at: &Vec3) -> (f64, f64) {
    let view = View {
        sight,
        centre: Vec3::zeros(),
        scale: 1.0,
        size: (0.0, 0.0),
    };
    let [right, up, _] = view.axes();
    (right.dot(at), up.dot(at))
}

fn place(figure: &Posed, node: &str) -> Result<Vec3> {
    let node = figure.rig().node_named(node).context("no such node")?;
    Ok(figure.point(node.id))
}

/// Staples the ends of these fingers, seen from above.
async fn staple(page: &Page, figure: &Posed, fingers: &[&str]) -> Result<()> {
    for finger in fingers {
        let end = place(figure, &format!("{finger}-finger-tip-contact"))?;
        page.draw(&[seen(Sight::Top, &end)]).await?;
    }
    Ok(())
}

async fn good(page: &Page) -> Result<()> {
    page.wait_for(".box.now .verdict.good").await?;
    page.wait_for(".box.now .insight:not(.hidden)").await
}

async fn next(page: &Page, route: &str) -> Result<()> {
    page.press("Next step").await?;
    page.on_step(route).await
}

async fn holds(page: &Page) -> Result<()> {
    let (verdict, findings) = page.check().await?;
    ensure!(verdict == "It holds.", "{findings}");
    good(page).await
}

async fn fails(page: &Page, words: &str) -> Result<()> {
    let (verdict, findings) = page.check().await?;
    says(&verdict, "Not yet.")?;
    says(&findings, words)
}

#[tokio::test]
async fn lesson_6_whole_hand() -> Result<()> {
    let lesson = lesson("08-whole-hand")?;
    let page = Page::start().await?;
    page.open_step("lesson/6/1").await?;
    page.press("Now predict").await?;
    let document = figure_of(&lesson, 0);
    let Truth::Path(axis) =
        course::truth(document, &lesson.steps[0].task).map_err(anyhow::Error::msg)?
    else {
        anyhow::bail!("the truth is a line")
    };
    let [from, to] = [axis[0], axis[1]].map(|at| seen(Sight::Top, &at));
    let between = |t: f64| (from.0 + (to.0 - from.0) * t, from.1 + (to.1 - from.1) * t);
    // Straight across, as most would draw it.
    page.draw(&[(from.0, from.1), (from.0, from.1 + 40.0), (from.0, to.1)])
        .await?;
    let said = page.reveal().await?;
    ensure!(
        number_before(&said, "° from the fitted axis")? > 10.0,
        "{said}"
    );
    ensure!(page.count(".verdict.good").await? == 0);
    page.press("Draw again").await?;
    let line: Vec<_> = (0..=20).map(|i| between(f64::from(i) / 20.0)).collect();
    page.draw(&line).await?;
    let said = page.reveal().await?;
    ensure!(
        number_before(&said, "° from the fitted axis")? < 1.0,
        "{said}"
    );
    good(&page).await?;

    next(&page, "lesson/6/2").await?;
    page.press("Now predict").await?;
    let document = figure_of(&lesson, 1);
    staple(&page, document, &["index", "middle", "ring", "pinky"]).await?;
    let said = page.reveal().await?;
    says(&said, "Near. The little finger is letting go, 93 % down.")?;
    page.press("Draw again").await?;
    staple(&page, document, &["index", "middle", "ring"]).await?;
    page.reveal().await?;
    good(&page).await?;
    page.gauge_reads("Little finger down", 93.0, 0.0).await?;
    page.gauge_reads("Index finger down", 100.0, 0.0).await?;

    next(&page, "lesson/6/3").await?;
    fails(&page, "The little finger lets go").await?;
    let handle = page.grip("Place knuckles").await?;
    page.take("Place knuckles", &[(handle.0 + 9.0, handle.1 - 24.0)])
        .await?;
    fails(&page, "pressed back as far as it goes").await?;
    page.take("Place knuckles", &[(handle.0 + 9.0, handle.1 - 8.0)])
        .await?;
    holds(&page).await?;
    // The wrist itself is dragged, and the fingers stay down.
    let wrist = page.grip("Move wrist").await?;
    page.take(
        "Move wrist",
        &[
            (wrist.0 + 8.0, wrist.1 + 30.0),
            (wrist.0 + 20.0, wrist.1 + 50.0),
        ],
    )
    .await?;
    ensure!(page.dial("lift").await? > 25.0);
    for finger in ["Index", "Middle", "Ring", "Little"] {
        page.gauge_reads(&format!("{finger} finger down"), 100.0, 0.0)
            .await?;
    }
    none(&page.complaints().await?)
}

#[tokio::test]
async fn lesson_7_roll() -> Result<()> {
    let lesson = lesson("09-roll")?;
    let page = Page::start().await?;
    page.open_step("lesson/7/1").await?;
    page.press("Now predict").await?;
    let document = figure_of(&lesson, 0);
    let Truth::Path(path) =
        course::truth(document, &lesson.steps[0].task).map_err(anyhow::Error::msg)?
    else {
        anyhow::bail!("the truth is a path")
    };
    let line: Vec<_> = path.iter().map(|at| seen(Sight::Side, at)).collect();
    page.draw(&line).await?;
    let said = page.reveal().await?;
    ensure!(number_before(&said, "mm of the path")? <= 1.0, "{said}");
    good(&page).await?;

    next(&page, "lesson/7/2").await?;
    page.press("Now predict").await?;
    staple(&page, figure_of(&lesson, 1), &["pinky"]).await?;
    says(
        &page.reveal().await?,
        "Not so. The index finger stays, the middle finger stays, the ring finger stays, \
         the little finger is letting go, 76 % down.",
    )?;
    page.press("Draw again").await?;
    staple(&page, figure_of(&lesson, 1), &["index", "middle", "ring"]).await?;
    says(
        &page.reveal().await?,
        "Right. The index finger, the middle finger and the ring finger stay.",
    )?;
    good(&page).await?;

    next(&page, "lesson/7/3").await?;
    fails(&page, "The little finger lets go, most at").await?;
    let handle = page.grip("Place tips").await?;
    page.take("Place tips", &[(handle.0 - 14.0, handle.1 - 12.0)])
        .await?;
    holds(&page).await?;

    next(&page, "lesson/7/4").await?;
    page.turn_dial("lift", 48.0).await?;
    fails(&page, "knuckle is pressed too far back").await?;
    page.turn_dial("lift", 41.0).await?;
    page.turn_dial("turn about the tips", 7.0).await?;
    holds(&page).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn lesson_8_limits() -> Result<()> {
    let lesson = lesson("10-limits")?;
    let page = Page::start().await?;
    page.open_step("lesson/8/1").await?;
    page.press("Now predict").await?;
    staple(&page, figure_of(&lesson, 0), &["index", "middle"]).await?;
    page.reveal().await?;
    good(&page).await?;
    page.gauge_reads("Little finger down", 68.0, 0.0).await?;

    next(&page, "lesson/8/2").await?;
    page.turn_dial("lean", -13.0).await?;
    fails(&page, "The index finger lets go.").await?;
    // By the map: pressed where the lean is −13° and the lift 45°.
    page.press_map(["lift", "lean"], [45.0, -13.0]).await?;
    near(page.dial("lift").await?, 45.0, 2.0)?;
    near(page.dial("lean").await?, -13.0, 0.8)?;
    holds(&page).await?;

    next(&page, "lesson/8/3").await?;
    page.turn_dial("twist", 5.5).await?;
    fails(
        &page,
        "The finger that this twist draws straight is still held.",
    )
    .await?;
    page.turn_dial("release index finger", 100.0).await?;
    holds(&page).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn lesson_9_gestures_and_layers() -> Result<()> {
    let lesson = lesson("11-gestures-and-layers")?;
    let page = Page::start().await?;
    page.open_step("lesson/9/1").await?;
    page.press("Now predict").await?;
    let document = figure_of(&lesson, 0);
    let Truth::Pin(tip) =
        course::truth(document, &lesson.steps[0].task).map_err(anyhow::Error::msg)?
    else {
        anyhow::bail!("the truth is a pin")
    };
    page.draw(&[seen(Sight::Side, &tip)]).await?;
    let said = page.reveal().await?;
    ensure!(number_before(&said, "mm from where")? < 6.0, "{said}");
    good(&page).await?;

    next(&page, "lesson/9/2").await?;
    page.turn_dial("curl", 80.0).await?;
    fails(&page, "The index finger is not straight.").await?;
    page.turn_dial("curl index finger", -100.0).await?;
    holds(&page).await?;

    next(&page, "lesson/9/3").await?;
    page.press("Now predict").await?;
    staple(&page, figure_of(&lesson, 2), &["index", "middle", "pinky"]).await?;
    page.reveal().await?;
    good(&page).await?;

    next(&page, "lesson/9/4").await?;
    page.turn_dial("lift", 25.0).await?;
    page.turn_dial("curl", 60.0).await?;
    fails(&page, "The little finger is not closed.").await?;
    page.turn_dial("release little finger", 100.0).await?;
    holds(&page).await?;
    none(&page.complaints().await?)
}
