//! Random walks through all pages: nothing stops, nothing complains, no senseless number is shown,
//! nobody else is asked, and undoing everything gives the first document to the bit.

use anyhow::{Context, Result, bail, ensure};
use browser::Browser;
use browser::walk::{Act, Plan, replay, walk};

/// Long enough for every page; CI's seed is fixed, so that a change alone can make it fail.
const ACTS: usize = 2000;
const FEWER: usize = 300;

#[tokio::test]
async fn a_random_walk_in_chromium() -> Result<()> {
    walk(Browser::Chromium, &Plan::new(ACTS)?).await
}

#[tokio::test]
async fn a_shorter_walk_in_firefox() -> Result<()> {
    walk(Browser::Firefox, &Plan::new(FEWER)?).await
}

#[tokio::test]
async fn a_shorter_walk_in_webkit() -> Result<()> {
    walk(Browser::WebKit, &Plan::new(FEWER)?).await
}

/// The acts that a failed walk has printed, by hand: themselves, or the file they are in; in
/// Chromium unless `HANDSTAND_BROWSER` says `Firefox` or `WebKit`.
#[tokio::test]
async fn acts_given_are_done_again() -> Result<()> {
    let Ok(mut text) = std::env::var("HANDSTAND_REPLAY") else {
        return Ok(());
    };
    if text.starts_with('/') {
        text = std::fs::read_to_string(text)?;
    }
    let acts: Vec<Act> = serde_json::from_str(&text).context("HANDSTAND_REPLAY")?;
    let browser = match std::env::var("HANDSTAND_BROWSER").as_deref() {
        Err(_) | Ok("Chromium") => Browser::Chromium,
        Ok("Firefox") => Browser::Firefox,
        Ok("WebKit") => Browser::WebKit,
        Ok(other) => bail!("HANDSTAND_BROWSER={other} is none of Chromium, Firefox, WebKit"),
    };
    let fault = replay(browser, &acts).await?;
    ensure!(fault.is_none(), "{}", fault.expect("a fault"));
    Ok(())
}
