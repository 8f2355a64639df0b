//! The plate: bones, bench, contacts, paths, measures.
use crate::flesh::{self, Flesh, Ghosts};
use crate::label_layout::{Area, Room};
use crate::layout::{Laid, Layout};
use crate::path::{bone, circle, polyline};
use crate::shape::debug_assert_finite;
use crate::sheet::Sheet;
use crate::sign::{Sign, Signs};
use crate::{Layer, Paint, Scene, Shape, Stroke, View, bench, contact, measure, pencil, staple};
use rig::{Form, Posed, Role};

/// Draws a posed document, back to front.
///
/// ```
/// use figure::{Bubble, Layer, Look, Scene, Sight, View, draw, extent, svg};
/// use rig::Posed;
///
/// let file = r#"{
///   "format": "handstand/2", "name": "rye", "bench": 0,
///   "nodes": [
///     {"name": "knuckle", "kind": "joint", "translation": [0, 10, 0], "width": 16},
///     {"name": "tip", "kind": "joint", "parent": "knuckle", "translation": [40, 0, 0], "width": 12}
///   ],
///   "dials": [{
///     "name": "turn", "unit": "deg", "neutral": 0, "min": 0, "max": 90, "value": 0,
///     "drives": [{"node": "knuckle", "channel": "turn_z", "gain": 1}]
///   }]
/// }"#;
/// let before = Posed::new(&rig::read(file)?)?;
/// let turn = before.rig().dial_named("turn").unwrap().id;
/// let tip = before.rig().node_named("tip").unwrap().id;
/// let mut now = before.clone();
/// now.set_dial(turn, 30.0);
/// now.evaluate();
///
/// // 600 by 400 px from the side, 40 px left free on every side.
/// let view = View::fit(Sight::Side, (600.0, 400.0), &extent(&now), 40.0);
/// let scene = Scene {
///     ghost: Some(&before),
///     bubbles: vec![Bubble { at: now.point(tip), name: String::new(), text: "30°".into(), good: true }],
///     ..Scene::default()
/// };
/// let shapes = draw(&now, &view, &scene);
///
/// assert!(shapes.iter().any(|shape| shape.layer() == Layer::Ghost));
/// let picture = svg(&shapes, view.size, Look::Paper, "a turned finger");
/// assert!(picture.starts_with("<svg") && picture.contains(">30°</text>"));
/// # Ok::<(), rig::Fault>(())
/// ```
pub fn draw(posed: &Posed, view: &View, scene: &Scene) -> Vec<Shape> {
    draw_on(posed, view, scene, &mut Ghosts::default()).0
}

/// The same, and what of it a key explains; what the ghost was made of is kept from one frame to
/// the next.
pub fn draw_on(
    posed: &Posed,
    view: &View,
    scene: &Scene,
    ghosts: &mut Ghosts,
) -> (Vec<Shape>, Signs) {
    let weight = if scene.weight.is_finite() && scene.weight > 0.0 {
        scene.weight
    } else {
        1.0
    };
    let layout = Layout::new(posed, view, &scene.roles);
    let mut sheet = Sheet::new(view, weight);
    for &[x0, y0, x1, y1] in &scene.covered {
        sheet.room.take(Area { x0, y0, x1, y1 });
    }
    let surfaces = rig::surface::surfaces(posed);
    let flesh = Flesh::new(posed, &layout, &surfaces);
    for surface in surfaces.iter().filter(|s| s.form == Form::Plane) {
        bench::plane(&mut sheet, surface, &layout, scene.ghost);
        if let Some(flesh) = &flesh {
            let light = flesh::light(&sheet);
            flesh::touch(&mut sheet, flesh, surface, &light);
        }
    }
    let bars: Vec<_> = surfaces
        .iter()
        .filter_map(|s| bench::bar(s, &layout, scene.ghost))
        .collect();
    pencil::fills(&mut sheet, scene);
    if let Some(then) = scene.ghost {
        ghost(&mut sheet, posed, &layout, flesh.as_ref(), (then, ghosts));
    }
    paths(&mut sheet, scene);
    let staples = staple::planted(&mut sheet, posed, &layout, &surfaces);
    let stapled: Vec<_> = staples.iter().map(|s| sheet.at(&s.at)).collect();
    if flesh.is_some() {
        flesh::draw(&mut sheet, flesh.as_ref(), &layout, &bars, staples);
        bones(&mut sheet, &layout, flesh.as_ref());
    } else {
        flesh::draw(&mut sheet, None, &layout, &bars, Vec::new());
        bones(&mut sheet, &layout, None);
        let shapes = staples.into_iter().flat_map(|staple| staple.shapes);
        sheet.shapes.extend(shapes);
    }
    staple::targets(&mut sheet, posed, &layout);
    contact::handles(&mut sheet, &layout, scene, &stapled, flesh.is_some());
    pencil::lines(&mut sheet, scene);
    measure::draw(&mut sheet, bench::level(&surfaces), &layout, scene);
    debug_assert_finite(&sheet.shapes);
    (sheet.shapes, sheet.signs)
}

/// The line of what was before.
pub(crate) fn ghostly(sheet: &Sheet) -> Stroke {
    let w = sheet.weight;
    let stroke = sheet.stroke(Paint::Ink, 1.6);
    stroke.dashed(1.6 * w, 5.0 * w).faint(0.45)
}

