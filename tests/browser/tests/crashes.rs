//! What stopped the program, or was taken without sense.

use anyhow::{Context, Result, ensure};
use browser::{Key, Page, none};
use serde_json::json;

/// Clicks a box, a choice of a list or a switch as a person would, by an expression that finds it.
async fn act(page: &Page, find: &str, what: &str) -> Result<()> {
    page.wait_until(&format!("!!({find})"))
        .await
        .with_context(|| format!("nothing to {what}"))?;
    page.eval(&format!(
        "({find}).scrollIntoView({{ block: 'center' }}), ({find}).click()"
    ))
    .await?;
    Ok(())
}

/// The handles that move something; a hand that stands on nothing has none.
const HANDLE: &str = ".handle[aria-label^=Move]";

/// Two presses on the first handle, taken at once: past an open recipe it is far by Tab.
async fn lift(page: &Page) -> Result<()> {
    if page.count(HANDLE).await? == 0 {
        return Ok(());
    }
    page.eval(&format!("document.querySelector('{HANDLE}').focus()"))
        .await?;
    page.keys(Key::Right, 2).await
}

/// After a dial was moved the ghost is of the hand as it was; a hand built anew has other nodes.
#[tokio::test]
async fn c1_a_hand_is_built_anew_after_a_dial_was_moved() -> Result<()> {
    let page = Page::start().await?;
    let label = "[...document.querySelectorAll('label')].find((l) => l.innerText.startsWith";
    let stance = |name: &str| {
        format!(
            "(() => {{ const s = {label}('The hand stands')).querySelector('select'); const o = [...s.options].find((o) => o.text === {}); \
             return {{ scrollIntoView() {{}}, click() {{ s.value = o.value; s.dispatchEvent(new Event('change', {{ bubbles: true }})) }} }} }})()",
            json!(name)
        )
    };
    let planted = |digit: &str| {
        format!(
            "document.querySelector(\".digit[aria-label$='{digit} go'], .digit[aria-label$='{digit} down']\")"
        )
    };
    let heel = |word: &str| {
        format!(
            "[...document.querySelectorAll('.switch button')].find((b) => b.innerText === '{word}')"
        )
    };
    page.open_step("hand").await?;
    page.wait_until(&format!("!!{}", planted("index finger")))
        .await?;
    let stances = page
        .eval(&format!(
            "[...{label}('The hand stands')).querySelectorAll('option')].map((o) => o.text)"
        ))
        .await?;
    let stances: Vec<String> = serde_json::from_value(stances)?;
    ensure!(stances.len() > 2, "{stances:?}");
    let mut acts = vec![
        planted("index finger"),
        planted("thumb"),
        heel("heel down"),
        heel("heel up"),
    ];
    acts.extend(
        stances
            .iter()
            .skip(1)
            .chain(stances.first())
            .map(|name| stance(name)),
    );
    for moved in ["keys", "drag", "there and back"] {
        for (at, find) in acts.iter().enumerate() {
            match moved {
                "keys" => lift(&page).await?,
                "drag" if page.count(HANDLE).await? == 0 => {}
                "drag" => {
                    let handle = page.rect(HANDLE).await?.centre();
                    page.drag(&[handle, (handle.0, handle.1 - 30.0)]).await?;
                }
                _ => {
                    lift(&page).await?;
                    page.keys(Key::Left, 2).await?;
                }
            }
            act(&page, find, find).await?;
            page.wait_until("document.querySelector('.alarm') === null")
                .await?;
            // It still answers, and what the plate shows is what is kept.
            page.press("Undo").await?;
            page.press("Redo").await?;
            page.wait_until("document.querySelector('.alarm') === null")
                .await?;
            ensure!(page.document().await?.is_some(), "{moved}, act {at}");
            if page.count(".notice").await? > 0 {
                page.press_first("Close this notice").await?;
            }
        }
    }
    none(&page.complaints().await?)
}

