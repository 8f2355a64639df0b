//! Nothing lies over what is moved, read or drawn: at every step of every lesson, on three screens,
//! on a projector and with text twice as large. The page tells where its own things stand and how
//! the figure is framed; the figure is drawn here anew, as it is there, and asked for its boxes.

use anyhow::{Context, Result};
use browser::{Look, Page, Size, none};
use course::{Lesson, Step, Truth};
use figure::{Layer, Paint, Seg, Shape, View};
use rig::{Posed, Vec3};
use serde::Deserialize;
use std::collections::BTreeSet;
use std::path::Path;
use workbook::hang::hang;
use workbook::moving::{Moving, first_grip, handle, mover_of};
use workbook::plate::Plate;
use workbook::scene::{Shown, Ways, scene, sight};

/// How it is looked at: a screen, whether for a projector, and how large text is, of the usual.
#[derive(Clone, Copy)]
struct Mode {
    name: &'static str,
    size: Size,
    projector: bool,
    text: f64,
}

const MODES: [Mode; 5] = [
    mode("desk", Size::DESKTOP, false, 1.0),
    mode("tablet", Size::TABLET, false, 1.0),
    mode("phone", Size::PHONE, false, 1.0),
    mode("projector", Size::DESKTOP, true, 1.25),
    mode("large text", Size::DESKTOP, false, 2.0),
];

const fn mode(name: &'static str, size: Size, projector: bool, text: f64) -> Mode {
    Mode {
        name,
        size,
        projector,
        text,
    }
}

/// Something with a place on the plate, px from its upper left corner: left, top, right, bottom.
#[derive(Clone, Debug, Deserialize)]
struct Boxed(String, [f64; 4]);

impl Boxed {
    fn about(name: impl Into<String>, (x, y): (f64, f64), half: f64) -> Self {
        Self(name.into(), [x - half, y - half, x + half, y + half])
    }

    /// Whether they share more than a hair's breadth.
    fn meets(&self, other: &Self) -> bool {
        const HAIR: f64 = 1.0;
        let ([a, b, c, d], [e, f, g, h]) = (self.1, other.1);
        c.min(g) - a.max(e) > HAIR && d.min(h) - b.max(f) > HAIR
    }

    fn inside(&self, (width, height): (f64, f64)) -> bool {
        let [left, top, right, bottom] = self.1;
        left > -1.0 && top > -1.0 && right < width + 1.0 && bottom < height + 1.0
    }
}

/// What the page says of its plate.
#[derive(Deserialize)]
struct Told {
    size: (f64, f64),
    scale: f64,
    origin: (f64, f64),
    /// Tools and beads over it, and the box that texts keep off.
    over: Vec<Boxed>,
    tools: [f64; 4],
}

const ASK: &str = "(() => { \
    const plate = document.querySelector('.plate'), at = plate.getBoundingClientRect(); \
    const area = (e) => { const r = e.getBoundingClientRect(); return [r.left - at.left, r.top - at.top, r.right - at.left, r.bottom - at.top]; }; \
    const over = [...document.querySelectorAll('.plate-tools .switch, .key-button, .lineage-switch, .bead .dot, .bead .name, .unfold, .cut')] \
        .filter((e) => e.checkVisibility()).map((e) => [`${e.className} ${e.innerText.replaceAll('\\n', ' ')}`, area(e)]); \
    return { size: [plate.clientWidth, plate.clientHeight], scale: Number(plate.dataset.scale), \
        origin: [Number(plate.dataset.cx), Number(plate.dataset.cy)], over, tools: area(document.querySelector('.plate-tools')) }; })()";

