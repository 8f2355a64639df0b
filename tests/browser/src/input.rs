//! Pointer, touch and keys as the browser gets them from a person: trusted events, in real time.

use crate::Page;
use anyhow::{Context, Result};
use serde_json::{Value, json};
use std::time::Duration;
use thirtyfour::Key;

/// The time from one pointer move to the next.
const STEP: Duration = Duration::from_millis(8);

/// What a pointer, a wheel and a keyboard do, one after the other, sent at once.
#[derive(Default)]
pub struct Acts {
    touch: bool,
    /// Which device, and what it does while the others wait.
    list: Vec<(Device, Value)>,
}

#[derive(Clone, Copy, PartialEq)]
enum Device {
    Pointer,
    Wheel,
    Keys,
}

impl Acts {
    pub fn new() -> Acts {
        Acts::default()
    }

    /// With a finger in place of the mouse.
    pub fn by_touch() -> Acts {
        Acts {
            touch: true,
            list: Vec::new(),
        }
    }

    fn add(mut self, device: Device, what: Value) -> Acts {
        self.list.push((device, what));
        self
    }

    /// The driver takes whole pixels.
    pub fn move_to(self, (x, y): (f64, f64)) -> Acts {
        let (x, y) = (x.round() as i64, y.round() as i64);
        let what = json!({ "type": "pointerMove", "x": x, "y": y, "duration": STEP.as_millis() as u64, "origin": "viewport" });
        self.add(Device::Pointer, what)
    }

    pub fn down(self) -> Acts {
        self.add(
            Device::Pointer,
            json!({ "type": "pointerDown", "button": 0 }),
        )
    }

    pub fn up(self) -> Acts {
        self.add(Device::Pointer, json!({ "type": "pointerUp", "button": 0 }))
    }

    pub fn click(self, at: (f64, f64)) -> Acts {
        self.move_to(at).down().up()
    }

    /// Pressed at the first point, through the others, let go at the last.
    pub fn drag(self, points: &[(f64, f64)]) -> Acts {
        self.drag_and_hold(points).up()
    }

    fn drag_and_hold(self, points: &[(f64, f64)]) -> Acts {
        let Some((first, rest)) = points.split_first() else {
            return self;
        };
        let pressed = self.move_to(*first).down();
        rest.iter()
            .fold(pressed, |acts, point| acts.move_to(*point))
    }

    /// Turns the wheel over a point; down is away from the reader.
    pub fn wheel(self, (x, y): (f64, f64), down: i32) -> Acts {
        let (x, y) = (x.round() as i64, y.round() as i64);
        let what = json!({ "type": "scroll", "x": x, "y": y, "deltaX": 0, "deltaY": down, "duration": 0, "origin": "viewport" });
        self.add(Device::Wheel, what)
    }

    pub fn key_down(self, key: impl Into<char>) -> Acts {
        let key = key.into().to_string();
        self.add(Device::Keys, json!({ "type": "keyDown", "value": key }))
    }

    pub fn key_up(self, key: impl Into<char>) -> Acts {
        let key = key.into().to_string();
        self.add(Device::Keys, json!({ "type": "keyUp", "value": key }))
    }

    /// Presses and lets go of one key.
    pub fn key(self, key: impl Into<char>) -> Acts {
        let key = key.into();
        self.key_down(key).key_up(key)
    }

    /// Types a character while a modifier is held.
    pub fn chord(self, modifier: &Key, character: char) -> Acts {
        self.key_down(modifier.value())
            .key(character)
            .key_up(modifier.value())
    }

    pub fn write(self, text: &str) -> Acts {
        text.chars().fold(self, Acts::key)
    }

    /// As W3C WebDriver and WebDriver BiDi have it: for each device what it does, tick by tick.
    fn spelled(&self) -> Value {
        let pointer = if self.touch { "touch" } else { "mouse" };
        let devices = [
            (
                Device::Pointer,
                json!({ "type": "pointer", "id": pointer, "parameters": { "pointerType": pointer } }),
            ),
            (Device::Wheel, json!({ "type": "wheel", "id": "wheel" })),
            (Device::Keys, json!({ "type": "key", "id": "keys" })),
        ];
        let used = devices
            .into_iter()
            .filter(|(device, _)| self.list.iter().any(|(of, _)| of == device));
        used.map(|(device, mut source)| {
            let ticks = self.list.iter().map(|(of, what)| {
                if *of == device {
                    what.clone()
                } else {
                    json!({ "type": "pause" })
                }
            });
            source["actions"] = ticks.collect();
            source
        })
        .collect()
    }
}

impl Page {
    pub async fn act(&self, acts: Acts) -> Result<()> {
        self.engine.perform(acts.spelled()).await
    }

    /// Presses the pointer at the first point, moves through the others, lets go at the last.
    pub async fn drag(&self, points: &[(f64, f64)]) -> Result<()> {
        points.first().context("a drag needs points")?;
        self.act(Acts::new().drag(points)).await
    }

    /// As `drag`, but the pointer stays pressed, so that the page can be asked in mid-drag.
    pub async fn drag_and_hold(&self, points: &[(f64, f64)]) -> Result<()> {
        points.first().context("a drag needs points")?;
        self.act(Acts::new().drag_and_hold(points)).await
    }

    pub async fn let_go(&self) -> Result<()> {
        self.act(Acts::new().up()).await
    }

    /// Moves the pointer without pressing it, or on when it is pressed.
    pub async fn hover(&self, point: (f64, f64)) -> Result<()> {
        self.act(Acts::new().move_to(point)).await
    }

    pub async fn click_at(&self, point: (f64, f64)) -> Result<()> {
        self.act(Acts::new().click(point)).await
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

    async fn touch(&self, kind: &str, points: Value) -> Result<()> {
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
        // No finger is there sooner, and Chromium makes no click of a tap that comes right after
        // a drag.
        tokio::time::sleep(Duration::from_millis(700)).await;
        self.touch_drag(&[centre]).await
    }

    /// Presses and lets go of one key.
    pub async fn key(&self, key: Key) -> Result<()> {
        self.keys(key, 1).await
    }

    /// Presses one key several times.
    pub async fn keys(&self, key: Key, times: usize) -> Result<()> {
        let acts = (0..times).fold(Acts::new(), |acts, _| acts.key(key.value()));
        self.act(acts).await
    }

    /// Types a character while a modifier is held.
    pub async fn chord(&self, modifier: Key, character: char) -> Result<()> {
        self.act(Acts::new().chord(&modifier, character)).await
    }

    /// Types text into what has the focus.
    pub async fn write(&self, text: &str) -> Result<()> {
        self.act(Acts::new().write(text)).await
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_device_acts_while_the_others_wait() {
        let spelled = Acts::new().click((1.4, 2.6)).key('a').spelled();
        let [pointer, keys] = [0, 1].map(|i| &spelled[i]["actions"]);
        let kinds = |list: &Value| -> Vec<String> {
            let all = list.as_array().expect("ticks").iter();
            all.map(|a| a["type"].as_str().unwrap_or("?").to_owned())
                .collect()
        };
        assert_eq!(
            kinds(pointer),
            ["pointerMove", "pointerDown", "pointerUp", "pause", "pause"]
        );
        assert_eq!(kinds(keys), ["pause", "pause", "pause", "keyDown", "keyUp"]);
        assert_eq!((&pointer[0]["x"], &pointer[0]["y"]), (&json!(1), &json!(3)));
        assert_eq!(spelled.as_array().map(Vec::len), Some(2));
    }
}
