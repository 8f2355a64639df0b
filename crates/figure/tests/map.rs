//! The contact map: what is drawn, and where it says a click goes.
use figure::map::{Frame, dial_at, letters, map, patterns, sheet};
use figure::{Look, Paint, Seg, Shape, svg};
use hand::survey::{Limit, LimitKind, Survey, Sweep, Tolerance};
use hand::{Hand, Planting, planted as press};
use rig::{Document, Posed, Solver};

/// Slip alone is judged here, mm: depth is allowed without end.
const TOLERANCE: Tolerance = Tolerance {
    slip: 0.5,
    pad: 1e9,
    palm: 1e9,
};
const SIZE: (f64, f64) = (420.0, 360.0);

/// A hand held by points, as in files of before contact rolled: it slips and sinks where one whose
/// fingers roll and let go does neither.
fn surveyed(count: usize) -> (Document, Survey) {
    let mut document = press(&Hand::table(), &Planting::default()).unwrap();
    for anchor in &mut document.anchors {
        if let Solver::Finger { contact, .. } | Solver::Thumb { contact, .. } = &mut anchor.solver {
            *contact = None;
        }
    }
    let posed = Posed::new(&document).unwrap();
    let sweep = |name, from, to| Sweep {
        dial: document.dial_named(name).unwrap().id,
        from,
        to,
        count,
    };
    let (across, up) = (sweep("lift", -20.0, 60.0), sweep("lean", -12.0, 12.0));
    let survey = Survey::run(&posed, across, up).unwrap();
    (document, survey)
}

fn points(shape: &Shape) -> Vec<(f64, f64)> {
    match shape {
        Shape::Path { segs, .. } => segs
            .iter()
            .flat_map(|seg| match *seg {
                Seg::Move(x, y) | Seg::Line(x, y) => vec![(x, y)],
                Seg::Cubic(a, b, c, d, x, y) => vec![(a, b), (c, d), (x, y)],
                Seg::Close => vec![],
            })
            .collect(),
        Shape::Text { text, .. } => vec![(text.x, text.y)],
    }
}

/// Twice the area by the shoelace rule over every outline of a path.
fn area(shape: &Shape) -> f64 {
    let Shape::Path { segs, .. } = shape else {
        panic!("a path")
    };
    let (mut sum, mut start, mut pen) = (0.0, (0.0, 0.0), (0.0, 0.0));
    for seg in segs {
        let to = match *seg {
            Seg::Move(x, y) => {
                (start, pen) = ((x, y), (x, y));
                continue;
            }
            Seg::Line(x, y) => (x, y),
            Seg::Close => start,
            Seg::Cubic(..) => panic!("a region is of straight lines"),
        };
        sum += pen.0 * to.1 - to.0 * pen.1;
        pen = to;
    }
    (0.5 * sum).abs()
}

/// The tint covers as much of the map as cells that can be reached, within what a row of cells
/// round the region's rim amounts to.
#[test]
fn the_tint_covers_the_safe_cells() {
    let (document, survey) = surveyed(61);
    let shapes = map(&survey, &document, &TOLERANCE, SIZE, 1.0);
    let tints: Vec<_> = shapes
        .iter()
        .filter(|shape| {
            matches!(
                shape,
                Shape::Path {
                    fill: Some(Paint::Good),
                    ..
                }
            )
        })
        .collect();
    assert_eq!(tints.len(), 1);
    let reachable = survey.reachable(&TOLERANCE);
    let safe = reachable.iter().filter(|&&reached| reached).count() as f64;
    let frame = Frame::new(&survey, SIZE, 1.0);
    let ((left, top), (right, bottom)) = (frame.top_left(), frame.bottom_right());
    let cell = (right - left) * (bottom - top) / 3600.0;
    let off = area(tints[0]) / cell - safe;
    assert!(
        safe > 1000.0 && off.abs() < 4.0 * 61.0 / 2.0,
        "{safe} {off}"
    );
}

#[test]
fn a_click_goes_to_the_place_it_is_drawn_at() {
    let (_, survey) = surveyed(9);
    for weight in [1.0, 1.6] {
        let frame = Frame::new(&survey, SIZE, weight);
        for values in [(0.0, 0.0), (-20.0, 12.0), (60.0, -12.0), (35.0, 3.25)] {
            let (x, y) = frame.place(values);
            let back = dial_at(&survey, SIZE, weight, x, y).unwrap();
            assert!((back.0 - values.0).abs() < 1e-9 && (back.1 - values.1).abs() < 1e-9);
        }
        assert!(dial_at(&survey, SIZE, weight, 2.0, 2.0).is_none());
        assert!(dial_at(&survey, SIZE, weight, f64::NAN, 2.0).is_none());
        assert!(frame.holds((35.0, 3.25)) && !frame.holds((70.0, 0.0)));
    }
}

