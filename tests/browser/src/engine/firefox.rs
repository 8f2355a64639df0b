//! Firefox, by WebDriver BiDi, which it speaks itself: there is no driver between.

use super::process::{Process, answered, free_port, insist};
use crate::Size;
use anyhow::{Context, Result, bail};
use base64::Engine as _;
use futures_util::{SinkExt, StreamExt};
use serde_json::{Value, json};
use std::process::Command;
use tempfile::TempDir;
use tokio::net::TcpStream;
use tokio::sync::Mutex;
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::tungstenite::protocol::WebSocketConfig;
use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, connect_async_with_config};

/// A fresh profile, quiet and set to what the pages are tried with elsewhere.
const PREFERENCES: &str = r#"
user_pref("app.update.auto", false);
user_pref("app.normandy.enabled", false);
user_pref("browser.aboutwelcome.enabled", false);
user_pref("browser.safebrowsing.malware.enabled", false);
user_pref("browser.safebrowsing.phishing.enabled", false);
user_pref("browser.safebrowsing.update.enabled", false);
user_pref("browser.shell.checkDefaultBrowser", false);
user_pref("browser.startup.page", 0);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("extensions.update.enabled", false);
user_pref("layout.css.prefers-color-scheme.content-override", 1);
user_pref("network.captive-portal-service.enabled", false);
user_pref("network.connectivity-service.enabled", false);
user_pref("services.settings.server", "data:,none");
user_pref("toolkit.telemetry.reportingpolicy.firstRun", false);
user_pref("ui.prefersReducedMotion", 0);
"#;

pub struct Firefox {
    wire: Mutex<Wire>,
    context: String,
    process: Process,
    // Removed after the browser that writes to it has ended.
    _profile: TempDir,
}

/// The socket, and what came over it while an answer was awaited.
struct Wire {
    socket: WebSocketStream<MaybeTlsStream<TcpStream>>,
    asked: u64,
    heard: Vec<String>,
}

impl Wire {
    async fn ask(&mut self, method: &str, parameters: Value) -> Result<Value> {
        self.asked += 1;
        let id = self.asked;
        let question = json!({ "id": id, "method": method, "params": parameters });
        let send = self.socket.send(Message::text(question.to_string()));
        send.await.with_context(|| method.to_owned())?;
        loop {
            let message = self.socket.next().await.context("Firefox has ended")??;
            let Message::Text(text) = message else {
                continue;
            };
            let said: Value = serde_json::from_str(&text)?;
            if said["type"] == "event" {
                self.hear(&said);
            } else if said["id"] == id {
                if said["type"] == "error" {
                    bail!("{method}: {}", said["message"].as_str().unwrap_or("failed"));
                }
                return Ok(said["result"].clone());
            }
        }
    }

    fn hear(&mut self, event: &Value) {
        let entry = &event["params"];
        if matches!(entry["level"].as_str(), Some("warn" | "error")) {
            let [level, text] = ["level", "text"].map(|key| entry[key].as_str().unwrap_or("?"));
            self.heard.push(format!("{level}: {text}"));
        }
    }
}

impl Firefox {
    pub async fn start() -> Result<Firefox> {
        let profile = tempfile::tempdir()?;
        std::fs::write(profile.path().join("user.js"), PREFERENCES)?;
        let port = free_port()?;
        let mut program = Command::new(crate::given("HANDSTAND_FIREFOX")?);
        let process = Process::start(
            program
                .args(["--headless", "--no-remote", "--profile"])
                .arg(profile.path())
                .args(["--remote-debugging-port", &port.to_string()])
                // Firefox leaves its traces there too, and complains where it may not.
                .env("HOME", profile.path()),
        )?;
        let address = format!("ws://127.0.0.1:{port}/session");
        // A hand's document or a picture may be longer than the library allows by itself.
        let config = WebSocketConfig::default()
            .max_message_size(None)
            .max_frame_size(None);
        let (socket, _) = insist("Firefox", async || {
            connect_async_with_config(&address, Some(config), true).await
        })
        .await?;
        let mut wire = Wire {
            socket,
            asked: 0,
            heard: Vec::new(),
        };
        wire.ask("session.new", json!({ "capabilities": {} }))
            .await?;
        wire.ask("session.subscribe", json!({ "events": ["log.entryAdded"] }))
            .await?;
        let tree = wire.ask("browsingContext.getTree", json!({})).await?;
        let context = tree["contexts"][0]["context"]
            .as_str()
            .context("Firefox has no tab")?
            .to_owned();
        Ok(Firefox {
            wire: Mutex::new(wire),
            context,
            process,
            _profile: profile,
        })
    }

    pub fn process(&self) -> u32 {
        self.process.0.id()
    }

    async fn ask(&self, method: &str, mut parameters: Value) -> Result<Value> {
        parameters["context"] = json!(self.context);
        let mut wire = self.wire.lock().await;
        answered(wire.ask(method, parameters)).await
    }

    pub async fn goto(&self, address: &str) -> Result<()> {
        let there = json!({ "url": address, "wait": "complete" });
        self.ask("browsingContext.navigate", there).await?;
        Ok(())
    }

    pub async fn reload(&self) -> Result<()> {
        self.ask("browsingContext.reload", json!({ "wait": "complete" }))
            .await?;
        Ok(())
    }

    pub async fn eval(&self, expression: &str) -> Result<Value> {
        // As text, since BiDi spells values in a way of its own.
        let asked = json!({
            "expression": format!("(async () => JSON.stringify(await ({expression})) ?? 'null')()"),
            "target": { "context": self.context },
            "awaitPromise": true,
        });
        let mut wire = self.wire.lock().await;
        let reply = answered(wire.ask("script.evaluate", asked)).await?;
        if reply["type"] == "exception" {
            bail!(
                "{expression}: {}",
                reply["exceptionDetails"]["text"]
                    .as_str()
                    .unwrap_or("threw")
            );
        }
        let text = reply["result"]["value"].as_str().context("no answer")?;
        Ok(serde_json::from_str(text)?)
    }

    pub async fn perform(&self, actions: Value) -> Result<()> {
        self.ask("input.performActions", json!({ "actions": actions }))
            .await?;
        Ok(())
    }

    /// There is no touch screen here, only the phone's width.
    pub async fn set_size(&self, size: Size) -> Result<()> {
        let viewport = json!({ "width": size.width, "height": size.height });
        self.ask(
            "browsingContext.setViewport",
            json!({ "viewport": viewport, "devicePixelRatio": 1 }),
        )
        .await?;
        Ok(())
    }

    pub async fn complaints(&self) -> Result<Vec<String>> {
        // What was said before this answer has come before it.
        self.eval("0").await?;
        Ok(std::mem::take(&mut self.wire.lock().await.heard))
    }

    pub async fn picture(&self) -> Result<Vec<u8>> {
        let taken = self
            .ask("browsingContext.captureScreenshot", json!({}))
            .await?;
        let data = taken["data"].as_str().context("no picture")?;
        Ok(base64::prelude::BASE64_STANDARD.decode(data)?)
    }
}
