//! From the session to what the plate shows beside the rig itself.
use crate::knuckle_row::Row;
use crate::state::Session;
use course::{Task, Truth};
use figure::{Bubble, Scene, Shape};
use leptos::prelude::*;
use rig::{DialId, Document, Grip, NodeId, Posed, Role, Unit, Vec3, roles};
use workbook::axis::AxisKind;
use workbook::moving::{Moving, mover_of};
use workbook::pencil::{Tool, apex_and_bone};

/// Draws the plate as the session stands. Tracks everything it reads.
pub fn shapes(session: Session) -> Vec<Shape> {
    session.stage.with(|stage| {
        let scene = scene(session, stage.posed(), stage.ghost());
        let draw = |view: &_| figure::draw(stage.posed(), view, &scene);
        session.camera.view.with(draw)
    })
}

fn scene<'a>(session: Session, posed: &Posed, ghost: Option<&'a Posed>) -> Scene<'a> {
    let document = posed.document();
    let moving = session.stage.moving.get();
    let step = session.course.step();
    let mut scene = Scene {
        roles: roles_now(session, document),
        ghost,
        trail: session.stage.trail.get(),
        lever: session.stage.lever.get(),
        weight: if session.shell.projector.get() {
            1.6
        } else {
            1.0
        },
        highlight: mover_of(document, &moving),
        ..Scene::default()
    };
    let tolerance = step
        .as_ref()
        .and_then(|s| {
            s.gauges.iter().find(|g| {
                matches!(
                    g.gauge,
                    hand::Gauge::Slip { .. } | hand::Gauge::WorstSlip {}
                )
            })
        })
        .and_then(|g| g.tolerance)
        .map_or_else(|| session.shell.tolerance.get(), |band| band.1);
    for plant in &document.plants {
        if let Some(slip) = posed.slip(plant.node)
            && document.node(plant.node).is_some_and(|n| !n.hidden)
        {
            scene.bubbles.push(Bubble {
                at: posed.point(plant.node),
                text: format!("{slip:.2} mm"),
                good: slip <= tolerance,
            });
        }
    }
    if let Some(step) = &step {
        scene.marks = step
            .marks
            .iter()
            .map(|m| (m.name.clone(), Vec3::from(m.at)))
            .collect();
    }
    if session.camera.tool.get() != Tool::Pencil {
        scene.reachable = reachable(posed, &moving);
        if let Some(node) = scene.highlight {
            if let Some(found) = document.node(node) {
                scene
                    .labels
                    .push((node, format!("{} (drag me)", found.name)));
            }
            measures(&mut scene, posed, ghost, &moving, node);
        }
    }
    if let Some(node) = session.stage.selected.get()
        && Some(node) != scene.highlight
        && let Some(found) = document.node(node)
    {
        scene.labels.push((node, found.name.clone()));
    }
    axes(session, posed, &mut scene);
    pencil(session, &mut scene, step.as_ref().map(|s| &s.task));
    scene
}

/// The axes a hand could press about, while they are looked at.
fn axes(session: Session, posed: &Posed, scene: &mut Scene) {
    let axes = session.stage.axes.get();
    if axes.is_empty() {
        return;
    }
    let Some(row) = Row::new(posed) else {
        return;
    };
    for axis in axes {
        let [from, to, _] = row.line(&axis.pivot);
        let (kind, off) = match axis.kind {
            AxisKind::Pivot => {
                scene.reachable.push(vec![from, to]);
                continue;
            }
            AxisKind::Fitted => {
                let off = row.residuals();
                let off = off.map(|(_, at, mm)| (at, format!("{mm:.1} mm")));
                (figure::AxisKind::Fitted, off.collect())
            }
            AxisKind::Greatest => (figure::AxisKind::Safest, Vec::new()),
        };
        scene.axes.push(figure::AxisLine {
            from,
            to,
            label: axis.kind.name().into(),
            kind,
            off,
        });
    }
}

/// Roles for what is being moved, or would be.
pub fn roles_now(session: Session, document: &Document) -> Vec<(NodeId, Role)> {
    match session.stage.moving.get() {
        Moving::Nothing => Vec::new(),
        Moving::Dials(dials) => roles(document, &dials),
        Moving::Place(node) => rig::role::roles_placing(document, node),
    }
}

/// The path one dial can take its mover along.
fn reachable(posed: &Posed, moving: &Moving) -> Vec<Vec<Vec3>> {
    let document = posed.document();
    const SAMPLES: u32 = 48;
    let Moving::Dials(dials) = moving else {
        return Vec::new();
    };
    let ([dial], Some(node)) = (dials.as_slice(), mover_of(document, moving)) else {
        return Vec::new();
    };
    let Some(found) = document.dial(*dial) else {
        return Vec::new();
    };
    let mut trial = posed.clone();
    let points = (0..=SAMPLES)
        .map(|i| {
            trial.set_dial(
                *dial,
                found.min + (found.max - found.min) * f64::from(i) / f64::from(SAMPLES),
            );
            trial.evaluate();
            trial.point(node)
        })
        .collect();
    vec![points]
}

