//! Lessons 1 to 5 worked through with a mouse, step by step, as a learner would.

use anyhow::{Result, ensure};
use browser::learner::{near, number_before, posed, raised, says};
use browser::{Browser, Page, none};
use serde_json::{Value, json};

/// Points along an arc about the origin, degrees raised from the left.
fn arc(radius: f64, from: f64, to: f64, pieces: u32) -> Vec<(f64, f64)> {
    (0..=pieces)
        .map(|i| {
            raised(
                radius,
                from + (to - from) * f64::from(i) / f64::from(pieces),
            )
        })
        .collect()
}

async fn good(page: &Page) -> Result<()> {
    page.wait_for(".box.now .verdict.good").await?;
    page.wait_for(".box.now .insight:not(.hidden)").await
}

/// What is marked of a way between two poses is played, and the figure then stands as before.
async fn played() {
    tokio::time::sleep(std::time::Duration::from_millis(2200)).await;
}

#[tokio::test]
async fn lesson_1_carry() -> Result<()> {
    carry(&Page::start().await?).await
}

#[tokio::test]
async fn lesson_1_carry_in_firefox() -> Result<()> {
    carry(&Page::start_in(Browser::Firefox).await?).await
}

#[tokio::test]
async fn lesson_1_carry_in_webkit() -> Result<()> {
    carry(&Page::start_in(Browser::WebKit).await?).await
}

async fn carry(page: &Page) -> Result<()> {
    page.open_step("lesson/1/1").await?;
    // L1: what is asked first can be dragged. L2: then the figure is held where it begins.
    page.take("Move wrist", &[(-90.0, 30.0)]).await?;
    page.dial_reads("wrist up", 30.0, 0.5).await?;
    page.press("Now predict").await?;
    page.dial_reads("wrist turn", 0.0, 0.0).await?;
    ensure!(page.count(".desk-dials[inert]").await? == 1);
    ensure!(page.count("[aria-label^='Move ']").await? == 0);
    // A poor guess is told how far off it is; nothing is passed or failed.
    page.draw(&[(80.0, 85.0)]).await?;
    let said = page.reveal().await?;
    near(
        number_before(&said, "mm from where the tip lands")?,
        22.8,
        0.5,
    )?;
    ensure!(page.count(".verdict.good").await? == 0);
    page.press("Draw again").await?;
    // The truth: 170 mm from the wrist, turned by 30°.
    let [x, y] = [libm::cos, libm::sin].map(|f| 170.0 * f(30_f64.to_radians()));
    page.draw(&[(x - 90.0, y)]).await?;
    let said = page.reveal().await?;
    ensure!(
        number_before(&said, "mm from where the tip lands")? <= 0.6,
        "{said}"
    );
    says(&said, "It moves 88.0 mm.")?;
    good(page).await?;
    page.gauge_reads("Travel of the tip", 88.0, 0.05).await?;
    page.gauge_reads("Travel of the knuckle", 46.59, 0.01)
        .await?;
    says(&page.text(".insight").await?, "88.0 mm")?;

    page.press("Next step").await?;
    page.on_step("lesson/1/2").await?;
    let wrist = page.grip("Move wrist").await?;
    page.take("Move knuckle", &[(wrist.0 + 90.0, wrist.1)])
        .await?;
    page.take("Move wrist", &[(-90.0, 0.0)]).await?;
    page.press("Keep as first").await?;
    // Two flat poses are not what was asked, and the fault is named.
    page.press("Keep as second").await?;
    let (verdict, findings) = page.check().await?;
    says(&verdict, "Not yet.")?;
    says(
        &findings,
        "Second pose: the palm has another slope than asked.",
    )?;
    played().await;
    page.take("Move wrist", &[raised(90.0, 40.0)]).await?;
    page.take("Move knuckle", &[(0.0, 0.0)]).await?;
    page.press("Keep as second again").await?;
    page.press("Play between").await?;
    let (verdict, findings) = page.check().await?;
    ensure!(verdict == "It holds.", "{findings}");
    near(number_before(&findings, " mm, ")?, 5.43, 0.4)?;
    good(page).await?;
    page.press("On to free play").await?;
    page.on_step("lesson/1/play").await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn lesson_2_anchor() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/2/1").await?;
    page.press("Now predict").await?;
    page.draw(&arc(90.0, 0.0, 180.0, 90)).await?;
    let said = page.reveal().await?;
    ensure!(number_before(&said, "% of the places")? >= 90.0, "{said}");
    ensure!(number_before(&said, "% of your paint")? <= 2.0, "{said}");
    good(&page).await?;

    page.press("Next step").await?;
    page.on_step("lesson/2/2").await?;
    // The wrong path, a straight one: told its slip in mm, and where.
    page.take("Move wrist", &[raised(90.0, 40.0)]).await?;
    let (verdict, findings) = page.check_to_the_number().await?;
    says(&verdict, "Not yet.")?;
    near(number_before(&findings, " mm at ")?, 5.43, 0.4)?;
    near(number_before(&findings, "mm too near")?, 5.4, 0.4)?;
    page.press("Start again").await?;
    page.take("Move wrist", &arc(90.0, 0.0, 40.5, 20)).await?;
    let (verdict, findings) = page.check().await?;
    ensure!(verdict == "It holds.", "{findings}");
    good(&page).await?;

    page.press("Next step").await?;
    page.on_step("lesson/2/3").await?;
    page.press("Now predict").await?;
    let ray = |degrees: f64| {
        let angle = degrees.to_radians();
        (40.0 + 38.0 * libm::cos(angle), -38.0 * libm::sin(angle))
    };
    page.draw(&[ray(0.0), ray(2.0)]).await?;
    let said = page.reveal().await?;
    says(&said, "It is 18.1°, more than you drew.")?;
    page.press("Draw again").await?;
    page.draw(&[ray(0.0), ray(9.0), ray(18.0)]).await?;
    let said = page.reveal().await?;
    says(&said, "It is 18.1°.")?;
    good(&page).await?;
    page.gauge_reads("Bend of the finger", 18.1, 0.05).await?;
    says(&page.text(".insight").await?, "7.5° more")?;

    page.press("Next step").await?;
    page.on_step("lesson/2/4").await?;
    let (verdict, findings) = page.check().await?;
    says(&verdict, "Not yet.")?;
    says(&findings, "The middle joint still leaps.")?;
    // 33.3° to 35° is a pull of 3.35 to 3.70 mm: 2·acos((80 − pull)/80).
    page.zoom_to(8.0, (79.0, 0.0)).await?;
    let tip = page.grip("Move tip").await?;
    page.take("Move tip", &[(tip.0 - 2.5, tip.1)]).await?;
    let (verdict, findings) = page.check().await?;
    ensure!(verdict == "It holds.", "{findings}");
    page.gauge_reads("Bend of the finger", 34.15, 0.85).await?;
    good(&page).await?;
    // L6: what was found stays when the figure is touched again, and says of when it is.
    let tip = page.grip("Move tip").await?;
    page.take("Move tip", &[(tip.0 + 1.0, tip.1)]).await?;
    page.wait_for_text(
        ".box.now .verdict",
        "It held. The figure has changed since.",
    )
    .await?;
    ensure!(
        page.text(".insight")
            .await?
            .contains("The least bend is 33.3°")
    );
    Ok(())
}

