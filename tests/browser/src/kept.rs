//! What the page keeps in IndexedDB, looked at and tampered with from outside.

use crate::Page;
use anyhow::{Context, Result};
use serde_json::{Value, json};
use std::time::Duration;

/// Calls `act(store, good)` on the page's store; gives null before there is one. Asking for the
/// database by name alone would make an empty one.
fn on_store(mode: &str, act: &str) -> String {
    format!(
        "indexedDB.databases().then((all) => all.some((d) => d.name === 'handstand') ? new Promise((good, bad) => {{ \
           const open = indexedDB.open('handstand'); open.onerror = bad; \
           open.onsuccess = () => {{ const db = open.result; const end = (value) => {{ db.close(); good(value ?? null) }}; \
             const store = db.transaction('kept', '{mode}').objectStore('kept'); ({act})(store, end) }} }}) : null)"
    )
}

impl Page {
    /// The record under a name: `{revision, body, origin, label, at, writer}`, or null.
    pub async fn record(&self, name: &str) -> Result<Value> {
        let act = format!(
            "(store, end) => {{ const get = store.get({}); get.onsuccess = () => end(get.result) }}",
            json!(name)
        );
        self.eval(&on_store("readonly", &act)).await
    }

    /// Every name and record of a place: its own and its copies'.
    pub async fn records(&self, slot: &str) -> Result<Vec<(String, Value)>> {
        let act = "(store, end) => { const keys = store.getAllKeys(); keys.onsuccess = () => { const all = store.getAll(); \
            all.onsuccess = () => end(keys.result.map((key, at) => [key, all.result[at]])) } }";
        let all: Option<Vec<(String, Value)>> =
            serde_json::from_value(self.eval(&on_store("readonly", act)).await?)?;
        let ours = |name: &str| name == slot || name.starts_with(&format!("{slot}~"));
        Ok(all
            .unwrap_or_default()
            .into_iter()
            .filter(|(name, _)| ours(name))
            .collect())
    }

    /// Puts anything under a name, as another build might have.
    pub async fn put_record(&self, name: &str, value: &Value) -> Result<()> {
        let act = format!(
            "(store, end) => {{ const put = store.put({value}, {}); put.onsuccess = () => end(true) }}",
            json!(name)
        );
        let put = self.eval(&on_store("readwrite", &act)).await?;
        anyhow::ensure!(put == true, "there is no store to put it into");
        Ok(())
    }

    /// Forgets all work and all settings, and leaves the app: while it is open, it keeps on keeping.
    pub async fn forget_all(&self) -> Result<()> {
        self.engine.goto("about:blank").await?;
        let elsewhere = format!("{}icons/icon.svg", self.site);
        self.engine.goto(&elsewhere).await?;
        self.eval(
            "(async () => { localStorage.clear(); sessionStorage.clear(); \
             for (const { name } of await indexedDB.databases()) await new Promise((done) => { \
               const gone = indexedDB.deleteDatabase(name); gone.onsuccess = gone.onerror = gone.onblocked = done; }); \
             return 0; })()",
        )
        .await?;
        Ok(())
    }

    /// The document on the plate, as a file has it.
    pub async fn document(&self) -> Result<Option<String>> {
        let text = self.app("app.documentForTest() ?? null").await?;
        Ok(text.as_str().map(String::from))
    }

    /// The text kept for a place such as `lesson-4-3`, if one is.
    pub async fn kept_text(&self, slot: &str) -> Result<Option<String>> {
        Ok(self.record(slot).await?["body"].as_str().map(String::from))
    }

    /// The document kept for a place, once it satisfies a condition.
    pub async fn kept(&self, slot: &str, wanted: impl Fn(&Value) -> bool) -> Result<Value> {
        let mut last = None;
        for _ in 0..400 {
            last = self.kept_text(slot).await?;
            if let Some(text) = &last {
                let document =
                    serde_json::from_str(text).with_context(|| format!("{slot}: {text}"))?;
                if wanted(&document) {
                    return Ok(document);
                }
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
        anyhow::bail!("what is kept as {slot} never became what it should: {last:?}")
    }
}
