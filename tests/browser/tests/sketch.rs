//! The sketch page: a rig drawn from nothing, taken back whole, saved and opened; and files that
//! cannot be opened.

use anyhow::{Context, Result, ensure};
use browser::learner::{near, posed};
use browser::{Look, Page, Size, none};
use serde_json::{Value, json};

async fn sketch() -> Result<Page> {
    let page = Page::start().await?;
    page.open("#/sketch", Size::DESKTOP, Look::Paper).await?;
    page.wait_for(".tools").await?;
    Ok(page)
}

/// The kept sketch once it has so many nodes and anchors.
async fn kept(page: &Page, nodes: usize, anchors: usize) -> Result<Value> {
    let count = |list: &Value| list.as_array().map_or(0, Vec::len);
    page.kept("sketch", |d| {
        count(&d["nodes"]) == nodes && count(&d["anchors"]) == anchors
    })
    .await
    .with_context(|| format!("{nodes} nodes and {anchors} anchors"))
}

/// Presses the plate at a point of the view.
async fn put(page: &Page, at: (f64, f64)) -> Result<()> {
    page.draw(&[at]).await
}

fn places(posed: &Value) -> Result<Vec<(String, [f64; 3])>> {
    let nodes = posed["nodes"].as_array().context("nodes")?;
    nodes
        .iter()
        .map(|n| {
            Ok((
                n["name"].as_str().context("a name")?.to_owned(),
                serde_json::from_value(n["position"].clone())?,
            ))
        })
        .collect()
}

/// Fails when a node of the first pose is elsewhere in the second.
fn nothing_moved(before: &Value, after: &Value) -> Result<()> {
    let after = places(after)?;
    for (name, was) in places(before)? {
        let (_, is) = after
            .iter()
            .find(|(n, _)| *n == name)
            .with_context(|| format!("{name} is gone"))?;
        for (was, is) in was.iter().zip(is) {
            near(*is, *was, 1e-10).with_context(|| name.clone())?;
        }
    }
    Ok(())
}

async fn draw_chain(page: &Page) -> Result<()> {
    page.press("Add joint").await?;
    for (count, x) in [(1, -60.0), (2, 0.0), (3, 40.0)] {
        put(page, (x, 0.0)).await?;
        kept(page, count, 0).await?;
    }
    page.press("Drag").await
}

async fn anchor(page: &Page, from: &str, to: &str) -> Result<()> {
    page.choose_by_key("Anchor from", from).await?;
    page.choose_by_key("to", to).await?;
    page.press("Anchor").await
}

#[tokio::test]
async fn a_rig_is_drawn_and_taken_back_whole() -> Result<()> {
    let page = sketch().await?;
    draw_chain(&page).await?;
    let chain = kept(&page, 3, 0).await?;
    let drawn = posed(&chain)?;
    for ((name, at), x) in places(&drawn)?.iter().zip([-60.0, 0.0, 40.0]) {
        // The driver takes whole pixels, the page whole millimetres.
        near(at[0], x, 1.0).with_context(|| name.clone())?;
    }
    ensure!(chain["nodes"][2]["parent"] == "joint 2", "{chain}");

    // The chain can be dragged as it is.
    let tip = page.grip("Move joint 3").await?;
    page.take("Move joint 3", &[(tip.0 - 10.0, tip.1 + 25.0)])
        .await?;
    let turned = |d: &Value| {
        let dials = d["dials"].as_array().map_or(&[][..], Vec::as_slice);
        dials.iter().any(|dial| dial["value"] != dial["neutral"])
    };
    let bent = page.kept("sketch", turned).await?;
    let bent_pose = posed(&bent)?;
    ensure!(places(&bent_pose)?[2].1[1] > 15.0, "{bent_pose}");
    page.press("Undo").await?;
    page.kept("sketch", |d| *d == chain).await?;

    anchor(&page, "joint", "joint 2").await?;
    kept(&page, 4, 1).await?;
    anchor(&page, "joint 2", "joint 3").await?;
    let anchored = kept(&page, 5, 2).await?;
    nothing_moved(&drawn, &posed(&anchored)?)?;

    page.click("[data-node='joint']").await?;
    page.press("Pivot above").await?;
    let pivoted = kept(&page, 6, 2).await?;
    ensure!(
        pivoted["nodes"]
            .as_array()
            .context("nodes")?
            .iter()
            .any(|n| n["name"] == "joint" && n["parent"] == "joint pivot"),
        "{pivoted}"
    );
    nothing_moved(&drawn, &posed(&pivoted)?)?;

    page.press("Gather anchors under a carrier").await?;
    let gathered = kept(&page, 7, 2).await?;
    let carried = |d: &Value| {
        d["nodes"].as_array().map_or(0, |all| {
            all.iter().filter(|n| n["parent"] == "carrier").count()
        })
    };
    ensure!(carried(&gathered) == 2, "{gathered}");
    nothing_moved(&drawn, &posed(&gathered)?)?;

    // Back to nothing, and forth again, to the byte.
    let enabled = |name: &str| {
        format!(
            "[...document.querySelectorAll('.top button')].find((b) => b.innerText === '{name}').disabled === false"
        )
    };
    let whole = page.kept_text("sketch").await?;
    for (name, nodes, anchors) in [("Undo", 0, 0), ("Redo", 7, 2)] {
        let mut presses = 0;
        while page.eval(&enabled(name)).await? == true {
            page.press(name).await?;
            presses += 1;
            ensure!(presses < 40, "{name} does not end");
        }
        ensure!(presses >= 7, "{name} ended after {presses}");
        kept(&page, nodes, anchors).await?;
    }
    ensure!(page.kept_text("sketch").await? == whole);
    none(&page.complaints().await?)
}