#[tokio::test]
async fn lesson_3_anchor_together() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/3/1").await?;
    page.press("Now predict").await?;
    page.draw(&[(0.0, 0.0)]).await?;
    let said = page.reveal().await?;
    says(&said, "knuckle moves 61.6 mm")?;
    says(&said, "The wrist stays")?;
    page.press("Draw again").await?;
    page.draw(&[(-90.0, 0.0)]).await?;
    says(&page.reveal().await?, "Right. Only the wrist stays.")?;
    says(&page.text(".findings").await?, "the knuckle moves 61.6 mm")?;
    page.gauge_reads("Slip at the knuckle", 61.56, 0.01).await?;
    good(&page).await?;

    page.press("Next step").await?;
    page.on_step("lesson/3/2").await?;
    let chord = async |distance: f64, words: [&str; 2]| {
        // A tenth of a millimetre is asked for: roughly first, then zoomed in.
        page.press("Fit").await?;
        page.take("Move wrist", &[(-distance, 0.0)]).await?;
        page.zoom_to(6.5, (-90.0, 0.0)).await?;
        page.take("Move wrist", &[(-distance, 0.0)]).await?;
        page.press(words[0]).await?;
        page.take("Move wrist", &[raised(distance, 40.0)]).await?;
        page.press(words[1]).await?;
        let found = match distance == 90.0 {
            true => page.check_to_the_number().await?,
            false => page.check().await?,
        };
        played().await;
        Ok::<_, anyhow::Error>(found)
    };
    let (verdict, findings) = chord(90.0, ["Keep as first", "Keep as second"]).await?;
    says(&verdict, "Not yet.")?;
    says(&findings, "too near for a palm of 90 mm")?;
    near(number_before(&findings, " mm, ")?, 5.43, 0.1)?;
    let least = 180.0 / (1.0 + libm::cos(20_f64.to_radians()));
    let (verdict, findings) = chord(least, ["Keep as first again", "Keep as second again"]).await?;
    ensure!(verdict == "It holds.", "{findings}");
    near(number_before(&findings, " mm; 2.90 mm")?, 2.80, 0.1)?;
    good(&page).await
}

