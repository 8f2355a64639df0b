//! A chromedriver of its own for each page, so that no state leaks from test to test.

use anyhow::{Context, Result, bail};
use std::io::{Read, Write};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;
use thirtyfour::prelude::*;
use thirtyfour::{ChromiumLikeCapabilities, LoggingPrefsLogLevel};

/// How long the driver and the browser may take to start on a busy machine.
const PATIENCE: Duration = Duration::from_secs(40);

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

/// The driver's process; ended with its browser when dropped.
pub struct Service {
    process: Child,
    port: u16,
    // Removed after the browser that writes to it has ended.
    profile: TempDir,
}

impl Drop for Service {
    fn drop(&mut self) {
        // A killed driver would leave its browser running. A failure here means that it has ended already.
        let _ = self.shut_down();
        let _ = self.process.kill();
        let _ = self.process.wait();
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

pub async fn start() -> Result<(WebDriver, Service)> {
    let program = crate::given("HANDSTAND_CHROMEDRIVER")?;
    let port = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?
        .local_addr()?
        .port();
    let process = Command::new(&program)
        .arg(format!("--port={port}"))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .with_context(|| format!("could not start {program}"))?;
    let service = Service {
        process,
        port,
        profile: tempfile::tempdir()?,
    };

    let mut capabilities = DesiredCapabilities::chrome();
    for flag in FLAGS {
        capabilities.add_arg(flag)?;
    }
    capabilities.add_arg(&format!(
        "--user-data-dir={}",
        service.profile.path().display()
    ))?;
    capabilities.set_browser_log_level(LoggingPrefsLogLevel::Warning)?;
    if let Ok(binary) = std::env::var("HANDSTAND_CHROMIUM") {
        capabilities.set_binary(&binary)?;
    }
    let start = Instant::now();
    loop {
        match WebDriver::new(format!("http://127.0.0.1:{port}"), capabilities.clone()).await {
            Ok(driver) => return Ok((driver, service)),
            Err(error) if start.elapsed() > PATIENCE => bail!("Chromium did not start: {error}"),
            Err(_) => tokio::time::sleep(Duration::from_millis(200)).await,
        }
    }
}
