//! Chromium, by a chromedriver of its own for each page, so that no state leaks from test to test.

use super::process::{Process, answered, free_port, insist};
use crate::Size;
use crate::processes::{Running, descendants, kill};
use anyhow::{Context, Result, bail};
use serde_json::{Value, json};
use std::io::{Read, Write};
use std::net::{Ipv4Addr, TcpStream};
use std::path::Path;
use std::process::Command;
use std::time::Duration;
use tempfile::TempDir;
use thirtyfour::common::command::Command as Asked;
use thirtyfour::prelude::*;
use thirtyfour::{ChromiumLikeCapabilities, LoggingPrefsLogLevel};

const FLAGS: [&str; 9] = [
    "--headless=new",
    // As root, Chromium ends at once without this.
    "--no-sandbox",
    "--disable-dev-shm-usage",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
];

pub struct Chromium {
    pub driver: WebDriver,
    service: Service,
}

impl Drop for Chromium {
    fn drop(&mut self) {
        // The service ends the browser. The client's own way, from within the test's runtime, waits
        // for its time-out. Refused only when a test has quit already.
        let _ = self.driver.clone().leak();
    }
}

/// The driver's process; ended with its browser when dropped.
struct Service {
    process: Process,
    port: u16,
    // Removed after the browser that writes to it has ended.
    _profile: Option<TempDir>,
}

impl Drop for Service {
    fn drop(&mut self) {
        let browser = descendants(self.process.0.id()).unwrap_or_default();
        // A killed driver would leave its browser running. A failure here means that it has ended
        // already, or that it waits for a page that answers no more.
        let _ = self.shut_down();
        let still = |process: &Running| {
            std::fs::read_to_string(format!("/proc/{}/cmdline", process.pid))
                .is_ok_and(|command| command == process.command)
        };
        let left: Vec<u32> = browser.iter().filter(|p| still(p)).map(|p| p.pid).collect();
        kill(&left);
    }
}

impl Service {
    /// Asks the driver to quit its browsers and itself. Blocking, as it must also work in a panic.
    fn shut_down(&mut self) -> std::io::Result<()> {
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.port))?;
        stream.set_read_timeout(Some(Duration::from_secs(10)))?;
        write!(
            stream,
            "GET /shutdown HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n"
        )?;
        stream.read_to_end(&mut Vec::new())?;
        Ok(())
    }
}

impl Chromium {
    /// With an empty profile, or with what one has kept.
    pub async fn start(profile: Option<&Path>) -> Result<Chromium> {
        let port = free_port()?;
        let mut program = Command::new(crate::given("HANDSTAND_CHROMEDRIVER")?);
        let process = Process::start(program.arg(format!("--port={port}")))?;
        let fresh = match profile {
            Some(_) => None,
            None => Some(tempfile::tempdir()?),
        };
        let folder = profile
            .or(fresh.as_ref().map(TempDir::path))
            .context("a profile")?;

        let mut capabilities = DesiredCapabilities::chrome();
        for flag in FLAGS {
            capabilities.add_arg(flag)?;
        }
        capabilities.add_arg(&format!("--user-data-dir={}", folder.display()))?;
        capabilities.set_browser_log_level(LoggingPrefsLogLevel::Warning)?;
        if let Ok(binary) = std::env::var("HANDSTAND_CHROMIUM") {
            capabilities.set_binary(&binary)?;
        }
        let service = Service {
            process,
            port,
            _profile: fresh,
        };
        let address = format!("http://127.0.0.1:{port}");
        let driver = insist("Chromium", async || {
            WebDriver::new(&address, capabilities.clone()).await
        })
        .await?;
        Ok(Chromium { driver, service })
    }

    pub fn process(&self) -> u32 {
        self.service.process.0.id()
    }

    /// The page's Content-Security-Policy does not reach here.
    pub async fn eval(&self, expression: &str) -> Result<Value> {
        let parameters =
            json!({ "expression": expression, "awaitPromise": true, "returnByValue": true });
        let reply = self.devtools("Runtime.evaluate", parameters).await?;
        if let Some(thrown) = reply.get("exceptionDetails") {
            bail!(
                "{expression}: {}",
                thrown["exception"]["description"]
                    .as_str()
                    .unwrap_or("threw")
            );
        }
        Ok(reply["result"]["value"].clone())
    }

    pub async fn devtools(&self, method: &str, parameters: Value) -> Result<Value> {
        answered(self.driver.cdp().send_raw(method, parameters))
            .await
            .with_context(|| method.to_owned())
    }

    pub async fn perform(&self, actions: Value) -> Result<()> {
        answered(self.driver.cmd(Asked::PerformActions(actions.into()))).await?;
        Ok(())
    }

    pub async fn set_size(&self, size: Size) -> Result<()> {
        let Size {
            width,
            height,
            mobile,
            ..
        } = size;
        self.devtools(
            "Emulation.setDeviceMetricsOverride",
            json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": mobile }),
        )
        .await?;
        self.devtools(
            "Emulation.setTouchEmulationEnabled",
            json!({ "enabled": mobile }),
        )
        .await?;
        Ok(())
    }

    /// Errors, warnings, failed loads, breaches of the Content-Security-Policy.
    pub async fn complaints(&self) -> Result<Vec<String>> {
        let log = answered(self.driver.browser_log()).await?;
        Ok(log
            .into_iter()
            .map(|entry| format!("{}: {}", entry.level, entry.message))
            .collect())
    }
}
