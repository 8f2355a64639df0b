//! The browsers that a page is tried in, behind one face: go, ask, act, hear.

mod chromium;
mod firefox;
mod process;
mod webkit;

use crate::Size;
use anyhow::{Result, bail};
use serde_json::Value;
use std::path::Path;
use thirtyfour::WebDriver;

/// Which browser a page is tried in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Browser {
    Chromium,
    Firefox,
    WebKit,
}

/// A running one. Dropped, it ends with all its processes.
pub(crate) enum Engine {
    Chromium(chromium::Chromium),
    Firefox(Box<firefox::Firefox>),
    WebKit(webkit::WebKit),
}

impl Engine {
    pub async fn start(browser: Browser) -> Result<Engine> {
        Ok(match browser {
            Browser::Chromium => Engine::Chromium(chromium::Chromium::start(None).await?),
            Browser::Firefox => Engine::Firefox(Box::new(firefox::Firefox::start().await?)),
            Browser::WebKit => Engine::WebKit(webkit::WebKit::start().await?),
        })
    }

    /// Chromium with what it kept in a profile's folder, which stays when it ends.
    pub async fn start_on(profile: &Path) -> Result<Engine> {
        Ok(Engine::Chromium(
            chromium::Chromium::start(Some(profile)).await?,
        ))
    }

    pub fn browser(&self) -> Browser {
        match self {
            Engine::Chromium(_) => Browser::Chromium,
            Engine::Firefox(_) => Browser::Firefox,
            Engine::WebKit(_) => Browser::WebKit,
        }
    }

    /// Chromium's own driver, for what the other engines have no word for.
    pub fn driver(&self) -> Result<&WebDriver> {
        match self {
            Engine::Chromium(chromium) => Ok(&chromium.driver),
            _ => bail!("only Chromium does this"),
        }
    }

    /// The process that all of the browser's others descend from.
    pub fn process(&self) -> u32 {
        match self {
            Engine::Chromium(chromium) => chromium.process(),
            Engine::Firefox(firefox) => firefox.process(),
            Engine::WebKit(webkit) => webkit.process(),
        }
    }

    /// Loads an address, and comes back once it is loaded.
    pub async fn goto(&self, address: &str) -> Result<()> {
        match self {
            Engine::Chromium(chromium) => Ok(chromium.driver.goto(address).await?),
            Engine::Firefox(firefox) => firefox.goto(address).await,
            Engine::WebKit(webkit) => webkit.goto(address).await,
        }
    }

    pub async fn reload(&self) -> Result<()> {
        match self {
            Engine::Chromium(chromium) => Ok(chromium.driver.refresh().await?),
            Engine::Firefox(firefox) => firefox.reload().await,
            Engine::WebKit(webkit) => webkit.reload().await,
        }
    }

    /// The value of a JavaScript expression, awaited when it is a promise.
    pub async fn eval(&self, expression: &str) -> Result<Value> {
        match self {
            Engine::Chromium(chromium) => chromium.eval(expression).await,
            Engine::Firefox(firefox) => firefox.eval(expression).await,
            Engine::WebKit(webkit) => webkit.eval(expression).await,
        }
    }

    /// Performs input in the form that W3C WebDriver and WebDriver BiDi share.
    pub async fn perform(&self, actions: Value) -> Result<()> {
        match self {
            Engine::Chromium(chromium) => chromium.perform(actions).await,
            Engine::Firefox(firefox) => firefox.perform(actions).await,
            Engine::WebKit(webkit) => webkit.perform(actions).await,
        }
    }

    pub async fn set_size(&self, size: Size) -> Result<()> {
        match self {
            Engine::Chromium(chromium) => chromium.set_size(size).await,
            Engine::Firefox(firefox) => firefox.set_size(size).await,
            Engine::WebKit(webkit) => webkit.set_size(size).await,
        }
    }

    /// What the browser complained of since last asked.
    pub async fn complaints(&self) -> Result<Vec<String>> {
        match self {
            Engine::Chromium(chromium) => chromium.complaints().await,
            Engine::Firefox(firefox) => firefox.complaints().await,
            Engine::WebKit(webkit) => webkit.complaints().await,
        }
    }

    /// A picture of what is shown, as PNG.
    pub async fn picture(&self) -> Result<Vec<u8>> {
        match self {
            Engine::Chromium(chromium) => Ok(chromium.driver.screenshot_as_png().await?),
            Engine::Firefox(firefox) => firefox.picture().await,
            Engine::WebKit(webkit) => webkit.picture().await,
        }
    }
}
