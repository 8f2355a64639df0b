//! Every number of a document that is shown to anyone.
use crate::cases::Random;
use figure::{Scene, Shape, Sight, View, draw, extent, map::map, svg};
use hand::Gauge;
use hand::survey::{self, Survey, Sweep, Tolerance};
use hand::{advice, gauge};
use rig::{Document, Grip, Order, OwnAxis, Posed, Vec3, WorldAxis, pull, report};

type Found = Result<(), String>;

/// What is allowed, mm.
const TOLERANCE: Tolerance = Tolerance {
    slip: 0.5,
    pad: 1.5,
    palm: 3.0,
};

fn finite(what: impl FnOnce() -> String, numbers: impl IntoIterator<Item = f64>) -> Found {
    for number in numbers {
        if !number.is_finite() {
            return Err(format!("{} is {number}", what()));
        }
    }
    Ok(())
}

/// Pose and gauges always; a figure, a survey, a file and a drag in every 20th case and advice in
/// every 200th, for they take longer.
pub fn all(posed: &Posed, random: &mut Random) -> Found {
    pose(posed)?;
    gauges(posed, random)?;
    let lot = random.below(200);
    if lot.is_multiple_of(20) {
        drawn(posed, random)?;
    }
    if lot % 20 == 2 {
        read_anew(posed)?;
        dragged(posed, random)?;
    }
    if lot % 20 == 1 {
        surveyed(posed, random)?;
    }
    if lot % 200 == 3 {
        advised(posed, random)?;
    }
    Ok(())
}

fn pose(posed: &Posed) -> Found {
    let document = posed.document();
    for node in &document.nodes {
        let world = posed.world(node.id);
        let what = |part: &str| format!("the {part} of '{}'", node.name);
        finite(|| what("place"), world.translation.vector.iter().copied())?;
        let turn = world.rotation.coords;
        finite(|| what("rotation"), turn.iter().copied())?;
        let off = turn.norm() - 1.0;
        if off.abs() > 1e-9 {
            return Err(format!("{} is off a unit one by {off}", what("rotation")));
        }
        finite(|| what("turns"), posed.turns(node.id))?;
    }
    for anchor in &document.anchors {
        let outcome = posed.outcome(anchor.id);
        let what = |part: &str| format!("the {part} of '{}'", anchor.name);
        finite(|| what("residual"), [outcome.residual])?;
        finite(|| what("reach margin"), [outcome.reach_margin])?;
        finite(|| what("hold"), [posed.hold(anchor.id)])?;
        finite(
            || what("least singular value"),
            [posed.least_singular_value(anchor.id)],
        )?;
        if posed.bend_gain(anchor.id).is_nan() {
            return Err(format!("{} is NaN", what("bend gain")));
        }
        let rooms = survey::room(posed, anchor.id);
        let numbers = rooms.iter().flat_map(|room| [room.turn, room.margin]);
        finite(|| what("room"), numbers)?;
    }
    Ok(())
}

/// The same from its file, where a number that is none would be null.
fn read_anew(posed: &Posed) -> Found {
    let document = posed.document();
    let text = rig::write(document);
    let again = hand::read(&text).map_err(|fault| format!("its own file is refused: {fault}"))?;
    let printed = report::pose_json(posed);
    if printed.contains("_mm\":null") || printed.contains("[null") || printed.contains(",null") {
        return Err(format!("pose prints null: {printed}"));
    }
    let anew = Posed::new(&again).map_err(|fault| fault.to_string())?;
    if report::pose_json(&anew) != printed {
        return Err("its own file gives another pose".to_owned());
    }
    Ok(())
}

