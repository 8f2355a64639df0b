//! Lessons 1 to 8 worked through by keyboard alone: Tab, arrows, Space, Enter and typing. Nothing
//! here presses, moves or touches a pointer.

use anyhow::{Result, ensure};
use browser::learner::{near, number_before, says};
use browser::{Key, Page, none};

/// Fails when any pointer was used since the page was opened.
async fn no_pointer(page: &Page) -> Result<()> {
    ensure!(
        page.eval("window.pointersSeen").await? == 0,
        "a pointer was used"
    );
    none(&page.complaints().await?)
}

async fn begin(page: &Page, route: &str) -> Result<()> {
    page.open_step(route).await?;
    page.eval(
        "window.pointersSeen = 0; for (const kind of ['pointerdown', 'mousedown', 'touchstart']) \
         addEventListener(kind, (e) => { if (e.isTrusted) window.pointersSeen++; }, true)",
    )
    .await?;
    Ok(())
}

async fn reveal(page: &Page) -> Result<String> {
    page.press_by_key("Show what happens").await?;
    page.wait_for(".box.now .verdict.good").await?;
    page.text(".box.now .verdict").await
}

async fn check(page: &Page) -> Result<(String, String)> {
    page.press_by_key("Check").await?;
    page.marked().await
}

async fn holds(page: &Page) -> Result<String> {
    let (verdict, findings) = check(page).await?;
    ensure!(verdict == "It holds.", "{findings}");
    Ok(findings)
}

async fn next(page: &Page, route: &str) -> Result<()> {
    page.press_by_key("Next step").await?;
    page.on_step(route).await
}

/// Walks the pencil or a mover from one place along a circle about the origin, by whichever arrow
/// keeps nearer to it: the keyboard's way round a curve.
async fn walk(page: &Page, radius: f64, to: f64, step: f64) -> Result<()> {
    let mut at = (-radius, 0.0_f64);
    let degrees = |(x, y): (f64, f64)| libm::atan2(y, -x).to_degrees();
    while degrees(at) < to && at.1 >= 0.0 {
        let up = if at.0 < 0.0 { step } else { -step };
        let ways = [
            ((at.0 + step, at.1), Key::Right),
            (
                (at.0, at.1 + up),
                if up > 0.0 { Key::Up } else { Key::Down },
            ),
        ];
        let off = |(x, y): (f64, f64)| (libm::hypot(x, y) - radius).abs();
        let [a, b] = ways;
        let (next, key) = if off(a.0) < off(b.0) { a } else { b };
        page.key(key).await?;
        at = next;
    }
    Ok(())
}

#[tokio::test]
async fn lesson_1_carry() -> Result<()> {
    let page = Page::start().await?;
    begin(&page, "lesson/1/1").await?;
    page.press_by_key("Now predict").await?;
    // From the tip at (80, 0) to (57, 85).
    page.nudge_pencil(5.0, -4, 17).await?;
    page.nudge_pencil(1.0, -3, 0).await?;
    page.key(Key::Enter).await?;
    let said = reveal(&page).await?;
    near(
        number_before(&said, "mm from where the tip lands")?,
        0.2,
        0.05,
    )?;
    says(&said, "It moves 88.0 mm.")?;

    next(&page, "lesson/1/2").await?;
    page.nudge("Move wrist", 1.0, -8, -14).await?;
    page.nudge("Move knuckle", 1.0, -6, 0).await?;
    page.press_by_key("Keep as first").await?;
    // The wrist to (−68.9, 57.9), turned to −40°.
    page.nudge("Move wrist", 5.0, 4, 11).await?;
    page.nudge("Move wrist", 1.0, 1, 3).await?;
    page.nudge("Move wrist", 0.1, 1, -1).await?;
    page.nudge("Move knuckle", 5.0, -8, 0).await?;
    page.press_by_key("Keep as second").await?;
    let findings = holds(&page).await?;
    // 90·(1 − cos 20°), and the tenth of a millimetre the steps leave.
    near(number_before(&findings, " mm, ")?, 5.43, 0.06)?;
    no_pointer(&page).await
}

