//! What a place shows on arrival, and what of it changes later.
use super::*;
use crate::plate::Plate;
use crate::told::{LET_GO, has_let_go, slip, told};
use figure::{Layer, Paint, Shape, Sign, draw};

fn chain() -> Posed {
    let text = include_str!("../../../../examples/bench-press-chain.hand.json");
    Posed::new(&hand::read(text).expect("a good example")).expect("checked")
}

fn lesson(text: &str) -> course::Lesson {
    course::read(text).expect("a good lesson")
}

fn framed(posed: &Posed, size: (f64, f64)) -> View {
    Frame::of(posed.document()).fit(Sight::Side, Plate::of(size), &extent(posed, None))
}

#[test]
fn on_arrival_the_first_grip_is_offered_with_its_path() {
    let posed = chain();
    let view = framed(&posed, (900.0, 600.0));
    let shown = scene(Shown::on_arrival(&posed, &view, None), &mut Ways::default());
    let mover = shown.highlight.expect("something to drag");
    assert_eq!(
        Some(mover),
        mover_of(posed.document(), &first_grip(posed.document()))
    );
    assert!(shown.labels[0].1.ends_with("(drag me)"));
    assert_eq!(shown.bubbles.len(), posed.document().plants.len());
    assert!(shown.bubbles.iter().all(|b| b.good && b.text == "0.00 mm"));
}

#[test]
fn a_prediction_is_tried_first_and_the_pencil_hides_the_path() {
    let lesson = lesson(include_str!("../../../../lessons/01-carry.lesson.json"));
    let predicts = lesson.steps.iter().find(|s| s.task.is_prediction());
    let step = predicts.expect("lesson 1 asks for a prediction");
    let posed = lesson.figure(step);
    let view = framed(posed, (900.0, 600.0));
    let mut shown = Shown::on_arrival(posed, &view, Some(step));
    assert_eq!(shown.tool, Tool::Hand);
    let tried = scene(shown.clone(), &mut Ways::default());
    assert!(tried.reachable.is_empty() && !tried.labels.is_empty());
    shown.tool = Tool::Pencil;
    let before = scene(shown.clone(), &mut Ways::default());
    assert!(before.reachable.is_empty() && before.labels.is_empty());
    // What is drawn by keys shows while the pencil is out, and the truth over it.
    shown.pencil.cursor = Some(Vec3::zeros());
    shown.truth = Some(Truth::Pin(Vec3::x()));
    let drawn = scene(shown.clone(), &mut Ways::default());
    assert_eq!(drawn.marks.len(), before.marks.len() + 1);
    assert_eq!(drawn.truth_pins, [Vec3::x()]);
    shown.tool = Tool::Hand;
    assert_eq!(
        scene(shown, &mut Ways::default()).marks.len(),
        before.marks.len()
    );
}

#[test]
fn a_dial_that_turns_its_mover_is_measured_from_where_it_began() {
    let lesson = lesson(include_str!(
        "../../../../lessons/04-pivot-above.lesson.json"
    ));
    let before = lesson.document.clone();
    let view = framed(&before, (900.0, 600.0));
    let Moving::Dials(dials) = first_grip(before.document()) else {
        panic!("it begins with a dial");
    };
    let mut now = before.clone();
    now.set_dial(dials[0], now.dial(dials[0]) + 30.0);
    now.evaluate();
    let mut shown = Shown::on_arrival(&now, &view, None);
    shown.ghost = Some(&before);
    let arcs = scene(shown, &mut Ways::default()).arcs;
    assert!(arcs[0].3 == "30.0°", "{arcs:?}");
}

#[test]
fn a_figure_is_framed_clear_of_what_lies_over_the_plate() {
    for posed in [
        chain(),
        lesson(include_str!(
            "../../../../lessons/08-whole-hand.lesson.json"
        ))
        .document,
    ] {
        for size in [(1040.0, 560.0), (700.0, 400.0), (390.0, 430.0)] {
            let frame = Frame::of(posed.document());
            let view = framed(&posed, size);
            let [left, top, foot] = frame.free(Plate::of(size));
            for p in extent(&posed, None) {
                let (x, y, _) = view.project(&p);
                assert!(x >= left - 1e-9 && x <= size.0 + 1e-9, "{size:?}: {x}");
                assert!(
                    y >= top - 1e-9 && y <= size.1 - foot + 1e-9,
                    "{size:?}: {y}"
                );
            }
        }
    }
}