fn gauges(posed: &Posed, random: &mut Random) -> Found {
    let document = posed.document();
    let name = |random: &mut Random| {
        let at = random.below(document.nodes.len());
        document.nodes[at].name.clone()
    };
    let planted = |random: &mut Random| {
        let plants = &document.plants;
        let plant = plants.get(random.below(plants.len()))?;
        Some(document.node(plant.node)?.name.clone())
    };
    let (node, other) = (name(random), name(random));
    let plant = planted(random).unwrap_or_else(|| node.clone());
    let axis = random.below(6);
    let mut all = vec![
        Gauge::Slip {
            node: plant.clone(),
        },
        Gauge::WorstSlip {},
        Gauge::Bend { node: node.clone() },
        Gauge::Travel { node: node.clone() },
        Gauge::Height { node: node.clone() },
        Gauge::Penetration {
            nodes: vec![node.clone(), other.clone()],
        },
        Gauge::Tilt {
            node: node.clone(),
            axis: WorldAxis::ALL[axis],
        },
        Gauge::Distance {
            from: node.clone(),
            to: other.clone(),
        },
        Gauge::OffMark {
            node: node.clone(),
            at: [0.0; 3],
        },
        Gauge::OffMirror {
            node: node.clone(),
            of: other.clone(),
            axis: WorldAxis::ALL[axis],
            at: 3.0,
        },
        Gauge::Leap { node: node.clone() },
        Gauge::Lock {
            node: node.clone(),
            measured: Order::ALL[axis],
        },
        Gauge::PadRoll {
            node: plant.clone(),
        },
        Gauge::PadSpin {
            node: plant.clone(),
        },
        Gauge::PadDrift {
            node: plant.clone(),
        },
        Gauge::FleshDepth { node: plant },
        Gauge::DigitDepth {},
        Gauge::PalmClearance {},
        Gauge::FleshOverlap {},
        Gauge::PastRange { node: node.clone() },
        Gauge::Clearance {
            nodes: vec![node.clone(), other.clone()],
        },
        Gauge::Turn {
            node: node.clone(),
            axis: OwnAxis::ALL[axis % 3],
        },
        Gauge::JointMargin { node: node.clone() },
        Gauge::Elevation {
            from: node.clone(),
            to: other.clone(),
        },
        Gauge::Elevation {
            from: node.clone(),
            to: node.clone(),
        },
        Gauge::SupportMargin { node: node.clone() },
    ];
    if !document.dials.is_empty() {
        let dial = document.dials[random.below(document.dials.len())]
            .name
            .clone();
        all.push(Gauge::Dial { dial: dial.clone() });
        let axis = WorldAxis::ALL[axis];
        all.push(Gauge::Rate { node, axis, dial });
    }
    if !document.anchors.is_empty() {
        let anchor = &document.anchors[random.below(document.anchors.len())].name;
        let anchor = || anchor.clone();
        all.extend([
            Gauge::Hold { anchor: anchor() },
            Gauge::Residual { anchor: anchor() },
            Gauge::ReachMargin { anchor: anchor() },
            Gauge::BendGain { anchor: anchor() },
            Gauge::LeastSingularValue { anchor: anchor() },
            Gauge::LimitMargin { anchor: anchor() },
        ]);
    }
    for gauge in &all {
        // Nothing to measure is told in a sentence.
        let Ok(reading) = gauge.read(posed) else {
            continue;
        };
        // A straight chain bends infinitely fast, and a lock leaps so; nothing else may be infinite.
        let endless = matches!(gauge, Gauge::BendGain { .. } | Gauge::Leap { .. });
        if !(endless && reading.value.is_infinite()) {
            finite(|| format!("{gauge:?}"), [reading.value])?;
        }
        if reading.to_string().contains("NaN") {
            return Err(format!("{gauge:?} reads {reading}"));
        }
    }
    Ok(())
}

fn shapes(what: &str, shapes: &[Shape]) -> Found {
    if let Some(shape) = shapes.iter().find(|shape| !shape.is_finite()) {
        return Err(format!("in the {what}: {shape:?}"));
    }
    let text = svg(shapes, (900.0, 640.0), figure::Look::Paper, "a case");
    if text.contains("NaN") || text.contains("inf") {
        return Err(format!("the SVG of the {what} is not finite"));
    }
    Ok(())
}

