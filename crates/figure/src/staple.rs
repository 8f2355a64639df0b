//! Staples: what holds a figure, and where.
use crate::contact::close;
use crate::label_layout::Area;
use crate::layout::Layout;
use crate::path::{circle, polyline};
use crate::sheet::Sheet;
use crate::sign::Sign;
use crate::{Layer, Paint, Seg, Shape};
use rig::{Anchor, DOWN, Plant, Posed, Surface, Vec3};

/// What holds one plant, to be drawn where the flesh leaves it in sight.
pub(crate) struct Staple {
    pub shapes: Vec<Shape>,
    /// Where it stands, world mm.
    pub at: Vec3,
    /// The same and its corners, px.
    pub corners: [(f64, f64); 5],
    /// The joint whose bone it holds, as an index into the layout.
    pub own: Option<usize>,
    /// Whether it passes under its own flesh, seen from straight above.
    pub under: bool,
    /// Whether it is round the far side of what it stands on.
    pub away: bool,
}

/// Flesh this near a surface rests on it, mm.
const NEAR_BENCH: f64 = 6.0;
/// A contact that has rolled by less leaves no trail, mm.
const LEAST_TRAIL: f64 = 1.0;
/// Slip of less is not seen, px.
const LEAST_SLIP: f64 = 2.0;
/// A surface seen from above at a greater sine has a digit's staple under the digit …
const STEEP: f64 = 0.7;
/// … and shows no side on which another could sit.
const ABOVE: f64 = 0.95;
/// What is held or let go by less than this part is not drawn.
const FAINTEST: f64 = 0.02;

/// Where a plant's point is now, in the world.
pub(crate) fn planted_at(plant: &Plant, posed: &Posed) -> Vec3 {
    let at = Vec3::from(plant.at);
    match plant.surface {
        Some(surface) => (posed.world(surface) * nalgebra::Point3::from(at)).coords,
        None => at,
    }
}

/// A plant, what holds it, and where it touches.
struct Contact {
    /// 1 fully, 0 let go.
    hold: f64,
    /// Where it was planted and where it touches now, on its surface: world mm.
    then: Vec3,
    now: Vec3,
    /// From where it should be to where it is, mm.
    slip: Vec3,
    /// Whether it is measured where it has rolled to.
    rolls: bool,
    /// Half as wide as a digit's flesh, mm, and which way that lies (unit).
    wide: Option<(f64, Vec3)>,
}

impl Contact {
    fn of(plant: &Plant, posed: &Posed, half: f64, surface: Option<&Surface>) -> Self {
        let planted = planted_at(plant, posed);
        let point = posed.point(plant.node);
        let foot = |at: &Vec3| surface.map_or(*at, |surface| surface.foot(at));
        let mut contact = Self {
            hold: 1.0,
            then: foot(&planted),
            now: foot(&planted),
            slip: point - planted,
            rolls: false,
            wide: None,
        };
        let holds = |a: &&Anchor| a.end == plant.node && a.solver.is_digit();
        let mut anchors = posed.rig().anchors.iter().map(|a| &**a);
        let Some(anchor) = anchors.find(holds) else {
            // A point, as of a chain, is to be seen to slip however far it goes.
            if plant.turned.is_some() {
                contact.now = foot(&point);
                contact.hold = posed.down(plant.node).unwrap_or(1.0);
                let back = (contact.now - contact.then).try_normalize(1e-9);
                contact.slip =
                    back.unwrap_or_else(Vec3::zeros) * posed.slip(plant.node).unwrap_or(0.0);
                contact.rolls = true;
            }
            return contact;
        };
        let across = posed.world(anchor.end).rotation * Vec3::z();
        contact.hold = posed.hold(anchor.id);
        contact.wide = Some((half, across));
        let rolls = (posed.foot(anchor.id), posed.planted_foot(anchor.id));
        if let (Some(now), Some(then), Some(rolling)) = (rolls.0, rolls.1, anchor.solver.contact())
        {
            // What is not rolling has no direction of its own: it is drawn back the way it came.
            let back = (now - then).try_normalize(1e-9).unwrap_or_else(Vec3::zeros);
            (contact.now, contact.then) = (now, then);
            contact.slip = back * posed.outcome(anchor.id).residual;
            contact.rolls = true;
            contact.wide = Some((rolling.radius, across));
        }
        contact
    }
}

