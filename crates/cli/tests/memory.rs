//! B5: a file too large is refused before it takes memory. By itself: what a child took most is
//! told of all children of a process together.
#![cfg(unix)]
use nix::sys::resource::{UsageWho, getrusage};
use std::process::{Command, Stdio};

/// MB.
const MOST: i64 = 50;

fn taken_by_children() -> i64 {
    let usage = getrusage(UsageWho::RUSAGE_CHILDREN).expect("a process knows its children");
    // Linux counts in kB, others in bytes.
    usage.max_rss()
        / if cfg!(target_os = "linux") {
            1_000
        } else {
            1_000_000
        }
}

#[test]
fn b5_refusing_300_mb_takes_under_50() {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("b5-300.hand.json");
    let file = std::fs::File::create(&path).unwrap();
    file.set_len(300_000_000).unwrap();
    let out = path.with_extension("svg");
    let (path, out) = (path.to_str().unwrap(), out.to_str().unwrap());
    for arguments in [
        &["pose", path][..],
        &["lint", path],
        &["draw", path, out],
        &["survey", path, "--lift=0..1/2", "--lean=0..1/2"],
        // By a pipe, whose length nobody knows.
        &["pose", "/dev/stdin"],
    ] {
        let mut cat = None;
        if arguments.contains(&"/dev/stdin") {
            let piped = Command::new("cat").arg(path).stdout(Stdio::piped()).spawn();
            cat = Some(piped.unwrap());
        }
        let piped = cat.as_mut().and_then(|cat| cat.stdout.take());
        let output = Command::new(env!("CARGO_BIN_EXE_handstand"))
            .args(arguments)
            .stdin(piped.map_or(Stdio::null(), Stdio::from))
            .output()
            .unwrap();
        cat.map(|mut cat| cat.wait());
        let taken = taken_by_children();
        println!("{arguments:?}: {taken} MB at most so far");
        assert!(taken < MOST, "{arguments:?} took {taken} MB");
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains("more than 16 MB"), "{said}");
    }
    std::fs::remove_file(path).unwrap();
}