fn ghost(
    sheet: &mut Sheet,
    posed: &Posed,
    layout: &Layout,
    flesh: Option<&Flesh>,
    (ghost, ghosts): (&Posed, &mut Ghosts),
) {
    let document = posed.document();
    let stroke = ghostly(sheet);
    // A hand's ghost is its contour where it has moved.
    let known = document
        .nodes
        .iter()
        .all(|n| n.surface.is_none() || ghost.has(n.id));
    if let Some(now) = flesh.filter(|_| known) {
        let then = ghosts.of(ghost, posed, layout);
        let lines = then.map(|then| flesh::moved(now, then, sheet));
        for line in lines.into_iter().flatten() {
            sheet.signed(
                Sign::Ghost,
                Shape::line(Layer::Ghost, polyline(line), stroke),
            );
        }
    }
    let covered = |i: usize| flesh.is_some_and(|f| f.covers[i]);
    for (base, end) in layout.bones().filter(|&(a, b)| !(covered(a) && covered(b))) {
        let (base, end) = (&layout.nodes[base], &layout.nodes[end]);
        if !(ghost.has(base.node.id) && ghost.has(end.node.id)) {
            continue;
        }
        let (a, b) = (
            sheet.at(&ghost.point(base.node.id)),
            sheet.at(&ghost.point(end.node.id)),
        );
        let moved = |p: (f64, f64), q: (f64, f64)| libm::hypot(p.0 - q.0, p.1 - q.1) > 1.5;
        // A ghost under a bone that has not moved would only smear its outline.
        if moved(a, base.at) || moved(b, end.at) {
            let outline = bone(a, base.radius, b, end.radius);
            sheet.signed(Sign::Ghost, Shape::line(Layer::Ghost, outline, stroke));
        }
    }
}

pub(crate) fn paths(sheet: &mut Sheet, scene: &Scene) {
    let w = sheet.weight;
    let reachable = sheet.stroke(Paint::Mover, 1.5).dashed(7.0 * w, 6.0 * w);
    let taken = sheet.stroke(Paint::Mover, 3.2);
    for (path, stroke, sign) in scene
        .reachable
        .iter()
        .map(|p| (p, reachable, Sign::Way))
        .chain([(&scene.trail, taken, Sign::Trail)])
    {
        let points = sheet.line(path);
        if points.len() > 1 {
            sheet.keep_off(&points);
            sheet.signed(sign, Shape::line(Layer::Path, polyline(points), stroke));
        }
    }
}

/// What lies behind is drawn first: by depth in steps of a thousandth of a mm (so that noise does
/// not reorder a flat figure), then children before parents, then a joint's dot over its bones.
fn bones(sheet: &mut Sheet, layout: &Layout, flesh: Option<&Flesh>) {
    let covered = |i: usize| flesh.is_some_and(|f| f.covers[i]);
    let step = |depth: f64| (depth * 1000.0).round() as i64;
    let outline = sheet.stroke(Paint::Ink, 1.6);
    let mut parts: Vec<((i64, bool, i64), Shape)> = Vec::new();
    let mut front: Vec<i64> = layout.nodes.iter().map(|l| step(l.depth)).collect();
    for (base, end) in layout.bones() {
        let (from, to) = (&layout.nodes[base], &layout.nodes[end]);
        keep_clear(&mut sheet.room, from, to);
        let (fill, sign) = filled(from.role);
        if let Some(sign) = sign {
            sheet.signs.add(sign);
        }
        if covered(base) && covered(end) {
            continue;
        }
        let depth = step((from.depth + to.depth) / 2.0);
        front[base] = front[base].max(depth);
        front[end] = front[end].max(depth);
        let segs = bone(from.at, from.radius, to.at, to.radius);
        parts.push((
            (depth, false, -i64::from(to.generation)),
            Shape::filled(Layer::Bone, segs, fill, Some(outline)),
        ));
    }
    for (i, (l, front)) in layout.nodes.iter().zip(front).enumerate() {
        if !covered(i) && l.is_joint() && !l.node.hidden && !contact::ringed(l) {
            let r = (l.radius * 0.35).clamp(3.0, 5.0) * sheet.weight;
            parts.push((
                (front, true, 0),
                Shape::filled(Layer::Joint, circle(l.at, r), Paint::Page, Some(outline)),
            ));
            sheet.room.take_disc(l.at, r);
        }
    }
    parts.sort_by_key(|p| p.0);
    sheet.shapes.extend(parts.into_iter().map(|p| p.1));
}

/// What a bone of this role is filled with, and what that says.
pub(crate) fn filled(role: Role) -> (Paint, Option<Sign>) {
    match role {
        Role::Mover | Role::Carried => (Paint::Carried, Some(Sign::Solid)),
        Role::Anchored => (Paint::Hatch, Some(Sign::Hatch)),
        Role::Still => (Paint::Still, None),
    }
}

/// Text keeps off a bone: discs along it, close enough for straight sides.
fn keep_clear(room: &mut Room, from: &Laid, to: &Laid) {
    let (dx, dy) = (to.at.0 - from.at.0, to.at.1 - from.at.1);
    let pieces = (2.0 * libm::hypot(dx, dy) / from.radius.max(to.radius))
        .ceil()
        .clamp(1.0, 40.0);
    for i in 0..=pieces as usize {
        let t = i as f64 / pieces;
        let r = from.radius + (to.radius - from.radius) * t;
        room.take_disc((from.at.0 + dx * t, from.at.1 + dy * t), r + 2.0);
    }
}
