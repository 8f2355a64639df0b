//! Photographs every screen at three sizes in both looks: `cargo xtask shots [FOLDER] [--only WORDS]`.

use anyhow::{Context, Result, ensure};
use browser::{Look, Page, Size};
use std::path::PathBuf;
use std::time::Duration;

const SCREENS: [(&str, &str); 11] = [
    ("front", "#/"),
    ("lesson-1", "#/lesson/1"),
    ("lesson-2", "#/lesson/2"),
    ("lesson-3", "#/lesson/3"),
    ("lesson-4", "#/lesson/4"),
    ("lesson-5", "#/lesson/5"),
    ("lesson-6", "#/lesson/6"),
    ("lesson-7", "#/lesson/7"),
    ("lesson-8", "#/lesson/8/2"),
    ("hand", "#/hand"),
    ("sketch", "#/sketch"),
];

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
    for (screen, route) in SCREENS {
        for size in Size::ALL {
            for look in Look::ALL {
                let name = format!("{screen}-{}-{}.png", size.name, look.name());
                if !name.contains(&only) {
                    continue;
                }
                page.open(route, size, look).await?;
                if tokio::time::timeout(Duration::from_secs(5), page.figure_drawn())
                    .await
                    .is_err()
                {
                    println!("{name}: no figure was drawn");
                }
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
