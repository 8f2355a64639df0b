//! Photographs every screen at three sizes in both looks: `cargo xtask shots [FOLDER] [--only WORDS]`.

use anyhow::{Context, Result, ensure};
use browser::{Look, Page, Size};
use std::path::PathBuf;
use std::time::Duration;

/// A screen's name, its address, and what is done there first.
const SCREENS: [(&str, &str, Act); 23] = [
    ("front", "#/", Act::Nothing),
    ("lesson-1", "#/lesson/1", Act::Nothing),
    ("lesson-2", "#/lesson/2", Act::Nothing),
    ("lesson-3", "#/lesson/3", Act::Nothing),
    ("lesson-4", "#/lesson/4", Act::Nothing),
    ("lesson-5", "#/lesson/5", Act::Nothing),
    ("lesson-6", "#/lesson/6", Act::Nothing),
    ("lesson-7", "#/lesson/7", Act::Nothing),
    ("lesson-8", "#/lesson/8/2", Act::Nothing),
    ("lesson-zero", "#/lesson/zero/2", Act::Nothing),
    ("lesson-turn-order", "#/lesson/turn-order/1", Act::Nothing),
    ("hand", "#/hand", Act::Nothing),
    ("sketch", "#/sketch", Act::Nothing),
    ("glossary", "#/glossary", Act::Nothing),
    ("refused-lesson", "#/lesson/4/1", Act::Refused),
    ("refused-hand", "#/hand", Act::Refused),
    ("copies-sketch", "#/sketch", Act::Replaced),
    ("first-front", "#/", Act::Held),
    ("first-lesson-1", "#/lesson/1", Act::Held),
    ("first-lesson-8", "#/lesson/8/2", Act::Held),
    ("first-hand", "#/hand", Act::Held),
    ("first-sketch", "#/sketch", Act::Held),
    ("first-glossary", "#/glossary", Act::Held),
];

/// What a picture is about, when it is not the screen as it opens.
#[derive(Clone, Copy, PartialEq)]
enum Act {
    Nothing,
    /// Something is refused, with a notice.
    Refused,
    /// Work is replaced, and the list of copies opened.
    Replaced,
    /// What stands before the module has come.
    Held,
}

/// Does it by scripts: it is the picture that matters here, not the way.
async fn prepare(page: &Page, act: Act, route: &str) -> Result<()> {
    let press = |name: &str| {
        format!(
            "[...document.querySelectorAll('button, summary')].find((e) => e.innerText.startsWith('{name}'))?.click()"
        )
    };
    match act {
        Act::Nothing | Act::Held => {}
        Act::Refused if route == "#/hand" => {
            page.eval(&press("Plan")).await?;
            page.wait_until("!!document.querySelector(\"[aria-label='Length, mm']\")")
                .await?;
            page.eval("(() => { const e = document.querySelector(\"[aria-label='Length, mm']\"); e.value = '4'; \
                       e.dispatchEvent(new Event('change', { bubbles: true })) })()").await?;
            page.wait_for(".notice").await?;
        }
        Act::Refused => {
            let choose = |label: &str, name: &str| {
                format!(
                    "(() => {{ const s = [...document.querySelectorAll('label.choice')].find((l) => l.innerText.trim().startsWith('{label}')).querySelector('select'); \
                         s.value = [...s.options].find((o) => o.text === '{name}').value; s.dispatchEvent(new Event('change', {{ bubbles: true }})) }})()"
                )
            };
            page.eval("document.querySelector('.tools .fold summary').click()")
                .await?;
            page.wait_for("label.choice").await?;
            page.eval(&choose("The wrist hangs from", "knuckle"))
                .await?;
            page.wait_until("[...document.querySelectorAll('button')].find((e) => e.innerText === 'Hang it')?.disabled === false").await?;
            page.eval("[...document.querySelectorAll('button')].find((e) => e.innerText === 'Hang it').click()").await?;
            page.wait_for(".task-strip").await?;
        }
        Act::Replaced => {
            page.eval(&press("Open example")).await?;
            page.wait_until("document.querySelectorAll('.bead').length > 3")
                .await?;
            page.eval(&press("New")).await?;
            page.eval(&press("Open example")).await?;
            page.wait_until("document.querySelectorAll('.bead').length > 3 && !!document.querySelector('.copies')").await?;
            page.eval(&press("Other copies")).await?;
        }
    }
    Ok(())
}

#[tokio::main]
async fn main() -> Result<()> {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(
        arguments
            .next()
            .context("say which folder to put the pictures in")?,
    );
    let only = arguments.next().unwrap_or_default();
    std::fs::create_dir_all(&folder)?;
    let page = Page::start().await?;
    let mut taken = 0;
    for (screen, route, act) in SCREENS {
        for size in Size::ALL {
            for look in Look::ALL {
                let name = format!("{screen}-{}-{}.png", size.name, look.name());
                if !name.contains(&only) {
                    continue;
                }
                if act == Act::Held {
                    // Where work is kept the figure waits for it.
                    page.forget_all().await?;
                    page.open_held(route, size, look).await?;
                    page.painted().await?;
                    page.screenshot(&folder.join(&name)).await?;
                    taken += 1;
                    continue;
                }
                page.open(route, size, look).await?;
                if tokio::time::timeout(Duration::from_secs(5), page.figure_drawn())
                    .await
                    .is_err()
                {
                    println!("{name}: no figure was drawn");
                }
                prepare(&page, act, route)
                    .await
                    .with_context(|| name.clone())?;
                // Lets transitions end.
                tokio::time::sleep(Duration::from_millis(400)).await;
                page.screenshot(&folder.join(&name)).await?;
                for complaint in page.complaints().await? {
                    println!("{name}: {complaint}");
                }
                taken += 1;
            }
        }
    }
    ensure!(taken > 0, "no picture's name contains {only}");
    println!("{taken} pictures");
    Ok(())
}
