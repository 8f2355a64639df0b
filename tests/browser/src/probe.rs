//! The core in a browser, as the site's own flags compile it, without the page around it.

use crate::{Browser, Page, StaticHost, given};
use anyhow::Result;
use serde_json::Value;
use std::path::Path;

/// A browser on the folder `probe`, which `cargo xtask build` writes beside the site's.
pub struct Probe {
    page: Page,
    // Serves for as long as it is held.
    _host: StaticHost,
}

impl Probe {
    /// A fresh browser, with the module `tests/probe` loaded on a page of its own.
    pub async fn start_in(browser: Browser) -> Result<Probe> {
        let folder = Path::new(&given("HANDSTAND_SITE_FOLDER")?).with_file_name("probe");
        let host = StaticHost::serve(&folder, "").await?;
        let page = Page::at(browser, &host.address).await?;
        page.engine.goto(&host.address).await?;
        Ok(Probe { page, _host: host })
    }

    /// The value of an expression in which `probe` is the module, with all that it exports.
    pub async fn ask(&self, expression: &str) -> Result<Value> {
        self.page
            .eval(&format!(
                "import(document.querySelector('link[rel=modulepreload]').href).then(async (probe) => {{ \
                   await probe.default({{ module_or_path: document.querySelector('link[as=fetch]').href }}); \
                   return {expression} }})"
            ))
            .await
    }
}
