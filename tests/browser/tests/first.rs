//! The first figure and text of a place stand before the module has come, and stay where they are
//! when it does.

use anyhow::{Context, Result, ensure};
use browser::{Browser, Look, Page, Size, StaticHost, none};
use serde_json::Value;

/// A place, and words of its text that are seen at once on a wide window.
const PLACES: [(&str, &str); 8] = [
    ("", "Hands that press"),
    ("#/lesson/1/1", "A night baker"),
    ("#/lesson/zero/play", "Free play"),
    ("#/lesson/pivot-above/3", "Exercise"),
    ("#/lesson/8/2", "Lesson 10"),
    ("#/hand", "bench-press"),
    ("#/sketch", "Sketch"),
    ("#/glossary", "The words used here"),
];

/// Where the world's origin is on the screen, px, and px to a mm: as painted, and as live.
const PAINTED: &str = "(() => { const f = document.querySelector('.first-figure'); if (!f) return null; \
    const [x, y, s] = f.dataset.origin.split(' ').map(Number), m = f.getScreenCTM(); \
    return [m.a * x + m.e, m.d * y + m.f, m.a * s] })()";
const LIVE: &str = "(() => { const p = document.querySelector('.plate'); if (!p) return null; \
    const r = p.getBoundingClientRect(), d = p.dataset; \
    return [r.x + Number(d.cx), r.y + Number(d.cy), Number(d.scale)] })()";

/// Boxes of what must not jump; what is not shown has none.
const BOXES: &str = "['h1', '.top', '.page', '.page-text .box.now', '.plate', '.desk', '.dial', '.gauge', '.opening', '.contents'].map((s) => { \
    const e = [...document.querySelectorAll(s)].find((e) => e.checkVisibility({ visibilityProperty: true })); \
    if (!e) return [s]; const r = e.getBoundingClientRect(); return [s, r.x, r.y, r.width, r.height] })";

/// What can be read of the page's text, spaces aside.
const TEXT: &str = "(document.querySelector('.page-text') ?? document.querySelector('main')).innerText.replace(/\\s+/g, ' ').trim()";

fn apart(a: &Value, b: &Value) -> Option<f64> {
    let (a, b) = (a.as_array()?, b.as_array()?);
    let pairs = a.iter().zip(b).filter(|(a, _)| a.is_number());
    let each = pairs.map(|(a, b)| Some((a.as_f64()? - b.as_f64()?).abs()));
    (a.len() == b.len()).then_some(())?;
    each.collect::<Option<Vec<_>>>()?
        .into_iter()
        .reduce(f64::max)
        .or(Some(0.0))
}

#[tokio::test]
async fn a_place_is_painted_before_the_module_and_nothing_jumps_when_it_comes() -> Result<()> {
    let page = Page::start().await?;
    // So low that the mobile is given no more of the plate's height than its part.
    let low = Size {
        name: "low",
        width: 1440,
        height: 520,
        mobile: false,
    };
    for size in Size::ALL.into_iter().chain([low]) {
        for (at, (route, words)) in PLACES.into_iter().enumerate() {
            let look = Look::ALL[at % 2];
            let place = format!("{route} at {}", size.name);
            page.open_held(&format!("?nosw{route}"), size, look).await?;
            page.painted().await.with_context(|| place.clone())?;
            if size != Size::PHONE || ["", "#/glossary"].contains(&route) {
                page.wait_for_text("#shell", words).await?;
            }
            ensure!(page.eval("shell.ariaBusy").await? == "true");
            let (text, figure) = (page.eval(TEXT).await?, page.eval(PAINTED).await?);
            let boxes = page.eval(BOXES).await?;
            none(&page.complaints().await?)?;

            page.release().await?;
            let live = page.eval(BOXES).await?;
            for (then, now) in boxes.as_array().into_iter().zip(live.as_array()) {
                for (then, now) in then.iter().zip(now) {
                    let far = apart(then, now);
                    ensure!(
                        far.is_some_and(|far| far < 2.0),
                        "{place}: {then} is now {now}"
                    );
                }
            }
            let now = page.eval(LIVE).await?;
            let far = apart(&figure, &now);
            ensure!(
                figure.is_null() && now.is_null() || far.is_some_and(|far| far < 2.0),
                "{place}: the figure was at {figure}, and is at {now}"
            );
            ensure!(text == page.eval(TEXT).await?, "{place}: it read {text}");
            none(&page.complaints().await?)?;
        }
    }
    Ok(())
}