/// Staples of plants: closed where they touch now, the fainter the less they hold; dashed and
/// open where a digit was planted that has let go. What has rolled leaves a trail.
pub(crate) fn planted(
    sheet: &mut Sheet,
    posed: &Posed,
    layout: &Layout,
    surfaces: &[Surface],
) -> Vec<Staple> {
    let mut staples = Vec::new();
    for plant in &posed.document().plants {
        let Some(l) = layout.get(plant.node).filter(|l| !l.node.hidden) else {
            continue;
        };
        let world = planted_at(plant, posed);
        // Flesh that touches a surface is stapled to the surface, anything else where it is.
        let surface = surfaces
            .iter()
            .find(|s| s.distance(&world).abs() <= l.node.width / 2.0 + NEAR_BENCH);
        let contact = Contact::of(plant, posed, l.node.width / 2.0, surface);
        let hold = contact.hold;
        if hold > FAINTEST {
            let mut staple = stand(sheet, &contact, &contact.now, surface, true);
            if contact.rolls && (contact.now - contact.then).norm() > LEAST_TRAIL {
                let ends = [sheet.at(&contact.then), sheet.at(&contact.now)];
                staple.shapes.splice(0..0, rolled(sheet, ends, hold));
            }
            let slip = sheet.step(&contact.slip);
            if hold >= DOWN && libm::hypot(slip.0, slip.1) > LEAST_SLIP {
                let (x, y) = if contact.rolls {
                    sheet.at(&contact.now)
                } else {
                    l.at
                };
                let ends = [(x - slip.0, y - slip.1), (x, y)];
                staple.shapes.insert(0, slipped(sheet, ends));
            }
            staple.own = l.bone_from;
            staples.push(staple);
        }
        if 1.0 - hold > FAINTEST {
            staples.push(stand(sheet, &contact, &contact.then, surface, false));
        }
    }
    staples
}

/// From where it was planted to where it has rolled.
pub(crate) fn rolled(sheet: &mut Sheet, ends: [(f64, f64); 2], hold: f64) -> [Shape; 2] {
    sheet.signs.add(Sign::Rolled);
    let quiet = sheet.stroke(Paint::Anchored, 1.2).faint(0.5 * hold);
    let dot = circle(ends[0], 1.6 * sheet.weight);
    [polyline(ends), dot].map(|segs| Shape::line(Layer::Path, segs, quiet))
}

/// From where it should be to where it is.
pub(crate) fn slipped(sheet: &mut Sheet, ends: [(f64, f64); 2]) -> Shape {
    sheet.signs.add(Sign::Slip);
    let amiss = sheet.stroke(Paint::Amiss, 1.6);
    Shape::line(Layer::Contact, polyline(ends), amiss)
}

/// A staple as a level bench has it.
pub(crate) fn level(sheet: &mut Sheet, at: (f64, f64), closed: bool) -> Shape {
    let form = Outline::driven(sheet, at, (1.0, 0.0));
    drawn(sheet, &form, 1.0, closed)
}

/// It holds so far, or has let go so far.
fn drawn(sheet: &mut Sheet, form: &Outline, part: f64, closed: bool) -> Shape {
    let w = sheet.weight;
    let stroke = sheet.stroke(Paint::Anchored, if closed { 1.4 + part } else { 1.8 });
    let (segs, stroke, sign) = if closed {
        (form.closed(), stroke, Sign::Staple)
    } else {
        (form.open(), stroke.dashed(2.0 * w, 3.8 * w), Sign::Open)
    };
    sheet.signs.add(sign);
    Shape::line(Layer::Contact, segs, stroke.faint(part))
}

/// A staple over a place: closed as far as it holds, or open as far as it has let go.
fn stand(
    sheet: &mut Sheet,
    contact: &Contact,
    at: &Vec3,
    surface: Option<&Surface>,
    closed: bool,
) -> Staple {
    let w = sheet.weight;
    let towards = surface.map_or(0.0, |s| s.normal(at).dot(&sheet.axes[2]));
    let steep = towards.abs() > if contact.wide.is_some() { STEEP } else { ABOVE };
    let (x, y) = sheet.at(at);
    let form = match (surface, contact.wide) {
        (Some(surface), _) if !steep => driven(sheet, surface, at, (x, y)),
        (Some(_), Some((half, across))) => across_flesh(sheet, half, &across, (x, y)),
        _ => Outline {
            at: (x, y + 2.0 * w),
            along: (1.0, 0.0),
            half: 10.0 * w,
            high: [-13.0 * w, 10.0 * w],
        },
    };
    let part = if closed {
        contact.hold
    } else {
        1.0 - contact.hold
    };
    let shape = drawn(sheet, &form, part, closed);
    sheet.room.take(form.area());
    let [a, b, c, d] = form.corners();
    Staple {
        corners: [(x, y), a, b, c, d],
        shapes: vec![shape],
        at: *at,
        own: None,
        under: steep && towards > 0.0,
        // One looks through a plane from below, but not through a bar.
        away: surface.is_some_and(|s| s.form != rig::Form::Plane) && towards < -0.3,
    }
}