fn drawn(posed: &Posed, random: &mut Random) -> Found {
    let document = posed.document();
    let free = Sight::Oblique {
        yaw: random.between(-4.0, 4.0),
        pitch: random.between(-1.5, 1.5),
    };
    let sight = random.of(&[Sight::Side, Sight::Front, Sight::Top, free]);
    let points = extent(posed);
    let numbers = points.iter().flat_map(|at| at.iter().copied());
    finite(|| "the extent".to_owned(), numbers)?;
    let view = View::fit(sight, (900.0, 640.0), &points, 40.0);
    let mut ghost = posed.clone();
    ghost.set_neutral();
    ghost.evaluate();
    let grips: Vec<_> = document
        .nodes
        .iter()
        .filter_map(|node| match &node.grip {
            Grip::Dials(dials) => Some(dials.clone()),
            _ => None,
        })
        .collect();
    let held = grips.get(random.below(grips.len()));
    let scene = Scene {
        roles: rig::roles(document, held.map_or(&[][..], |dials| dials)),
        ghost: Some(&ghost),
        ..Scene::default()
    };
    shapes("figure", &draw(posed, &view, &scene))
}

/// Two dials that have a range.
fn two_dials(document: &Document, random: &mut Random) -> Option<[usize; 2]> {
    let mut able: Vec<_> = (0..document.dials.len())
        .filter(|&at| document.dials[at].min < document.dials[at].max)
        .collect();
    if able.len() < 2 {
        return None;
    }
    let first = able.swap_remove(random.below(able.len()));
    Some([first, able[random.below(able.len())]])
}

fn surveyed(posed: &Posed, random: &mut Random) -> Found {
    let document = posed.document();
    let Some(dials) = two_dials(document, random) else {
        return Ok(());
    };
    let [across, up] = dials.map(|at| {
        let dial = &document.dials[at];
        Sweep {
            dial: dial.id,
            from: dial.min,
            to: dial.max,
            count: 3,
        }
    });
    // Refused where nothing is planted.
    let Ok(survey) = Survey::run(posed, across, up) else {
        return Ok(());
    };
    for (at, cell) in survey.cells.iter().enumerate() {
        let (x, y) = survey.values(at);
        finite(|| format!("the values of cell {at}"), [x, y])?;
        finite(|| format!("the slip of cell {at}"), [cell.slip])?;
        let deep = [cell.pad.by, cell.palm.by, cell.strain(&TOLERANCE)];
        finite(|| format!("the depth of cell {at}"), deep)?;
        let by = cell.limit.map(|limit| limit.by);
        finite(|| format!("the limit of cell {at}"), by)?;
    }
    finite(
        || "a plant's slip".to_owned(),
        survey.slips.iter().flatten().copied(),
    )?;
    let [near, apart] = survey.region(&TOLERANCE);
    let lines = [survey.boundary(&TOLERANCE), near, apart, survey.free()];
    let places = lines.iter().flatten().flatten();
    finite(
        || "an outline of the survey".to_owned(),
        places.flat_map(|&(x, y)| [x, y]),
    )?;
    let reach = survey.reach(&TOLERANCE).into_iter().flatten();
    finite(
        || "the survey's reach".to_owned(),
        reach.flat_map(|(a, b)| [a, b]),
    )?;
    shapes(
        "map",
        &map(&survey, document, &TOLERANCE, (640.0, 480.0), 1.0),
    )?;
    let layers = [survey::report::Layer { at: None, survey }];
    let csv = survey::report::csv(document, &layers, &TOLERANCE);
    if csv.contains("NaN") || csv.contains("inf") {
        return Err(format!("the CSV is not finite: {csv}"));
    }
    let json = survey::report::json(document, &layers, &TOLERANCE);
    // Null is for what is let go or has no name, never for a number of its own.
    let bad = [
        "\"slip_mm\":null",
        "\"depth_mm\":null",
        "\"mm\":null",
        "\"degrees\":null",
    ];
    if bad.iter().any(|bad| json.contains(bad)) {
        return Err(format!("the JSON is not finite: {json}"));
    }
    Ok(())
}

