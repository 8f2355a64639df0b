//! The page starts, keeps to its policy, works from anywhere and without a network, and fails in plain words.

use anyhow::Result;
use browser::{Look, Page, Size, StaticHost, none};
use serde_json::json;

/// Whether the app has taken over from the shell and shows something.
async fn runs(page: &Page) -> Result<()> {
    page.wait_until(
        "!document.querySelector('#shell, .alarm') && document.body.innerText.trim() !== ''",
    )
    .await
}

#[tokio::test]
async fn starts_without_complaints() -> Result<()> {
    let page = Page::start().await?;
    for size in Size::ALL {
        for look in Look::ALL {
            page.open("", size, look).await?;
            runs(&page).await?;
            none(&page.complaints().await?)?;
        }
    }
    Ok(())
}

#[tokio::test]
async fn breaches_of_the_policy_are_refused_and_heard() -> Result<()> {
    // Once from the header, once from the page alone.
    let host = StaticHost::start("").await?;
    for page in [Page::start().await?, Page::on(&host.address).await?] {
        page.open("", Size::DESKTOP, Look::Paper).await?;
        page.eval(
            "document.body.insertAdjacentHTML('beforeend', '<p id=styled style=\"color: red\">')",
        )
        .await?;
        page.wait_for("#styled").await?;
        assert_eq!(
            page.eval("getComputedStyle(styled).color === 'rgb(255, 0, 0)'")
                .await?,
            false
        );
        assert!(!page.complaints().await?.is_empty());
    }
    Ok(())
}

#[tokio::test]
async fn works_from_a_plain_host_at_a_sub_path_and_then_without_it() -> Result<()> {
    let host = StaticHost::start("/class/room").await?;
    let page = Page::on(&host.address).await?;
    page.open("#/lesson/1", Size::DESKTOP, Look::Paper).await?;
    runs(&page).await?;
    none(&page.complaints().await?)?;
    page.eval("navigator.serviceWorker.ready.then(() => true)")
        .await?;

    host.stop().await;
    // Only what the service worker kept may answer now.
    page.devtools("Network.clearBrowserCache", json!({}))
        .await?;
    page.reload().await?;
    runs(&page).await?;
    let answered = page
        .eval("fetch('lessons/index.json').then((reply) => reply.json()).then(Array.isArray)")
        .await?;
    assert_eq!(answered, true);
    Ok(())
}

#[tokio::test]
async fn a_page_that_cannot_start_says_so() -> Result<()> {
    let page = Page::start().await?;
    page.devtools("Network.enable", json!({})).await?;
    page.devtools("Network.setBlockedURLs", json!({ "urls": ["*.wasm"] }))
        .await?;
    let refused = page.open("?nosw", Size::PHONE, Look::Slate).await;
    assert!(
        refused
            .unwrap_err()
            .to_string()
            .contains("Handstand could not start")
    );
    none(&page.axe().await?)
}

#[tokio::test]
async fn a_stopped_program_offers_the_saved_state() -> Result<()> {
    let page = Page::start().await?;
    page.open("", Size::DESKTOP, Look::Paper).await?;
    page.eval("document.body.dataset.before = 'yes'; handstandPanic('index out of bounds')")
        .await?;
    page.wait_for_text(".alarm [role=alert]", "Your saved work is safe")
        .await?;
    none(&page.axe().await?)?;
    assert_eq!(
        page.eval("document.activeElement.innerText").await?,
        "Reopen the last saved state"
    );
    page.key(browser::Key::Enter).await?;
    page.wait_until("document.body && !document.body.dataset.before")
        .await?;
    runs(&page).await
}