/// Who fails is told by letter and by the hatching's direction, not by colour.
#[test]
fn digits_are_told_apart_without_colour() {
    let (document, survey) = surveyed(61);
    let key = letters(&survey, &document, &TOLERANCE);
    let told: Vec<_> = key.iter().map(|(letter, _)| letter.as_str()).collect();
    assert_eq!(told, ["I", "M", "R", "L"]);
    let shapes = map(&survey, &document, &TOLERANCE, SIZE, 1.0);
    let slopes: Vec<_> = shapes
        .iter()
        .filter(
            |shape| matches!(shape, Shape::Path { stroke: Some(s), .. } if s.paint == Paint::Amiss),
        )
        .map(|shape| {
            let points = points(shape);
            let longest = points
                .chunks(2)
                .map(|pair| (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1))
                .max_by(|a, b| libm::hypot(a.0, a.1).total_cmp(&libm::hypot(b.0, b.1)))
                .unwrap();
            libm::round(libm::atan2(longest.1, longest.0).to_degrees())
        })
        .collect();
    assert_eq!(slopes, [45.0, 135.0, 0.0, 90.0]);
    for letter in told {
        let marks = shapes
            .iter()
            .filter(|shape| matches!(shape, Shape::Text { text, .. } if text.content == letter));
        assert_eq!(marks.count(), 1, "{letter}");
    }
    // Two fingers of one initial are told by number.
    let mut alike = document.clone();
    for anchor in &mut alike.anchors {
        anchor.name = format!("digit-{}", anchor.name);
    }
    let told = letters(&survey, &alike, &TOLERANCE);
    assert_eq!(told[0].0, "1");
    assert_eq!(told[3], ("4".to_owned(), "digit-little-finger".to_owned()));
}

/// How it fails is told by the pattern as well as by hue: lines where a digit slips, dots where
/// flesh sinks in, crossed lines where a limit is passed.
#[test]
fn ways_to_fail_are_told_apart_without_colour() {
    let (document, mut survey) = surveyed(41);
    let tolerance = Tolerance {
        slip: 0.5,
        pad: 1.5,
        palm: 1.0,
    };
    // No shipped hand passes a joint's limit here, so one corner is given it.
    let joint = document.anchors[0].base;
    for row in 0..12 {
        for column in 0..12 {
            survey.cells[row * 41 + column].limit = Some(Limit {
                anchor: document.anchors[0].id,
                kind: LimitKind::Joint {
                    node: joint,
                    channel: rig::Channel::TurnZ,
                    upper: false,
                },
                by: 1e6,
            });
        }
    }
    let told = patterns(&survey, &document, &tolerance);
    assert_eq!(
        told,
        ["lines: slips", "dots: sinks in", "crossed: at a limit"]
    );
    let key = letters(&survey, &document, &tolerance);
    assert!(key.iter().any(|(_, name)| name == "palm"), "{key:?}");
    let shapes = map(&survey, &document, &tolerance, SIZE, 1.0);
    let hatched = |dotted: bool, crossed: bool| {
        let is = |shape: &&Shape| match shape {
            Shape::Path {
                layer: figure::Layer::Bench,
                stroke: Some(stroke),
                ..
            } => {
                let slopes: std::collections::BTreeSet<i64> = points(shape)
                    .chunks(2)
                    .map(|pair| (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1))
                    .filter(|along| libm::hypot(along.0, along.1) > 3.0)
                    .map(|(x, y)| libm::round(libm::atan2(y, x).to_degrees()) as i64)
                    .collect();
                stroke.dash.is_some() == dotted && (slopes.len() == 2) == crossed
            }
            _ => false,
        };
        shapes.iter().filter(is).count()
    };
    assert!(hatched(false, false) > 0, "lines");
    assert!(hatched(true, false) > 1, "dots of a digit and of the palm");
    assert_eq!(hatched(false, true), 1, "crossed");
}

