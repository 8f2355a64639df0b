//! The hand page's three faces: what each shows, what is typed, saved and opened, and that what it
//! tells is what the core finds.

use anyhow::{Context, Result, ensure};
use browser::hand_page::value;
use browser::learner::{near, says};
use browser::{Key, Look, Page, Size, none};
use hand::survey::{Tolerance, greatest};
use rig::Posed;
use serde_json::json;
use workbook::desk::called;

async fn hand() -> Result<Page> {
    let page = Page::start().await?;
    page.open_step("hand").await?;
    page.wait_for_text(".map-told", "safe").await?;
    Ok(page)
}

async fn face_is(page: &Page, face: &str) -> Result<()> {
    page.wait_until(&format!(
        "document.querySelector('[role=tab][aria-selected=true]').innerText === '{face}' \
         && document.querySelector('[role=tabpanel]').getAttribute('aria-labelledby') === document.querySelector('[role=tab][aria-selected=true]').id"
    ))
    .await
}

async fn handles(page: &Page) -> Result<Vec<String>> {
    let names = page
        .eval("[...document.querySelectorAll('.plate .handle')].map((e) => e.getAttribute('aria-label').split(/[.,]/)[0])")
        .await?;
    Ok(serde_json::from_value(names)?)
}

/// By pointer, by arrows on the corners and by number; kept over a reload; and no face moves the hand.
#[tokio::test]
async fn a_face_is_turned_to_and_leaves_the_pose_alone() -> Result<()> {
    let page = hand().await?;
    page.turn_dial("lift", 12.0).await?;
    let pressed = page.document().await?;
    let press = [
        "Move wrist",
        "Move roll handle",
        "Move lean handle",
        "Move twist handle",
    ];
    ensure!(
        handles(&page).await? == press,
        "{:?}",
        handles(&page).await?
    );
    // What is not asked for stays away until its fold is open.
    page.press("Move the surface").await?;
    page.wait_for("[aria-label^='Move surface']").await?;
    page.press("Move the surface").await?;
    page.wait_until("!document.querySelector(\"[aria-label^='Move surface']\")")
        .await?;

    page.press("Plan").await?;
    face_is(&page, "Plan").await?;
    page.wait_for("[aria-label^='Pivot now, end']").await?;
    ensure!(
        handles(&page)
            .await?
            .iter()
            .all(|name| !name.starts_with("Move")),
        "{:?}",
        handles(&page).await?
    );
    page.reload().await?;
    page.on_step("hand").await?;
    face_is(&page, "Plan").await?;

    page.tab_to("[role=tab][aria-selected=true]").await?;
    page.key(Key::Right).await?;
    face_is(&page, "Fingers").await?;
    ensure!(page.eval("document.activeElement.innerText").await? == "Fingers");
    let names = handles(&page).await?;
    ensure!(
        !names.is_empty() && names.iter().all(|name| !press.contains(&&**name)),
        "{names:?}"
    );
    page.write("2").await?;
    face_is(&page, "Press").await?;
    page.tab_to_named("Move wrist").await?;
    page.write("3").await?;
    face_is(&page, "Plan").await?;
    // A number in a field, or in a dial, is a number.
    page.tab_to("[aria-label='Length, mm']").await?;
    let length = page.eval("document.activeElement.value").await?;
    page.write("1").await?;
    face_is(&page, "Plan").await?;
    page.eval(&format!("document.activeElement.value = {length}"))
        .await?;
    page.press("Press").await?;
    page.wait_for_text(".map-told", "lift 12.0°").await?;
    ensure!(page.document().await? == pressed, "a face moved the hand");
    none(&page.complaints().await?)
}

/// The row of a dial, as a script.
fn row(dial: &str) -> String {
    format!(
        "[...document.querySelectorAll('.dial')].find((r) => r.querySelector('label').textContent === {})",
        json!(dial)
    )
}

async fn press_value(page: &Page, dial: &str) -> Result<()> {
    let row = row(dial);
    page.wait_until(&format!("!!{row}?.querySelector('.value')"))
        .await?;
    let at = page
        .eval(&format!(
            "(() => {{ const e = {row}.querySelector('.value'); e.scrollIntoView({{ block: 'nearest' }}); const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2] }})()"
        ))
        .await?;
    let at: (f64, f64) = serde_json::from_value(at)?;
    page.click_at(at).await?;
    page.wait_until("document.activeElement.matches('.typed input')")
        .await
}