#[tokio::test]
async fn what_is_painted_can_be_read_by_all() -> Result<()> {
    let page = Page::start().await?;
    for (at, (route, _)) in PLACES.into_iter().enumerate() {
        let look = Look::ALL[(at + 1) % 2];
        page.open_held(&format!("?nosw{route}"), Size::DESKTOP, look)
            .await?;
        page.painted().await?;
        none(&page.axe().await?)?;
    }
    Ok(())
}

#[tokio::test]
async fn the_readers_own_work_is_not_painted_over() -> Result<()> {
    let page = Page::start().await?;
    let route = "?nosw#/lesson/1/2";
    page.open(route, Size::DESKTOP, Look::Paper).await?;
    page.figure_drawn().await?;
    // Seen, but not changed: nothing is kept.
    page.open_held(route, Size::DESKTOP, Look::Paper).await?;
    page.painted().await?;
    page.release().await?;
    page.figure_drawn().await?;
    let (x, y) = page.rect(".plate .handle").await?.centre();
    page.drag(&browser::path(&[(x, y), (x + 40.0, y - 60.0)], 10))
        .await?;
    page.wait_until("indexedDB.databases().then((all) => all.length > 0)")
        .await?;
    page.kept("lesson-1-2", |_| true).await?;
    page.open_held(route, Size::DESKTOP, Look::Paper).await?;
    page.wait_for(".shell.painted.bare h1").await?;
    // Long after it would have been shown.
    page.eval("new Promise((done) => setTimeout(done, 300))")
        .await?;
    let seen = "[...document.querySelectorAll('.given')].some((e) => e.checkVisibility({ visibilityProperty: true }))";
    ensure!(page.eval(seen).await? == false);
    page.release().await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn a_link_on_what_is_painted_leads_on() -> Result<()> {
    let page = Page::start().await?;
    page.open_held("?nosw", Size::DESKTOP, Look::Slate).await?;
    page.painted().await?;
    page.eval("document.querySelector('#shell .contents a').click()")
        .await?;
    page.wait_for_text("#shell h1", "Carry").await?;
    page.wait_until("!!document.querySelector('.shell.painted:not(.bare) .first-figure')")
        .await?;
    page.release().await?;
    page.wait_for_text("h1", "Carry").await?;
    none(&page.complaints().await?)
}

/// The figure that the build drew is up before the app's own in another browser too, by its own clock.
async fn paints_first(browser: Browser) -> Result<()> {
    let host = StaticHost::late().await?;
    let page = Page::at(browser, &host.address).await?;
    for route in ["#/lesson/1/1", "#/hand"] {
        page.open(&format!("?nosw{route}"), Size::DESKTOP, Look::Paper)
            .await?;
        page.figure_drawn().await?;
        let first = "performance.getEntriesByName('figure-painted')[0].startTime \
                     < performance.getEntriesByName('figure-drawn')[0].startTime";
        ensure!(page.eval(first).await? == true, "{route}");
        none(&page.complaints().await?)?;
    }
    Ok(())
}

#[tokio::test]
async fn paints_first_in_firefox() -> Result<()> {
    paints_first(Browser::Firefox).await
}

#[tokio::test]
async fn paints_first_in_webkit() -> Result<()> {
    paints_first(Browser::WebKit).await
}