#[tokio::test]
async fn a_sketch_is_saved_and_opened_again() -> Result<()> {
    let page = sketch().await?;
    draw_chain(&page).await?;
    kept(&page, 3, 0).await?;
    page.eval("window.blobs = []; const make = URL.createObjectURL; URL.createObjectURL = (blob) => { blobs.push(blob); return make(blob) }").await?;
    page.press("Save file").await?;
    page.wait_until("window.blobs.length === 1").await?;
    let file = page.eval("blobs[0].text()").await?;
    ensure!(file.as_str().map(String::from) == page.kept_text("sketch").await?);
    hand::read(file.as_str().context("text")?)?;

    page.press("New").await?;
    kept(&page, 0, 0).await?;
    open(&page, "mine.hand.json", &file.to_string()).await?;
    kept(&page, 3, 0).await?;
    page.press("Open example").await?;
    page.kept("sketch", |d| d["name"] == "bench-press").await?;
    ensure!(page.count(".notice").await? == 0);
    none(&page.complaints().await?)
}

/// Hands a file to the page's own input; its text is a JavaScript expression.
async fn open(page: &Page, name: &str, text: &str) -> Result<()> {
    page.eval(&format!(
        "(() => {{ const files = new DataTransfer(); files.items.add(new File([{text}], {})); \
         const input = document.querySelector('input[type=file]'); input.files = files.files; \
         input.dispatchEvent(new Event('change', {{ bubbles: true }})); }})()",
        json!(name)
    ))
    .await?;
    Ok(())
}

/// Each bad file with words that tell what is amiss.
fn bad_files() -> Vec<(&'static str, String, &'static str)> {
    let document = |rest: &str| format!("{{\"format\": \"handstand/1\", {rest}}}");
    let nodes = |list: &str| document(&format!("\"nodes\": [{list}]"));
    let many: Vec<String> = (0..100_000)
        .map(|i| format!("{{\"name\": \"n{i}\", \"kind\": \"mount\", \"translation\": [0, 0, 0]}}"))
        .collect();
    vec![
        (
            "truncated",
            "{\"format\": \"handstand/1\", \"nodes\": [".into(),
            "the file ends in the middle",
        ),
        ("not JSON", "a hand".into(), "this is not JSON"),
        ("empty", String::new(), "the file ends in the middle"),
        (
            "newer",
            "{\"format\": \"handstand/3\"}".into(),
            "this build reads up to handstand/2",
        ),
        (
            "another format",
            "{\"format\": \"loaf/1\"}".into(),
            "'loaf/1'",
        ),
        (
            "a cycle",
            nodes(
                "{\"name\": \"a\", \"kind\": \"mount\", \"parent\": \"b\", \"translation\": [0, 0, 0]}, {\"name\": \"b\", \"kind\": \"mount\", \"parent\": \"a\", \"translation\": [0, 0, 0]}",
            ),
            "'a'",
        ),
        (
            "an unknown node",
            nodes(
                "{\"name\": \"a\", \"kind\": \"mount\", \"parent\": \"nobody\", \"translation\": [0, 0, 0]}",
            ),
            "'nobody'",
        ),
        (
            "a number without end",
            nodes("{\"name\": \"a\", \"kind\": \"mount\", \"translation\": [1e999, 0, 0]}"),
            "too large to be finite",
        ),
        (
            "one name twice",
            nodes(
                "{\"name\": \"a\", \"kind\": \"mount\", \"translation\": [0, 0, 0]}, {\"name\": \"a\", \"kind\": \"mount\", \"translation\": [1, 0, 0]}",
            ),
            "'a'",
        ),
        (
            "a bone without length",
            document(
                "\"nodes\": [{\"name\": \"a\", \"kind\": \"joint\", \"translation\": [0, 0, 0]}, {\"name\": \"b\", \"kind\": \"joint\", \"parent\": \"a\", \"translation\": [0, 0, 0]}, {\"name\": \"t\", \"kind\": \"mount\", \"translation\": [9, 0, 0]}], \"anchors\": [{\"name\": \"hold\", \"base\": \"a\", \"end\": \"b\", \"target\": \"t\", \"solver\": \"aim\"}]",
            ),
            "length",
        ),
        (
            "an unknown field",
            document("\"nodes\": [], \"colour\": 3"),
            "colour",
        ),
        ("100,000 nodes", nodes(&many.join(", ")), "100000"),
    ]
}