fn advised(posed: &Posed, random: &mut Random) -> Found {
    let document = posed.document();
    let Some([dial, _]) = two_dials(document, random) else {
        return Ok(());
    };
    let dial = document.dials[dial].id;
    let rising = random.chance(5);
    if let Some(found) = survey::greatest(posed, dial, rising, &TOLERANCE) {
        finite(|| "the greatest".to_owned(), [found.value])?;
    }
    let releases = survey::releases(posed, dial, rising, &TOLERANCE);
    finite(
        || "a release".to_owned(),
        releases.iter().map(|release| release.at),
    )?;
    if let Ok(advice) = advice::advice(posed, dial, rising, &TOLERANCE, None) {
        finite(|| "the advice".to_owned(), [advice.value])?;
        for remedy in &advice.remedies {
            finite(|| remedy.told.clone(), [remedy.value, remedy.gain])?;
        }
    }
    if let Ok(fitted) = advice::fitted(posed) {
        let (through, along) = fitted.axis.in_world(posed);
        let line = through.iter().chain(along.iter()).copied();
        finite(|| "the fitted axis".to_owned(), line)?;
        let residuals = fitted.residuals.iter().flat_map(|r| [r.ahead, r.above]);
        finite(|| "a knuckle's residual".to_owned(), residuals)?;
        finite(|| "the knuckles' spread".to_owned(), [fitted.spread()])?;
    }
    if let Ok(axis) = advice::pivot_axis(document) {
        let (through, along) = axis.in_world(posed);
        let line = through.iter().chain(along.iter()).copied();
        finite(|| "the pivot's axis".to_owned(), line)?;
    }
    if let Ok(all) = advice::sensitivities(posed) {
        let numbers = all.iter().flat_map(|one| [one.slip, one.reach]);
        finite(|| "a sensitivity".to_owned(), numbers)?;
    }
    if let Some((slip, reach)) = advice::by_dial(posed, dial) {
        finite(|| "a dial's sensitivity".to_owned(), [slip, reach])?;
    }
    for node in &document.nodes {
        if let Ok(orders) = advice::channel_orders(document, node.id) {
            let margins = orders.margins.iter().map(|(_, margin)| *margin);
            finite(|| format!("the orders of '{}'", node.name), margins)?;
        }
    }
    if let Ok(mut search) = advice::Search::new(posed, &TOLERANCE) {
        search.step(4);
        let best = search.best();
        let numbers = [best.lift, best.tilt, best.pivot.offset, best.pivot.drop];
        finite(|| "the axis of greatest lift".to_owned(), numbers)?;
    }
    for contact in gauge::contacts(posed) {
        let roll = contact.roll;
        let numbers = [
            contact.slip,
            contact.hold,
            roll.about,
            roll.across,
            roll.drift,
        ];
        let more = contact.clearance.into_iter().chain(contact.reach);
        finite(|| "a contact".to_owned(), numbers.into_iter().chain(more))?;
    }
    Ok(())
}

fn dragged(posed: &Posed, random: &mut Random) -> Found {
    let document = posed.document();
    let gripped = document.nodes.iter().find_map(|node| match &node.grip {
        Grip::Dials(dials) => Some((node.id, dials.clone())),
        _ => None,
    });
    let Some((node, dials)) = gripped else {
        return Ok(());
    };
    let mut posed = posed.clone();
    let by = Vec3::new(
        random.between(-300.0, 300.0),
        random.between(-300.0, 300.0),
        0.0,
    );
    let to = posed.point(node) + by;
    let values = pull::pull(&mut posed, node, &dials, to, Vec3::z());
    finite(
        || "a dragged dial".to_owned(),
        values.into_iter().map(|(_, value)| value),
    )?;
    pose(&posed)
}