#[tokio::test]
async fn a_value_is_typed_as_a_sum() -> Result<()> {
    let page = hand().await?;
    let first = page.document().await?;
    press_value(&page, "lift").await?;
    page.write("60/2").await?;
    page.wait_for_text(".typed-is", "= 30.0°").await?;
    page.key(Key::Enter).await?;
    page.dial_reads("lift", 30.0, 0.0).await?;
    ensure!(
        page.eval("document.activeElement.matches('.value')")
            .await?
            == true,
        "the focus is lost with the field"
    );
    page.kept("hand", |d| value(d, "lift") == Some(30.0))
        .await?;
    // One step, and exact.
    page.press("Undo").await?;
    page.dial_reads("lift", 0.0, 0.0).await?;
    ensure!(page.document().await? == first);

    for (typed, told) in [
        ("100*10", "is the most; 1000 was not set."),
        ("-(500)", "is the least; −500 was not set."),
        ("thirty", "‘thirty’ is no number"),
        ("3+", "a number is missing after ‘+’"),
        ("1/0", "divided by 0"),
    ] {
        press_value(&page, "lift").await?;
        page.write(typed).await?;
        page.key(Key::Enter).await?;
        let amiss = format!(
            "{}.querySelector('.typed-amiss').textContent.toLowerCase()",
            row("lift")
        );
        page.wait_until(&format!("{amiss}.includes({})", json!(told.to_lowercase())))
            .await
            .with_context(|| typed.to_owned())?;
        ensure!(page.document().await? == first, "{typed} was taken");
        page.key(Key::Escape).await?;
        page.dial_reads("lift", 0.0, 0.0).await?;
    }
    // On the slider a digit begins to type, and a comma is a decimal one.
    page.eval(&format!(
        "{}.querySelector('input[type=range]').focus()",
        row("roll")
    ))
    .await?;
    page.write("1").await?;
    page.wait_until("document.activeElement.matches('.typed input')")
        .await?;
    page.write("2,5").await?;
    page.key(Key::Enter).await?;
    page.dial_reads("roll", 12.5, 0.0).await?;
    none(&page.complaints().await?)
}

/// A lesson's dials take a typed value too.
#[tokio::test]
async fn a_lessons_dial_takes_a_sum() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/1/2").await?;
    page.wait_for(".dial .value").await?;
    let name = page
        .eval("document.querySelector('.dial label').textContent")
        .await?;
    let name = name.as_str().context("a dial")?.to_owned();
    press_value(&page, &name).await?;
    page.write("35+6-1").await?;
    page.key(Key::Enter).await?;
    page.dial_reads(&name, 40.0, 0.0).await?;
    none(&page.complaints().await?)
}

/// What is told of every dial of the press's desk, the folds open, is what the core finds.
#[tokio::test]
async fn every_dials_span_is_the_cores() -> Result<()> {
    let page = hand().await?;
    page.turn_dial("lean", 3.0).await?;
    page.press("Raw pivots").await?;
    page.press("Move the surface").await?;
    page.wait_until("document.querySelectorAll('.dial').length > 9")
        .await?;
    page.wait_until(
        "[...document.querySelectorAll('.desk:not(.old) .safe-told')].length > 9 \
         && ![...document.querySelectorAll('.safe-told')].some((e) => e.textContent === 'not yet known')",
    )
    .await?;
    let document = page.document().await?.context("a document")?;
    let posed = Posed::new(&hand::read(&document)?)?;
    let rows = page
        .eval(
            "[...document.querySelectorAll('.dial')].map((r) => [r.querySelector('label').textContent, \
             r.querySelector('.safe-told').textContent, ...[...r.querySelectorAll('.ends span')].map((e) => e.textContent)])",
        )
        .await?;
    let rows: Vec<[String; 4]> = serde_json::from_value(rows)?;
    ensure!(rows.len() > 9);
    let mut ended = 0;
    for [name, told, below, above] in rows {
        let dials = &posed.rig().dials;
        let dial = dials.iter().find(|dial| called(dial) == name);
        let dial = dial.context(name.clone())?;
        let reach = |rising| greatest(&posed, dial.id, rising, &Tolerance::default());
        let (down, up) = reach(false).zip(reach(true)).context("a span")?;
        let numbers: Vec<f64> = told
            .trim_start_matches("safe ")
            .split(" to ")
            .filter_map(|part| part.trim_end_matches(['°', ' ', 'm', '%']).parse().ok())
            .collect();
        match numbers[..] {
            [from, to] => {
                near(from, down.value, 0.051).context(name.clone())?;
                near(to, up.value, 0.051).context(name.clone())?;
            }
            _ => ensure!(
                told == "nowhere safe" && down.value >= up.value,
                "{name}: {told}"
            ),
        }
        for (end, stopped) in [(below, down.stopped_by), (above, up.stopped_by)] {
            ensure!((end == "to its end") == stopped.is_none(), "{name}: {end}");
            ended += usize::from(stopped.is_some());
        }
    }
    ensure!(ended > 4, "{ended} ends");
    none(&page.complaints().await?)
}

