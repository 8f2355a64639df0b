//! The plate: bones, bench, contacts, paths, measures.
use crate::flesh::{self, Flesh};
use crate::laid::{Laid, Layout};
use crate::room::Room;
use crate::shape::{bone, circle, debug_assert_finite, polyline};
use crate::{AxisLine, Layer, Paint, Shape, Stroke, View, bench, contact, measure, pencil};
use rig::index::Index;
use rig::{Document, Form, Grip, NodeId, Plant, Posed, Role, Vec3};

/// A value beside a planted node.
#[derive(Clone, Debug, PartialEq)]
pub struct Bubble {
    /// Where, world mm.
    pub at: Vec3,
    /// '0.00 mm'
    pub text: String,
    /// Within tolerance: good, else amiss.
    pub good: bool,
}

/// What to show beside the document itself. All optional.
#[derive(Clone, Debug, Default)]
pub struct Scene<'a> {
    /// Roles in document order (empty: all still).
    pub roles: Vec<(NodeId, Role)>,
    /// The pose before the drag, as a dotted ghost. Nodes it does not have cast none.
    pub ghost: Option<&'a Posed>,
    /// Paths a mover can take (dashed), world points.
    pub reachable: Vec<Vec<Vec3>>,
    /// Path taken (solid), world points.
    pub trail: Vec<Vec3>,
    /// Slip bubbles.
    pub bubbles: Vec<Bubble>,
    /// Named marks to hit, world points.
    pub marks: Vec<(String, Vec3)>,
    /// Length dimension lines: from, to, and the label's text.
    pub dimensions: Vec<(Vec3, Vec3, String)>,
    /// Axes the hand can turn about.
    pub axes: Vec<AxisLine>,
    /// Angle arcs: apex, from point, to point, label.
    pub arcs: Vec<(Vec3, Vec3, Vec3, String)>,
    /// Lever from a pivot to the pointer while dragging.
    pub lever: Option<(Vec3, Vec3)>,
    /// The reader's own pencil: strokes (world points), pins and painted discs (centre, radius mm).
    pub pencil_strokes: Vec<Vec<Vec3>>,
    #[allow(missing_docs)]
    pub pencil_pins: Vec<Vec3>,
    #[allow(missing_docs)]
    pub pencil_paint: Vec<(Vec3, f64)>,
    /// What really happens, overlaid on a prediction: strokes, pins, and filled regions (closed outlines).
    pub truth_strokes: Vec<Vec<Vec3>>,
    #[allow(missing_docs)]
    pub truth_pins: Vec<Vec3>,
    #[allow(missing_docs)]
    pub truth_regions: Vec<Vec<Vec3>>,
    /// Nodes with a text label beside them ('wrist (drag me)').
    pub labels: Vec<(NodeId, String)>,
    /// The hovered or focused mover.
    pub highlight: Option<NodeId>,
    /// Stroke and type multiplier (projector mode: about 1.6; else 1). 0 counts as 1.
    pub weight: f64,
}

/// What every part of the drawing needs: the view, the weight, the shapes so far, and the room left for text.
pub(crate) struct Sheet<'a> {
    pub view: &'a View,
    /// The view's axes, which take sines to find.
    pub axes: [Vec3; 3],
    pub weight: f64,
    pub shapes: Vec<Shape>,
    pub room: Room,
}

