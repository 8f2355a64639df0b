//! The survey's CSV read back by Python's `csv`, and as a spreadsheet would take it: no name is a
//! formula, no number is text.
use hand::survey::report::{self, Layer};
use hand::survey::{Survey, Sweep, Tolerance};
use hand::{Planting, Recipe, document as build};
use reference::oracle;
use rig::{Document, Posed};
use serde_json::json;

const TOLERANCE: Tolerance = Tolerance {
    slip: 0.5,
    pad: 1.5,
    palm: 3.0,
};
/// What a spreadsheet runs, and what a reader of lines stumbles over.
const NAMES: [&str; 14] = [
    "=HYPERLINK(\"http://flour\",\"pin\")",
    "+1+cmd|' /C calc'!A0",
    "-1+1",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    "rye, spelt \"and\" wheat\r\nand oats",
    "rye;=HYPERLINK(\"http://flour\",\"pin\")",
    "rye;\"=1+1",
    "rye\t@SUM(A1)",
    "rye\r\n=1+1",
    "rye\n-1+1",
    "plain",
];

fn sweep(document: &Document, at: usize, from: f64, to: f64) -> Sweep {
    Sweep {
        dial: document.dials[at].id,
        from,
        to,
        count: 3,
    }
}

/// A name without apostrophes, which are what defuses it.
fn named(cell: &str) -> String {
    cell.replace('\'', "")
}

/// Whether a spreadsheet would run a part of the text: as one cell, or parted at semicolons, tabs
/// and line breaks, with no heed of quotes.
fn acts(text: &str) -> bool {
    let mut parts = text.split([';', '\t', '\r', '\n']);
    parts.any(|part| {
        part.trim_start_matches('"')
            .starts_with(['=', '+', '-', '@'])
    }) || text.starts_with(['\t', '\r', '\n'])
}

#[test]
fn b7_python_reads_the_csv_and_no_name_is_a_formula() {
    let recipe = Recipe {
        planting: Some(Planting::default()),
        ..Recipe::default()
    };
    let plain = build(&recipe).expect("the shipped hand");
    let dial = |name| {
        let mut dials = plain.dials.iter();
        dials
            .position(|dial| dial.name == name)
            .expect("a press dial")
    };
    let (lift, lean, twist) = (dial("lift"), dial("lean"), dial("twist"));
    let mut texts = Vec::new();
    let mut told = Vec::new();
    for name in NAMES {
        let mut document = plain.clone();
        document.dials[lift].name = name.to_owned();
        for (at, node) in document.nodes.iter_mut().enumerate() {
            node.name = format!("{name} {at}");
        }
        let posed = Posed::new(&document).expect("it is sound");
        let survey = Survey::run(
            &posed,
            sweep(&document, lift, -15.0, 60.0),
            sweep(&document, lean, -10.0, 10.0),
        );
        let layer = Layer {
            at: Some((document.dials[twist].id, -2.0)),
            survey: survey.expect("a survey"),
        };
        texts.push(report::csv(
            &document,
            std::slice::from_ref(&layer),
            &TOLERANCE,
        ));
        told.push((name, document, layer));
    }
    let read = oracle("csv", &json!(texts));
    for (rows, (name, document, layer)) in read.as_array().unwrap().iter().zip(&told) {
        let rows: Vec<Vec<String>> = serde_json::from_value(rows.clone()).unwrap();
        let survey = &layer.survey;
        assert_eq!(rows.len(), survey.cells.len() + 1, "{name:?}");
        assert!(
            rows.iter().all(|row| row.len() == rows[0].len()),
            "{name:?}"
        );
        for cell in rows.iter().flatten() {
            let number = cell.parse::<f64>().is_ok();
            assert!(number || !acts(cell), "{cell:?} would be run");
        }
        assert_eq!(rows[0][0], "twist");
        assert_eq!(named(&rows[0][1]), named(name));
        let head = format!("{} slip mm", document.node(survey.plants[0]).unwrap().name);
        let first = rows[0].len() - survey.plants.len();
        assert_eq!(named(&rows[0][first]), named(&head));
        let mut names = 0;
        for (at, row) in rows[1..].iter().enumerate() {
            let (across, up) = survey.values(at);
            let number = |k: usize| row[k].parse::<f64>().expect("a number stays one");
            assert_eq!((number(0), number(1), number(2)), (-2.0, across, up));
            assert_eq!(number(3), survey.cells[at].slip);
            let slipping = survey.cells[at].slipping.and_then(|id| document.node(id));
            assert_eq!(
                named(&row[4]),
                named(slipping.map_or("", |node| &node.name))
            );
            for (column, sunk) in [(5, survey.cells[at].pad), (7, survey.cells[at].palm)] {
                assert_eq!(number(column), sunk.by);
                let node = sunk.node.and_then(|id| document.node(id));
                assert_eq!(
                    named(&row[column + 1]),
                    named(node.map_or("", |node| &node.name))
                );
                names += usize::from(node.is_some());
            }
        }
        // What rolls hardly slips: it is what is deepest that has a name.
        assert!(names > 0, "some cell names what is deepest");
    }
}
