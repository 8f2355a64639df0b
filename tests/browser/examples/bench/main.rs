//! What a learner waits for, measured inside the page: `cargo xtask bench`. An argument, `figure`,
//! `drag` or `survey`, measures that alone.

mod floor;

use anyhow::{Context, Result, ensure};
use browser::{Look, Page, Size, path};
use serde_json::{Value, json};
use survey_job::{Question, Side};

/// First visits, each with an empty cache.
const VISITS: usize = 7;
/// The rate at which the processor is slowed, as a school's old laptop would be.
const SLOWED: f64 = 4.0;
/// Pointer moves in one drag: slowed, they take the driver a good part of the time it may take.
const MOVES: usize = 100;

#[tokio::main]
async fn main() -> Result<()> {
    let page = Page::start().await?;
    let only = std::env::args().nth(1);
    let wanted = |part: &str| only.as_deref().is_none_or(|only| only == part);
    if wanted("figure") {
        first_figure(&page, 1.0).await?;
        first_figure(&page, SLOWED).await?;
        page.devtools("Network.clearBrowserCache", json!({}))
            .await?;
        page.open("?nosw#/lesson/1", Size::DESKTOP, Look::Paper)
            .await?;
        loaded(&page).await?;
    }
    if wanted("drag") {
        drag(&page, "lesson/1/play", SLOWED).await?;
        drag(&page, "hand", SLOWED).await?;
        drag(&page, "hand", 1.0).await?;
    }
    if wanted("survey") {
        survey(&page).await?;
    }
    Ok(())
}

/// A survey of the bench press, 61 poses a side: within the safe region and well beyond it, with
/// four fingers planted and with the thumb too.
async fn survey(page: &Page) -> Result<()> {
    const FOUR: &str = r#"{"format": "handstand/1", "hand": {"planting": {}}}"#;
    const FIVE: &str = r#"{"format": "handstand/1", "hand": {"planting": {"digits": ["thumb", "index-finger", "middle-finger", "ring-finger", "pinky-finger"]}}}"#;
    for (what, document, lean) in [
        ("four fingers, all safe", FOUR, 8.0),
        ("four fingers, half beyond", FOUR, 20.0),
        ("five digits", FIVE, 8.0),
    ] {
        let document = hand::read(document)?;
        let side = |name: &str, from: f64, to: f64| {
            let dial = document.dials.iter().position(|dial| dial.name == name);
            Ok::<_, anyhow::Error>(Side {
                dial: dial.context("no press dials")?,
                from,
                to,
                count: 61,
            })
        };
        let question = Question::Survey {
            standing: document.setting.clone(),
            across: side("lift", 0.0, 35.0)?,
            up: side("lean", -lean, lean)?,
        };
        let asked = page.ask_surveyor(&document, &question, 15).await?;
        let mut times: Vec<f64> = asked.iter().map(|asked| asked.ms).collect();
        let (best, median) = (quantile(&mut times, 0.0), quantile(&mut times, 0.5));
        println!(
            "survey of 61 × 61, {what}: best {best:.1} ms, median {median:.1} ms, {:.2} µs a pose",
            best * 1e3 / (61.0 * 61.0)
        );
    }
    Ok(())
}

/// From the click on: when there is something to read, when the figure that the build drew stands
/// there, and when the app has drawn its own, which can be dragged.
async fn first_figure(page: &Page, slowed: f64) -> Result<()> {
    const TOLD: [(&str, &str); 3] = [
        ("text-painted", "first text"),
        ("figure-painted", "first figure painted"),
        ("figure-drawn", "first figure live"),
    ];
    for route in ["lesson/1", "hand"] {
        page.throttle(slowed).await?;
        let mut times = [const { Vec::new() }; TOLD.len()];
        for _ in 0..VISITS {
            page.devtools("Network.clearBrowserCache", json!({}))
                .await?;
            let address = format!("?nosw#/{route}");
            page.open(&address, Size::DESKTOP, Look::Paper).await?;
            page.figure_drawn().await?;
            for ((mark, _), times) in TOLD.iter().zip(&mut times) {
                let asked = format!("performance.getEntriesByName('{mark}')[0]?.startTime ?? null");
                let time = page.eval(&asked).await?;
                times.push(number(&time).with_context(|| format!("no {mark}"))?);
            }
        }
        page.throttle(1.0).await?;
        println!("\n{route}, processor slowed {slowed} times, {VISITS} first visits:");
        for ((_, what), mut times) in TOLD.iter().zip(times) {
            let (median, slowest) = (quantile(&mut times, 0.5), quantile(&mut times, 1.0));
            println!("{what}: median {median:.0} ms, slowest {slowest:.0} ms");
        }
    }
    Ok(())
}