#[tokio::test]
async fn lesson_2_anchor() -> Result<()> {
    let page = Page::start().await?;
    begin(&page, "lesson/2/1").await?;
    page.press_by_key("Now predict").await?;
    page.nudge_pencil(5.0, 0, 0).await?;
    page.key(Key::Space).await?;
    walk(&page, 90.0, 180.0, 5.0).await?;
    page.key(Key::Space).await?;
    let said = reveal(&page).await?;
    ensure!(number_before(&said, "% of the places")? >= 75.0, "{said}");
    ensure!(number_before(&said, "% of your paint")? <= 5.0, "{said}");

    next(&page, "lesson/2/2").await?;
    page.nudge("Move wrist", 5.0, 0, 6).await?;
    let (verdict, findings) = check(&page).await?;
    says(&verdict, "Not yet.")?;
    says(
        &findings,
        "Slip at the knuckle goes over its limit at 18° round.",
    )?;
    page.press_by_key("Start again").await?;
    page.nudge("Move wrist", 1.0, 0, 0).await?;
    walk(&page, 90.0, 40.2, 1.0).await?;
    holds(&page).await?;

    next(&page, "lesson/2/3").await?;
    page.press_by_key("Now predict").await?;
    page.nudge_pencil(1.0, 0, 18).await?;
    says(&reveal(&page).await?, "You drew 18.0°. It is 18.1°.")?;
    // The first millimetre bends it 18.1°, the second 7.5° more.
    page.gauge_reads("Bend of the finger", 18.1, 0.05).await?;
    page.nudge("Move tip", 1.0, 1, 0).await?;
    page.gauge_reads("Bend of the finger", 18.1 + 7.5, 0.11)
        .await?;

    next(&page, "lesson/2/4").await?;
    says(&check(&page).await?.1, "The middle joint still leaps.")?;
    page.nudge("Move tip", 1.0, 3, 0).await?;
    // 2·acos(76/80).
    says(&check(&page).await?.1, "It is bent more than it needs.")?;
    page.nudge("Move tip", 0.1, -6, 0).await?;
    holds(&page).await?;
    // 3.4 mm: the least tenth that holds, 2·acos(76.6/80).
    page.gauge_reads("Bend of the finger", 33.5, 0.05).await?;
    page.nudge("Move tip", 0.1, -1, 0).await?;
    says(&check(&page).await?.0, "Not yet.")?;
    no_pointer(&page).await
}

#[tokio::test]
async fn lesson_3_anchor_together() -> Result<()> {
    let page = Page::start().await?;
    begin(&page, "lesson/3/1").await?;
    page.press_by_key("Now predict").await?;
    page.tab_to_named("wrist stays").await?;
    page.key(Key::Space).await?;
    says(&reveal(&page).await?, "Right. Only the wrist stays.")?;
    says(&page.text(".findings").await?, "the knuckle moves 61.6 mm")?;

    next(&page, "lesson/3/2").await?;
    // From (−90, 12) to (−92.8, 0), then to 92.8·(−cos 40°, sin 40°) = (−71.1, 59.7).
    page.nudge("Move wrist", 1.0, -2, -12).await?;
    page.nudge("Move wrist", 0.1, -8, 0).await?;
    page.press_by_key("Keep as first").await?;
    page.nudge("Move wrist", 1.0, 21, 59).await?;
    page.nudge("Move wrist", 0.1, 7, 7).await?;
    page.press_by_key("Keep as second").await?;
    let findings = holds(&page).await?;
    near(number_before(&findings, " mm; 2.90 mm")?, 2.80, 0.06)?;
    no_pointer(&page).await
}