#[test]
fn every_place_of_every_lesson_can_be_drawn() {
    for text in LESSONS {
        let lesson = lesson(text);
        let places = lesson.steps.iter().map(Some).chain([None]);
        for step in places {
            let posed = step.map_or(&lesson.document, |s| lesson.figure(s));
            let view = framed(posed, (900.0, 600.0));
            let shown = scene(Shown::on_arrival(posed, &view, step), &mut Ways::default());
            let shapes = figure::draw(posed, &view, &shown);
            assert!(shapes.iter().all(Shape::is_finite));
            assert!(
                shapes
                    .iter()
                    .any(|s| s.layer() == Layer::Label || s.layer() == Layer::Contact)
            );
        }
    }
}

const LESSONS: [&str; 2] = [
    include_str!("../../../../lessons/05-side-lean.lesson.json"),
    include_str!("../../../../lessons/10-limits.lesson.json"),
];

/// The path kept from one frame to the next is the one that is found anew, to the bit: while its
/// dial moves, when another moves, and of another rig.
#[test]
fn a_path_that_is_kept_is_the_path_there_is() {
    let text = include_str!("../../../../examples/bench-press.hand.json");
    let mut posed = Posed::new(&hand::read(text).expect("a good example")).expect("checked");
    let moving = first_grip(posed.document());
    let Moving::Dials(own) = &moving else {
        panic!("it begins with a dial")
    };
    let others: Vec<_> = posed.rig().dials.iter().map(|dial| dial.id).collect();
    let mut ways = Ways::default();
    let mut paths = Vec::new();
    for (step, &other) in others.iter().enumerate().take(8) {
        let dial = if step % 3 == 2 { other } else { own[0] };
        posed.set_dial(dial, posed.dial(dial) + 2.5);
        posed.evaluate();
        let kept = ways.of(&posed, &moving);
        assert_eq!(kept, Ways::default().of(&posed, &moving), "step {step}");
        paths.push(kept);
    }
    assert!(paths[0].len() == 1 && paths[0] == paths[1]);
    // As the whole hand goes, digits and all.
    let dial = posed.rig().dial(own[0]).expect("its own").clone();
    let mover = mover_of(posed.document(), &moving).expect("somebody shows it");
    for (at, place) in ways.of(&posed, &moving)[0].iter().enumerate() {
        posed.set_dial(
            dial.id,
            dial.min + (dial.max - dial.min) * (at as f64 / 48.0),
        );
        posed.evaluate();
        assert_eq!(*place, posed.point(mover), "at {at}");
    }
    let chain = chain();
    let moving = first_grip(chain.document());
    assert_eq!(
        ways.of(&chain, &moving),
        Ways::default().of(&chain, &moving)
    );
}

fn bench_press() -> Posed {
    let text = include_str!("../../../../examples/bench-press.hand.json");
    Posed::new(&hand::read(text).expect("a good example")).expect("checked")
}

/// Red lines, and texts that tell of a slip, in the picture of a pose.
fn shown(posed: &Posed) -> (usize, Vec<String>) {
    let view = View::fit(Sight::Side, (900.0, 600.0), &extent(posed, None), 40.0);
    let mut scene = scene(Shown::on_arrival(posed, &view, None), &mut Ways::default());
    // Of its words the bubbles' alone.
    scene.labels.clear();
    scene.dimensions.clear();
    scene.arcs.clear();
    let shapes = draw(posed, &view, &scene);
    let amiss = |shape: &&Shape| match shape {
        Shape::Path { stroke, .. } => stroke.as_ref().is_some_and(|s| s.paint == Paint::Amiss),
        Shape::Text { text, .. } => text.paint == Paint::Amiss,
    };
    let texts = shapes.iter().filter_map(|shape| match shape {
        Shape::Text { text, .. } => Some(text.content.clone()),
        Shape::Path { .. } => None,
    });
    let texts = texts.filter(|text| text.contains("mm")).collect();
    (shapes.iter().filter(amiss).count(), texts)
}

