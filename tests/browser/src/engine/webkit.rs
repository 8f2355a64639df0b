//! WebKit as GTK has it, by its driver, on a screen of its own.

use super::process::{Process, answered, free_port, insist};
use crate::Size;
use anyhow::{Context, Result, bail, ensure};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, TcpStream};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::Mutex;
use std::time::Duration;
use tempfile::TempDir;
use thirtyfour::common::command::Command as Asked;
use thirtyfour::prelude::*;

/// The driver keeps no log, so the page is made to keep one; asked for right after each load begins.
const LISTEN: &str = "(() => { if (window.heardByTest) return 0; const heard = window.heardByTest = []; \
    addEventListener('error', (e) => heard.push(`error: ${e.message || 'could not load ' + (e.target?.src ?? e.target?.href)}`), true); \
    addEventListener('unhandledrejection', (e) => heard.push(`error: unhandled ${e.reason}`)); \
    addEventListener('securitypolicyviolation', (e) => heard.push(`error: ${e.violatedDirective} refused ${e.blockedURI}`)); \
    for (const level of ['error', 'warn']) { const said = console[level]; \
      console[level] = (...all) => { heard.push(`${level}: ${all.join(' ')}`); said.apply(console, all); }; } return 0; })()";

pub struct WebKit {
    driver: WebDriver,
    heard: Mutex<Vec<String>>,
    service: Service,
}

impl Drop for WebKit {
    fn drop(&mut self) {
        // As with Chromium: the service ends the session.
        let _ = self.driver.clone().leak();
    }
}

/// The driver, the screen that its browser opens on, and the home that it writes to, dropped in
/// this order.
struct Service {
    session: String,
    port: u16,
    driver: Process,
    _screen: Process,
    _home: TempDir,
}

impl Drop for Service {
    fn drop(&mut self) {
        // The browser ends with its session; killed, the driver would leave it running.
        let _ = self.end_session();
    }
}

impl Service {
    fn end_session(&self) -> std::io::Result<()> {
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.port))?;
        stream.set_read_timeout(Some(Duration::from_secs(5)))?;
        write!(
            stream,
            "DELETE /session/{} HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n",
            self.session
        )?;
        stream.read_to_end(&mut Vec::new())?;
        Ok(())
    }
}

/// Where Debian puts the driver's browser, on whichever processor.
fn mini_browser() -> Result<PathBuf> {
    let found = std::fs::read_dir("/usr/lib")?
        .filter_map(|entry| Some(entry.ok()?.path().join("webkit2gtk-4.1/MiniBrowser")))
        .find(|path| path.exists());
    found.context("webkit2gtk-driver has brought no MiniBrowser")
}

/// A screen in memory; gives its name.
fn screen() -> Result<(Process, String)> {
    let mut child = Command::new(crate::given("HANDSTAND_XVFB")?)
        // The server chooses a free number and says it.
        .args(["-displayfd", "1", "-screen", "0", "1600x1200x24"])
        .args(["-nolisten", "tcp"])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .context("could not start Xvfb")?;
    let said = child.stdout.take().context("Xvfb's number")?;
    let process = Process(child);
    let mut number = String::new();
    BufReader::new(said).read_line(&mut number)?;
    ensure!(!number.trim().is_empty(), "Xvfb did not start");
    Ok((process, format!(":{}", number.trim())))
}

