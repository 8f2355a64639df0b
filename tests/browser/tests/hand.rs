//! The hand page: every press dial by its handle and by its slider, the contact map, the recipe,
//! the axes; everything kept, and taken back.

use anyhow::{Context, Result, ensure};
use browser::hand_page::{fill, value};
use browser::learner::{near, posed, says};
use browser::{Browser, Key, Look, Page, Size, none, path};
use serde_json::{Value, json};

async fn hand() -> Result<Page> {
    hand_in(Browser::Chromium).await
}

async fn hand_in(browser: Browser) -> Result<Page> {
    let page = Page::start_in(browser).await?;
    page.open_step("hand").await?;
    page.wait_for_text(".map-told", "safe").await?;
    Ok(page)
}

/// Until the worker has answered the map is empty; it says nothing of a hand that is on its way.
#[tokio::test]
async fn a_hand_on_its_way_is_not_refused() -> Result<()> {
    let page = Page::start_in(Browser::Chromium).await?;
    page.open("", Size::DESKTOP, Look::Paper).await?;
    page.eval(
        "(() => { window.refusals = []; new MutationObserver(() => { \
         for (const e of document.querySelectorAll('.map-fault')) refusals.push(e.textContent); \
         }).observe(document.body, { childList: true, subtree: true, characterData: true }); location.hash = '#/hand'; })()",
    )
    .await?;
    page.wait_for_text(".map-told", "safe").await?;
    let refusals = page.eval("window.refusals").await?;
    ensure!(refusals == json!([]), "{refusals}");
    none(&page.complaints().await?)
}

fn recipe(document: &Value) -> &Value {
    &document["hand"]
}

async fn shows(page: &Page, label: &str) -> Result<String> {
    page.wait_for(&format!("[aria-label={}]", json!(label)))
        .await?;
    let shown = page
        .eval(&format!(
            "document.querySelector({}).value",
            json!(format!("[aria-label={}]", json!(label)))
        ))
        .await?;
    Ok(shown.as_str().unwrap_or_default().to_owned())
}

#[tokio::test]
async fn every_press_dial_is_dragged_by_its_handle() -> Result<()> {
    let page = hand().await?;
    for (sight, handle, dial, way, rises) in [
        ("Side", "Move wrist", "lift", (0.0, 25.0), true),
        ("Side", "Move roll handle", "roll", (20.0, 0.0), true),
        ("Front", "Move lean handle", "lean", (12.0, 0.0), true),
        ("Top", "Move twist handle", "twist", (0.0, 12.0), true),
    ] {
        page.press(sight).await?;
        let at = page.grip(handle).await.with_context(|| handle)?;
        for (sign, rises) in [(1.0, rises), (-1.0, !rises)] {
            page.take(handle, &[(at.0 + sign * way.0, at.1 + sign * way.1)])
                .await?;
            let turned = page.dial(dial).await?;
            // Which way is up for lean and twist is the hand's affair; both ways must differ.
            ensure!(turned.abs() > 1.0, "{handle} turns {dial} to {turned}");
            if dial == "lift" || dial == "roll" {
                ensure!((turned > 0.0) == rises, "{handle}: {dial} {turned}");
            }
            page.kept("hand", |d| value(d, dial).is_some_and(|v| v.abs() > 1.0))
                .await?;
            page.press("Undo").await?;
            page.dial_reads(dial, 0.0, 0.0).await?;
        }
    }
    none(&page.complaints().await?)
}

