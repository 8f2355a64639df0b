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

/// A finger that scrolls the page over a dial turns nothing; its marker can be taken.
#[tokio::test]
async fn a_scroll_over_a_dial_turns_nothing() -> Result<()> {
    let page = on_phone("lesson/4/3").await?;
    let dial = page.rect(".dial input[type=range]").await?;
    let before = page.dial("lift").await?;
    let x = dial.x + dial.width * 0.75;
    let up = path(&[(x, dial.y + 8.0), (x, dial.y - 160.0)], 12);
    page.touch_drag(&up).await?;
    page.dial_reads("lift", before, 0.0).await?;
    ensure!(
        page.eval("scrollY > 60").await? == true,
        "it did not scroll"
    );
    page.eval("scrollTo(0, 0)").await?;
    // From -15 to 75, its marker's middle 22 px within either end.
    let y = dial.y + dial.height / 2.0;
    let at = |value: f64| dial.x + 22.0 + (value + 15.0) / 90.0 * (dial.width - 44.0);
    page.touch_drag(&path(&[(at(before), y), (at(before + 20.0), y)], 12))
        .await?;
    page.dial_reads("lift", before + 20.0, 3.0).await?;
    none(&page.complaints().await?)
}

/// L1, L2: the first thing asked is there to be dragged; predicting, the figure is held where it
/// begins; what happened is said under it, and leads on. All of it by the strip under the figure.
#[tokio::test]
async fn a_step_is_gone_through_by_its_strip() -> Result<()> {
    let page = on_phone("lesson/1/1").await?;
    page.wait_for_text(".task-strip", "Drag the wrist").await?;
    let plate = page.plate().await?;
    let rise = [(-90.0, 0.0), (-90.0, 15.0), (-90.0, 30.0)].map(|at| plate.pixel(at));
    page.touch_drag(&rise).await?;
    page.dial_reads("wrist up", 30.0, 2.0).await?;

    page.tap(".task-strip button").await?;
    page.wait_for_text(".task-strip", "30°").await?;
    page.wait_until("!!document.querySelector('.desk-dials[inert]')")
        .await?;
    page.dial_reads("wrist turn", 0.0, 0.0).await?;
    ensure!(page.count(".handle:not(.crosshair)").await? == 0);
    ensure!(
        page.eval("document.querySelector('.task-strip button').disabled")
            .await?
            == true
    );
    // The plate frames another figure now.
    let plate = page.plate().await?;
    page.touch_drag(&[plate.pixel((57.0, 85.0))]).await?;
    page.wait_until("!document.querySelector('.task-strip button').disabled")
        .await?;
    page.tap(".task-strip button").await?;
    page.wait_for_text(".task-strip", "Right. Your pin is")
        .await?;
    page.wait_until("parseFloat(document.querySelector('.dial output').textContent) === 30")
        .await?;
    page.tap(".task-strip a").await?;
    page.on_step("lesson/1/2").await?;
    page.wait_for_text(".task-strip button", "Check").await?;
    page.tap(".task-strip button").await?;
    page.wait_for_text(".task-strip", "Keep").await?;
    none(&page.complaints().await?)
}

/// A path drawn by a finger that begins beside the figure: the line begins at the wrist, and the finger
/// hides nothing of it. The same from tap to tap, without a drag.
#[tokio::test]
async fn a_path_is_drawn_beside_the_figure_or_by_taps() -> Result<()> {
    let arc = [0.0, 10.0, 20.0, 30.0, 40.0].map(|degrees| raised(90.0, degrees));
    for by_taps in [false, true] {
        let page = on_phone("lesson/4/2").await?;
        page.tap(".task-strip button").await?;
        page.wait_for_text(".task-strip", "Suppose the pivot turns")
            .await?;
        let plate = page.plate().await?;
        if by_taps {
            for at in arc {
                page.touch_drag(&[plate.pixel(at)]).await?;
            }
        } else {
            let beside = arc.map(|(x, y)| plate.pixel((x + 25.0, y + 30.0)));
            page.touch_drag(&beside).await?;
        }
        page.wait_until("!document.querySelector('.task-strip button').disabled")
            .await?;
        page.tap(".task-strip button").await?;
        page.wait_for_text(".task-strip", "Right. Your line stays within")
            .await?;
        none(&page.complaints().await?)?;
    }
    Ok(())
}

/// L5 by one finger: the tool and a joint, a bead and a bead, the wrist lifted; the strip says how
/// far it is, and the view stays.
#[tokio::test]
async fn a_pivot_is_built_by_its_strip() -> Result<()> {
    let page = on_phone("lesson/4/1").await?;
    page.wait_for_text(".task-strip", "Put a mount.").await?;
    page.tap(".task-strip button").await?;
    page.wait_for_text(".task-strip", "Now press a place on the figure.")
        .await?;
    let plate = page.plate().await?;
    page.touch_drag(&[plate.pixel((4.0, -3.0))]).await?;
    page.wait_for_text(".task-strip", "At the knuckle, 0.0 mm.")
        .await?;
    // What is to be hung hangs there, each bead as high as a finger is wide.
    let [wrist, finger, mount] = [
        page.rect("[data-node=wrist]").await?,
        page.rect("[data-node=finger]").await?,
        page.rect("[data-node=mount]").await?,
    ];
    for bead in [wrist, finger, mount] {
        ensure!(bead.height >= 44.0 && bead.x + bead.width <= 390.0);
    }
    page.touch_drag(&path(&[wrist.centre(), finger.centre()], 8))
        .await?;
    page.wait_for_text(".task-strip", "Refused.").await?;
    page.tap("[data-node=wrist]").await?;
    page.wait_for_text(".task-strip", "The wrist is taken.")
        .await?;
    page.tap("[data-node=mount]").await?;
    page.wait_for_text(".task-strip", "Nothing moved").await?;
    let now = page.plate().await?;
    ensure!(now.pixel((0.0, 0.0)) == plate.pixel((0.0, 0.0)), "it moved");
    let arc: Vec<_> = (0..=21)
        .map(|i| plate.pixel(raised(90.0, 2.0 * f64::from(i))))
        .collect();
    page.touch_drag(&arc).await?;
    page.wait_for_text(".task-strip", "61.6 mm from rest")
        .await?;
    // Left and come back to, it stands as it was built.
    page.reload().await?;
    page.on_step("lesson/4/1").await?;
    page.wait_for_text(".task-strip", "61.6 mm from rest")
        .await?;
    page.tap(".task-strip a").await?;
    page.on_step("lesson/4/2").await?;
    none(&page.complaints().await?)
}