/// Everything is finite and on the sheet, however small or coarse it is.
#[test]
fn nothing_leaves_the_sheet() {
    for count in [2, 3, 30] {
        let (document, survey) = surveyed(count);
        for (size, weight, tolerance) in [
            (SIZE, 1.0, TOLERANCE.slip),
            ((240.0, 200.0), 1.0, 1e-6),
            ((1200.0, 900.0), 1.6, 50.0),
            ((0.0, 0.0), 1.0, 0.0),
        ] {
            let shapes = map(
                &survey,
                &document,
                &Tolerance::of_slip(tolerance),
                size,
                weight,
            );
            assert!(shapes.len() < 200);
            for (x, y) in shapes.iter().flat_map(points) {
                assert!(x.is_finite() && y.is_finite());
                let (w, h) = (size.0.max(130.0 * weight), size.1.max(110.0 * weight));
                assert!((0.0..=w).contains(&x) && (0.0..=h).contains(&y), "{x} {y}");
            }
        }
        let layers = [("one".to_owned(), &survey), ("two".to_owned(), &survey)];
        let (shapes, size) = sheet(&layers, &document, &TOLERANCE, SIZE);
        for (x, y) in shapes.iter().flat_map(points) {
            assert!((0.0..=size.0).contains(&x) && (0.0..=size.1).contains(&y));
        }
        let text = svg(&shapes, size, Look::Paper, "a map");
        roxmltree::Document::parse(&text).expect("well formed");
    }
}

/// Who is down: a quiet line for each digit that lets go somewhere, its teeth on the ground where
/// that digit has let go, and its letter there; by no hue of its own.
#[test]
fn where_digits_let_go_is_drawn() {
    let document = press(&Hand::table(), &Planting::default()).unwrap();
    let posed = Posed::new(&document).unwrap();
    let sweep = |name, from, to| Sweep {
        dial: document.dial_named(name).unwrap().id,
        from,
        to,
        count: 61,
    };
    let (across, up) = (sweep("lift", -20.0, 60.0), sweep("lean", -12.0, 12.0));
    let survey = Survey::run(&posed, across, up).unwrap();
    let home = survey.cells[survey.home].down;
    let is_away = |plant: usize, at: (f64, f64)| {
        let cell = survey.cell(survey.across.nearest(at.0), survey.up.nearest(at.1));
        home.has(plant) && !cell.down.has(plant)
    };
    let lets_go: Vec<_> = (0..survey.plants.len())
        .filter(|&plant| (0..survey.cells.len()).any(|cell| is_away(plant, survey.values(cell))))
        .collect();
    assert!(lets_go.len() > 2, "{lets_go:?}");
    let told = patterns(&survey, &document, &TOLERANCE);
    assert!(told.contains(&"toothed line: has let go"), "{told:?}");

    let shapes = map(&survey, &document, &TOLERANCE, SIZE, 1.0);
    let frame = Frame::new(&survey, SIZE, 1.0);
    let lines = shapes.iter().filter(|shape| {
        matches!(shape, Shape::Path { layer: figure::Layer::Path, stroke: Some(s), .. }
            if s.paint == Paint::Quiet && s.dash.is_none())
    });
    let lines: Vec<_> = lines.collect();
    assert_eq!(lines.len(), lets_go.len());
    for (&plant, line) in lets_go.iter().zip(lines) {
        let Shape::Path { segs, .. } = line else {
            panic!("a path")
        };
        let outlines = segs.split_inclusive(|seg| matches!(seg, Seg::Line(..)));
        let teeth = outlines.filter_map(|pair| match pair {
            [Seg::Move(x, y), Seg::Line(a, b)] => Some(((*x, *y), (*a, *b))),
            _ => None,
        });
        let long = |((x, y), (a, b)): &((f64, f64), (f64, f64))| libm::hypot(a - x, b - y);
        let teeth: Vec<_> = teeth
            .filter(|tooth| (long(tooth) - 5.0).abs() < 1e-6)
            .collect();
        let right = |(foot, tip): &((f64, f64), (f64, f64))| {
            let back = (2.0 * foot.0 - tip.0, 2.0 * foot.1 - tip.1);
            is_away(plant, frame.values(*tip)) && !is_away(plant, frame.values(back))
        };
        let good = teeth.iter().filter(|tooth| right(tooth)).count();
        // Corners of the grid are evened: a tooth there may end in the next cell.
        assert!(
            teeth.len() > 10 && good * 10 >= teeth.len() * 8,
            "{good} of {} teeth of plant {plant}",
            teeth.len()
        );
    }
    let key = letters(&survey, &document, &TOLERANCE);
    for &plant in &lets_go {
        let own = shapes.iter().filter_map(|shape| match shape {
            Shape::Text { text, .. } if text.content == key[plant].0 => Some(text),
            _ => None,
        });
        let own: Vec<_> = own.filter(|text| text.paint == Paint::Quiet).collect();
        assert_eq!(own.len(), 1, "{}", key[plant].0);
    }
    // Of digits that never let go nothing is said.
    let (document, survey) = surveyed(21);
    let told = patterns(&survey, &document, &TOLERANCE);
    assert!(
        told.iter().all(|words| !words.contains("let go")),
        "{told:?}"
    );
}