#[tokio::test]
async fn lesson_4_pivot_above() -> Result<()> {
    let page = Page::start().await?;
    begin(&page, "lesson/4/1").await?;
    page.press_by_key("By name or by number").await?;
    let hang = async |under: &str| {
        page.choose_by_key("The wrist hangs from", under).await?;
        page.press_by_key("Hang it").await
    };
    let put = async |joint: &str| {
        page.choose_by_key("The mount goes to", joint).await?;
        page.press_by_key("Put it there").await?;
        let told = format!("At the {joint}, 0.0 mm.");
        page.wait_for_text(".box.now .acts", &told).await
    };
    hang("finger").await?;
    page.wait_for_text(
        ".box.now .refused",
        "Put a mount where the knuckle is; hang the wrist from that.",
    )
    .await?;
    hang("bench").await?;
    page.wait_for("[data-node=bench]").await?;
    put("finger").await?;
    page.wait_for_text(".box.now .acts", "the bench does not turn")
        .await?;
    hang("mount").await?;
    page.nudge("Move wrist", 5.0, 8, 0).await?;
    page.wait_for_text(".box.now .verdict", "the knuckle leaves its mark")
        .await?;
    put("knuckle").await?;
    page.nudge("Move wrist", 5.0, 8, 0).await?;
    page.wait_for_text(".box.now .verdict.good", "It holds.")
        .await?;

    next(&page, "lesson/4/2").await?;
    page.press_by_key("Now predict").await?;
    page.nudge_pencil(1.0, 0, 0).await?;
    page.key(Key::Space).await?;
    walk(&page, 90.0, 40.0, 1.0).await?;
    let said = reveal(&page).await?;
    ensure!(number_before(&said, "mm of the path")? <= 1.0, "{said}");

    next(&page, "lesson/4/3").await?;
    page.press_by_key("Anchors: holding").await?;
    page.nudge("Move wrist", 5.0, 8, 0).await?;
    page.dial_reads("lift", 40.0, 0.0).await?;
    page.gauge_reads("Knuckle off its mark", 4.10, 0.005)
        .await?;
    says(&check(&page).await?.1, "The pivot is not where it belongs.")?;
    page.nudge("Place knuckle pivot", 1.0, 6, 0).await?;
    page.gauge_reads("Knuckle off its mark", 0.0, 0.005).await?;
    page.press_by_key("Anchors: let go").await?;
    holds(&page).await?;
    page.gauge_reads("Worst slip", 0.0, 0.005).await?;
    no_pointer(&page).await
}

#[tokio::test]
async fn lesson_5_side_lean() -> Result<()> {
    let page = Page::start().await?;
    begin(&page, "lesson/5/1").await?;
    page.press_by_key("Now predict").await?;
    // From the outer edge at (40, 0) to (38, −14); it lands at (37.6, −13.7).
    page.nudge_pencil(1.0, -2, -14).await?;
    page.key(Key::Enter).await?;
    let said = reveal(&page).await?;
    near(
        number_before(&said, "mm from where the outer edge lands")?,
        0.5,
        0.05,
    )?;
    page.gauge_reads("Deepest point in the bench", 13.68, 0.005)
        .await?;

    next(&page, "lesson/5/2").await?;
    page.nudge("Place outer pivot", 1.0, 12, 0).await?;
    page.nudge("Place inner pivot", 1.0, -12, 0).await?;
    let (_, findings) = check(&page).await?;
    says(&findings, "The outer pivot is where it belongs.")?;
    says(&findings, "The inner pivot is where it belongs.")?;
    says(&findings, "hardly follows the dial")?;
    page.tab_to(".softness input").await?;
    page.chord(Key::Control, 'a').await?;
    page.write("2").await?;
    holds(&page).await?;
    // Over its edge by the dial alone: the middle rises, nothing sinks.
    page.tab_to("input[type=range]").await?;
    page.keys(Key::Right, 20).await?;
    page.gauge_reads("Deepest point in the bench", 0.0, 0.05)
        .await?;
    no_pointer(&page).await
}

/// Turns a dial on the desk by so many arrow keys of a step.
async fn turn(page: &Page, name: &str, step: f64, times: i32) -> Result<()> {
    page.press_by_key(&format!("Step {step} mm or degrees"))
        .await?;
    let id = page
        .eval(&format!(
            "[...document.querySelectorAll('.dial label')].find((l) => l.textContent === '{name}').htmlFor"
        ))
        .await?;
    page.tab_to(&format!("#{}", id.as_str().unwrap_or_default()))
        .await?;
    let key = if times > 0 { Key::Right } else { Key::Left };
    page.keys(key, times.unsigned_abs() as usize).await
}

/// Draws with the pencil, which is down, along points that begin where it is, by steps of 1 mm.
async fn draw_along(page: &Page, points: &[(f64, f64)]) -> Result<()> {
    let mut at = points[0];
    for to in points {
        let (right, up) = ((to.0 - at.0).round(), (to.1 - at.1).round());
        for (by, forth, back) in [(right, Key::Right, Key::Left), (up, Key::Up, Key::Down)] {
            let key = if by > 0.0 { forth } else { back };
            page.keys(key, by.abs() as usize).await?;
        }
        at = (at.0 + right, at.1 + up);
    }
    Ok(())
}

