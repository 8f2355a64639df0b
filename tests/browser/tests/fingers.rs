//! The Fingers face: one joint turned by pointer, by touch and by keys while three fingers stay
//! planted, a tip pulled, a value typed; all of it taken back to the bit.

use anyhow::{Context, Result, ensure};
use browser::hand_page::value;
use browser::{Key, Look, Page, Size, none};
use rig::Posed;
use serde_json::Value;

const KNUCKLE: &str = "index-finger knuckle flexion";
const MIDDLE: &str = "index-finger middle joint";
const LAST: &str = "index-finger last joint";

/// The hand with its index finger let go, turned to its joints.
async fn let_go(size: Size) -> Result<(Page, String)> {
    let page = Page::start().await?;
    page.open("#/hand", size, Look::Paper).await?;
    page.on_step("hand").await?;
    page.press("Press").await?;
    page.press_first("index down").await?;
    settled(&page, |d| value(d, "release index-finger") == Some(100.0)).await?;
    page.press("Fingers").await?;
    page.press("Index").await?;
    page.press("Side").await?;
    page.wait_for(".handle.joint.tip").await?;
    let before = page.document().await?.context("a document")?;
    Ok((page, before))
}

/// The document on the plate, once it is as wanted; what is planted besides the index finger has
/// not slipped.
async fn settled(page: &Page, wanted: impl Fn(&Value) -> bool) -> Result<Value> {
    let mut document = Value::Null;
    for _ in 0..200 {
        document = serde_json::from_str(&page.document().await?.context("a document")?)?;
        if wanted(&document) {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
    }
    ensure!(wanted(&document), "never as it should be");
    let posed = Posed::new(&hand::read(&document.to_string())?)?;
    let mut planted = 0;
    for plant in &posed.rig().plants {
        let node = posed.rig().node(plant.node).context("its node")?;
        if node.name.starts_with("index") {
            continue;
        }
        let slip = hand::Gauge::Slip {
            node: node.name.clone(),
        };
        let slip = slip.read(&posed).map_err(anyhow::Error::msg)?.value;
        ensure!(slip < 0.005, "{} slips {slip} mm", node.name);
        planted += 1;
    }
    ensure!(planted >= 3, "{planted} are planted");
    Ok(document)
}

async fn undone(page: &Page, before: &str) -> Result<()> {
    page.press("Undo").await?;
    for _ in 0..200 {
        if page.document().await?.as_deref() == Some(before) {
            return Ok(());
        }
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
    }
    anyhow::bail!("one undo does not give back what was there")
}

fn turned(document: &Value, dial: &str, least: f64) -> bool {
    value(document, dial).is_some_and(|to| to.abs() >= least)
}

/// Only the joint's own dial has turned.
fn alone(before: &str, after: &Value, dial: &str) -> Result<()> {
    let before: Value = serde_json::from_str(before)?;
    let names = after["dials"].as_array().context("dials")?.iter();
    for name in names.filter_map(|d| d["name"].as_str()) {
        ensure!(
            name == dial || value(&before, name) == value(after, name),
            "{name} has turned too"
        );
    }
    Ok(())
}

#[tokio::test]
async fn a_joint_is_turned_by_pointer() -> Result<()> {
    let (page, before) = let_go(Size::DESKTOP).await?;
    let at = page.grip("index finger, middle joint").await?;
    page.take("index finger, middle joint", &[(at.0 - 4.0, at.1 + 16.0)])
        .await?;
    let after = settled(&page, |d| turned(d, MIDDLE, 10.0)).await?;
    alone(&before, &after, MIDDLE)?;
    page.wait_for_text(".chosen-joint h2", "index finger, middle joint")
        .await?;
    page.wait_for_text(".chosen-joint", "by itself").await?;
    undone(&page, &before).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn a_joint_is_turned_by_touch() -> Result<()> {
    let (page, before) = let_go(Size::PHONE).await?;
    let (x, y) = page.centre_of("index finger, middle joint").await?;
    let way: Vec<_> = (0..=12).map(|i| (x, y - f64::from(i) * 2.0)).collect();
    page.touch_drag(&way).await?;
    let after = settled(&page, |d| turned(d, MIDDLE, 5.0)).await?;
    alone(&before, &after, MIDDLE)?;
    undone(&page, &before).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn a_joint_is_turned_by_keys_and_by_a_typed_sum() -> Result<()> {
    let (page, before) = let_go(Size::DESKTOP).await?;
    page.nudge("index finger, middle joint", 5.0, 0, 3).await?;
    let after = settled(&page, |d| value(d, MIDDLE) == Some(15.0)).await?;
    alone(&before, &after, MIDDLE)?;
    undone(&page, &before).await?;

    page.eval(
        "[...document.querySelectorAll('.dial')].find((d) => d.querySelector('label').textContent === 'curl').querySelector('input').focus()",
    )
    .await?;
    page.write("60/2").await?;
    page.key(Key::Enter).await?;
    let after = settled(&page, |d| value(d, "curl index-finger") == Some(30.0)).await?;
    alone(&before, &after, "curl index-finger")?;
    undone(&page, &before).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn a_tip_is_pulled_and_its_joints_follow() -> Result<()> {
    let (page, before) = let_go(Size::DESKTOP).await?;
    let at = page.grip("index finger, tip").await?;
    let to = (at.0 - 15.0, at.1 + 15.0);
    page.take("index finger, tip", &[to]).await?;
    let after = settled(&page, |d| {
        [KNUCKLE, MIDDLE, LAST]
            .iter()
            .filter(|dial| turned(d, dial, 0.5))
            .count()
            >= 2
    })
    .await?;
    ensure!(after != serde_json::from_str::<Value>(&before)?);
    // What the pull has turned is told, joint by joint.
    page.wait_for_text(".chosen-joint h2", "index finger, tip")
        .await?;
    page.wait_for_text(".chosen-joint", "middle joint, flexion")
        .await?;
    let there = page.grip("index finger, tip").await?;
    let miss = libm::hypot(there.0 - to.0, there.1 - to.1);
    ensure!(miss < 2.0, "{there:?}, {miss} mm off {to:?}");
    undone(&page, &before).await?;
    none(&page.complaints().await?)
}

/// Down, a joint's own dial turns nothing, and what contact takes is said.
#[tokio::test]
async fn what_contact_takes_is_said() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("hand").await?;
    page.press("Fingers").await?;
    page.nudge("ring finger, middle joint", 5.0, 0, 2).await?;
    settled(&page, |d| {
        value(d, "ring-finger middle joint") == Some(10.0)
    })
    .await?;
    page.wait_for_text(".chosen-joint", "contact took").await?;
    page.press("Set back").await?;
    settled(&page, |d| value(d, "ring-finger middle joint") == Some(0.0)).await?;
    // Let go where that is said.
    page.press("Let it go").await?;
    settled(&page, |d| value(d, "release ring-finger") == Some(100.0)).await?;
    page.wait_until(
        "!document.querySelector('.chosen-joint').innerText.includes('contact holds it')",
    )
    .await?;
    none(&page.complaints().await?)
}

/// What no hand can do is said beside its dials, and goes with it.
#[tokio::test]
async fn flesh_in_flesh_is_said() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("hand").await?;
    page.press("Fingers").await?;
    page.press("Relaxed").await?;
    ensure!(page.text(".overlapping").await?.is_empty());
    page.turn_dial("curl", 100.0).await?;
    page.wait_for_text(".overlapping", "Flesh in flesh: thumb through")
        .await?;
    page.press("Undo").await?;
    page.wait_until("document.querySelector('.overlapping').innerText === ''")
        .await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn the_face_is_accessible_in_both_looks_at_three_sizes() -> Result<()> {
    let page = Page::start().await?;
    page.open_step("hand").await?;
    page.press("Fingers").await?;
    page.press("Index").await?;
    for size in Size::ALL {
        page.set_size(size).await?;
        for look in Look::ALL {
            page.set_look(look, true).await?;
            none(&page.axe().await?).with_context(|| format!("{} {}", size.name, look.name()))?;
            if let Ok(folder) = std::env::var("HANDSTAND_SHOTS") {
                let name = format!("{folder}/fingers-{}-{}.png", size.name, look.name());
                page.screenshot(std::path::Path::new(&name)).await?;
            }
        }
    }
    Ok(())
}
