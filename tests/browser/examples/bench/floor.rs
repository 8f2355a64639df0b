//! The floor of a frame: what painting its shapes costs in a page that does nothing else.

use crate::{main_thread, quantile};
use anyhow::{Context, Result};
use browser::{Page, path};
use serde_json::json;

/// How often the shapes are painted.
const FRAMES: usize = 60;

pub struct Floor {
    pub shapes: usize,
    /// A frame's script, median ms.
    pub script: f64,
    /// The main thread, ms a frame: mostly what the browser makes of it, layout and pixels.
    pub busy: f64,
}

/// Records a frame of a drag on the plate shown, then leaves that page for an empty one.
pub async fn measure(page: &Page, slowed: f64) -> Result<Floor> {
    page.eval(include_str!("record.js")).await?;
    let (x, y) = page.rect(".plate .handle").await?.centre();
    page.drag(&path(&[(x, y), (x + 20.0, y - 40.0)], 4)).await?;
    page.wait_until("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(painted.length > 0))))")
        .await?;
    let plate = page
        .eval("(({ width, height }) => ({ painted, width, height }))(document.querySelector('.plate canvas'))")
        .await?;
    let painted = plate["painted"].as_array().context("nothing painted")?;

    page.driver()?.goto("about:blank").await?;
    let set_up = format!(
        "({})({}, {}, {})",
        include_str!("replay.js").trim_end(),
        plate["painted"],
        plate["width"],
        plate["height"]
    );
    page.eval(&set_up).await?;
    page.throttle(slowed).await?;
    page.devtools("Performance.enable", json!({})).await?;
    let before = main_thread(page).await?;
    let took = page.eval(&format!("replay({FRAMES})")).await?;
    let after = main_thread(page).await?;
    page.throttle(1.0).await?;
    let mut took: Vec<f64> = serde_json::from_value(took)?;
    Ok(Floor {
        shapes: painted.len(),
        script: quantile(&mut took, 0.5),
        busy: (after - before) / FRAMES as f64,
    })
}