/// The strip's press is the release dial, one step of undo; a free digit comes down and is planted.
#[tokio::test]
async fn the_strip_lets_go_and_plants() -> Result<()> {
    let page = hand().await?;
    let first = page.document().await?;
    let cell = |digit: &str| {
        format!(
            ".digit[aria-label^='{} ']",
            digit.trim_end_matches(" finger")
        )
    };
    page.click(&cell("index finger")).await?;
    page.wait_until(&format!(
        "document.querySelector(\"{0}\").getAttribute('aria-label') === 'index up: put the index finger down' \
         && document.querySelector(\"{0}\").ariaPressed === 'false'",
        cell("index finger")
    ))
    .await?;
    page.kept("hand", |d| value(d, "release index-finger") == Some(100.0))
        .await?;
    page.press("Let go by degrees").await?;
    page.dial_reads("release index finger", 100.0, 0.0).await?;
    page.turn_dial("release index finger", 40.0).await?;
    page.wait_for_text(&cell("index finger"), "60 %").await?;
    page.click(&cell("index finger")).await?;
    page.dial_reads("release index finger", 100.0, 0.0).await?;
    page.click(&cell("index finger")).await?;
    page.dial_reads("release index finger", 0.0, 0.0).await?;
    page.wait_for_text(&cell("index finger"), "down").await?;
    while page.document().await? != first {
        page.press("Undo").await?;
    }
    page.click(&cell("thumb")).await?;
    page.kept("hand", |d| {
        d["hand"]["planting"]["digits"]
            .to_string()
            .contains("thumb")
    })
    .await?;
    page.wait_for_text(&cell("thumb"), "down").await?;
    page.press("Undo").await?;
    page.wait_for_text(&cell("thumb"), "free").await?;
    ensure!(page.document().await? == first);
    none(&page.complaints().await?)
}

/// Puts a file into the page's file field.
async fn give(page: &Page, name: &str, text: &str) -> Result<()> {
    page.eval(&format!(
        "(() => {{ const input = document.querySelector('input[type=file]'); const files = new DataTransfer(); \
         files.items.add(new File([{}], {})); input.files = files.files; \
         input.dispatchEvent(new Event('change', {{ bubbles: true }})) }})()",
        json!(text),
        json!(name)
    ))
    .await?;
    Ok(())
}