/// Every place where a slip is shown but the tables of the page itself, which tell by `told`.
#[test]
fn what_has_let_go_shows_no_slip_anywhere() {
    let start = bench_press();
    let rig = start.rig();
    let releases: Vec<_> = rig
        .dials
        .iter()
        .filter(|dial| {
            matches!(
                dial.drives.first().map(|d| d.target),
                Some(rig::Target::Hold(_))
            )
        })
        .map(|dial| dial.id)
        .collect();
    assert!(!releases.is_empty(), "no digit can be let go");
    let mut gone = 0;
    for release in releases {
        for part in [0.0, 0.05, 0.5, 1.0] {
            let mut posed = start.clone();
            let dial = rig.dial(release).expect("its own").clone();
            posed.set_dial(release, dial.neutral + part * (dial.max - dial.neutral));
            // The wrist is lifted: what is let go hangs far from its mark.
            let lift = rig.dial_named("lift").expect("a press").id;
            posed.set_dial(lift, 30.0);
            posed.evaluate();
            let (red, texts) = shown(&posed);
            let slips = |plant: &&rig::Plant| slip(&posed, plant.node).is_some_and(|mm| mm > 0.05);
            let slipping = rig.plants.iter().filter(slips).count();
            // A slip is a line, a bubble and its words.
            assert!(red <= 3 * slipping, "{red} red shapes, {slipping} slip");
            let down = rig
                .plants
                .iter()
                .filter(|p| !has_let_go(&posed, p.node))
                .count();
            let seen = rig
                .plants
                .iter()
                .filter(|p| !rig.node(p.node).is_some_and(|n| n.hidden));
            let hidden = rig.plants.len() - seen.count();
            assert!(
                texts.len() <= down,
                "{texts:?} of {down} down, {hidden} hidden"
            );
            for plant in rig.plants.iter().filter(|p| has_let_go(&posed, p.node)) {
                gone += 1;
                let node = rig.node(plant.node).expect("planted").name.clone();
                let told = told(&posed, &Gauge::Slip { node }).expect("planted");
                assert_eq!(told.text, LET_GO);
                assert_eq!(told.good(Some((0.0, 0.5))), None);
                assert_eq!(slip(&posed, plant.node), None);
            }
        }
    }
    assert!(gone > 3, "{gone} let go: too few to prove anything");
}

/// The key explains what a picture has, and nothing else.
#[test]
fn a_key_has_what_the_picture_has() {
    let lesson = lesson(include_str!(
        "../../../../lessons/04-pivot-above.lesson.json"
    ));
    let signs = |shown: Shown, view: &View, posed: &Posed| {
        let scene = scene(shown, &mut Ways::default());
        let (_, signs) = figure::draw_on(posed, view, &scene, &mut figure::Ghosts::default());
        Sign::ALL
            .map(|sign| signs.has(sign).then_some(sign))
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
    };
    let posed = &lesson.document;
    let view = framed(posed, (900.0, 600.0));
    let arrived = signs(Shown::on_arrival(posed, &view, None), &view, posed);
    for sign in [
        Sign::Ring,
        Sign::Solid,
        Sign::Hatch,
        Sign::Staple,
        Sign::Way,
        Sign::Bubble,
    ] {
        assert!(arrived.contains(&sign), "{sign:?} of {arrived:?}");
    }
    for sign in [
        Sign::Pencil,
        Sign::Truth,
        Sign::Ghost,
        Sign::Trail,
        Sign::Slip,
        Sign::Open,
    ] {
        assert!(!arrived.contains(&sign), "{sign:?}");
    }
    let Moving::Dials(dials) = first_grip(posed.document()) else {
        panic!("it begins with a dial");
    };
    let mut now = posed.clone();
    now.set_dial(dials[0], now.dial(dials[0]) + 30.0);
    now.evaluate();
    let step = lesson.steps.iter().find(|s| s.task.is_prediction());
    let mut shown = Shown::on_arrival(&now, &view, step);
    shown.ghost = Some(posed);
    shown.trail = vec![Vec3::zeros(), Vec3::x()];
    shown.pencil.strokes = vec![vec![Vec3::zeros(), Vec3::y()]];
    shown.truth = Some(Truth::Path(vec![Vec3::zeros(), Vec3::y()]));
    let moved = signs(shown, &view, &now);
    for sign in [Sign::Pencil, Sign::Truth, Sign::Ghost, Sign::Trail] {
        assert!(moved.contains(&sign), "{sign:?} of {moved:?}");
    }
}
