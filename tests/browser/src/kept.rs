//! What the page keeps in the browser, and what it has on the plate. How it is kept is known here
//! alone.

use crate::Page;
use anyhow::{Context, Result};
use serde_json::{Value, json};
use std::time::Duration;

/// Before every name.
const PREFIX: &str = "handstand/1/";

impl Page {
    /// The text kept under a name: a slot's own, or a copy's. It must be on the site.
    pub async fn body_kept(&self, name: &str) -> Result<Option<String>> {
        let key = json!(format!("{PREFIX}{name}"));
        let body = self
            .eval(&format!(
                "JSON.parse(localStorage.getItem({key}))?.body ?? null"
            ))
            .await?;
        Ok(body.as_str().map(String::from))
    }

    /// All names that hold work of a slot such as `lesson-4-3`: its own, and those of its copies.
    pub async fn names_kept(&self, slot: &str) -> Result<Vec<String>> {
        let names = self
            .eval(&format!(
                "Object.keys(localStorage).filter((key) => key.startsWith({0})).map((key) => key.slice({0}.length))",
                json!(PREFIX)
            ))
            .await?;
        let names: Vec<String> = serde_json::from_value(names)?;
        let copy = format!("{slot}~");
        Ok(names
            .into_iter()
            .filter(|name| name == slot || name.starts_with(&copy))
            .collect())
    }

    /// Forgets all work and all settings, and leaves the app: while it is open, it keeps on keeping.
    pub async fn forget_all(&self) -> Result<()> {
        self.engine.goto("about:blank").await?;
        self.engine
            .goto(&format!("{}icons/icon.svg", self.site))
            .await?;
        self.eval(
            "(async () => { localStorage.clear(); sessionStorage.clear(); \
             for (const { name } of await indexedDB.databases()) await new Promise((done) => { \
               const gone = indexedDB.deleteDatabase(name); gone.onsuccess = gone.onerror = gone.onblocked = done; }); \
             return 0; })()",
        )
        .await?;
        Ok(())
    }

    /// The document kept in the browser for a slot such as `lesson-4-3`, once it satisfies a condition.
    pub async fn kept(&self, slot: &str, wanted: impl Fn(&Value) -> bool) -> Result<Value> {
        let mut last = None;
        for _ in 0..400 {
            last = self.body_kept(slot).await?;
            if let Some(text) = &last {
                let document = serde_json::from_str(text)?;
                if wanted(&document) {
                    return Ok(document);
                }
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
        let last = last.as_deref().unwrap_or("nothing");
        anyhow::bail!("what is kept as {slot} never became what it should: {last}")
    }

    /// The document on the plate, as a file has it; none while there is none.
    pub async fn document(&self) -> Result<Option<String>> {
        let text = self.app("app.documentForTest() ?? null").await?;
        Ok(text.as_str().map(String::from))
    }

    /// A document's pose by the app itself: each node's name, position and rotation.
    pub async fn posed(&self, document: &Value) -> Result<Value> {
        let answer = self
            .app(&format!("app.pose({})", json!(document.to_string())))
            .await?;
        Ok(serde_json::from_str(
            answer.as_str().context("pose gave no text")?,
        )?)
    }
}