/// The lessons as they are shipped, with the names they are addressed by.
fn lessons() -> Result<Vec<(String, Lesson)>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../lessons");
    let mut all = Vec::new();
    for file in std::fs::read_dir(folder)? {
        let path = file?.path();
        let file = path
            .file_name()
            .and_then(|name| name.to_str())
            .unwrap_or_default();
        if let Some((_, name)) = file.trim_end_matches(".lesson.json").split_once('-')
            && file.ends_with(".lesson.json")
        {
            let read = course::read(&std::fs::read_to_string(&path)?);
            let lesson = read.map_err(|fault| anyhow::anyhow!("{path:?}: {fault}"))?;
            all.push((name.to_owned(), lesson));
        }
    }
    all.sort_by_key(|(_, lesson)| lesson.number);
    Ok(all)
}

fn bounds(segs: &[Seg]) -> [f64; 4] {
    let ends = segs.iter().filter_map(|seg| match *seg {
        Seg::Move(x, y) | Seg::Line(x, y) | Seg::Cubic(.., x, y) => Some((x, y)),
        Seg::Close => None,
    });
    ends.fold(
        [f64::MAX, f64::MAX, f64::MIN, f64::MIN],
        |[a, b, c, d], (x, y)| [a.min(x), b.min(y), c.max(x), d.max(y)],
    )
}

/// What a picture has that nothing may lie over.
#[derive(Default)]
struct Drawn {
    movers: Vec<Boxed>,
    bubbles: Vec<Boxed>,
    texts: Vec<Boxed>,
    /// From what slips to a bubble that hangs elsewhere.
    threads: Vec<[(f64, f64); 2]>,
    /// Ends and middles of what is drawn, and of the way there is.
    lines: Vec<Boxed>,
}

/// Half the square inside a mover's ring, whose corners are round: its radius is 13 px.
const RING: f64 = 9.2;
/// Deeper in the bench than this is in it, mm.
const SUNK: f64 = 10.0;

fn drawn(shown: Shown, told: &Told, mode: Mode) -> Drawn {
    let (posed, view, weight) = (
        shown.posed,
        *shown.view,
        if shown.projector { 1.6 } else { 1.0 },
    );
    let document = posed.document();
    let mut drawn = Drawn::default();
    let mut picture = scene(shown, &mut Ways::default());
    let ways: Vec<_> = picture
        .truth_strokes
        .iter()
        .chain(&picture.pencil_strokes)
        .collect();
    for line in ways {
        let (first, last) = (line.first(), line.last());
        let points = [first, line.get(line.len() / 2), last]
            .into_iter()
            .flatten();
        drawn
            .lines
            .extend(points.map(|at| boxed("a line", &view, at, 2.0)));
    }
    for at in picture.truth_pins.iter().chain(&picture.pencil_pins) {
        drawn.lines.push(boxed("a pin", &view, at, 6.0));
    }
    for node in &document.nodes {
        if let Some(name) =
            handle(document, node.id).filter(|_| !picture.put_away.contains(&node.id))
        {
            let at = posed.point(node.id);
            let at = match node.grip {
                rig::Grip::Place(offset) => at + Vec3::from(offset),
                _ => at,
            };
            drawn.movers.push(boxed(&name, &view, &at, RING * weight));
        }
    }
    // As the page has it.
    picture.covered.push(told.tools);
    let plate = Plate {
        size: told.size,
        text: mode.text,
        tools: told.size.1 - told.tools[1],
    };
    picture
        .covered
        .extend(hang(document, &BTreeSet::new(), !plate.is_wide()).areas(plate));
    for shape in figure::draw(posed, &view, &picture) {
        match shape {
            Shape::Text { layer, text } if layer != Layer::Pencil => {
                drawn.texts.push(Boxed(text.content.clone(), text.area()));
            }
            Shape::Path {
                layer: Layer::Measure,
                segs,
                fill,
                stroke: Some(stroke),
                ..
            } if matches!(stroke.paint, Paint::Good | Paint::Amiss) => match (fill, &segs[..]) {
                (Some(Paint::Page), _) if segs.len() > 6 => {
                    drawn.bubbles.push(Boxed("bubble".into(), bounds(&segs)));
                }
                (None, &[Seg::Move(a, b), Seg::Line(c, d)]) => drawn.threads.push([(a, b), (c, d)]),
                _ => {}
            },
            _ => {}
        }
    }
    // A bubble's own texts name it.
    for bubble in &mut drawn.bubbles {
        let [left, top, right, bottom] = bubble.1;
        let own = |text: &Boxed| {
            let [a, b, c, d] = text.1;
            let (x, y) = ((a + c) / 2.0, (b + d) / 2.0);
            (left..right).contains(&x) && (top..bottom).contains(&y)
        };
        let texts: Vec<_> = drawn.texts.extract_if(.., |text| own(text)).collect();
        bubble.0 = texts
            .into_iter()
            .map(|text| text.0)
            .collect::<Vec<_>>()
            .join(" ");
    }
    // What is pressed into the bench is framed by nobody.
    if let Some(bench) = document.bench {
        let sunk = |id: rig::NodeId| posed.point(id).y < bench - SUNK;
        if document.plants.iter().any(|plant| sunk(plant.node)) {
            drawn.bubbles.clear();
            drawn.threads.clear();
        }
        let deep: Vec<_> = document.nodes.iter().filter(|node| sunk(node.id)).collect();
        let deep: Vec<_> = deep
            .iter()
            .filter_map(|node| handle(document, node.id))
            .collect();
        drawn.movers.retain(|mover| !deep.contains(&mover.0));
    }
    drawn
}