/// L5: the learner builds the pivot, wrong first; nothing is swapped in, and the view never moves.
async fn build_the_pivot(page: &Page) -> Result<()> {
    page.open_step("lesson/4/1").await?;
    let lineage = "document.querySelector('.mobile').innerHTML";
    let before = page.eval(lineage).await?;
    let plate = page.plate().await?;
    let bead = |name: &str| format!("[data-node={name}] .dot");
    let hang = async |under: &str| {
        let beads = [
            page.rect(&bead("wrist")).await?.centre(),
            page.rect(&bead(under)).await?.centre(),
        ];
        page.drag(&browser::path(&beads, 8)).await
    };
    hang("knuckle").await?;
    page.wait_for_text(
        ".box.now .refused",
        "Put a mount where the knuckle is; hang the wrist from that.",
    )
    .await?;
    ensure!(page.count(".notice").await? == 0, "it is told once");
    ensure!(
        page.eval(lineage).await? == before,
        "a refused hanging changed the lineage"
    );

    page.press("Put a mount").await?;
    page.click_at(plate.pixel((41.0, -2.0))).await?;
    let done = ".box.now .acts";
    page.wait_for_text(done, "At the finger, 0.0 mm.").await?;
    ensure!(
        page.count(".box.now .refused").await? == 0,
        "it is answered"
    );
    hang("mount").await?;
    page.wait_for_text(done, "the greatest move of 4 joints is 0.00 mm")
        .await?;
    let now = page.plate().await?;
    ensure!(
        now.scale == plate.scale && now.pixel((0.0, 0.0)) == plate.pixel((0.0, 0.0)),
        "the view moved"
    );
    // About the finger joint, 40 mm from where the knuckle rests.
    let lifted = |degrees: f64| {
        let (x, y) = raised(130.0, degrees);
        (x + 40.0, y)
    };
    page.take("Move wrist", &[lifted(20.0), lifted(41.0)])
        .await?;
    page.wait_for_text(".box.now .verdict", "the knuckle leaves its mark")
        .await?;
    page.press("Put the mount elsewhere").await?;
    page.click_at(plate.pixel((-1.0, 2.0))).await?;
    page.wait_for_text(done, "At the knuckle, 0.0 mm.").await?;
    page.dial_reads("lift", 0.0, 0.0).await?;
    page.take("Move wrist", &[raised(90.0, 20.0), raised(90.0, 41.0)])
        .await?;
    page.wait_for_text(done, "the wrist was 61.6 mm from rest")
        .await?;
    good(page).await?;
    // Undone it is the rig that slipped; made again it holds.
    page.press("Undo").await?;
    page.press("Undo").await?;
    page.wait_for_text(done, "At the finger, 0.0 mm.").await?;
    ensure!(page.count(".box.now .verdict.good").await? == 0);
    page.press("Redo").await?;
    page.press("Redo").await?;
    good(page).await
}

#[tokio::test]
async fn lesson_4_pivot_above() -> Result<()> {
    let page = Page::start().await?;
    build_the_pivot(&page).await?;

    page.press("Next step").await?;
    page.on_step("lesson/4/2").await?;
    page.press("Now predict").await?;
    page.draw(&arc(90.0, 0.0, 40.0, 40)).await?;
    let said = page.reveal().await?;
    ensure!(number_before(&said, "mm of the path")? <= 0.6, "{said}");
    ensure!(!said.contains("short"), "{said}");
    good(&page).await?;
    page.gauge_reads("Worst slip", 0.0, 0.0).await?;

    page.press("Next step").await?;
    page.on_step("lesson/4/3").await?;
    page.press("Anchors: holding").await?;
    // The wrist turns about the hidden pivot, 6 mm off.
    let lifted = |degrees: f64| {
        let (x, y) = raised(84.0, degrees);
        (x - 6.0, y)
    };
    page.take("Move wrist", &[lifted(20.0), lifted(40.0)])
        .await?;
    page.dial_reads("lift", 40.0, 0.3).await?;
    page.gauge_reads("Knuckle off its mark", 4.10, 0.04).await?;
    // L6: where, which way, and only then the number; the count outlives a reload.
    let (verdict, findings) = page.check().await?;
    says(&verdict, "Not yet.")?;
    says(&findings, "The pivot is not where it belongs.")?;
    says(&findings, "the knuckle leaves its mark as the wrist lifts.")?;
    let (_, same) = page.check().await?;
    ensure!(same == findings, "the same checked again told more: {same}");
    page.press("Undo").await?;
    page.press("Redo").await?;
    let (_, findings) = page.check().await?;
    says(
        &findings,
        "The pivot stands off its place, towards the wrist.",
    )?;
    page.open_step("lesson/4/3").await?;
    let (_, findings) = page.check().await?;
    says(&findings, "The pivot is 6.0 mm towards the wrist.")?;
    says(&findings, "mark moves 4.10 mm at 40°")?;
    let handle = page.grip("Place knuckle pivot").await?;
    near(handle.0, -6.0, 0.1)?;
    page.take("Place knuckle pivot", &[(handle.0 + 6.0, handle.1)])
        .await?;
    // Mended in mid-lift, the mark falls back where it belongs.
    page.gauge_reads("Knuckle off its mark", 0.0, 0.005).await?;
    page.press("Anchors: let go").await?;
    let (verdict, findings) = page.check().await?;
    ensure!(verdict == "It holds.", "{findings}");
    good(&page).await?;
    full_lift(&page).await?;
    none(&page.complaints().await?)
}

