//! Pointer, touch and keys as the browser gets them from a person: trusted events, in real time.

use crate::Page;
use anyhow::{Context, Result};
use serde_json::json;
use std::time::Duration;
use thirtyfour::Key;
use thirtyfour::action_chain::ActionChain;

/// The time from one pointer move to the next.
const STEP: Duration = Duration::from_millis(8);

impl Page {
    fn actions(&self) -> ActionChain {
        self.driver
            .action_chain_with_delay(Some(Duration::ZERO), Some(STEP))
    }

    /// Presses the pointer at the first point, moves through the others, lets go at the last.
    pub async fn drag(&self, points: &[(f64, f64)]) -> Result<()> {
        self.drag_and_hold(points).await?;
        self.let_go().await
    }

    /// As `drag`, but the pointer stays pressed, so that the page can be asked in mid-drag.
    pub async fn drag_and_hold(&self, points: &[(f64, f64)]) -> Result<()> {
        let (first, rest) = points.split_first().context("a drag needs points")?;
        let mut actions = move_to(self.actions(), *first).click_and_hold();
        for point in rest {
            actions = move_to(actions, *point);
        }
        Ok(actions.perform().await?)
    }

    pub async fn let_go(&self) -> Result<()> {
        Ok(self.actions().release().perform().await?)
    }

    /// Moves the pointer without pressing it.
    pub async fn hover(&self, point: (f64, f64)) -> Result<()> {
        Ok(move_to(self.actions(), point).perform().await?)
    }

    pub async fn click_at(&self, point: (f64, f64)) -> Result<()> {
        Ok(move_to(self.actions(), point).click().perform().await?)
    }

    /// Clicks the middle of the first match, wherever it is on the page.
    pub async fn click(&self, selector: &str) -> Result<()> {
        self.wait_for(selector).await?;
        let centre = self.rect(selector).await?.centre();
        self.click_at(centre).await
    }

    /// One finger down at the first point, through the others, up at the last.
    pub async fn touch_drag(&self, points: &[(f64, f64)]) -> Result<()> {
        for (index, (x, y)) in points.iter().enumerate() {
            let kind = if index == 0 {
                "touchStart"
            } else {
                "touchMove"
            };
            self.touch(kind, json!([{ "x": x, "y": y }])).await?;
        }
        self.touch("touchEnd", json!([])).await
    }

    /// Two fingers, each through its own points, as many for the one as for the other.
    pub async fn touch_pinch(&self, one: &[(f64, f64)], other: &[(f64, f64)]) -> Result<()> {
        for (index, pair) in one.iter().zip(other).enumerate() {
            let kind = if index == 0 {
                "touchStart"
            } else {
                "touchMove"
            };
            let ((ax, ay), (bx, by)) = pair;
            let points = json!([{ "x": ax, "y": ay, "id": 1 }, { "x": bx, "y": by, "id": 2 }]);
            self.touch(kind, points).await?;
        }
        self.touch("touchEnd", json!([])).await
    }

    async fn touch(&self, kind: &str, points: serde_json::Value) -> Result<()> {
        self.devtools(
            "Input.dispatchTouchEvent",
            json!({ "type": kind, "touchPoints": points }),
        )
        .await?;
        tokio::time::sleep(STEP).await;
        Ok(())
    }

    pub async fn tap(&self, selector: &str) -> Result<()> {
        self.wait_for(selector).await?;
        let centre = self.rect(selector).await?.centre();
        self.touch_drag(&[centre]).await
    }

    /// Presses and lets go of one key.
    pub async fn key(&self, key: Key) -> Result<()> {
        self.keys(key, 1).await
    }

    /// Presses one key several times.
    pub async fn keys(&self, key: Key, times: usize) -> Result<()> {
        let actions = (0..times).fold(self.actions(), |actions, _| {
            actions.key_down(key.clone()).key_up(key.clone())
        });
        Ok(actions.perform().await?)
    }

    /// Types a character while a modifier is held.
    pub async fn chord(&self, modifier: Key, character: char) -> Result<()> {
        let actions = self
            .actions()
            .key_down(modifier.clone())
            .key_down(character)
            .key_up(character)
            .key_up(modifier);
        Ok(actions.perform().await?)
    }

    /// Types text into what has the focus.
    pub async fn write(&self, text: &str) -> Result<()> {
        Ok(self.actions().send_keys(text).perform().await?)
    }

    /// Tabs until the selector matches what has the focus: proof that the keyboard gets there.
    pub async fn tab_to(&self, selector: &str) -> Result<()> {
        let there = format!("!!document.activeElement?.matches({})", json!(selector));
        for _ in 0..200 {
            if self.eval(&there).await? == true {
                return Ok(());
            }
            self.key(Key::Tab).await?;
        }
        anyhow::bail!("200 tabs do not reach {selector}")
    }
}

/// Points in steps along straight lines through the corners.
pub fn path(corners: &[(f64, f64)], steps: usize) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = corners.first().copied().into_iter().collect();
    for pair in corners.windows(2) {
        let ((x, y), (to_x, to_y)) = (pair[0], pair[1]);
        points.extend((1..=steps).map(|step| {
            let part = step as f64 / steps as f64;
            (x + (to_x - x) * part, y + (to_y - y) * part)
        }));
    }
    points
}

/// The driver takes whole pixels.
fn move_to(actions: ActionChain, (x, y): (f64, f64)) -> ActionChain {
    actions.move_to(x.round() as i64, y.round() as i64)
}
