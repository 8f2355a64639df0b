//! Every shipped document's pose to the last bit, at its neutral and at two settings by chance.
use crate::api::{dials, figures, file, files, numbers, posed, scenario, scenarios};
use crate::kept;
use crate::lines::fnv;
use serde_json::Value;
use std::fmt::Write;

/// Every document that is shipped, each with its name.
fn documents() -> Vec<(String, String)> {
    let examples = files("examples", ".hand.json").into_iter();
    let mut all: Vec<_> = examples
        .map(|name| {
            (
                format!("examples/{name}"),
                file(&format!("examples/{name}")),
            )
        })
        .collect();
    all.extend(scenarios().map(|name| (format!("scenario {name}"), scenario(name))));
    for lesson in files("lessons", ".lesson.json") {
        let of = |(place, text)| (format!("lessons/{lesson}, {place}"), text);
        all.extend(figures(&lesson).into_iter().map(of));
    }
    all
}

/// Numbers from 0 to 1 without 1, the same in every run: SplitMix64 (Steele, Lea and Flood 2014,
/// 'Fast splittable pseudorandom number generators').
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// The digest of a pose to the last bit, and of one to a millionth, which tells noise from a
/// figure that really moved.
fn digests(text: &str, setting: &[(&str, f64)]) -> String {
    let exact = numbers(&posed(text, setting));
    let mut rounded = String::new();
    round(&serde_json::from_str(&exact).unwrap(), &mut rounded);
    format!("{:016x} {:016x}", fnv(&exact), fnv(&rounded))
}

fn round(value: &Value, out: &mut String) {
    match value {
        Value::Number(number) => {
            let millionths = (number.as_f64().unwrap() * 1e6).round();
            let _ = write!(out, "{millionths:?} ");
        }
        Value::Array(all) => all.iter().for_each(|value| round(value, out)),
        Value::Object(all) => all.values().for_each(|value| round(value, out)),
        other => {
            let _ = write!(out, "{other} ");
        }
    }
}

#[test]
fn every_shipped_pose_keeps_its_numbers() {
    let mut table = String::from("to the last bit  to a millionth\n");
    for (name, text) in documents() {
        let dials = dials(&text);
        let neutral: Vec<_> = dials
            .iter()
            .map(|(name, n)| (name.as_str(), n[0]))
            .collect();
        let _ = writeln!(table, "{} {name}, neutral", digests(&text, &neutral));
        let mut chance = Chance(fnv(&name));
        for setting in ["first", "second"] {
            let values: Vec<_> = dials
                .iter()
                .map(|(name, [_, min, max])| (name.as_str(), min + (max - min) * chance.next()))
                .collect();
            let digests = digests(&text, &values);
            let _ = writeln!(table, "{digests} {name}, {setting} by chance");
        }
    }
    assert!(table.lines().count() > 3 * 25, "documents are missing");
    kept("numbers", &table);
}
