//! The hand pressed on the hand page: rolled from heel to tips, on other surfaces and in other
//! stances, and by its map. Who is down and what is safe is read off the page and compared with
//! the core here.

use anyhow::{Context, Result, ensure};
use browser::hand_page::{Held, fill, of, value};
use browser::learner::near;
use browser::{Key, Page, none};
use hand::survey::{Cell, Ends, LimitKind, Tolerance, measure};
use rig::Posed;
use std::collections::BTreeSet;

/// Steps of the map along a dial.
const MAP_CELLS: f64 = 60.0;
const FINGERS: [&str; 4] = [
    "index finger",
    "middle finger",
    "ring finger",
    "little finger",
];

async fn hand(route: &str) -> Result<Page> {
    let page = Page::start().await?;
    page.open_step(route).await?;
    page.wait_for(".map-told").await?;
    page.open_gauges().await?;
    Ok(page)
}

fn all(held: &Held, words: &str) -> Result<()> {
    for finger in FINGERS {
        let found = of(held, finger)?;
        ensure!(found == words, "the {finger} is {found}, not {words}");
    }
    Ok(())
}

/// Turns the roll by keys on its dial and says who is down then.
async fn rolled(page: &Page, to: f64) -> Result<Held> {
    page.turn_dial("roll", to).await?;
    let near = |d: &serde_json::Value| value(d, "roll").is_some_and(|v| (v - to).abs() < 0.05);
    Ok(page.held_alike(near).await?.1)
}

#[tokio::test]
async fn the_hand_rolls_from_heel_to_peel_by_its_dial() -> Result<()> {
    let page = hand("hand").await?;
    all(&page.held().await?, "down")?;
    all(&rolled(&page, -18.0).await?, "up")?;
    let heel = rolled(&page, -8.0).await?;
    ensure!(
        of(&heel, "index finger")?.starts_with("letting go"),
        "{heel:?}"
    );
    all(&rolled(&page, 40.0).await?, "down")?;
    // The shortest first; the others a good way later.
    let over = rolled(&page, 70.0).await?;
    ensure!(of(&over, "little finger")? != "down", "{over:?}");
    for finger in &FINGERS[..3] {
        ensure!(of(&over, finger)? == "down", "{over:?}");
    }
    let last = rolled(&page, 100.0).await?;
    ensure!(
        of(&last, "little finger")? == "up" && of(&last, "middle finger")? != "down",
        "{last:?}"
    );
    // And back: nothing of the way is kept.
    all(&rolled(&page, 40.0).await?, "down")?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn the_hand_rolls_from_heel_to_peel_by_its_handle() -> Result<()> {
    let page = hand("hand").await?;
    page.press("Side").await?;
    let document = page.document().await?.context("a document")?;
    let mut posed = Posed::new(&hand::read(&document)?)?;
    let rig = posed.rig();
    let roll = rig.dial_named("roll").context("roll")?.id;
    let handle = rig.node_named("roll handle").context("the handle")?.id;
    for to in [-16.0, 36.0, 66.0] {
        // Along the way on which the core has the handle: seen from the side, x and y.
        let mut way = Vec::new();
        for step in 1..=16 {
            posed.set_dial(roll, to * f64::from(step) / 16.0);
            posed.evaluate();
            let at = posed.point(handle);
            way.push((at.x, at.y));
        }
        page.take("Move roll handle", &way).await?;
        let turned = page.dial("roll").await?;
        near(turned, to, 1.5)?;
        let is =
            |d: &serde_json::Value| value(d, "roll").is_some_and(|v| (v - turned).abs() < 0.06);
        let (_, held) = page.held_alike(is).await?;
        match to {
            36.0 => all(&held, "down")?,
            66.0 => ensure!(
                of(&held, "little finger")? != "down" && of(&held, "ring finger")? == "down",
                "{held:?}"
            ),
            _ => ensure!(of(&held, "index finger")? == "up", "{held:?}"),
        }
        page.press("Undo").await?;
        page.dial_reads("roll", 0.0, 0.0).await?;
        all(&page.held().await?, "down")?;
    }
    none(&page.complaints().await?)
}

/// What the page says of the pose under the map's cross, and what the core does.
fn agree(told: &str, cell: &Cell, tolerance: &Tolerance) -> Result<&'static str> {
    let (kind, words) = match cell.ends(tolerance) {
        // A hand that has let go of everything is safe, and no press.
        None if cell.down.count() == 0 => ("safe", "nothing is fully down, nothing amiss"),
        None => ("safe", ", safe"),
        Some(Ends::Slips(_)) => ("slips", " at the "),
        Some(Ends::Sinks(..)) => ("sinks", " mm in, not safe"),
        Some(Ends::Limit(limit)) => match limit.kind {
            LimitKind::Reach => ("limit", "out of reach, not safe"),
            LimitKind::Joint { .. } => ("limit", "past its limit, not safe"),
        },
    };
    let sign = match (kind, cell.down.count()) {
        ("safe", 0) => '–',
        ("safe", _) => '✓',
        _ => '✗',
    };
    ensure!(
        told.contains(words) && told.contains(sign),
        "the page: '{told}'; the core: {kind}"
    );
    Ok(kind)
}