impl Sheet<'_> {
    /// World to px. A place that is none is a fault of the pose or the scene.
    pub fn at(&self, p: &Vec3) -> (f64, f64) {
        debug_assert!(
            p.iter().all(|x| x.is_finite()),
            "a place in the figure is not finite: {p:?}"
        );
        let d = self.step(&(p - self.view.centre));
        (self.view.size.0 / 2.0 + d.0, self.view.size.1 / 2.0 + d.1)
    }
    /// A world offset to px.
    pub fn step(&self, d: &Vec3) -> (f64, f64) {
        let [right, up, _] = &self.axes;
        (
            right.dot(d) * self.view.scale,
            -(up.dot(d) * self.view.scale),
        )
    }
    /// World points to px; points that are not finite are left out.
    pub fn line(&self, points: &[Vec3]) -> Vec<(f64, f64)> {
        points
            .iter()
            .map(|p| self.at(p))
            .filter(|p| p.0.is_finite() && p.1.is_finite())
            .collect()
    }
    /// A stroke of this many px at weight 1.
    pub fn stroke(&self, paint: Paint, width: f64) -> Stroke {
        Stroke::solid(paint, width * self.weight)
    }
    /// A type size of this many px at weight 1, never below 12.
    pub fn type_size(&self, size: f64) -> f64 {
        (size * self.weight).max(12.0)
    }
    /// Keeps text off a line, by its points.
    pub fn keep_off(&mut self, points: &[(f64, f64)]) {
        for p in points {
            self.room.take_disc(*p, 2.0 * self.weight);
        }
    }
    pub fn push(&mut self, shape: Shape) {
        self.shapes.push(shape);
    }
}

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
///     bubbles: vec![Bubble { at: now.point(tip), text: "30°".into(), good: true }],
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
    let document = posed.document();
    let weight = if scene.weight.is_finite() && scene.weight > 0.0 {
        scene.weight
    } else {
        1.0
    };
    let layout = Layout::new(posed, view, &scene.roles);
    let mut sheet = Sheet {
        view,
        axes: view.axes(),
        weight,
        shapes: Vec::new(),
        room: Room::new(view.size),
    };
    let surfaces = rig::surface::surfaces(posed);
    let flesh = Flesh::new(posed, &layout, &surfaces);
    for surface in surfaces.iter().filter(|s| s.form == Form::Plane) {
        bench::plane(&mut sheet, surface, &layout, scene.ghost);
        if let Some(flesh) = &flesh {
            flesh::touch(&mut sheet, flesh, surface);
        }
    }
    let bars: Vec<_> = surfaces
        .iter()
        .filter_map(|s| bench::bar(s, &layout, scene.ghost))
        .collect();
    pencil::fills(&mut sheet, scene);
    ghost(&mut sheet, document, &layout, flesh.as_ref(), scene.ghost);
    paths(&mut sheet, scene);
    flesh::draw(&mut sheet, flesh.as_ref(), &layout, &bars);
    bones(&mut sheet, &layout, flesh.as_ref());
    let stapled = contact::staples(&mut sheet, posed, &layout, &surfaces);
    contact::handles(&mut sheet, &layout, scene, &stapled, flesh.is_some());
    pencil::lines(&mut sheet, scene);
    measure::draw(&mut sheet, bench::level(&surfaces), &layout, scene);
    debug_assert_finite(&sheet.shapes);
    sheet.shapes
}

/// Points that a view must show to show all of a posed document: for [`View::fit`].
pub fn extent(posed: &Posed) -> Vec<Vec3> {
    let document = posed.document();
    let mut points = Vec::new();
    let nodes = document.nodes.iter().zip(framed(document));
    for (node, _) in nodes.filter(|(node, framed)| !node.hidden && *framed) {
        let (p, r) = (posed.point(node.id), node.width / 2.0);
        for axis in [Vec3::x(), Vec3::y(), Vec3::z()] {
            points.extend([p + axis * r, p - axis * r]);
        }
        if let Grip::Place(offset) = node.grip {
            points.push(p + Vec3::from(offset));
        }
    }
    points.extend(document.plants.iter().map(|plant| planted_at(plant, posed)));
    // A strip of bench under the figure, so that it stands on something.
    if let (Some(height), Some(p)) = (document.bench, points.first().copied()) {
        points.push(Vec3::new(p.x, height - 15.0, p.z));
    }
    points
}