async fn loaded(page: &Page) -> Result<()> {
    let sizes = page
        .eval(
            "performance.getEntries().filter((entry) => 'encodedBodySize' in entry)\
             .map((entry) => [new URL(entry.name).pathname, entry.encodedBodySize, entry.decodedBodySize])",
        )
        .await?;
    let mut sizes: Vec<(String, u64, u64)> = serde_json::from_value(sizes)?;
    // An address asked for twice is sent once.
    sizes.sort();
    sizes.dedup();
    println!("\nloaded by the first lesson      as sent   unpacked (bytes)");
    for (name, sent, unpacked) in &sizes {
        println!("{name:30} {sent:8} {unpacked:10}");
    }
    let sent: u64 = sizes.iter().map(|size| size.1).sum();
    println!(
        "{:30} {sent:8} {:10}\n",
        "together",
        sizes.iter().map(|size| size.2).sum::<u64>()
    );
    Ok(())
}

async fn drag(page: &Page, route: &str, slowed: f64) -> Result<()> {
    page.open(&format!("?measure#/{route}"), Size::DESKTOP, Look::Paper)
        .await?;
    page.figure_drawn().await?;
    let (x, y) = page.rect(".plate .handle").await?.centre();
    let to_and_fro = path(
        &[(x, y), (x + 60.0, y - 120.0), (x - 60.0, y - 60.0), (x, y)],
        25,
    );
    let points: Vec<(f64, f64)> = to_and_fro.into_iter().cycle().take(MOVES).collect();
    page.throttle(slowed).await?;
    page.eval(
        "window.gaps = []; performance.clearMeasures(); window.watching = true; \
         let last = performance.now(); window.began = last; \
         requestAnimationFrame(function next(now) { gaps.push(now - last); last = now; if (watching) requestAnimationFrame(next); })",
    )
    .await?;
    page.devtools("Performance.enable", json!({})).await?;
    let before = main_thread(page).await?;
    page.drag(&points).await?;
    let after = main_thread(page).await?;
    let lasted = number(
        &page
            .eval("watching = false, performance.now() - began")
            .await?,
    )?;
    page.throttle(1.0).await?;

    let mut gaps: Vec<f64> = serde_json::from_value(page.eval("gaps").await?)?;
    let work = page
        .eval("performance.getEntriesByName('frame').map((entry) => entry.duration)")
        .await?;
    let mut work: Vec<f64> = serde_json::from_value(work)?;
    ensure!(!work.is_empty(), "the drag moved nothing");
    println!(
        "\n{route}: drag of {:.1} s, processor slowed {slowed} times, {} frames, {} of them with work of the app",
        lasted / 1e3,
        gaps.len(),
        work.len()
    );
    let busy = (after - before) / gaps.len() as f64;
    println!("main thread busy for {busy:.2} ms a frame on average, all told");
    let saves = page
        .eval("['save', 'save-put'].flatMap((name) => performance.getEntriesByName(name)).map((entry) => entry.duration)")
        .await?;
    let mut saves: Vec<f64> = serde_json::from_value(saves)?;
    println!("{} parts of savings in it", saves.len());
    for (what, times) in [
        ("the app's work in a frame", &mut work),
        ("from frame to frame", &mut gaps),
        ("of a frame, a saving", &mut saves),
    ] {
        println!(
            "{what}: median {:.2} ms, 95th percentile {:.2} ms",
            quantile(times, 0.5),
            quantile(times, 0.95)
        );
    }
    let floor = floor::measure(page, slowed).await?;
    println!(
        "beside a page that paints the same {} shapes and no more: its script median {:.2} ms, main thread \
         busy for {:.2} ms a frame; ours {:.2} times that",
        floor.shapes,
        floor.script,
        floor.busy,
        busy / floor.busy
    );
    Ok(())
}

/// Milliseconds that the page's main thread has been busy.
async fn main_thread(page: &Page) -> Result<f64> {
    let reply = page.devtools("Performance.getMetrics", json!({})).await?;
    let metrics = reply["metrics"].as_array().context("no metrics")?;
    let task = metrics
        .iter()
        .find(|metric| metric["name"] == "TaskDuration")
        .context("no TaskDuration")?;
    Ok(number(&task["value"])? * 1e3)
}

fn number(value: &Value) -> Result<f64> {
    value
        .as_f64()
        .with_context(|| format!("{value} is not a number"))
}

/// The smallest value that at least this part of all values does not exceed.
fn quantile(values: &mut [f64], part: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let rank = (part * values.len() as f64).ceil() as usize;
    values
        .get(rank.saturating_sub(1))
        .copied()
        .unwrap_or(f64::NAN)
}