impl WebKit {
    pub async fn start() -> Result<WebKit> {
        let (screen, display) = screen()?;
        let home = tempfile::tempdir()?;
        let port = free_port()?;
        let mut program = Command::new(crate::given("HANDSTAND_WEBKITDRIVER")?);
        program
            .arg(format!("--port={port}"))
            .env("DISPLAY", display)
            .env("GDK_BACKEND", "x11")
            .env("HOME", home.path())
            .env("XDG_DATA_HOME", home.path().join("data"))
            .env("XDG_CACHE_HOME", home.path().join("cache"))
            .env("XDG_CONFIG_HOME", home.path().join("config"))
            .env("WEBKIT_DISABLE_COMPOSITING_MODE", "1");
        if rustix::process::geteuid().is_root() {
            // Its sandbox refuses to be set up by root.
            program.env("WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS", "1");
        }
        let process = Process::start(&mut program)?;
        let mut capabilities = Capabilities::new();
        capabilities.set(
            "webkitgtk:browserOptions",
            json!({ "binary": mini_browser()?, "args": ["--automation"] }),
        )?;
        // A load is waited for by asking, so that the page can be listened to from its beginning.
        capabilities.set("pageLoadStrategy", "none")?;
        let address = format!("http://127.0.0.1:{port}");
        let driver = insist("WebKit", async || {
            WebDriver::new(&address, capabilities.clone()).await
        })
        .await?;
        let session = driver.session_id().to_string();
        Ok(WebKit {
            driver,
            heard: Mutex::default(),
            service: Service {
                session,
                port,
                driver: process,
                _screen: screen,
                _home: home,
            },
        })
    }

    pub fn process(&self) -> u32 {
        self.service.driver.0.id()
    }

    pub async fn goto(&self, address: &str) -> Result<()> {
        self.gather().await?;
        answered(self.driver.goto(address)).await?;
        self.loaded(address).await
    }

    pub async fn reload(&self) -> Result<()> {
        self.gather().await?;
        self.eval("(window.leftByTest = true)").await?;
        answered(self.driver.refresh()).await?;
        self.loaded("").await
    }

    /// Listens as soon as the new page is there, and waits until it is whole.
    async fn loaded(&self, address: &str) -> Result<()> {
        let there = format!(
            "(location.href.startsWith({}) && !window.leftByTest)",
            json!(address)
        );
        let whole = format!("{there} ? ({LISTEN}, document.readyState) : 'elsewhere'");
        let wait = async {
            // Asked in the moment it goes, the page before answers with an error.
            while !self.eval(&whole).await.is_ok_and(|at| at == "complete") {
                tokio::time::sleep(Duration::from_millis(5)).await;
            }
            Ok::<_, anyhow::Error>(())
        };
        answered(wait).await.with_context(|| address.to_owned())
    }

    pub async fn eval(&self, expression: &str) -> Result<Value> {
        let script = format!(
            "const done = arguments[arguments.length - 1]; \
             (async () => ({expression}))().then((value) => done({{ value }}), (why) => done({{ thrown: String(why) }}))"
        );
        let reply = answered(self.driver.execute_async(script, Vec::new()))
            .await
            .with_context(|| expression.to_owned())?;
        let reply = reply.json();
        if let Some(thrown) = reply["thrown"].as_str() {
            bail!("{expression}: {thrown}");
        }
        Ok(reply["value"].clone())
    }

    pub async fn perform(&self, actions: Value) -> Result<()> {
        answered(self.driver.cmd(Asked::PerformActions(actions.into()))).await?;
        // It answers when the events are sent; the page has them a frame later.
        self.eval("new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0, 0)))")
            .await?;
        Ok(())
    }

    /// The window is made as much larger than asked as its frame takes.
    pub async fn set_size(&self, size: Size) -> Result<()> {
        let (mut width, mut height) = (size.width, size.height);
        for _ in 0..3 {
            answered(self.driver.set_window_rect(0, 0, width, height)).await?;
            let inside = self.eval("[innerWidth, innerHeight]").await?;
            let [w, h]: [u32; 2] = serde_json::from_value(inside)?;
            if (w, h) == (size.width, size.height) {
                break;
            }
            width = (width + size.width).saturating_sub(w);
            height = (height + size.height).saturating_sub(h);
        }
        Ok(())
    }

    /// Takes over what the page has heard, before it goes.
    async fn gather(&self) -> Result<()> {
        let new = self.eval("(window.heardByTest ?? []).splice(0)").await?;
        let new: Vec<String> = serde_json::from_value(new)?;
        self.heard.lock().expect("heard").extend(new);
        Ok(())
    }

    pub async fn complaints(&self) -> Result<Vec<String>> {
        self.gather().await?;
        Ok(std::mem::take(&mut *self.heard.lock().expect("heard")))
    }

    pub async fn picture(&self) -> Result<Vec<u8>> {
        answered(self.driver.screenshot_as_png()).await
    }
}
