//! The processes of this machine, as Linux tells of them.

use anyhow::Result;
use rustix::process::{Pid, Signal, kill_process};
use std::collections::HashMap;

/// A process of the browser's.
pub struct Running {
    pub pid: u32,
    pub command: String,
    /// Clock ticks of processor time.
    pub worked: u64,
}

/// The processes that descend from one, the nearest first.
pub fn descendants(of: u32) -> Result<Vec<Running>> {
    let mut children: HashMap<u32, Vec<Running>> = HashMap::new();
    for entry in std::fs::read_dir("/proc")? {
        let Some(pid) = entry?.file_name().to_str().and_then(|n| n.parse().ok()) else {
            continue;
        };
        let read = |file: &str| std::fs::read_to_string(format!("/proc/{pid}/{file}"));
        // It may have ended since it was listed.
        let (Ok(stat), Ok(command)) = (read("stat"), read("cmdline")) else {
            continue;
        };
        // After the name in parentheses come state and parent; time in user mode is the 12th.
        let rest = stat.rsplit_once(") ").map_or("", |(_, rest)| rest);
        let fields: Vec<&str> = rest.split(' ').collect();
        let number = |at: usize| fields.get(at).and_then(|f| f.parse::<u64>().ok());
        if let (Some(parent), Some(worked)) = (number(1), number(11)) {
            children.entry(parent as u32).or_default().push(Running {
                pid,
                command,
                worked,
            });
        }
    }
    let mut found = children.remove(&of).unwrap_or_default();
    let mut at = 0;
    while at < found.len() {
        found.extend(children.remove(&found[at].pid).unwrap_or_default());
        at += 1;
    }
    Ok(found)
}

/// Ends processes at once.
pub fn kill(pids: &[u32]) {
    for pid in pids {
        if let Some(pid) = Pid::from_raw(*pid as i32) {
            // Refused only when it has ended already.
            let _ = kill_process(pid, Signal::KILL);
        }
    }
}
