//! Every screen, in both looks, keeps WCAG 2.2 AA as far as axe-core can tell, and draws no
//! complaint from the browser.

use anyhow::{Context, Result, ensure};
use browser::{Key, Look, Page, Size, none};

async fn looked_over(page: &Page, screen: &str) -> Result<()> {
    // Colours on their way from one look to the other would be measured half way.
    page.wait_until("document.getAnimations().every((a) => a.playState !== 'running')")
        .await?;
    let faults = page.axe().await?;
    none(&faults).with_context(|| format!("axe-core: {screen}"))?;
    none(&page.complaints().await?).with_context(|| format!("the browser: {screen}"))
}

async fn open(page: &Page, route: &str, size: Size, look: Look) -> Result<String> {
    page.open(&format!("#/{route}"), size, look).await?;
    if route.is_empty() {
        page.wait_until("document.querySelectorAll('.contents li').length >= 5")
            .await?;
    } else if route == "glossary" {
        page.wait_for(".glossary").await?;
    } else {
        page.wait_for(".tools, .box.now, .hand-page h1").await?;
        page.arrived().await?;
    }
    ensure!(
        page.text(":root").await?.len() > 100,
        "an empty page is easily without fault"
    );
    Ok(format!("{route} {} {}", size.name, look.name()))
}

#[tokio::test]
async fn front_and_lessons() -> Result<()> {
    let page = Page::start().await?;
    for look in Look::ALL {
        for route in [
            "",
            "glossary",
            "lesson/1",
            "lesson/2",
            "lesson/3",
            "lesson/4",
            "lesson/5",
            "lesson/zero/2",
            "lesson/zero/4",
            "lesson/turn-order/2",
        ] {
            let screen = open(&page, route, Size::DESKTOP, look).await?;
            looked_over(&page, &screen).await?;
        }
    }
    Ok(())
}

/// In the second look the tab has kept what was drawn in the first.
async fn predict(page: &Page) -> Result<()> {
    let drawn = "[...document.querySelectorAll('.box.now button')].some((b) => b.innerText === 'Draw again')";
    let act = match page.eval(drawn).await? == true {
        true => "Draw again",
        false => "Now predict",
    };
    page.press(act).await
}

#[tokio::test]
async fn a_lesson_in_all_its_states() -> Result<()> {
    let page = Page::start().await?;
    for look in Look::ALL {
        let screen = open(&page, "lesson/1/1", Size::DESKTOP, look).await?;
        looked_over(&page, &format!("{screen}, tried")).await?;
        predict(&page).await?;
        page.draw(&[(60.0, 60.0)]).await?;
        page.reveal().await?;
        page.press("Why").await?;
        looked_over(&page, &format!("{screen}, shown")).await?;

        let screen = open(&page, "lesson/3/1", Size::DESKTOP, look).await?;
        predict(&page).await?;
        page.press("knuckle stays").await?;
        looked_over(&page, &format!("{screen}, stapled")).await?;
        page.reveal().await?;
        looked_over(&page, &format!("{screen}, shown")).await?;

        let screen = open(&page, "lesson/4/3", Size::DESKTOP, look).await?;
        let (verdict, _) = page.check().await?;
        ensure!(verdict == "Not yet.");
        looked_over(&page, &format!("{screen}, failed")).await?;

        let screen = open(&page, "lesson/4/1", Size::DESKTOP, look).await?;
        page.press("By name or by number").await?;
        page.choose_by_key("The wrist hangs from", "knuckle")
            .await?;
        page.press("Hang it").await?;
        page.wait_for(".refused").await?;
        looked_over(&page, &format!("{screen}, refused")).await?;

        let screen = open(&page, "lesson/5/2", Size::DESKTOP, look).await?;
        looked_over(&page, &screen).await?;
        let screen = open(&page, "lesson/2/play", Size::DESKTOP, look).await?;
        looked_over(&page, &screen).await?;
    }
    Ok(())
}

#[tokio::test]
async fn sketch_and_projector() -> Result<()> {
    let page = Page::start().await?;
    for look in Look::ALL {
        let screen = open(&page, "sketch", Size::DESKTOP, look).await?;
        page.press("New").await?;
        looked_over(&page, &format!("{screen}, empty")).await?;
        page.press("Open example").await?;
        page.wait_for("[data-node=knuckle]").await?;
        page.click("[data-node=knuckle]").await?;
        page.wait_for(".card").await?;
        looked_over(&page, &format!("{screen}, with nodes")).await?;

        let screen = open(&page, "lesson/4", Size::DESKTOP, look).await?;
        page.press("Projector").await?;
        page.wait_until("document.documentElement.dataset.projector === 'on'")
            .await?;
        looked_over(&page, &format!("{screen}, projector")).await?;
        page.press("Projector").await?;
        // The look the reader chooses, against the system's.
        page.press(if look == Look::Paper {
            "Slate"
        } else {
            "Paper"
        })
        .await?;
        looked_over(&page, &format!("{screen}, the other look")).await?;
        page.press(if look == Look::Paper {
            "Paper"
        } else {
            "Slate"
        })
        .await?;
        page.eval("localStorage.removeItem('handstand/1/set/look')")
            .await?;
    }
    Ok(())
}

