//! Solids with one section all along: a bench's rounded edge, a rail.
use crate::path::polyline;
use crate::sheet::Sheet;
use crate::{Layer, Paint, Seg, Shape};
use rig::{Form, Surface, Vec3};
use std::f64::consts::{FRAC_PI_2, TAU};

/// How far a bench's edge reaches down, mm.
const DEEP: f64 = 70.0;
/// Facets round a rail, and round an edge's rounding.
const ROUND: usize = 32;
const ROUNDING: usize = 8;
/// A section seen at less than this cosine from straight on is hatched.
const STRAIGHT: f64 = 0.99;

/// The solid of a surface, if it has a section: its outline in x and y, anticlockwise, and where
/// it ends along z and, for a bench, behind.
pub(crate) struct Bar<'a> {
    pub surface: &'a Surface,
    section: Vec<(f64, f64)>,
    ends: (f64, f64),
}

impl<'a> Bar<'a> {
    /// `span`: from where to where along z, and how far behind.
    pub fn new(surface: &'a Surface, ends: (f64, f64), behind: f64) -> Option<Self> {
        let section = match surface.form {
            Form::Plane => return None,
            Form::Rail { radius } => (0..ROUND)
                .map(|i| {
                    let (s, c) = libm::sincos(TAU * i as f64 / ROUND as f64);
                    (radius * c, radius * s - radius)
                })
                .collect(),
            Form::Edge { radius } => {
                let back = behind.min(-2.0 * radius - 20.0);
                let mut section = vec![(back, -DEEP - radius), (0.0, -DEEP - radius)];
                section.extend((0..=ROUNDING).map(|i| {
                    let (s, c) = libm::sincos(FRAC_PI_2 * i as f64 / ROUNDING as f64);
                    (radius * (c - 1.0), radius * (s - 1.0))
                }));
                section.push((back, 0.0));
                section
            }
        };
        Some(Self {
            surface,
            section,
            ends,
        })
    }

    /// Whether a world place is round the far side of it.
    pub fn hides(&self, at: &Vec3, towards: &Vec3) -> bool {
        self.surface.normal(at).dot(towards) < -0.3
    }

    fn at(&self, sheet: &Sheet, k: usize, end: f64) -> (f64, f64) {
        let (x, y) = self.section[k % self.section.len()];
        let frame = &self.surface.frame;
        sheet.at(&(frame.rotation * Vec3::new(x, y, end) + frame.translation.vector))
    }

    /// How much each face looks towards a direction of the world: the sides, then both ends.
    fn faces(&self, direction: &Vec3) -> (Vec<f64>, [f64; 2]) {
        let local = self.surface.frame.rotation.inverse() * direction;
        let n = self.section.len();
        let sides = (0..n).map(|k| {
            let ((ax, ay), (bx, by)) = (self.section[k], self.section[(k + 1) % n]);
            let (dx, dy) = (bx - ax, by - ay);
            let d = libm::hypot(dx, dy);
            if d > 0.0 {
                (dy * local.x - dx * local.y) / d
            } else {
                0.0
            }
        });
        (sides.collect(), [-local.z, local.z])
    }

    /// What of it looks to the eye, toned by the light; its edges in ink.
    pub fn draw(&self, sheet: &mut Sheet, light: &Vec3) {
        let towards = sheet.axes[2];
        let ((seen, seen_ends), (lit, lit_ends)) = (self.faces(&towards), self.faces(light));
        let n = self.section.len();
        let ends = [self.ends.0, self.ends.1];
        // A side seen, so that it shows more than its edge.
        let shows = |facing: f64| facing > 1e-6;
        let body = |chosen: &dyn Fn(f64) -> bool, sheet: &Sheet| {
            let mut segs = Vec::new();
            for k in (0..n).filter(|&k| shows(seen[k]) && chosen(lit[k])) {
                let corners = [(k, 0), (k + 1, 0), (k + 1, 1), (k, 1)];
                segs.extend(polyline(corners.map(|(k, e)| self.at(sheet, k, ends[e]))));
                segs.push(Seg::Close);
            }
            for e in (0..2).filter(|&e| shows(seen_ends[e]) && chosen(lit_ends[e])) {
                segs.extend(polyline((0..n).map(|k| self.at(sheet, k, ends[e]))));
                segs.push(Seg::Close);
            }
            segs
        };
        let whole = body(&|_| true, sheet);
        sheet.push(Shape::filled(Layer::Bench, whole, Paint::Bench, None));
        for (edge, opacity) in [(0.45, 0.05), (0.15, 0.07), (-0.15, 0.08)] {
            let segs = body(&|light| light < edge, sheet);
            if !segs.is_empty() {
                sheet.push(Shape::Path {
                    layer: Layer::Bench,
                    segs,
                    fill: Some(Paint::Shade),
                    fill_opacity: opacity,
                    stroke: None,
                });
            }
        }
        let mut ink = Vec::new();
        for k in 0..n {
            let before = (k + n - 1) % n;
            if shows(seen[before]) != shows(seen[k]) {
                ink.extend(polyline([0, 1].map(|e| self.at(sheet, k, ends[e]))));
            }
        }
        for e in 0..2 {
            for (k, side) in seen.iter().enumerate() {
                if shows(seen_ends[e]) || shows(*side) {
                    ink.extend(polyline([k, k + 1].map(|k| self.at(sheet, k, ends[e]))));
                }
            }
        }
        let stroke = sheet.stroke(Paint::Ink, 1.4);
        sheet.push(Shape::line(Layer::Bench, ink, stroke));
        for e in 0..2 {
            if seen_ends[e] > STRAIGHT {
                self.hatch(sheet, ends[e]);
            }
        }
    }

    /// Ticks inside a section seen straight on, fixed to it.
    fn hatch(&self, sheet: &mut Sheet, end: f64) {
        let w = sheet.weight;
        let (gap, n) = (18.0 * w, self.section.len());
        let mut ticks = Vec::new();
        let mut left = gap / 2.0;
        for k in 0..n {
            // Not along where a bench is only cut off.
            if matches!(self.surface.form, Form::Edge { .. }) && (k == 0 || k + 1 == n) {
                continue;
            }
            let (a, b) = (self.at(sheet, k, end), self.at(sheet, k + 1, end));
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let d = libm::hypot(dx, dy);
            if d < 1e-9 || d / gap > 400.0 {
                continue;
            }
            let (ux, uy) = (dx / d, dy / d);
            let turn = if self
                .surface
                .frame
                .rotation
                .transform_vector(&Vec3::z())
                .dot(&sheet.axes[2])
                > 0.0
            {
                1.0
            } else {
                -1.0
            };
            while left < d {
                let p = (a.0 + ux * left, a.1 + uy * left);
                // Slantwise into the solid, which lies to the left of its outline.
                let into = (uy * turn, -ux * turn);
                let q = (
                    p.0 + (into.0 * 11.0 - ux * 9.0) * w,
                    p.1 + (into.1 * 11.0 - uy * 9.0) * w,
                );
                ticks.extend(polyline([p, q]));
                left += gap;
            }
            left -= d;
        }
        let stroke = sheet.stroke(Paint::Ink, 0.7).faint(0.5);
        sheet.push(Shape::line(Layer::Bench, ticks, stroke));
    }
}