fn boxed(name: &str, view: &View, at: &Vec3, half: f64) -> Boxed {
    let (x, y, _) = view.project(at);
    Boxed::about(name, (x, y), half)
}

/// Whether a thread passes through a box that it does not end at.
fn crosses([(a, b), (c, d)]: [(f64, f64); 2], other: &Boxed) -> bool {
    let on = (1..=40).map(|k| f64::from(k) / 41.0);
    let points = on.map(|t| Boxed::about("", (a + (c - a) * t, b + (d - b) * t), 1.0));
    let end = Boxed::about("", (c, d), 2.0);
    !end.meets(other) && points.into_iter().any(|point| point.meets(other))
}

fn faults(told: &Told, drawn: &Drawn) -> Vec<String> {
    let mut found = Vec::new();
    let mut pair = |a: &Boxed, b: &Boxed| {
        if a.meets(b) {
            found.push(format!("'{}' lies over '{}'", a.0, b.0));
        }
    };
    let kept = || {
        drawn
            .movers
            .iter()
            .chain(&drawn.bubbles)
            .chain(&drawn.lines)
    };
    for over in &told.over {
        kept()
            .chain(&drawn.texts)
            .for_each(|below| pair(over, below));
    }
    for (i, bubble) in drawn.bubbles.iter().enumerate() {
        let after = drawn.bubbles[i + 1..].iter();
        after
            .chain(&drawn.movers)
            .chain(&drawn.lines)
            .chain(&drawn.texts)
            .for_each(|other| pair(bubble, other));
    }
    for (i, text) in drawn.texts.iter().enumerate() {
        drawn.texts[i + 1..]
            .iter()
            .chain(&drawn.movers)
            .for_each(|other| pair(text, other));
    }
    for thread in &drawn.threads {
        for bubble in drawn
            .bubbles
            .iter()
            .chain(&drawn.texts)
            .filter(|b| crosses(*thread, b))
        {
            found.push(format!("a thread crosses '{}'", bubble.0));
        }
    }
    for outside in kept().chain(&drawn.texts).filter(|b| !b.inside(told.size)) {
        found.push(format!("'{}' leaves the plate: {:?}", outside.0, outside.1));
    }
    found
}

/// The view that the page says it has.
fn seen(told: &Told, from: figure::Sight) -> View {
    let mut view = View {
        sight: from,
        centre: Vec3::zeros(),
        scale: told.scale,
        size: told.size,
    };
    let [right, up, _] = view.axes();
    let (x, y) = (
        told.origin.0 - told.size.0 / 2.0,
        told.origin.1 - told.size.1 / 2.0,
    );
    view.centre = (up * y - right * x) / told.scale;
    view
}