#[tokio::test]
async fn bad_files_get_one_clear_sentence_and_change_nothing() -> Result<()> {
    let page = sketch().await?;
    draw_chain(&page).await?;
    let before = kept(&page, 3, 0).await?;
    let undo = "document.querySelector('.top button[title^=Undo]').title";
    let undo_before = page.eval(undo).await?;
    for (what, text, words) in bad_files() {
        let fault = hand::read(&text)
            .err()
            .with_context(|| format!("{what} was read"))?;
        let sentence = format!("bad.hand.json: {fault}");
        ensure!(
            sentence.contains(words),
            "{what}: '{words}' is not in {sentence}"
        );
        ensure!(
            sentence.len() < 300 && !sentence.contains('\n'),
            "{what}: {sentence}"
        );
        open(&page, "bad.hand.json", &json!(text).to_string()).await?;
        page.wait_for_text(".notice b", &sentence)
            .await
            .with_context(|| what.to_owned())?;
        ensure!(
            page.count(".notice").await? == 1,
            "{what}: more than one notice"
        );
        page.press("Close this notice").await?;
        page.wait_until("!document.querySelector('.notice')")
            .await?;
    }
    ensure!(page.eval(undo).await? == undo_before);
    ensure!(page.count("[data-node^=joint]").await? == 3);
    // Still alive, and what is saved next is what was there.
    page.press("Undo").await?;
    kept(&page, 2, 0).await?;
    page.press("Redo").await?;
    page.kept("sketch", |d| *d == before).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn a_bad_lesson_gets_one_clear_sentence() -> Result<()> {
    let page = Page::start().await?;
    page.open("?nosw", Size::DESKTOP, Look::Paper).await?;
    for (text, words) in [
        (
            "{\"format\": \"handstand-lesson/1\", \"number\": 3",
            "ends in the middle",
        ),
        ("{\"format\": \"handstand-lesson/3\"}", "handstand-lesson/3"),
        ("half a loaf", "not JSON"),
    ] {
        page.open("?nosw", Size::DESKTOP, Look::Paper).await?;
        page.wait_until("document.querySelectorAll('.contents li').length >= 5")
            .await?;
        page.eval(&format!(
            "(() => {{ const real = window.fetch; window.fetch = (address, options) => String(address.url ?? address).includes('03-') \
             ? Promise.resolve(new Response({})) : real(address, options); location.hash = '#/lesson/3'; }})()",
            json!(text)
        ))
        .await?;
        page.wait_for_text(".notice", words).await?;
        ensure!(page.count(".notice").await? == 1);
        ensure!(
            page.text(".notice").await?.contains("03-"),
            "the file is named"
        );
        // The others still work.
        page.eval("location.hash = '#/lesson/1/1'").await?;
        page.on_step("lesson/1/1").await?;
    }
    Ok(())
}

/// A long chain neither hangs the page nor makes a wall of beads.
#[tokio::test]
async fn a_long_chain_opens() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("sketch").await?;
    let nodes: Vec<Value> = (0..2_000)
        .map(|i| match i {
            0 => json!({"name": "n0", "kind": "joint", "translation": [0, 0, 0], "width": 4}),
            _ => json!({"name": format!("n{i}"), "kind": "joint", "parent": format!("n{}", i - 1), "translation": [1, 0, 0], "width": 4}),
        })
        .collect();
    let document = json!({"format": "handstand/1", "name": "long", "nodes": nodes}).to_string();
    open(&page, "long.hand.json", &json!(document).to_string()).await?;
    page.wait_for_text(".lineage", "300 of 2000 nodes hang here")
        .await?;
    ensure!(page.count(".bead").await? == 300);
    page.kept("sketch", |d| {
        d["nodes"].as_array().is_some_and(|n| n.len() == 2_000)
    })
    .await?;
    none(&page.complaints().await?)
}
