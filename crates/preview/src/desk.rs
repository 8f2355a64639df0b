//! Dials and gauges under the plate: the page's `desk.rs`.
use crate::html::escaped;
use crate::step::strip;
use crate::tools::tools;
use course::{Lesson, Shown, Step, Tool};
use rig::{Dial, DialId, Posed};
use std::fmt::Write;
use workbook::desk::{NO_DIAL, called, dials, gauges, rule};
use workbook::number::tenths;
use workbook::told::told;

/// A lesson's desk.
pub fn desk(posed: &Posed, lesson: &Lesson, step: Option<&Step>) -> String {
    let offered = step.map_or(&[][..], |step| &step.tools);
    let dials = dials(posed.document(), Some(lesson), step);
    let gauges = match step {
        Some(step) if !step.is_measured_when_tried() => Vec::new(),
        step => gauges(posed, Some(lesson), step),
    };
    let gauges: String = gauges.iter().map(|shown| gauge(posed, shown)).collect();
    let (pressing, map) = if offered.contains(&Tool::Map) {
        (" pressing", MAP)
    } else {
        ("", "")
    };
    format!(
        r#"<section class="desk{pressing}">{}<div class="desk-dials given">{}<div class="dials">{}</div><div class="gauges">{gauges}</div></div>{map}</section>"#,
        strip(lesson, step, posed),
        tools(posed, step),
        rows(posed, &dials)
    )
}

/// The contact map's place; a sheet on a phone.
pub const MAP: &str = r#"<section class="map-panel"><button class="sheet-handle" disabled>Contact map</button></section>"#;

/// A row for each dial.
pub fn rows(posed: &Posed, dials: &[DialId]) -> String {
    let found = dials.iter().filter_map(|id| posed.document().dial(*id));
    found.map(|d| row(d, posed.dial(d.id), "")).collect()
}

/// The same on the hand page: what ends each is written under it, and how softly it changes over
/// stands elsewhere.
pub fn spanned(posed: &Posed, dials: &[DialId]) -> String {
    let found = dials.iter().filter_map(|id| posed.document().dial(*id));
    let hard = found.map(|d| Dial {
        softness: None,
        ..d.clone()
    });
    hard.map(|d| row(&d, posed.dial(d.id), r#"<div class="ends"></div>"#))
        .collect()
}

fn row(dial: &Dial, value: f64, ends: &str) -> String {
    if dial.drives.is_empty() {
        let name = escaped(&called(dial));
        return format!(
            r#"<div class="dial idle"><div class="row"><label>{name}</label><em>{NO_DIAL}</em></div><svg class="rule" viewBox="-14 -12 328 48" aria-hidden="true"><path class="neutral" d="M0 12H300"/></svg><input type="range" disabled></div>"#
        );
    }
    let softness = dial.softness.map_or_else(String::new, |softness| {
        format!(
            r#"<label class="softness"><span>Changeover softness</span><input type="number" disabled value="{softness:.1}"><span>°</span></label>"#
        )
    });
    format!(
        r#"<div class="dial"><div class="row"><label>{}</label><button class="value" disabled><output>{}</output></button></div>{}<input type="range" disabled>{ends}{softness}</div>"#,
        escaped(&called(dial)),
        tenths(value, dial.unit),
        engraved(dial)
    )
}

fn engraved(dial: &Dial) -> String {
    const WIDTH: f64 = 300.0;
    let mut out = String::from(
        r#"<svg class="rule" viewBox="-14 -12 328 48" aria-hidden="true"><path class="engraved" d="M0 12H300"#,
    );
    let (lines, marks, neutral) = match rule(dial.min, dial.max) {
        Some(rule) => {
            let x = |v: f64| (v - dial.min) / (dial.max - dial.min) * WIDTH;
            let marks = rule.marks.iter().map(|v| (x(*v), *v)).collect();
            (
                rule.fine.into_iter().map(x).collect(),
                marks,
                x(dial.neutral),
            )
        }
        None => (Vec::new(), vec![(WIDTH / 2.0, dial.neutral)], WIDTH / 2.0),
    };
    for (x, _) in &marks {
        let _ = write!(out, "M{x:.1} 12v9");
    }
    out += r#""/><path class="engraved fine" d=""#;
    for x in lines {
        let _ = write!(out, "M{x:.1} 12v5");
    }
    out += r#""/>"#;
    for (x, value) in &marks {
        let _ = write!(out, r#"<text x="{x:.1}" y="32">{}</text>"#, value + 0.0);
    }
    let _ = write!(
        out,
        r#"<path class="neutral" d="M{neutral:.1} 0v12"/></svg>"#
    );
    out
}

fn gauge(posed: &Posed, shown: &Shown) -> String {
    const WIDTH: f64 = 200.0;
    let told = told(posed, &shown.gauge);
    let x = |value: f64| (value / shown.scale * WIDTH).clamp(0.0, WIDTH);
    let state = match told.as_ref().and_then(|told| told.good(shown.tolerance)) {
        Some(true) => " good",
        Some(false) => " amiss",
        None => "",
    };
    let band = shown.tolerance.map_or_else(String::new, |(least, most)| {
        let (a, b) = (x(least), x(most));
        let width = b - a;
        format!(
            r#"<rect class="band" x="{a}" y="5" width="{width}" height="8"/><path class="engraved" d="M{b:.1} 3v12"/>"#
        )
    });
    let (text, at) = told.map_or_else(
        || ("no reading".into(), 0.0),
        |told| (told.text, x(told.value)),
    );
    format!(
        r#"<div class="gauge{state}"><div class="row"><span>{}</span><b>{}</b></div><svg viewBox="-6 0 212 18" aria-hidden="true">{band}<path class="engraved" d="M0 9H200M0 3v12"/><circle cx="{at}" cy="9" r="4.5"/></svg></div>"#,
        escaped(&shown.label),
        escaped(&text)
    )
}