/// Lifts by 40° and more; then measures, through the app, the document it keeps.
async fn full_lift(page: &Page) -> Result<()> {
    page.take("Move wrist", &[raised(90.0, 20.0), raised(90.0, 42.0)])
        .await?;
    let value = |document: &Value| document["dials"][0]["value"].as_f64().unwrap_or_default();
    let mut document = page.kept("lesson-4-3", |d| value(d) > 41.0).await?;
    document["nodes"].as_array_mut().unwrap().push(json!({
        "name": "fly", "kind": "mount", "parent": "knuckle pivot", "translation": [0, 10, 0]
    }));
    let at = |posed: &Value, name: &str| -> [f64; 3] {
        let nodes = posed["nodes"].as_array().unwrap();
        let node = nodes.iter().find(|n| n["name"] == name).unwrap();
        serde_json::from_value(node["position"].clone()).unwrap()
    };
    let distance = |a: [f64; 3], b: [f64; 3]| {
        (0..3)
            .map(|i| (a[i] - b[i]) * (a[i] - b[i]))
            .sum::<f64>()
            .sqrt()
    };
    let dragged = posed(&document)?;
    document["dials"][0]["value"] = json!(40.0);
    let lifted = posed(&document)?;
    document["dials"][0]["value"] = json!(0.0);
    let flat = posed(&document)?;
    for (node, x) in [("knuckle", 0.0), ("finger", 40.0), ("tip", 80.0)] {
        for posed in [&dragged, &lifted, &flat] {
            let off = distance(at(posed, node), [x, 0.0, 0.0]);
            ensure!(off <= 1e-10, "the {node} moved {off} mm");
        }
    }
    near(
        distance(at(&lifted, "wrist"), at(&flat, "wrist")),
        61.56,
        0.005,
    )?;
    let moved = distance(at(&lifted, "fly"), at(&flat, "fly"));
    near(moved, 2.0 * 10.0 * libm::sin(20_f64.to_radians()), 1e-10)?;
    near(moved, 6.84, 0.005)
}

#[tokio::test]
async fn lesson_5_side_lean() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/5/1").await?;
    page.press("Now predict").await?;
    let [x, y] = [libm::cos, libm::sin].map(|f| 40.0 * f(20_f64.to_radians()));
    page.draw(&[(x, -y)]).await?;
    let said = page.reveal().await?;
    ensure!(
        number_before(&said, "mm from where the outer edge lands")? <= 0.6,
        "{said}"
    );
    good(&page).await?;
    page.gauge_reads("Deepest point in the bench", 13.68, 0.005)
        .await?;
    says(&page.text(".insight").await?, "13.7 mm into the bench")?;

    page.press("Next step").await?;
    page.on_step("lesson/5/2").await?;
    let (verdict, findings) = page.check().await?;
    says(&verdict, "Not yet.")?;
    says(&findings, "The outer pivot is not where it belongs.")?;
    says(
        &findings,
        "Near the middle the hand hardly follows the dial.",
    )?;
    page.take("Place outer pivot", &[(40.0, 0.0)]).await?;
    page.take("Place inner pivot", &[(-40.0, 0.0)]).await?;
    let (_, findings) = page.check().await?;
    says(&findings, "The outer pivot is where it belongs.")?;
    says(&findings, "The inner pivot is where it belongs.")?;
    let field = page.rect(".softness input").await?.centre();
    page.click_at(field).await?;
    page.chord(browser::Key::Control, 'a').await?;
    page.write("2").await?;
    let (verdict, findings) = page.check().await?;
    ensure!(verdict == "It holds.", "{findings}");
    good(&page).await
}
