//! The key to the plate: it lists what is on the plate, covers nothing of it, and leads to its words.

use anyhow::{Result, ensure};
use browser::{Key, Look, Page, Size, none};

const ROUTE: &str = "lesson/pivot-above/3";

async fn opened(size: Size, look: Look) -> Result<Page> {
    let page = Page::start().await?;
    page.open(&format!("#/{ROUTE}"), size, look).await?;
    page.on_step(ROUTE).await?;
    page.press("Key").await?;
    page.wait_for(".key li").await?;
    Ok(page)
}

async fn signs(page: &Page) -> Result<Vec<String>> {
    let names = "[...document.querySelectorAll('.key li a')].map((a) => a.innerText)";
    Ok(serde_json::from_value(page.eval(names).await?)?)
}

#[tokio::test]
async fn on_a_desk_it_stands_beside_the_plate() -> Result<()> {
    for size in [Size::DESKTOP, Size::TABLET] {
        let page = opened(size, Look::Slate).await?;
        let listed = signs(&page).await?;
        for sign in ["ring", "hatched", "staple", "dashed line", "bubble"] {
            ensure!(listed.iter().any(|name| name == sign), "{sign}: {listed:?}");
        }
        for sign in ["pencil", "green", "dotted outline"] {
            ensure!(
                !listed.iter().any(|name| name == sign),
                "{sign}: {listed:?}"
            );
        }
        let (key, plate) = (page.rect(".key").await?, page.rect(".plate").await?);
        ensure!(plate.x + plate.width <= key.x + 1.0, "{plate:?}, {key:?}");
        // The figure has been framed anew: what is dragged is still on the plate.
        page.wait_until(
            "[...document.querySelectorAll('.handle')].every((e) => { const r = e.getBoundingClientRect(), \
             p = document.querySelector('.plate').getBoundingClientRect(); \
             return r.left >= p.left && r.right <= p.right && r.top >= p.top && r.bottom <= p.bottom; })",
        )
        .await?;
        none(&page.axe().await?)?;
        // What comes onto the plate comes into the key.
        page.turn_dial("lift", 30.0).await?;
        page.wait_until("[...document.querySelectorAll('.key li a')].some((a) => a.innerText === 'dotted outline')")
            .await?;
        page.key(Key::Escape).await?;
        page.wait_until(
            "!document.querySelector('.key') && document.activeElement.innerText === 'Key'",
        )
        .await?;
        ensure!(
            page.eval("document.activeElement.getAttribute('aria-expanded')")
                .await?
                == "false"
        );
        none(&page.complaints().await?)?;
    }
    Ok(())
}

#[tokio::test]
async fn on_a_phone_it_lies_under_the_plate_and_leads_to_its_words() -> Result<()> {
    let page = opened(Size::PHONE, Look::Paper).await?;
    let button = page.rect("#key-button").await?;
    ensure!(button.width >= 44.0 && button.height >= 44.0, "{button:?}");
    let (key, plate) = (page.rect(".key").await?, page.rect(".plate").await?);
    ensure!(plate.y + plate.height <= key.y + 1.0, "{plate:?}, {key:?}");
    ensure!(key.height >= 200.0, "{key:?}");
    none(&page.axe().await?)?;
    page.press("bubble").await?;
    page.wait_until(
        "location.hash === '#/glossary/slip' && document.activeElement.id === 'word-slip'",
    )
    .await?;
    let row = page.rect("#word-slip").await?;
    ensure!(row.y >= 0.0 && row.y < 844.0, "{row:?}");
    none(&page.complaints().await?)
}
