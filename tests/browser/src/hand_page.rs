//! What a learner does on the hand page.
use crate::{Key, Page};
use anyhow::{Context, Result, ensure};
use hand::gauge::Hold;
use rig::Posed;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// By contact: how it is held, in words.
pub type Held = BTreeMap<String, String>;

/// Types into the field with the spoken name, and leaves it.
pub async fn fill(page: &Page, label: &str, text: &str) -> Result<()> {
    let field = format!("[aria-label={}]", json!(label));
    page.wait_for(&field).await?;
    page.eval(&format!(
        "document.querySelector({}).select()",
        json!(field)
    ))
    .await?;
    page.click(&field).await?;
    page.eval(&format!(
        "document.querySelector({}).select()",
        json!(field)
    ))
    .await?;
    page.write(text).await?;
    page.key(Key::Tab).await
}

impl Page {
    /// Chooses an option of a list at once: chosen by typing, all that is passed by would be built.
    pub async fn choose(&self, label: &str, choice: &str) -> Result<()> {
        self.wait_until(&format!(
            "[...document.querySelectorAll('label')].some((l) => l.innerText.startsWith({}))",
            json!(label)
        ))
        .await?;
        let chosen = self
            .eval(&format!(
                "(() => {{ const s = [...document.querySelectorAll('label')].find((l) => l.innerText.startsWith({}))?.querySelector('select'); \
                 const o = [...(s?.options ?? [])].find((o) => o.text === {}); if (!o) return false; \
                 s.value = o.value; s.dispatchEvent(new Event('change', {{ bubbles: true }})); return s.value === o.value; }})()",
                json!(label),
                json!(choice)
            ))
            .await?;
        ensure!(
            chosen == true,
            "{label} {choice}: {}",
            self.text("body").await?
        );
        Ok(())
    }

    /// Opens every fold and waits for the gauges of each contact.
    pub async fn open_gauges(&self) -> Result<()> {
        self.eval("document.querySelectorAll('details').forEach((d) => { d.open = true })")
            .await?;
        self.wait_for(".gauge-table").await
    }

    /// Who is down, as the table of gauges says; what is not planted is left out.
    pub async fn held(&self) -> Result<Held> {
        let rows = self
            .eval(
                "[...document.querySelectorAll('.gauge-table tbody tr')].map((r) => \
                 [r.querySelector('th').innerText, r.querySelector('td').innerText.trim()])",
            )
            .await?;
        let rows: Vec<(String, String)> = serde_json::from_value(rows)?;
        let count = rows.len();
        let held: Held = rows.into_iter().collect();
        ensure!(held.len() == count, "a contact is listed twice: {held:?}");
        Ok(held
            .into_iter()
            .filter(|(_, held)| !held.is_empty())
            .collect())
    }

    /// The document on the plate, once it is as wanted, posed by the core here; the table of gauges
    /// must say who is down as the core does.
    pub async fn held_alike(&self, wanted: impl Fn(&Value) -> bool) -> Result<(Posed, Held)> {
        let mut document = Value::Null;
        for _ in 0..200 {
            let text = self.document().await?.context("no document on the plate")?;
            document = serde_json::from_str(&text)?;
            if wanted(&document) {
                break;
            }
            tokio::time::sleep(std::time::Duration::from_millis(25)).await;
        }
        ensure!(
            wanted(&document),
            "the document never became what it should"
        );
        let posed = Posed::new(&hand::read(&document.to_string())?)?;
        let rig = posed.rig();
        let mut expected = Held::new();
        for plant in &rig.plants {
            let anchor = rig.anchors.iter().find(|anchor| anchor.end == plant.node);
            if let Some(anchor) = anchor {
                let held = Hold::of(&posed, anchor.id).to_string();
                expected.insert(hand::in_words(rig, plant.node), held);
            }
        }
        let found = self.held().await?;
        ensure!(
            found == expected,
            "the page: {found:?}; the core: {expected:?}"
        );
        Ok((posed, found))
    }
}

/// A dial's value in a kept document.
pub fn value(document: &Value, dial: &str) -> Option<f64> {
    let dials = document["dials"].as_array()?;
    dials.iter().find(|d| d["name"] == dial)?["value"].as_f64()
}

/// How one digit is held.
pub fn of<'a>(held: &'a Held, digit: &str) -> Result<&'a str> {
    let found = held.get(digit);
    Ok(found.with_context(|| format!("no {digit} in {held:?}"))?)
}