/// As the place is come to; with the mover at both ends of the coming drag; and once it is shown
/// what really happens.
fn states(
    lesson: &Lesson,
    step: Option<&Step>,
    told: &Told,
    mode: Mode,
) -> Vec<(String, Vec<String>)> {
    let posed = step.map_or(&lesson.document, |step| lesson.tried(step));
    let from = step.and_then(|step| step.view).unwrap_or(lesson.view);
    let view = seen(told, sight(from));
    let look = |posed: &Posed, ghost: Option<&Posed>, truth: Option<Truth>| {
        let mut shown = Shown::on_arrival(posed, &view, step);
        shown.projector = mode.projector;
        (shown.ghost, shown.truth) = (ghost, truth);
        faults(told, &drawn(shown, told, mode))
    };
    let mut all = vec![("on arrival".to_owned(), look(posed, None, None))];
    let moving = first_grip(posed.document());
    if let (Moving::Dials(dials), Some(_)) = (&moving, mover_of(posed.document(), &moving)) {
        for dial in dials.iter().filter_map(|id| posed.document().dial(*id)) {
            let reach = match dial.unit {
                _ if posed.document().hand.is_some() => 15.0,
                rig::Unit::Degrees => 45.0,
                _ => 50.0,
            };
            for by in [-reach, reach] {
                let mut there = posed.clone();
                there.set_dial(dial.id, (dial.neutral + by).clamp(dial.min, dial.max));
                there.evaluate();
                all.push((
                    format!("{} by {by}", dial.name),
                    look(&there, Some(posed), None),
                ));
            }
        }
    }
    // On a figure of its own a prediction is framed anew.
    if let Some(step) = step.filter(|step| std::ptr::eq(lesson.figure(step), posed))
        && let Ok(truth) = course::truth(lesson.figure(step), &step.task)
        && !matches!(truth, Truth::Stay(_))
    {
        let figure = lesson.figure(step);
        all.push(("once it is shown".into(), look(figure, None, Some(truth))));
    }
    all
}

#[tokio::test]
async fn nothing_lies_over_what_is_moved_read_or_drawn() -> Result<()> {
    let lessons = lessons()?;
    let page = Page::start().await?;
    let mut amiss = Vec::new();
    for mode in MODES {
        page.open("#/lesson/carry/1", mode.size, Look::Paper)
            .await?;
        if mode.projector {
            page.press("Projector").await?;
        } else if mode.text > 1.0 {
            let px = 16.0 * mode.text;
            page.eval(&format!(
                "void (document.documentElement.style.fontSize = '{px}px')"
            ))
            .await?;
        }
        for (called, lesson) in &lessons {
            let places = (0..lesson.steps.len()).map(Some).chain([None]);
            for place in places {
                let name = place.map_or("play".into(), |step| (step + 1).to_string());
                let route = format!("lesson/{called}/{name}");
                page.eval(&format!("void (location.hash = '#/{route}')"))
                    .await?;
                page.wait_until(&format!(
                    "location.hash === '#/{route}' && !!document.querySelector('.box.now')"
                ))
                .await?;
                page.arrived().await?;
                // Framed, and its tools measured: twice the same.
                let mut before = serde_json::Value::Null;
                let told = loop {
                    let now = page.eval(ASK).await?;
                    if now == before {
                        break now;
                    }
                    before = now;
                    page.eval("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))").await?;
                };
                let told: Told = serde_json::from_value(told).context("the plate")?;
                let step = place.map(|step| &lesson.steps[step]);
                for (state, found) in states(lesson, step, &told, mode) {
                    amiss.extend(
                        found
                            .into_iter()
                            .map(|what| format!("{}, {route}, {state}: {what}", mode.name)),
                    );
                }
            }
        }
        if mode.projector {
            page.press("Projector").await?;
        }
    }
    none(&amiss)
}