/// A staple's outline in the picture: a bar and two legs.
struct Outline {
    at: (f64, f64),
    /// Unit, along its bar; its legs go the way that is a right turn on, clockwise on screen.
    along: (f64, f64),
    /// Half its bar, px.
    half: f64,
    /// From its place to its bar and to the ends of its legs, px along the legs.
    high: [f64; 2],
}

/// Driven into a surface that shows its edge or its face.
fn driven(sheet: &Sheet, surface: &Surface, at: &Vec3, (x, y): (f64, f64)) -> Outline {
    let off = sheet.step(&surface.normal(at));
    let long = libm::hypot(off.0, off.1);
    Outline::driven(sheet, (x, y), (-off.1 / long, off.0 / long))
}

/// Under flesh that is seen from straight above: as much wider than it as shows at both sides.
fn across_flesh(sheet: &Sheet, half: f64, across: &Vec3, at: (f64, f64)) -> Outline {
    let w = sheet.weight;
    let (dx, dy) = sheet.step(across);
    let long = libm::hypot(dx, dy);
    let along = if long > 1e-9 {
        (dx / long, dy / long)
    } else {
        (1.0, 0.0)
    };
    Outline {
        at,
        along,
        half: half * sheet.view.scale + 5.0 * w,
        high: [0.0, 6.0 * w],
    }
}

impl Outline {
    fn driven(sheet: &Sheet, at: (f64, f64), along: (f64, f64)) -> Self {
        let w = sheet.weight;
        Self {
            at,
            along,
            half: 8.0 * w,
            high: [-3.5 * w, 5.5 * w],
        }
    }

    /// So far along the bar and along the legs.
    fn place(&self, along: f64, down: f64) -> (f64, f64) {
        let (ax, ay) = self.along;
        let (x, y) = self.at;
        (x + ax * along - ay * down, y + ay * along + ax * down)
    }

    fn closed(&self) -> Vec<Seg> {
        let [bar, end] = self.high;
        polyline([
            self.place(-self.half, end),
            self.place(-self.half, bar),
            self.place(self.half, bar),
            self.place(self.half, end),
        ])
    }

    /// Its bar parted in the middle.
    fn open(&self) -> Vec<Seg> {
        let [bar, end] = self.high;
        let gap = 0.4 * self.half;
        let half = |side: f64| {
            polyline([
                self.place(side * self.half, end),
                self.place(side * self.half, bar),
                self.place(side * gap, bar),
            ])
        };
        [half(-1.0), half(1.0)].concat()
    }

    fn corners(&self) -> [(f64, f64); 4] {
        let [bar, end] = self.high;
        [(-1.0, bar), (-1.0, end), (1.0, bar), (1.0, end)]
            .map(|(side, high)| self.place(side * self.half, high))
    }

    fn area(&self) -> Area {
        let corners = self.corners();
        let bound = |of: fn(&(f64, f64)) -> f64, least: bool| {
            let values = corners.iter().map(of);
            if least {
                values.fold(f64::INFINITY, f64::min)
            } else {
                values.fold(f64::NEG_INFINITY, f64::max)
            }
        };
        Area {
            x0: bound(|c| c.0, true),
            y0: bound(|c| c.1, true),
            x1: bound(|c| c.0, false),
            y1: bound(|c| c.1, false),
        }
    }
}

/// Staples at the targets of anchors that no plant's staple shows, dashed when the anchor is off.
pub(crate) fn targets(sheet: &mut Sheet, posed: &Posed, layout: &Layout) {
    let document = posed.document();
    let w = sheet.weight;
    let seen = |plant: &&Plant| layout.get(plant.node).is_some_and(|l| !l.node.hidden);
    let plants = document.plants.iter().filter(seen);
    let planted: Vec<_> = plants.map(|p| sheet.at(&planted_at(p, posed))).collect();
    for anchor in &document.anchors {
        let Some(l) = layout.get(anchor.target).filter(|l| !l.node.hidden) else {
            continue;
        };
        let (x, y) = l.at;
        // The planted staple already says it.
        if planted.iter().any(|p| close(*p, l.at)) {
            continue;
        }
        let (mut stroke, mut sign) = (sheet.stroke(Paint::Anchored, 1.8), Sign::Staple);
        if !posed.is_active(anchor.id) {
            // A digit that is nowhere planted has no place to go back to.
            if anchor.solver.is_digit() {
                continue;
            }
            (stroke, sign) = (stroke.dashed(0.1 * w, 4.0 * w), Sign::Open);
        }
        let staple = polyline(
            [(-7.0, 7.0), (-7.0, -7.0), (7.0, -7.0), (7.0, 7.0)]
                .map(|(dx, dy)| (x + dx * w, y + dy * w)),
        );
        sheet.signed(sign, Shape::line(Layer::Contact, staple, stroke));
        sheet.room.take(Area::about(l.at, 14.0 * w, 14.0 * w));
    }
}