#[tokio::test]
async fn the_hand_is_saved_taken_away_and_opened() -> Result<()> {
    let page = hand().await?;
    page.eval(
        "(() => { window.saved = []; const make = URL.createObjectURL.bind(URL); \
         URL.createObjectURL = (blob) => { saved.push({ blob }); return make(blob) }; \
         HTMLAnchorElement.prototype.click = function () { saved.at(-1).name = this.download } })()",
    )
    .await?;
    page.turn_dial("lift", 20.0).await?;
    let lifted = page.document().await?.context("a document")?;
    for (at, (button, name)) in [
        ("Save the hand", "bench-press.hand.json"),
        ("SVG: save the figure as lines", "bench-press.svg"),
        ("PNG: save the figure as pixels", "bench-press.png"),
    ]
    .into_iter()
    .enumerate()
    {
        page.press(button).await?;
        page.wait_until(&format!(
            "saved.length === {} && saved[{at}].name === '{name}'",
            at + 1
        ))
        .await?;
    }
    ensure!(page.eval("saved[0].blob.text()").await? == json!(lifted));
    let svg = page.eval("saved[1].blob.text()").await?;
    says(svg.as_str().unwrap_or_default(), "<svg")?;
    says(svg.as_str().unwrap_or_default(), "lift 20.0°")?;
    // A picture twice as fine as the plate, with something on it.
    let picture = page
        .eval(
            "createImageBitmap(saved[2].blob).then((b) => { const c = new OffscreenCanvas(b.width, b.height).getContext('2d'); \
             c.drawImage(b, 0, 0); const d = c.getImageData(0, 0, b.width, b.height).data; const seen = new Set(); \
             for (let i = 0; i < d.length; i += 4000) seen.add(d[i] << 16 | d[i + 1] << 8 | d[i + 2]); \
             const r = document.querySelector('.plate').getBoundingClientRect(); return [b.width / r.width, d[3], seen.size] })",
        )
        .await?;
    let [finer, opaque, colours]: [f64; 3] = serde_json::from_value(picture)?;
    near(finer, 2.0, 0.01)?;
    ensure!(opaque == 255.0 && colours > 4.0, "{opaque} {colours}");

    // What is no hand is refused and changes nothing; what is one can be undone.
    for bad in [
        "{",
        "{\"format\": \"handstand/2\"",
        "[1, 2]",
        "{\"format\": \"handstand/9\"}",
    ] {
        give(&page, "odd.hand.json", bad).await?;
        page.wait_for_text(".notice", "Nothing was opened").await?;
        ensure!(page.document().await?.as_ref() == Some(&lifted), "{bad}");
        page.press("Close this notice").await?;
    }
    let rail = include_str!("../../../examples/rail-lean.hand.json");
    give(&page, "rail.hand.json", rail).await?;
    page.wait_for_text("h1", "rail-lean").await?;
    page.wait_for_text(".map-told", "safe").await?;
    page.press("Undo").await?;
    page.wait_for_text("h1", "bench-press").await?;
    ensure!(page.document().await? == Some(lifted));
    none(&page.complaints().await?)
}

/// Until a worker has answered of another hand, what was told of the last is greyed; a pose off the
/// map is said to be.
#[tokio::test]
async fn what_is_old_is_greyed_and_what_is_off_the_map_is_said() -> Result<()> {
    let page = Page::start().await?;
    page.open("", Size::DESKTOP, Look::Paper).await?;
    // Once it is muted, no worker answers.
    page.eval(
        "(() => { const real = window.handstandSurveyor; window.handstandSurveyor = () => { const worker = real(); \
         const post = worker.postMessage.bind(worker); worker.postMessage = (t) => { if (!window.mute) post(t) }; return worker } })()",
    )
    .await?;
    page.eval("void (location.hash = '#/hand')").await?;
    page.on_step("hand").await?;
    page.wait_for_text(".map-told", "safe").await?;
    page.wait_until("!document.querySelector('.desk.old') && !document.querySelector('.map-sheet.old') && document.querySelectorAll('.safe-end').length === 4")
        .await?;
    page.turn_dial("lift", 75.0).await?;
    page.wait_for_text(".map-told", "off the map, which ends at lift 60.0°")
        .await?;
    page.turn_dial("lift", 5.0).await?;
    page.wait_until("!document.querySelector('.map-told').innerText.includes('off the map')")
        .await?;
    page.eval("window.mute = true").await?;
    page.choose("It presses on", "a round rail").await?;
    page.wait_for(".map-sheet.old").await?;
    page.wait_for(".desk.old").await?;
    // Greyed to the eye, not by a class alone.
    page.wait_until("Number(getComputedStyle(document.querySelector('.map-sheet canvas')).opacity) < 0.5 \
                     && Number(getComputedStyle(document.querySelector('.safe-span')).opacity) < 0.3")
        .await?;
    none(&page.complaints().await?)
}