/// Its three faces at three sizes, with all that folds open, and on a phone with the sheet drawn up.
#[tokio::test]
async fn the_hand() -> Result<()> {
    let page = Page::start().await?;
    for look in Look::ALL {
        for size in Size::ALL {
            let screen = open(&page, "hand", size, look).await?;
            for face in ["Fingers", "Plan", "Press"] {
                let screen = format!("{screen}, {face}");
                page.press(face).await?;
                page.wait_until(&format!(
                    "document.querySelector('[role=tab][aria-selected=true]').innerText === '{face}'"
                ))
                .await?;
                looked_over(&page, &screen).await?;
                ensure!(
                    page.eval("document.documentElement.scrollWidth <= innerWidth")
                        .await?
                        == true,
                    "{screen} is wider than the window"
                );
                if size.mobile {
                    page.click(".sheet-handle").await?;
                    page.wait_for(".page.open h1").await?;
                }
                page.eval("document.querySelectorAll('details').forEach((d) => { d.open = true })")
                    .await?;
                let there = match face {
                    "Fingers" => ".actions",
                    "Press" => ".gauge-table",
                    _ => ".remedies",
                };
                page.wait_for(there).await?;
                looked_over(&page, &format!("{screen}, all open")).await?;
                if size.mobile {
                    page.click(".sheet-handle").await?;
                }
            }
        }
        let screen = open(&page, "hand/rail-lean", Size::TABLET, look).await?;
        page.wait_for(".map-told").await?;
        looked_over(&page, &screen).await?;
        // A field open, with what is amiss of it.
        page.click(".dial .value").await?;
        page.write("abc").await?;
        page.key(Key::Enter).await?;
        page.wait_for_text(".typed-amiss", "no number").await?;
        looked_over(&page, &format!("{screen}, typed")).await?;
    }
    Ok(())
}

#[tokio::test]
async fn small_screens() -> Result<()> {
    let page = Page::start().await?;
    for look in Look::ALL {
        for route in ["", "glossary", "lesson/4/3", "sketch"] {
            let screen = open(&page, route, Size::PHONE, look).await?;
            ensure!(
                page.eval("document.documentElement.scrollWidth <= innerWidth")
                    .await?
                    == true,
                "{screen} is wider than the phone"
            );
            looked_over(&page, &screen).await?;
            if route.starts_with("lesson") {
                page.click(".sheet-handle").await?;
                page.wait_for(".page.open h1").await?;
                looked_over(&page, &format!("{screen}, page open")).await?;
            }
        }
        let screen = open(&page, "lesson/2/1", Size::TABLET, look).await?;
        looked_over(&page, &screen).await?;
    }
    Ok(())
}

#[tokio::test]
async fn the_keyboard_gets_past_the_plate_and_in_order() -> Result<()> {
    let page = Page::start().await?;
    open(&page, "lesson/4/3", Size::DESKTOP, Look::Paper).await?;
    page.key(Key::Tab).await?;
    ensure!(page.eval("document.activeElement.innerText").await? == "Skip to the page");
    page.key(Key::Enter).await?;
    ensure!(page.eval("document.activeElement.id").await? == "page");
    // Round the whole page and back: nothing holds the focus, all that has it can be seen.
    let mut seen = Vec::new();
    for _ in 0..150 {
        page.key(Key::Tab).await?;
        let at = page
            .eval("(() => { const e = document.activeElement; if (e === document.body) return 'body'; const r = e.getBoundingClientRect(); \
                 return r.width > 0 && e.checkVisibility() ? (e.getAttribute('aria-label') ?? e.labels?.[0]?.innerText ?? e.innerText) : 'unseen ' + e.outerHTML; })()")
            .await?;
        let at = at.as_str().context("a name")?.to_owned();
        ensure!(!at.starts_with("unseen") && !at.is_empty(), "{at}");
        if at == "Skip to the page" {
            break;
        }
        seen.push(at);
    }
    ensure!(seen.len() < 150, "the focus never comes round");
    for name in ["Check", "Undo", "Side"] {
        let reached = seen.iter().any(|s| s == name);
        let disabled = name == "Undo";
        ensure!(reached != disabled, "{name}: {seen:?}");
    }
    for start in ["Move wrist.", "Place knuckle pivot.", "wrist, joint"] {
        ensure!(
            seen.iter().any(|s| s.starts_with(start)),
            "{start}: {seen:?}"
        );
    }
    Ok(())
}

/// A later step lies below the fold: on a desk it is brought up on arrival, on a phone when the
/// sheet is drawn up, whose handle stays where it is.
#[tokio::test]
async fn a_later_step_is_brought_into_sight() -> Result<()> {
    let page = Page::start().await?;
    for (size, scrolls) in [(Size::TABLET, ".page"), (Size::PHONE, ".page-text")] {
        open(&page, "lesson/4/3", size, Look::Paper).await?;
        for _ in 0..2 {
            if size.mobile {
                page.click(".sheet-handle").await?;
                page.wait_for(".page.open h1").await?;
                page.wait_until("document.querySelector('.page').getAnimations().length === 0")
                    .await?;
            }
            // At the top, or as near as the text below it allows.
            page.wait_until(&format!(
                "((page, step) => page.scrollTop > 0 && Math.abs(step.getBoundingClientRect().top - page.getBoundingClientRect().top) < 2 \
                 || page.scrollTop + page.clientHeight > page.scrollHeight - 2)\
                 (document.querySelector('{scrolls}'), document.querySelector('.box.now'))"
            ))
            .await?;
            if size.mobile {
                ensure!(
                    page.eval("document.querySelector('.page').scrollTop")
                        .await?
                        == 0
                );
                page.click(".sheet-handle").await?;
                page.wait_until("!document.querySelector('.page.open') && document.querySelector('.page').getAnimations().length === 0")
                    .await?;
            }
        }
        ensure!(page.eval("scrollY").await? == 0);
    }
    none(&page.complaints().await?)
}