/// The angle turned and the lever's length, while one dial turns its mover about a fixed point.
fn measures(
    scene: &mut Scene,
    posed: &Posed,
    ghost: Option<&Posed>,
    moving: &Moving,
    node: NodeId,
) {
    let document = posed.document();
    let Moving::Dials(dials) = moving else { return };
    let [dial] = dials.as_slice() else { return };
    let Some(dial) = document.dial(*dial) else {
        return;
    };
    let Some(pivot) = single_pivot(dial) else {
        return;
    };
    if document.node(pivot).is_none_or(|n| n.hidden) {
        return;
    }
    let (apex, here) = (posed.point(pivot), posed.point(node));
    let arm = (here - apex).norm();
    if arm < 1.0 {
        return;
    }
    scene.dimensions.push((apex, here, format!("{arm:.0} mm")));
    let from = match ghost.filter(|g| g.has(node) && g.has_dial(dial.id)) {
        Some(ghost) => ghost.point(node),
        None => {
            let mut rest = posed.clone();
            rest.set_dial(dial.id, dial.neutral);
            rest.evaluate();
            rest.point(node)
        }
    };
    if (from - here).norm() > 0.5 {
        scene.arcs.push((
            apex,
            from,
            here,
            format!("{:.1}°", turned(posed, dial.id, ghost, dial.neutral)),
        ));
    }
}

fn turned(posed: &Posed, dial: DialId, ghost: Option<&Posed>, neutral: f64) -> f64 {
    libm::fabs(
        posed.dial(dial)
            - ghost
                .filter(|g| g.has_dial(dial))
                .map_or(neutral, |g| g.dial(dial)),
    )
}

fn single_pivot(dial: &rig::Dial) -> Option<NodeId> {
    if dial.unit != Unit::Degrees {
        return None;
    }
    match dial.drives.as_slice() {
        [drive] if drive.turns() => drive.node(),
        _ => None,
    }
}

fn pencil(session: Session, scene: &mut Scene, task: Option<&Task>) {
    let Some(task) = task else { return };
    session.course.pencil.with(|pencil| {
        scene.pencil_strokes = pencil.strokes.clone();
        scene.pencil_pins = pencil.pin.into_iter().collect();
        if let Task::PredictRegion { brush, .. } = task {
            scene.pencil_paint = pencil.paint.iter().map(|p| (*p, *brush)).collect();
        }
        if let (Some(angle), Task::PredictAngle { apex, along, .. }) = (pencil.angle, task)
            && let Some((apex, bone)) = drawn_bone(session, apex, along)
        {
            let ray = ray(session, &bone, angle);
            scene.pencil_strokes.push(vec![apex, apex + ray]);
            scene.arcs.push((
                apex,
                apex + bone * 0.6,
                apex + ray * 0.6,
                format!("{angle:.1}°"),
            ));
        }
        session.stage.with_untracked(|stage| {
            let stay = pencil.stay.iter().map(|id| stage.posed().point(*id));
            scene.pencil_pins.extend(stay);
        });
        if session.camera.tool.get() != Tool::Hand
            && let Some(cursor) = pencil.cursor
        {
            scene.marks.push((String::new(), cursor));
        }
    });
    session.course.truth.with(|truth| match truth {
        Some((Truth::Pin(at), _)) => scene.truth_pins.push(*at),
        Some((Truth::Path(points), _)) => scene.truth_strokes.push(points.clone()),
        Some((Truth::Region(outlines), _)) => scene.truth_regions = outlines.clone(),
        Some((Truth::Angle(angle), _)) => {
            if let Task::PredictAngle { apex, along, .. } = task
                && let Some((apex, bone)) = drawn_bone(session, apex, along)
            {
                scene
                    .truth_strokes
                    .push(vec![apex, apex + ray(session, &bone, *angle)]);
            }
        }
        Some((Truth::Stay(_), _)) | None => {}
    });
}

/// The bone a ray was drawn from: once the truth is shown the pose moves on, and the ghost keeps it.
fn drawn_bone(session: Session, apex: &str, along: &str) -> Option<(Vec3, Vec3)> {
    let shown = session.course.truth.with(Option::is_some);
    session.stage.with(|stage| {
        let before = stage.ghost().filter(|_| shown);
        apex_and_bone(before.unwrap_or(stage.posed()), apex, along)
    })
}

/// The bone's direction turned by `angle` degrees, clockwise as seen: a finger bending up at its root
/// points down beyond the joint.
fn ray(session: Session, bone: &Vec3, angle: f64) -> Vec3 {
    let towards = session.camera.view.with_untracked(|v| v.axes()[2]);
    let (sin, cos) = (libm::sin(angle.to_radians()), libm::cos(angle.to_radians()));
    bone * cos - towards.cross(bone) * sin
}

/// Everything a view should take in: the figure and, coarsely, the reach of every mover.
pub fn extent(posed: &Posed) -> Vec<Vec3> {
    let document = posed.document();
    let mut points = figure::extent(posed);
    // A hidden pivot's handle is drawn though the pivot is not.
    let framed = figure::framed(document);
    let shown = || {
        let nodes = document.nodes.iter().zip(&framed);
        nodes.filter_map(|(node, framed)| framed.then_some(node))
    };
    points.extend(shown().filter_map(|n| match n.grip {
        Grip::Place(offset) => Some(posed.point(n.id) + Vec3::from(offset)),
        _ => None,
    }));
    for node in shown() {
        let Grip::Dials(dials) = &node.grip else {
            continue;
        };
        for dial in dials.iter().filter_map(|d| document.dial(*d)) {
            let mut trial = posed.clone();
            let reach = match dial.unit {
                // A whole hand fills the plate by itself; its handles stay near it.
                _ if document.hand.is_some() => 0.0,
                Unit::Degrees => 45.0,
                Unit::Millimetres => 70.0,
                Unit::Percent => 50.0,
            };
            for value in [dial.neutral - reach, dial.neutral + reach] {
                trial.set_dial(dial.id, value.clamp(dial.min, dial.max));
                trial.evaluate();
                let mut reach = trial.point(node.id);
                // What would go into the bench needs no room.
                if let Some(height) = document.bench {
                    reach.y = reach.y.max(height);
                }
                points.push(reach);
            }
        }
    }
    points
}
