//! Scratch: a profile of a drag on the hand page.
use anyhow::{Context, Result};
use browser::{Look, Page, Size, path};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

#[tokio::main]
async fn main() -> Result<()> {
    let open = std::env::args().nth(1).is_some_and(|a| a == "open");
    let page = Page::start().await?;
    page.open("?measure#/hand", Size::DESKTOP, Look::Paper)
        .await?;
    page.figure_drawn().await?;
    page.wait_for_text(".map-told", "safe").await?;
    page.wait_until("!document.querySelector('.map-inside').innerText.includes('measuring')")
        .await?;
    if open {
        page.eval("document.querySelectorAll('details').forEach((d) => { d.open = true })")
            .await?;
        page.wait_for(".gauge-table").await?;
        tokio::time::sleep(std::time::Duration::from_secs(4)).await;
    }
    let (x, y) = page.rect(".plate .handle").await?.centre();
    let to_and_fro = path(
        &[(x, y), (x + 60.0, y - 120.0), (x - 60.0, y - 60.0), (x, y)],
        25,
    );
    let points: Vec<(f64, f64)> = to_and_fro.into_iter().cycle().take(150).collect();
    page.eval("performance.clearMeasures(), 0").await?;
    page.devtools("Performance.enable", json!({"timeDomain": "threadTicks"}))
        .await?;
    let busy = async || -> Result<f64> {
        let got = page.devtools("Performance.getMetrics", json!({})).await?;
        let all = got["metrics"].as_array().context("metrics")?.clone();
        Ok(all
            .iter()
            .find(|m| m["name"] == "TaskDuration")
            .and_then(|m| m["value"].as_f64())
            .unwrap_or(0.0)
            * 1e3)
    };
    let profiled = std::env::args().nth(2).is_some();
    let before = busy().await?;
    if profiled {
        page.devtools("Profiler.enable", json!({})).await?;
        page.devtools("Profiler.setSamplingInterval", json!({"interval": 200}))
            .await?;
        page.devtools("Profiler.start", json!({})).await?;
    }
    for part in points.chunks(30) {
        page.drag(part).await?;
    }
    let after = busy().await?;
    let got = if profiled {
        page.devtools("Profiler.stop", json!({})).await?
    } else {
        Value::Null
    };
    let work = page
        .eval("performance.getEntriesByName('frame').map((entry) => entry.duration)")
        .await?;
    let mut work: Vec<f64> = serde_json::from_value(work)?;
    work.sort_by(f64::total_cmp);
    println!(
        "{} frames, median {:.2}, p95 {:.2}, max {:.2}",
        work.len(),
        work[work.len() / 2],
        work[work.len() * 95 / 100],
        work[work.len() - 1]
    );
    println!(
        "thread time {:.2} ms a frame",
        (after - before) / work.len() as f64
    );
    if profiled {
        tell(&got["profile"], work.len())?;
    }
    Ok(())
}

fn tell(profile: &Value, frames: usize) -> Result<()> {
    let nodes = profile["nodes"].as_array().context("nodes")?;
    let mut own: BTreeMap<i64, f64> = BTreeMap::new();
    let samples = profile["samples"].as_array().context("samples")?;
    let deltas = profile["timeDeltas"].as_array().context("deltas")?;
    for (s, d) in samples.iter().zip(deltas) {
        *own.entry(s.as_i64().unwrap_or(0)).or_default() += d.as_f64().unwrap_or(0.0) / 1000.0;
    }
    let by: BTreeMap<i64, &Value> = nodes
        .iter()
        .map(|n| (n["id"].as_i64().unwrap_or(0), n))
        .collect();
    let mut parent: BTreeMap<i64, i64> = BTreeMap::new();
    for n in nodes {
        for c in n["children"].as_array().into_iter().flatten() {
            parent.insert(c.as_i64().unwrap_or(0), n["id"].as_i64().unwrap_or(0));
        }
    }
    let name = |id: &i64| {
        by[id]["callFrame"]["functionName"]
            .as_str()
            .unwrap_or("?")
            .to_owned()
    };
    let (mut selfs, mut totals): (BTreeMap<String, f64>, BTreeMap<String, f64>) =
        Default::default();
    for (id, ms) in &own {
        *selfs.entry(name(id)).or_default() += ms;
        let mut seen = BTreeSet::new();
        let mut at = *id;
        loop {
            if seen.insert(name(&at)) {
                *totals.entry(name(&at)).or_default() += ms;
            }
            match parent.get(&at) {
                Some(p) => at = *p,
                None => break,
            }
        }
    }
    for (what, map, most) in [("self", selfs, 25), ("total", totals, 130)] {
        println!("--- {what}, ms a frame");
        let mut all: Vec<_> = map.into_iter().collect();
        all.sort_by(|a, b| b.1.total_cmp(&a.1));
        for (n, ms) in all.into_iter().take(most) {
            println!(
                "{:8.3} {}",
                ms / frames as f64,
                n.chars().take(150).collect::<String>()
            );
        }
    }
    Ok(())
}
