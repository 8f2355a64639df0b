//! A page whose module waits, as on a slow line: what stands there before it comes.

use crate::{Look, Page, Size};
use anyhow::{Context, Result};
use serde_json::json;

/// Keeps the module from starting until `letModuleGo` is called. Loaded it is: a page that still
/// loads can be asked nothing.
const HOLD: &str = "(() => { \
    const start = WebAssembly.instantiateStreaming; \
    const held = new Promise((go) => { window.letModuleGo = go; }); \
    WebAssembly.instantiateStreaming = (...all) => held.then(() => start(...all)); \
})()";

impl Page {
    /// Loads a route anew in Chromium, with the module held back until
    /// [`release`](Self::release).
    pub async fn open_held(&self, route: &str, size: Size, look: Look) -> Result<()> {
        self.set_size(size).await?;
        self.set_look(look, false).await?;
        self.engine.goto("about:blank").await?;
        let method = "Page.addScriptToEvaluateOnNewDocument";
        let added = self.devtools(method, json!({ "source": HOLD })).await?;
        let name = added["identifier"].as_str().context("the script's name")?;
        let address = format!("{}{route}", self.site);
        let gone = self.engine.goto(&address).await;
        let method = "Page.removeScriptToEvaluateOnNewDocument";
        self.devtools(method, json!({ "identifier": name })).await?;
        gone
    }

    /// Waits until the piece that the build drew of this place is up.
    pub async fn painted(&self) -> Result<()> {
        self.wait_until("!!document.querySelector('.shell.painted:not(.bare)')")
            .await
    }

    /// Lets the module start, and waits until its page has taken over.
    pub async fn release(&self) -> Result<()> {
        self.eval("letModuleGo()").await?;
        self.wait_until("!document.querySelector('#shell')").await
    }
}
