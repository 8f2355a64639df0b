//! Sliders are movers too, and an animation that is stopped leaves the figure as the document has it.

use anyhow::{Result, ensure};
use browser::{Page, none};

/// Sets a slider as a hand on it does: many inputs, then a change.
async fn slide(page: &Page, dial: &str, values: &[f64]) -> Result<()> {
    let script = format!(
        "(() => {{ const label = [...document.querySelectorAll('.dial label')].find((l) => l.textContent === '{dial}'); \
           const slider = document.getElementById(label.htmlFor); \
           for (const value of {values:?}) {{ slider.value = value; slider.dispatchEvent(new Event('input', {{ bubbles: true }})); }} \
           slider.dispatchEvent(new Event('change', {{ bubbles: true }})); return 0 }})()"
    );
    page.eval(&script).await?;
    Ok(())
}

#[tokio::test]
async fn a_way_taken_by_sliders_is_measured() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/2/2").await?;
    let up: Vec<f64> = (0..=60).map(f64::from).collect();
    slide(&page, "wrist up", &up).await?;
    let (verdict, findings) = page.check_to_the_number().await?;
    // Straight up by 60: the wrist is then sqrt(90² + 60²) = 108.2 mm from the staple.
    ensure!(verdict == "Not yet.", "{verdict}");
    ensure!(findings.contains("18.17 mm"), "{findings}");
    // After a further move the mark is of then, and says so.
    slide(&page, "wrist up", &[0.0]).await?;
    page.wait_for_text(".verdict", "Not yet. The figure has changed since.")
        .await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn a_stopped_animation_leaves_the_document() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("lesson/1/2").await?;
    page.press("Keep as first").await?;
    slide(&page, "wrist turn", &[-40.0]).await?;
    page.press("Keep as second").await?;
    page.press("Play between").await?;
    page.wait_until("Math.abs(parseFloat([...document.querySelectorAll('.dial')].find((d) => d.textContent.startsWith('wrist turn')).querySelector('output').textContent) + 40) > 5")
        .await?;
    // A press on bare paper, far from any mover.
    let paper = page.rect(".plate").await?;
    page.click_at((paper.x + paper.width - 60.0, paper.y + 30.0))
        .await?;
    page.dial_reads("wrist turn", -40.0, 0.0).await?;
    none(&page.complaints().await?)
}