/// By node, in document order: whether a view should take it in. Of a hand with an arm it shows
/// the hand: framed whole, most of the plate would be arm.
pub fn framed(document: &Document) -> Vec<bool> {
    let nodes = &document.nodes;
    let all = vec![true; nodes.len()];
    let index = Index::new(nodes.iter().map(|n| n.id.0));
    let find = |id: NodeId| index.get(id.0);
    let wrist = nodes.iter().position(|n| n.part == Some(rig::Part::Wrist));
    let (Some(_), Some(wrist)) = (&document.hand, wrist) else {
        return all;
    };
    let parents: Vec<_> = nodes.iter().map(|n| n.parent.and_then(find)).collect();
    if parents[wrist].is_none_or(|arm| nodes[arm].kind != rig::Kind::Joint) {
        return all;
    }
    let mut framed = below(&parents, wrist);
    let anchor = document.anchors.iter().find(|a| a.end == nodes[wrist].id);
    if let Some(target) = anchor.and_then(|a| find(a.target)) {
        for (framed, below) in framed.iter_mut().zip(below(&parents, target)) {
            *framed |= below;
        }
        for above in std::iter::successors(Some(target), |&n| parents[n]) {
            framed[above] = true;
        }
    }
    framed
}

/// Which nodes are this one or below it. Parents may come after children: climbs to what is
/// known, then comes back down.
fn below(parents: &[Option<usize>], of: usize) -> Vec<bool> {
    let mut known = vec![None; parents.len()];
    known[of] = Some(true);
    for node in 0..parents.len() {
        let (mut climb, mut at) = (Vec::new(), Some(node));
        while let Some(n) = at.filter(|&n| known[n].is_none()) {
            climb.push(n);
            at = parents[n];
        }
        let found = at.and_then(|n| known[n]).or(Some(false));
        for n in climb {
            known[n] = found;
        }
    }
    known.into_iter().map(|below| below == Some(true)).collect()
}

/// Where a plant's point is now, in the world.
pub(crate) fn planted_at(plant: &Plant, posed: &Posed) -> Vec3 {
    let at = Vec3::from(plant.at);
    match plant.surface {
        Some(surface) => (posed.world(surface) * nalgebra::Point3::from(at)).coords,
        None => at,
    }
}

fn ghost(
    sheet: &mut Sheet,
    document: &Document,
    layout: &Layout,
    flesh: Option<&Flesh>,
    ghost: Option<&Posed>,
) {
    let Some(ghost) = ghost else { return };
    let w = sheet.weight;
    let stroke = sheet
        .stroke(Paint::Ink, 1.6)
        .dashed(1.6 * w, 5.0 * w)
        .faint(0.45);
    // A hand's ghost is its contour where it has moved.
    let known = document
        .nodes
        .iter()
        .all(|n| n.surface.is_none() || ghost.has(n.id));
    if let Some(now) = flesh.filter(|_| known) {
        let surfaces = rig::surface::surfaces(ghost);
        let then = Flesh::new(ghost, layout, &surfaces);
        let lines = then.map(|then| flesh::moved(now, &then, sheet));
        for line in lines.into_iter().flatten() {
            sheet.push(Shape::line(Layer::Ghost, polyline(line), stroke));
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
            sheet.push(Shape::line(
                Layer::Ghost,
                bone(a, base.radius, b, end.radius),
                stroke,
            ));
        }
    }
}

fn paths(sheet: &mut Sheet, scene: &Scene) {
    let w = sheet.weight;
    let reachable = sheet.stroke(Paint::Mover, 1.5).dashed(7.0 * w, 6.0 * w);
    let taken = sheet.stroke(Paint::Mover, 3.2);
    for (path, stroke) in scene
        .reachable
        .iter()
        .map(|p| (p, reachable))
        .chain([(&scene.trail, taken)])
    {
        let points = sheet.line(path);
        if points.len() > 1 {
            sheet.keep_off(&points);
            sheet.push(Shape::line(Layer::Path, polyline(points), stroke));
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
        if covered(base) && covered(end) {
            continue;
        }
        let depth = step((from.depth + to.depth) / 2.0);
        front[base] = front[base].max(depth);
        front[end] = front[end].max(depth);
        let fill = match from.role {
            Role::Mover | Role::Carried => Paint::Carried,
            Role::Anchored => Paint::Hatch,
            Role::Still => Paint::Still,
        };
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