/// Proportions that no hand has are refused with the mend, and the view is as it was.
#[tokio::test]
async fn c5_proportions_without_sense_are_refused() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("hand").await?;
    page.press("Plan").await?;
    let (before, scale) = (page.document().await?, page.plate().await?.scale);
    for (field, value) in [
        ("Length, mm", "450"),
        ("Breadth, mm", "20"),
        ("Length, mm", "4"),
    ] {
        let selector = format!("[aria-label={}]", json!(field));
        page.wait_for(&selector).await?;
        page.click(&selector).await?;
        page.eval(&format!(
            "document.querySelector({}).select()",
            json!(selector)
        ))
        .await?;
        page.write(value).await?;
        page.key(Key::Tab).await?;
        page.wait_for(".notice")
            .await
            .with_context(|| format!("{field} {value}"))?;
        ensure!(
            page.document().await? == before,
            "{field} {value} was taken"
        );
        let shown = page
            .eval(&format!(
                "document.querySelector({}).value",
                json!(selector)
            ))
            .await?;
        ensure!(shown != value, "{field} still reads {value}");
        page.press("Close this notice").await?;
    }
    ensure!(page.plate().await?.scale == scale, "the view moved");
    none(&page.complaints().await?)
}

/// A change of the hand's size that is taken back is seen whole again.
#[tokio::test]
async fn c5_undoing_a_size_brings_the_view_back() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("hand").await?;
    page.press("Plan").await?;
    let scale = page.plate().await?.scale;
    let selector = "[aria-label='Length, mm']";
    page.wait_for(selector).await?;
    page.click(selector).await?;
    page.eval(&format!(
        "document.querySelector({}).select()",
        json!(selector)
    ))
    .await?;
    page.write("230").await?;
    page.key(Key::Tab).await?;
    page.wait_until(&format!(
        "Number(document.querySelector('.plate').dataset.scale) < {}",
        scale * 0.95
    ))
    .await?;
    page.press("Undo").await?;
    page.wait_until(&format!(
        "Math.abs(Number(document.querySelector('.plate').dataset.scale) - {scale}) < 1e-6"
    ))
    .await?;
    none(&page.complaints().await?)
}

/// A dial whose ends meet has a rule that can be drawn.
#[tokio::test]
async fn b2_a_dial_without_a_span_is_drawn() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("sketch").await?;
    let document = json!({
        "format": "handstand/1", "name": "one way",
        "nodes": [{"name": "root", "kind": "joint", "translation": [0, 0, 0], "width": 20, "grip": ["still"]},
                  {"name": "tip", "kind": "joint", "parent": "root", "translation": [60, 0, 0], "width": 12}],
        "dials": [{"name": "still", "unit": "deg", "neutral": 5, "min": 5, "max": 5, "value": 5,
                   "drives": [{"node": "root", "channel": "turn_z", "gain": 1}]}],
    });
    page.eval(&format!(
        "(() => {{ const input = document.querySelector('input[type=file]'); const files = new DataTransfer(); \
         files.items.add(new File([{}], 'one.hand.json')); input.files = files.files; \
         input.dispatchEvent(new Event('change', {{ bubbles: true }})) }})()",
        json!(document.to_string())
    ))
    .await?;
    page.dial_reads("still", 5.0, 0.0).await?;
    let bad = page
        .eval("[...document.querySelectorAll('svg *')].filter((e) => [...e.attributes].some((a) => /NaN|Infinity|undefined/.test(a.value))).length")
        .await?;
    ensure!(bad == 0, "{bad} shapes without a place");
    none(&page.complaints().await?)
}

/// Asked for more memory than there can be, the program ends without a panic, and what it had locked
/// stays locked: that is what is told, not what it stops over later.
#[tokio::test]
async fn an_end_without_a_panic_is_told_at_once() -> Result<()> {
    for way in ["setTimeout(ends)", "queueMicrotask(async () => ends())"] {
        let page = Page::start().await?;
        page.open_step("hand").await?;
        page.app(&format!(
            "(() => {{ const ends = () => app.initSync().__wbindgen_malloc(2 ** 32 - 1, 1); {way}; return 0; }})()"
        ))
        .await?;
        page.wait_for_text("[role=alert] h2", "Handstand has stopped")
            .await
            .with_context(|| way.to_owned())?;
        // Folded away, so it has no text that is seen.
        let said = page
            .eval("document.querySelector('.alarm code').textContent")
            .await?;
        let said = said.as_str().unwrap_or_default();
        ensure!(said.contains("RuntimeError"), "{way}: {said}");
    }
    Ok(())
}