#[tokio::test]
async fn other_surfaces_and_stances_are_pressed() -> Result<()> {
    let page = hand("hand").await?;
    page.press("Side").await?;
    for (label, choice) in [
        ("It presses on", "a round rail"),
        ("It presses on", "the edge of a bench"),
        ("It presses on", "a plane"),
        ("The hand stands", "a fist, on the knuckles"),
        ("The hand stands", "on the fingertips"),
        ("The hand stands", "on the little finger's edge"),
        ("The hand stands", "flat, on the pads"),
        ("thumb", ""),
    ] {
        if choice.is_empty() {
            page.click(&format!(".digit[aria-label^='{label}']"))
                .await?;
        } else {
            page.choose(label, choice).await?;
        }
        ensure!(page.count(".alarm").await? == 0, "{label} {choice}");
        page.open_gauges().await?;
        for dial in ["lift", "lean"] {
            page.turn_dial(dial, 4.0).await?;
            let turned = page.dial(dial).await?;
            let (posed, held) = page
                .held_alike(|d| value(d, dial).is_some_and(|v| (v - turned).abs() < 0.06))
                .await
                .with_context(|| format!("{choice}, {dial} {turned}"))?;
            agree(
                &page.text(".map-told").await?,
                &measure(&posed),
                &Tolerance::default(),
            )
            .with_context(|| format!("{choice}, {dial} {turned}"))?;
            ensure!(held.contains_key("thumb") == choice.is_empty(), "{held:?}");
        }
        for dial in ["lift", "lean"] {
            page.turn_dial(dial, 0.0).await?;
        }
    }
    none(&page.complaints().await?)
}

/// Presses the map all over: what it says of each pose is what the core measures there, and what
/// is painted there is the safe tint just where that is safe.
#[tokio::test]
async fn the_maps_regions_are_what_they_say() -> Result<()> {
    let mut seen = BTreeSet::new();
    // What rolls hardly slips and hardly sinks: less is allowed here than by itself.
    let fewer = |slip, palm| Tolerance {
        slip,
        palm,
        ..Tolerance::default()
    };
    for (route, tolerance) in [
        ("hand", fewer(0.5, 2.2)),
        ("hand/rail-lean", fewer(0.5, 3.0)),
        ("hand/fist-knead", fewer(0.1, 3.0)),
    ] {
        let page = hand(route).await?;
        fill(&page, "Slips up to, mm", &tolerance.slip.to_string()).await?;
        fill(&page, "Palm sinks up to, mm", &tolerance.palm.to_string()).await?;
        page.wait_until("!document.querySelector('.map-inside').innerText.includes('measuring')")
            .await?;
        let sheet = page.rect(".map-sheet").await?;
        let mut undone = 0;
        for row in 0..5 {
            for column in 0..9 {
                let part = (0.2 + 0.09 * f64::from(column), 0.16 + 0.13 * f64::from(row));
                let at = (
                    sheet.x + sheet.width * part.0,
                    sheet.y + sheet.height * part.1,
                );
                let tinted = tinted(&page, (sheet.width * part.0, sheet.height * part.1)).await?;
                page.click_at(at).await?;
                undone += 1;
                let (lift, lean) = (page.dial("lift").await?, page.dial("lean").await?);
                let here = |d: &serde_json::Value| {
                    let is = |name, at: f64| value(d, name).is_some_and(|v| (v - at).abs() < 0.06);
                    is("lift", lift) && is("lean", lean)
                };
                let (posed, _) = page.held_alike(here).await?;
                let cell = measure(&posed);
                let told = page.text(".map-told").await?;
                let kind = agree(&told, &cell, &tolerance)?;
                seen.insert(kind);
                if !near_a_border(&posed, &tolerance) {
                    ensure!(
                        tinted == (kind == "safe"),
                        "{route}, lift {lift}, lean {lean}: {kind}, but tinted {tinted}"
                    );
                }
            }
        }
        for _ in 0..undone {
            page.chord(Key::Control, 'z').await?;
        }
        none(&page.complaints().await?)?;
    }
    ensure!(
        ["safe", "slips", "sinks", "limit"]
            .iter()
            .all(|kind| seen.contains(kind)),
        "{seen:?}"
    );
    Ok(())
}

/// Whether a pose one cell of the map away is safe where this one is not, or the other way: there
/// the drawing goes between cells.
fn near_a_border(posed: &Posed, tolerance: &Tolerance) -> bool {
    let safe = |posed: &Posed| measure(posed).is_safe(tolerance);
    let here = safe(posed);
    let rig = posed.rig();
    let [lift, _, lean, _] = hand::press_dials(rig)[..] else {
        return false;
    };
    let dials = [lift, lean].map(|id| {
        let dial = rig.dial(id).expect("a dial of the press");
        (id, (dial.max - dial.min) / MAP_CELLS)
    });
    let mut other = posed.clone();
    let mut beside = |lift: f64, lean: f64| {
        for ((id, cell), by) in dials.into_iter().zip([lift, lean]) {
            other.set_dial(id, posed.dial(id) + by * cell);
        }
        other.evaluate();
        safe(&other)
    };
    let around = [-1.0, 0.0, 1.0];
    around
        .iter()
        .any(|&lift| around.iter().any(|&lean| beside(lift, lean) != here))
}

/// Whether the map about a place is painted as safe: tinted green, which nothing else is. Letters and
/// lines of who has let go may lie over most of it.
/// Read off a copy, for a canvas that is read itself is painted otherwise from then on.
async fn tinted(page: &Page, (x, y): (f64, f64)) -> Result<bool> {
    let found = page
        .eval(&format!(
            "(() => {{ const c = document.querySelector('.map-sheet canvas'); \
             const s = c.width / c.getBoundingClientRect().width; \
             const k = document.createElement('canvas').getContext('2d', {{ willReadFrequently: true }}); \
             k.drawImage(c, {x} * s - 5, {y} * s - 5, 11, 11, 0, 0, 11, 11); \
             const d = k.getImageData(0, 0, 11, 11).data; \
             let green = 0; for (let i = 0; i < d.length; i += 4) \
             green += d[i + 1] > d[i] + 4 && d[i + 1] > d[i + 2] + 4; return green > 24; }})()"
        ))
        .await?;
    Ok(found == true)
}
