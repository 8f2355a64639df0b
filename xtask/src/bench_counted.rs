//! Instructions counted by Valgrind beside those that were kept: where a time is ±30 % on a shared
//! machine, a count is the same in every run of the same program.

use crate::setup;
use crate::workspace::{Workspace, output, run};
use anyhow::{Context, Result, ensure};
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::process::Command;

/// Where the counts are kept, below the workspace's root.
const KEPT: &str = "docs/counted.md";
const HEAD: &str = "| one act | instructions |\n| --- | --- |\n";

/// Counts, prints each count beside the kept one, and with `update` keeps the new ones.
pub fn run_counted(workspace: &Workspace, update: bool) -> Result<()> {
    let valgrind = setup::valgrind()?;
    let mut build = workspace.cargo();
    run(build.args([
        "build",
        "--release",
        "--package",
        "bench",
        "--example",
        "counted",
    ]))?;
    let program = workspace.target.join("release/examples/counted");
    let kept = fs::read_to_string(workspace.root.join(KEPT)).unwrap_or_default();
    let (mut table, mut report) = (String::from(HEAD), Vec::new());
    for line in output(Command::new(&program).arg("list"))?.lines() {
        let (name, acts) = line.split_once('\t').context("a name and how many acts")?;
        let counted = count(workspace, &valgrind, &program, name)? / acts.parse::<u64>()?;
        writeln!(table, "| {name} | {} |", grouped(counted))?;
        report.push((name.to_owned(), counted, before(&kept, name)));
    }
    println!(
        "\n{:<42} {:>13} {:>13}  beside",
        "instructions of one act", "now", "kept"
    );
    for (name, now, before) in report {
        let (kept, ratio) = before.map_or(("–".to_owned(), "–".to_owned()), |before| {
            let ratio = now as f64 / before as f64;
            (grouped(before), format!("{ratio:.3}"))
        });
        println!("{name:<42} {:>13} {kept:>13}  {ratio}", grouped(now));
    }
    if update {
        let compiler = output(workspace.rustc().arg("--version"))?;
        let text = page(
            &table,
            compiler.trim(),
            output(Command::new(&valgrind).arg("--version"))?.trim(),
        );
        fs::write(workspace.root.join(KEPT), text)?;
        println!("\nkept in {KEPT}");
    }
    Ok(())
}

/// All the instructions inside the program's `measured`.
fn count(workspace: &Workspace, valgrind: &Path, program: &Path, name: &str) -> Result<u64> {
    let out = workspace.target.join("counted.out");
    output(
        Command::new(valgrind)
            .args([
                "--tool=callgrind",
                "--quiet",
                "--toggle-collect=counted*::measured",
            ])
            .arg(format!("--callgrind-out-file={}", out.display()))
            .arg(program)
            .arg(name),
    )?;
    let text = fs::read_to_string(&out)?;
    let total = text.lines().find_map(|line| line.strip_prefix("totals: "));
    let total = total.context("callgrind gave no total")?.trim().parse()?;
    ensure!(
        total > 0,
        "callgrind saw no `measured` in {}",
        program.display()
    );
    Ok(total)
}

/// What the page has for that work.
fn before(kept: &str, name: &str) -> Option<u64> {
    let row = kept
        .lines()
        .find_map(|line| line.strip_prefix(&format!("| {name} | ")))?;
    let digits: String = row.chars().filter(char::is_ascii_digit).collect();
    digits.parse().ok()
}

fn page(table: &str, compiler: &str, valgrind: &str) -> String {
    format!(
        "# Instructions counted\n\n\
         By `cargo xtask bench --only counted`, which prints what it counts beside this table; with\n\
         `--update` it writes this page anew. The work is `tests/bench/examples/counted.rs`. The same\n\
         program counts the same in every run, so a ratio that is not 1.000 is a change of ours, or of\n\
         the compiler; an instruction is not a time.\n\n\
         {compiler}; {valgrind}; release build.\n\n{table}"
    )
}

/// In groups of three digits, as the other pages have them.
fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_is_read_back() {
        let table = format!("{HEAD}| draw a hand | {} |\n", grouped(1_234_567));
        let page = page(&table, "rustc 1", "valgrind-3");
        assert_eq!(before(&page, "draw a hand"), Some(1_234_567));
        assert_eq!(before(&page, "draw"), None);
        assert_eq!(
            [7, 999, 1000, 12_345].map(grouped),
            ["7", "999", "1,000", "12,345"]
        );
    }
}
