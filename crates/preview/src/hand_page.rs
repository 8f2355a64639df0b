//! The hand page, turned to its press: the page's `hand/`.
use crate::desk;
use crate::html::{button, escaped, right};
use crate::plate::{Window, figure, size};
use course::Viewpoint;
use hand::survey::{Tolerance, measure};
use rig::{Fault, Posed};
use workbook::example::Example;
use workbook::face::{Face, put_away};
use workbook::plate::Plate;
use workbook::scene::{Frame, extent, sight};
use workbook::strip::digits;
use workbook::worst::all;

pub fn hand(example: Example, window: Window) -> Result<String, Fault> {
    let posed = Posed::new(&example.document()?)?;
    let document = posed.document();
    let frame = Frame::of(document);
    let view = frame.fit(
        sight(Viewpoint::Oblique),
        Plate::of(size(window, true)),
        &extent(&posed, None),
    );
    let away = put_away(document, Face::Press, &[]);
    let corners: String = Face::ALL
        .map(|face| {
            format!(
                r#"<button role="tab" data-corner="{}" aria-selected="{}" disabled>{}</button>"#,
                face.key(),
                face == Face::Press,
                face.name()
            )
        })
        .concat();
    let says: String = Face::ALL
        .map(|face| {
            let hidden = if face == Face::Press { "" } else { " hidden" };
            format!(
                r#"<p data-face="{}"{hidden}>{}</p>"#,
                face.key(),
                escaped(face.says())
            )
        })
        .concat();
    let files: String = ["Open", "Save", "SVG", "PNG", "Start again"]
        .map(|name| button("tool", name))
        .concat();
    let desk = format!(
        r#"<section class="desk handy"><div class="desk-dials given">{}<div class="desk-row"><div class="dials press">{}</div>{}</div><div class="folds">{}</div></div></section>"#,
        strip(&posed),
        desk::spanned(&posed, &hand::press_dials(document)),
        worst(&posed),
        folds(document),
    );
    Ok(format!(
        r#"<div class="bench faced"><section class="faces"><div role="tablist" aria-label="Faces">{corners}</div></section><main class="page hand-page">{}<div class="page-inside"><div class="page-text"><h1 class="given">{}</h1><div class="tool-row files">{files}</div>{says}</div></div></main>{}</div>"#,
        button("sheet-handle", Face::Press.sheet()),
        example.name(),
        right(&figure(&posed, &view, None, Some(&frame), away), &desk)
    ))
}

fn strip(posed: &Posed) -> String {
    let cell = |digit: &workbook::strip::Digit| {
        let (word, slip) = digit.told(posed);
        let down = if word == "down" { " down" } else { "" };
        let slip = slip.map_or(String::new(), |mm| format!("{mm:.2} mm"));
        format!(
            r#"<button class="digit{down}" aria-pressed="{}" disabled><b>{}</b> <span>{word}</span> <span class="quiet">{slip}</span></button>"#,
            digit.is_held(posed),
            escaped(&digit.short)
        )
    };
    let cells: String = digits(posed.document()).iter().map(cell).collect();
    format!(r#"<div class="strip">{cells}</div>"#)
}

fn worst(posed: &Posed) -> String {
    const WIDTH: f64 = 200.0;
    let x = |part: f64| part.clamp(0.0, 1.0) * WIDTH;
    let row = |told: &workbook::worst::Told| {
        let state = match told.good {
            Some(true) => " good",
            Some(false) => " amiss",
            None => "",
        };
        let (from, to) = told.safe;
        format!(
            r#"<div class="gauge{state}"><div class="row"><span>{}</span><b>{}</b></div><svg viewBox="-6 0 212 18" aria-hidden="true"><rect class="band" x="{}" y="5" width="{}" height="8"/><path class="engraved" d="M0 9H200M0 3v12"/><circle cx="{}" cy="9" r="4.5"/></svg></div>"#,
            escaped(&told.label),
            escaped(&told.text),
            x(from),
            x(to) - x(from),
            x(told.at)
        )
    };
    let tolerance = Tolerance::default();
    let rows: String = all(posed, &measure(posed), &tolerance)
        .iter()
        .map(row)
        .collect();
    format!(r#"<div class="gauges worst">{rows}</div>"#)
}

/// Folds that do not open yet: those that have something to show.
fn folds(document: &rig::Document) -> String {
    let groups = workbook::face::FOLDS.into_iter();
    let groups = groups.filter(|(group, _)| !group.dials(document).is_empty());
    let titles = groups
        .map(|(_, title)| title)
        .chain(["Softness", "All gauges"]);
    let fold =
        |title| format!(r#"<details class="fold" inert><summary>{title}</summary></details>"#);
    titles.map(fold).collect()
}