async fn staple(page: &Page, fingers: &[&str]) -> Result<()> {
    for finger in fingers {
        page.tab_to_named(&format!("{finger} finger stays")).await?;
        page.key(Key::Space).await?;
    }
    Ok(())
}

#[tokio::test]
async fn lesson_6_whole_hand() -> Result<()> {
    let page = Page::start().await?;
    begin(&page, "lesson/6/1").await?;
    page.press_by_key("Now predict").await?;
    // From 4 mm before the index finger's knuckle to 4 mm before the little finger's.
    page.nudge_pencil(1.0, 4, 0).await?;
    page.key(Key::Space).await?;
    let line: Vec<_> = (0..=58)
        .map(|down| (-f64::from(down) / 3.0, -f64::from(down)))
        .collect();
    draw_along(&page, &line).await?;
    let said = reveal(&page).await?;
    ensure!(
        number_before(&said, "° from the fitted axis")? < 5.0,
        "{said}"
    );

    next(&page, "lesson/6/2").await?;
    page.press_by_key("Now predict").await?;
    staple(&page, &["index", "middle", "ring"]).await?;
    reveal(&page).await?;

    next(&page, "lesson/6/3").await?;
    says(&check(&page).await?.1, "The little finger lets go")?;
    page.nudge("Place knuckles", 1.0, 9, -8).await?;
    holds(&page).await?;
    no_pointer(&page).await
}

#[tokio::test]
async fn lesson_7_roll() -> Result<()> {
    let page = Page::start().await?;
    begin(&page, "lesson/7/1").await?;
    page.press_by_key("Now predict").await?;
    page.nudge_pencil(1.0, 0, 0).await?;
    page.key(Key::Space).await?;
    // About the knuckles at (93, −4.5) from the wrist to some 36°, then about the tips at (169, −11).
    let turned = |(x, y): (f64, f64), (px, py): (f64, f64), degrees: f64| {
        let (s, c) = libm::sincos(-degrees.to_radians());
        let (dx, dy) = (x - px, y - py);
        (px + dx * c - dy * s, py + dx * s + dy * c)
    };
    let mut path: Vec<_> = (0..=36)
        .map(|degrees| turned((0.0, 0.0), (93.0, -4.5), f64::from(degrees)))
        .collect();
    let corner = path[36];
    path.extend((1..=31).map(|degrees| turned(corner, (169.0, -11.0), f64::from(degrees))));
    draw_along(&page, &path).await?;
    let said = reveal(&page).await?;
    ensure!(number_before(&said, "mm of the path")? <= 6.0, "{said}");

    next(&page, "lesson/7/2").await?;
    page.press_by_key("Now predict").await?;
    staple(&page, &["index", "middle", "ring"]).await?;
    says(
        &reveal(&page).await?,
        "Right. The index finger, the middle finger and the ring finger stay.",
    )?;

    next(&page, "lesson/7/3").await?;
    page.nudge("Place tips", 1.0, -14, -12).await?;
    holds(&page).await?;

    next(&page, "lesson/7/4").await?;
    turn(&page, "lift", 1.0, 41).await?;
    turn(&page, "turn about the tips", 1.0, 7).await?;
    holds(&page).await?;
    no_pointer(&page).await
}

#[tokio::test]
async fn lesson_8_limits() -> Result<()> {
    let page = Page::start().await?;
    begin(&page, "lesson/8/1").await?;
    page.press_by_key("Now predict").await?;
    staple(&page, &["index", "middle"]).await?;
    reveal(&page).await?;

    next(&page, "lesson/8/2").await?;
    page.press_by_key("Step 5 mm or degrees").await?;
    // By the map's cross: lift across, lean up.
    page.tab_to(".map-cross").await?;
    page.keys(Key::Right, 9).await?;
    page.keys(Key::Down, 3).await?;
    page.dial_reads("lift", 45.0, 0.01).await?;
    page.dial_reads("lean", -15.0, 0.01).await?;
    holds(&page).await?;

    next(&page, "lesson/8/3").await?;
    turn(&page, "twist", 5.0, 1).await?;
    turn(&page, "release index finger", 5.0, 20).await?;
    holds(&page).await?;
    no_pointer(&page).await
}