/// No table, field or button of any face reaches over the edge of what it stands in.
#[tokio::test]
async fn nothing_is_cut_off_at_any_size() -> Result<()> {
    let page = Page::start().await?;
    for size in Size::ALL {
        page.open("#/hand", size, Look::Paper).await?;
        page.on_step("hand").await?;
        for face in ["Fingers", "Press", "Plan"] {
            page.press(face).await?;
            if size.mobile {
                page.click(".sheet-handle").await?;
                page.wait_for(".page.open").await?;
            }
            page.eval("document.querySelectorAll('details').forEach((d) => { d.open = true })")
                .await?;
            page.wait_for(match face {
                "Fingers" => ".actions",
                "Press" => ".gauge-table td",
                _ => ".remedies",
            })
            .await?;
            let over = page
                .eval(
                    "[...document.querySelectorAll('.page-inside *, .desk *, .faces *')].filter((e) => { \
                     if (e.closest('svg, .spoken') || !e.checkVisibility({ visibilityProperty: true })) return false; \
                     const box = e.closest('.desk, .page, .faces').getBoundingClientRect(), r = e.getBoundingClientRect(); \
                     if (e.closest('.ends, .rule') || e.matches('input[type=range], input[type=file]')) return false; \
                     return r.width > 0 && (r.right > box.right + 1 || r.left < box.left - 1 || r.right > innerWidth + 1) }) \
                     .map((e) => e.outerHTML.slice(0, 120))",
                )
                .await?;
            ensure!(over == json!([]), "{face} at {}: {over}", size.name);
            if size.mobile {
                page.click(".sheet-handle").await?;
                page.wait_until("!document.querySelector('.page.open')")
                    .await?;
            }
        }
    }
    none(&page.complaints().await?)
}

/// On a phone the plate stays at the top, the corners are a row of 48 px under it, the digits are
/// large enough to press, and the sheet leaves the hand in sight while the map is dragged.
#[tokio::test]
async fn on_a_phone_the_plate_stays_in_sight() -> Result<()> {
    let page = Page::start().await?;
    page.open("#/hand", Size::PHONE, Look::Paper).await?;
    page.on_step("hand").await?;
    let plate = page.rect(".stage").await?;
    let corners = page.rect(".faces").await?;
    near(corners.y, plate.y + plate.height, 2.0)?;
    ensure!(corners.height >= 48.0, "{corners:?}");
    let small = page
        .eval("[...document.querySelectorAll('.digit, [role=tab], .sheet-handle')].filter((e) => { const r = e.getBoundingClientRect(); return r.width < 44 || r.height < 44 }).length")
        .await?;
    ensure!(small == 0, "{small} are too small for a finger");
    ensure!(page.count(".digit").await? == 5);
    page.press("Map and stance").await?;
    page.wait_for_text(".map-told", "safe").await?;
    page.wait_until("document.querySelector('.page').getAnimations().length === 0")
        .await?;
    let (plate, sheet) = (page.rect(".stage").await?, page.rect(".page").await?);
    ensure!(
        plate.y >= -1.0 && sheet.y >= plate.y + plate.height - 1.0,
        "{plate:?} {sheet:?}"
    );
    let map = page.rect(".map-sheet").await?;
    page.touch_drag(&[(map.x + map.width * 0.55, map.y + map.height * 0.45)])
        .await?;
    page.wait_until("parseFloat(document.querySelector('.dial output').textContent) > 5")
        .await?;
    page.press("Close").await?;
    none(&page.complaints().await?)
}

/// What stands there before the module is another face's when this tab was left at one: no more is
/// shown than is so.
#[tokio::test]
async fn another_face_is_painted_first_where_it_was_left() -> Result<()> {
    let page = Page::start().await?;
    page.open("?nosw#/hand", Size::DESKTOP, Look::Paper).await?;
    page.on_step("hand").await?;
    page.press("Plan").await?;
    face_is(&page, "Plan").await?;
    page.open_held("?nosw#/hand", Size::DESKTOP, Look::Paper)
        .await?;
    page.wait_for(".shell.painted.bare [data-corner=plan][aria-selected=true]")
        .await?;
    let seen = page
        .eval("document.querySelector('#shell .page-text').innerText")
        .await?;
    says(
        seen.as_str().unwrap_or_default(),
        "which axis it presses about",
    )?;
    page.release().await?;
    face_is(&page, "Plan").await?;
    none(&page.complaints().await?)
}
