//! A phone held in the hand: a drag by one finger, a pinch by two.

use anyhow::{Result, ensure};
use browser::learner::{near, raised};
use browser::{Look, Page, Size, none, path};

async fn on_phone(route: &str) -> Result<Page> {
    let page = Page::start().await?;
    page.open(&format!("#/{route}"), Size::PHONE, Look::Paper)
        .await?;
    page.on_step(route).await?;
    Ok(page)
}

#[tokio::test]
async fn one_finger_lifts_the_wrist() -> Result<()> {
    let page = on_phone("lesson/4/3").await?;
    page.wait_for("[aria-label^='Move wrist']").await?;
    let plate = page.plate().await?;
    // About the hidden pivot, 6 mm towards the wrist.
    let arc: Vec<_> = (0..=20)
        .map(|i| {
            let (x, y) = raised(84.0, f64::from(i));
            plate.pixel((x - 6.0, y))
        })
        .collect();
    page.touch_drag(&arc).await?;
    page.dial_reads("lift", 20.0, 1.0).await?;
    page.gauge_reads("Worst slip", 0.0, 2.0).await?;
    ensure!(
        page.eval("scrollY").await? == 0,
        "the page scrolled under the finger"
    );
    none(&page.complaints().await?)
}

#[tokio::test]
async fn two_fingers_zoom_and_a_double_tap_fits() -> Result<()> {
    let page = on_phone("lesson/4/3").await?;
    let before = page.plate().await?;
    let dial = page.dial("lift").await?;
    let (x, y) = before.area.centre();
    let finger = |side: f64| {
        path(
            &[(x + side * 40.0, y + 60.0), (x + side * 80.0, y + 60.0)],
            10,
        )
    };
    page.touch_pinch(&finger(-1.0), &finger(1.0)).await?;
    let after = page.plate().await?;
    near(after.scale / before.scale, 2.0, 0.02)?;
    // What was between the fingers still is.
    let middle = before.world((x, y + 60.0));
    let now = after.pixel(middle);
    near(now.0, x, 3.0)?;
    near(now.1, y + 60.0, 3.0)?;
    page.dial_reads("lift", dial, 0.0).await?;
    ensure!(
        page.eval("visualViewport.scale").await? == 1,
        "the browser zoomed the page instead"
    );
    // Away from every mover.
    let spot = (after.area.x + 20.0, after.area.y + after.area.height * 0.45);
    page.touch_drag(&[spot]).await?;
    page.touch_drag(&[spot]).await?;
    page.wait_until(&format!(
        "Math.abs(Number(document.querySelector('.plate').dataset.scale) - {}) < 1e-9",
        before.scale
    ))
    .await?;
    none(&page.complaints().await?)
}
