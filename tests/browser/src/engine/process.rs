//! The processes behind a browser.

use anyhow::{Context, Result};
use std::net::{Ipv4Addr, TcpListener};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// How long a driver and its browser may take to start on a busy machine.
pub const PATIENCE: Duration = Duration::from_secs(40);

/// How long one command may take before the page counts as one that does not answer.
pub const ANSWER: Duration = Duration::from_secs(30);

/// A process that is ended when dropped.
pub struct Process(pub Child);

impl Process {
    /// Starts a program with nothing to say.
    pub fn start(command: &mut Command) -> Result<Process> {
        let program = command.get_program().to_string_lossy().into_owned();
        let child = command
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .with_context(|| format!("could not start {program}"))?;
        Ok(Process(child))
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        // Refused only when it has ended already.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

pub fn free_port() -> Result<u16> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
    Ok(listener.local_addr()?.port())
}

/// Tries until something starts.
pub async fn insist<T, E: std::fmt::Display>(
    name: &str,
    mut attempt: impl AsyncFnMut() -> Result<T, E>,
) -> Result<T> {
    let start = Instant::now();
    loop {
        match attempt().await {
            Ok(started) => return Ok(started),
            Err(error) if start.elapsed() > PATIENCE => {
                anyhow::bail!("{name} did not start: {error}")
            }
            Err(_) => tokio::time::sleep(Duration::from_millis(100)).await,
        }
    }
}

/// An answer within the time that one may take.
pub async fn answered<T, E: Into<anyhow::Error>>(
    asked: impl Future<Output = Result<T, E>>,
) -> Result<T> {
    let within = tokio::time::timeout(ANSWER, asked).await;
    let answer = within.with_context(|| format!("no answer within {} s", ANSWER.as_secs()))?;
    answer.map_err(Into::into)
}