/// The hand is pressed by its wrist, further by the map, and let up again.
async fn presses(browser: Browser) -> Result<()> {
    let page = hand_in(browser).await?;
    page.press("Side").await?;
    let wrist = page.grip("Move wrist").await?;
    page.take("Move wrist", &[(wrist.0, wrist.1 + 25.0)])
        .await?;
    let lift = page.dial("lift").await?;
    ensure!(lift > 5.0, "the wrist lifts by {lift}");
    page.kept("hand", |d| value(d, "lift").is_some_and(|v| v > 5.0))
        .await?;
    page.press_map(["lift", "lean"], [10.0, 0.0]).await?;
    page.dial_reads("lift", 10.0, 0.5).await?;
    page.press("Undo").await?;
    page.reload().await?;
    page.on_step("hand").await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn the_hand_is_pressed_by_pointer_in_firefox() -> Result<()> {
    presses(Browser::Firefox).await
}

#[tokio::test]
async fn the_hand_is_pressed_by_pointer_in_webkit() -> Result<()> {
    presses(Browser::WebKit).await
}

#[tokio::test]
async fn every_press_dial_is_dragged_by_its_slider_and_turned_by_keys() -> Result<()> {
    let page = hand().await?;
    for dial in ["lift", "roll", "lean", "twist"] {
        let slider = "e.querySelector('input[type=range]')";
        let found = page
            .eval(&format!(
                "(() => {{ const e = [...document.querySelectorAll('.dial')].find((d) => d.querySelector('label').textContent === {}); \
                 const i = {slider}; i.id ||= 'slider'; const r = i.getBoundingClientRect(); \
                 return [r.x, r.y + 10, r.width, (i.value - i.min) / (i.max - i.min)]; }})()",
                json!(dial)
            ))
            .await?;
        let [x, y, width, part]: [f64; 4] = serde_json::from_value(found)?;
        // The thumb's middle keeps half its width from both ends.
        let at = x + 11.0 + (width - 22.0) * part;
        page.drag(&path(&[(at, y), (at + 40.0, y)], 8)).await?;
        let turned = page.dial(dial).await?;
        ensure!(turned > 3.0, "{dial} by its slider: {turned}");
        page.key(Key::Right).await?;
        page.dial_reads(dial, turned + 1.0, 0.11).await?;
        page.press("Undo").await?;
        page.dial_reads(dial, turned, 0.11).await?;
        page.press("Undo").await?;
        page.dial_reads(dial, 0.0, 0.0).await?;
    }
    none(&page.complaints().await?)
}

#[tokio::test]
async fn handles_move_by_keys() -> Result<()> {
    let page = hand().await?;
    for (handle, dial) in [
        ("Move wrist", "lift"),
        ("Move roll handle", "roll"),
        ("Move lean handle", "lean"),
        ("Move twist handle", "twist"),
    ] {
        page.nudge(handle, 1.0, 3, 0).await?;
        page.dial_reads(dial, 3.0, 0.0).await?;
    }
    none(&page.complaints().await?)
}

#[tokio::test]
async fn the_map_jumps_to_the_pose_pressed() -> Result<()> {
    let page = hand().await?;
    let sheet = page.rect(".map-sheet").await?;
    let place = |part: f64| (sheet.x + sheet.width * part, sheet.y + sheet.height * 0.45);
    page.click_at(place(0.55)).await?;
    let lift = page.dial("lift").await?;
    ensure!(lift > 10.0, "{lift}");
    let told = page.text(".map-told").await?;
    says(&told, &format!("lift {lift:.1}°"))?;
    says(&told, "safe")?;
    // A drag over the map is one step.
    page.drag(&path(&[place(0.55), place(0.9)], 10)).await?;
    page.wait_until(&format!(
        "parseFloat(document.querySelector('.map-told').innerText.split('lift ')[1]) > {lift} + 10"
    ))
    .await?;
    page.press("Undo").await?;
    page.dial_reads("lift", lift, 0.0).await?;
    page.press("Undo").await?;
    page.dial_reads("lift", 0.0, 0.0).await?;
    page.dial_reads("lean", 0.0, 0.0).await?;

    page.tab_to(".map-cross").await?;
    page.keys(Key::Right, 3).await?;
    page.dial_reads("lift", 3.0, 0.0).await?;
    page.keys(Key::Up, 2).await?;
    page.dial_reads("lean", 2.0, 0.0).await?;
    let spoken = page
        .eval("document.querySelector('.spoken[role=status]').textContent")
        .await?;
    says(
        spoken.as_str().unwrap_or_default(),
        "lift 3.0°, lean 2.0°: slip 0.00 mm, safe",
    )?;

    // Other dials, and a tolerance that cannot be.
    page.choose_by_key("by", "twist").await?;
    page.wait_for_text(".map-told", "twist 0.0°").await?;
    page.press("What counts as safe").await?;
    fill(&page, "Slips up to, mm", "0").await?;
    page.wait_for_text(".notices", "A tolerance of 0 mm")
        .await?;
    ensure!(shows(&page, "Slips up to, mm").await? == "0.5");
    none(&page.complaints().await?)
}

#[tokio::test]
async fn the_recipe_is_changed_kept_and_taken_back() -> Result<()> {
    let page = hand().await?;
    page.press("Plan").await?;
    fill(&page, "Length, mm", "210").await?;
    page.kept("hand", |d| recipe(d)["hand"]["length"]["mm"] == 210.0)
        .await?;
    page.press("Left").await?;
    let left = page
        .kept("hand", |d| recipe(d)["hand"]["side"] == "left")
        .await?;
    page.reload().await?;
    page.on_step("hand").await?;
    ensure!(shows(&page, "Length, mm").await? == "210");
    page.kept("hand", |d| *d == left).await?;

    page.choose("Its lean and twist count", "the way of a right hand's")
        .await?;
    page.kept("hand", |d| recipe(d)["hand"]["sideways"] == "same-way")
        .await?;
    page.press("Undo").await?;
    page.kept("hand", |d| *d == left).await?;

    // What no hand can be is said, and changes nothing.
    fill(&page, "Breadth, mm", "300").await?;
    page.wait_for_text(".notices", "breadth").await?;
    ensure!(shows(&page, "Breadth, mm").await? != "300");
    fill(&page, "index finger, phalanx 1, mm", "-5").await?;
    page.wait_for(".notice").await?;
    ensure!(shows(&page, "index finger, phalanx 1, mm").await? != "-5");
    page.kept("hand", |d| *d == left).await?;
    page.press("Close this notice").await?;

    // A digit less and one more; everything still works.
    page.press("Remove the little finger").await?;
    let digits = |d: &Value| recipe(d)["hand"]["digits"].as_array().map_or(0, Vec::len);
    page.kept("hand", |d| digits(d) == 4).await?;
    page.press("Press").await?;
    page.wait_for_text(".map-told", "safe").await?;
    ensure!(page.count(".digit").await? == 4);
    page.press("Plan").await?;
    page.press("Add a finger").await?;
    page.kept("hand", |d| digits(d) == 5).await?;
    page.press("Undo").await?;
    page.press("Undo").await?;
    page.kept("hand", |d| *d == left).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn stances_surfaces_and_the_arm_build() -> Result<()> {
    let page = hand().await?;
    for (label, choices) in [
        (
            "The hand stands",
            &[
                "on the fingertips",
                "a fist, on the knuckles",
                "on the little finger's edge",
                "flat, on the pads",
            ] as &[&str],
        ),
        (
            "It presses on",
            &["a round rail", "the edge of a bench", "a plane"],
        ),
    ] {
        for choice in choices {
            page.choose(label, choice).await?;
            page.wait_for_text(".map-inside", "lift").await?;
            ensure!(page.count(".alarm").await? == 0, "{choice}");
        }
    }
    page.press("Plan").await?;
    page.press("with an arm").await?;
    page.kept("hand", |d| recipe(d)["hand"]["arm"].is_object())
        .await?;
    page.press("Press").await?;
    page.wait_for_text(".map-told", "safe").await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn an_axis_is_dragged_and_a_pivot_moved_without_a_jump() -> Result<()> {
    let page = hand().await?;
    page.press("Side").await?;
    page.press("Plan").await?;
    let pivot = |d: &Value| recipe(d)["planting"]["pivot"].clone();
    let plate = page.plate().await?;
    let from = page.centre_of("Pivot now, middle").await?;
    page.drag(&path(&[from, (from.0 + 6.0 * plate.scale, from.1)], 8))
        .await?;
    page.kept("hand", |d| {
        let offset = pivot(d)["offset"].as_f64();
        offset.is_some_and(|x| (x - 6.0).abs() < 0.6)
    })
    .await?;
    page.press("Undo").await?;
    page.press("Put the pivot there: fitted axis").await?;
    page.kept("hand", |d| pivot(d)["drop"].as_f64().unwrap_or(0.0) == 0.0)
        .await?;
    page.press("Undo").await?;

    // In mid-press, a pivot moves and the hand does not.
    page.press("Press").await?;
    page.nudge("Move wrist", 1.0, 15, 0).await?;
    let pressed = page
        .kept("hand", |d| value(d, "lift") == Some(15.0))
        .await?;
    page.press("Plan").await?;
    page.press("move pivots").await?;
    // From the side the edges' pivots stand a few pixels beside it, and in front.
    let at = page.grip("Place knuckles").await?;
    page.zoom_to(5.0, at).await?;
    page.take("Place knuckles", &[(at.0 + 8.0, at.1 + 3.0)])
        .await?;
    let place = |d: &Value| {
        let nodes = d["nodes"].as_array()?;
        let found = nodes.iter().find(|n| n["name"] == "knuckles")?;
        Some(found["translation"].clone())
    };
    let after = page.kept("hand", |d| place(d) != place(&pressed)).await?;
    let (was, is) = (posed(&pressed)?, posed(&after)?);
    for (was, is) in was["nodes"]
        .as_array()
        .context("nodes")?
        .iter()
        .zip(is["nodes"].as_array().context("nodes")?)
    {
        if was["name"] == "knuckles" {
            continue;
        }
        for i in 0..3 {
            near(
                is["position"][i].as_f64().context("x")?,
                was["position"][i].as_f64().context("x")?,
                1e-9,
            )
            .with_context(|| was["name"].to_string())?;
        }
    }
    none(&page.complaints().await?)
}

/// On a bench digits that run out of reach let go, and the lift is safe as far as it goes; a fist's
/// has an end, where its arm is drawn out.
#[tokio::test]
async fn advice_tells_what_ends_the_lift() -> Result<()> {
    let page = hand().await?;
    page.press("Plan").await?;
    page.wait_for_text(".hand-page", "Safe as far as the lift goes")
        .await?;
    page.open_step("hand/fist-knead").await?;
    page.wait_for_text(
        ".hand-page",
        "The lift is safe to 44.2°; then the arm is out of reach",
    )
    .await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn the_bench_press_opens_from_the_front_page() -> Result<()> {
    let page = Page::start().await?;
    page.open("#/", Size::DESKTOP, Look::Paper).await?;
    page.press("Open the bench press").await?;
    page.wait_for_text(".map-told", "safe").await?;
    ensure!(page.eval("location.hash").await? == "#/hand");
    page.figure_drawn().await?;
    none(&page.complaints().await?)
}
