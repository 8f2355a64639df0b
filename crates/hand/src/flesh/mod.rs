//! A hand's flesh as it is measured: tapered round-ended segments carried by its joints, which
//! touch where the drawn skin does (docs/mathematics.md 12).
//!
//! Parts are found by what they are ([`Part`](rig::Part)), not by name. What is measured is what
//! is drawn: both go by [`section`], and `crates/figure/tests/touching.rs` compares them.
mod between;
mod fit;
mod overlap;
mod overlap_pairs;
mod pieces;
pub mod section;
mod segment;

pub use between::{Gap, between};
pub use overlap::{Apart, Bones, MOST_OVERLAP, Overlap, Overlaps, overlap};
pub use pieces::Kind;
pub use segment::Segment;

use pieces::{Piece, Pieces};
use rig::surface::distance;
use rig::{Form, NodeId, Posed, Rig, Transform, Vec3};
use segment::{from_form, smaller};

/// More than a ball comes by rounding nearer than the sphere about it, mm.
const ROUNDING: f64 = 1e-6;

/// How far flesh is from what it presses on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clearance {
    /// mm; negative: into it.
    pub mm: f64,
    /// The joint that carries it.
    pub node: NodeId,
}

/// The least clearance of the digits and of the palm; none where the hand has no such flesh, or
/// the document no surface.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[allow(missing_docs)]
pub struct Clearances {
    pub pad: Option<Clearance>,
    pub palm: Option<Clearance>,
}

impl Clearances {
    fn of(&self, kind: Kind) -> Option<Clearance> {
        match kind {
            Kind::Pad => self.pad,
            Kind::Palm => self.palm,
        }
    }

    fn put(&mut self, kind: Kind, clearance: Clearance) {
        match kind {
            Kind::Pad => self.pad = Some(clearance),
            Kind::Palm => self.palm = Some(clearance),
        }
    }
}

/// A surface where it is, and which way is off it.
struct Frame {
    at: Transform,
    up: Vec3,
    form: Form,
}

impl Frame {
    fn new(at: Transform, form: Form) -> Self {
        let up = at.rotation * Vec3::y();
        Self { at, up, form }
    }
}

/// A hand's flesh, looked up once.
#[derive(Clone, Debug, Default)]
pub struct Flesh {
    made: Pieces,
    bench: Option<f64>,
    surfaces: Vec<(NodeId, Form)>,
}

impl Flesh {
    /// The flesh of a hand; without one, none.
    pub fn of(rig: &Rig) -> Self {
        let mut flesh = Self {
            made: fit::fit(rig),
            bench: rig.bench,
            ..Self::default()
        };
        let carried = rig.nodes.iter();
        let carried = carried.filter_map(|node| Some((node.id, node.surface?)));
        flesh.surfaces.extend(carried);
        flesh
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.made.pieces.is_empty()
    }

    /// Least clearances from any surface in an evaluated pose of the rig this was made of.
    /// Allocates nothing.
    pub fn clearances(&self, posed: &Posed) -> Clearances {
        let mut least = Clearances::default();
        for frame in self.frames(posed) {
            let before = least;
            // Ends first, for they are lowest most often; of pieces alike the first is told.
            for piece in self.made.pieces.iter().rev() {
                let so_far = least.of(piece.kind).map_or(f64::INFINITY, |known| known.mm);
                let mm = self.piece(piece, posed.world(piece.node), &frame, so_far);
                let alike = mm == so_far && least.of(piece.kind) != before.of(piece.kind);
                if mm < so_far || alike {
                    let node = piece.node;
                    least.put(piece.kind, Clearance { mm, node });
                }
            }
        }
        least
    }

    /// Least clearance of the flesh that a joint carries, of one kind or of both, mm; none where
    /// it carries none, or there is no surface.
    pub fn clearance(&self, posed: &Posed, node: NodeId, kind: Option<Kind>) -> Option<f64> {
        let mut least: Option<f64> = None;
        for frame in self.frames(posed) {
            let own = self.made.pieces.iter().filter(|piece| piece.node == node);
            for piece in own.filter(|piece| kind.is_none_or(|kind| kind == piece.kind)) {
                let mm = self.piece(piece, posed.world(node), &frame, f64::INFINITY);
                least = Some(least.map_or(mm, |least| smaller(least, mm)));
            }
        }
        least
    }

    /// The same were the joint there, in the frame of a surface of that form; infinite where it
    /// carries none.
    pub(crate) fn clearance_at(
        &self,
        node: NodeId,
        local: &Transform,
        form: Form,
        kind: Option<Kind>,
    ) -> f64 {
        let own = self.made.pieces.iter().filter(|piece| piece.node == node);
        let own = own.filter(|piece| kind.is_none_or(|kind| kind == piece.kind));
        own.fold(f64::INFINITY, |least, piece| {
            smaller(least, self.off(piece, local, form))
        })
    }

    /// The balls of one kind that a joint carries: centres in its frame, and radii, mm.
    pub(crate) fn balls(&self, node: NodeId, kind: Kind) -> impl Iterator<Item = (Vec3, f64)> {
        let own = self.made.pieces.iter();
        let own = own.filter(move |piece| piece.node == node && piece.kind == kind);
        let balls = own.flat_map(|piece| &self.made.balls[piece.balls.clone()]);
        balls.map(|ball| (ball.at, ball.radius))
    }

    /// Every segment in the world, with the joint that carries it.
    pub fn segments<'a>(
        &'a self,
        posed: &'a Posed,
    ) -> impl Iterator<Item = (NodeId, Kind, Segment)> + 'a {
        self.made.pieces.iter().flat_map(move |piece| {
            let world = posed.world(piece.node);
            let links = self.made.links[piece.links.clone()].iter();
            links.map(move |link| {
                let balls = link.map(|ball| self.made.balls[ball]);
                let segment = Segment {
                    ends: balls.map(|ball| world.transform_point(&ball.at.into()).coords),
                    radii: balls.map(|ball| ball.radius),
                };
                (piece.node, piece.kind, segment)
            })
        })
    }

    /// Every surface where it is.
    fn frames(&self, posed: &Posed) -> impl Iterator<Item = Frame> {
        let bench = self.bench.map(|height| {
            let frame = Transform::translation(0.0, height, 0.0);
            Frame::new(frame, Form::Plane)
        });
        let carried = self.surfaces.iter();
        let carried = carried.map(|&(node, form)| Frame::new(*posed.world(node), form));
        bench.into_iter().chain(carried)
    }

    /// A piece's least clearance from a surface, mm, if it is no more than `so_far`; else more
    /// than that.
    fn piece(&self, piece: &Piece, world: &Transform, frame: &Frame, so_far: f64) -> f64 {
        if frame.form == Form::Plane {
            return self.above(piece, world, frame, so_far);
        }
        // Nothing of it is nearer than the sphere about all of it.
        let local = frame.at.inverse() * world;
        let middle = local.transform_point(&piece.about.at.into()).coords;
        let about = distance(frame.form, &middle) - piece.about.radius;
        if about <= so_far {
            self.off(piece, &local, frame.form)
        } else {
            about
        }
    }

    /// Of a plane: the least of the balls'.
    fn above(&self, piece: &Piece, world: &Transform, plane: &Frame, so_far: f64) -> f64 {
        let height = plane
            .up
            .dot(&(world.translation.vector - plane.at.translation.vector));
        // Nothing of it is lower than the sphere about its joint that holds it, or than that
        // about all of it.
        let lowest = height - piece.far;
        if lowest > so_far + ROUNDING {
            return lowest;
        }
        let up = world.rotation.inverse() * plane.up;
        let about = up.dot(&piece.about.at) + height - piece.about.radius;
        if about > so_far + ROUNDING {
            return about;
        }
        let mut least = f64::INFINITY;
        for ball in &self.made.balls[piece.balls.clone()] {
            least = smaller(least, up.dot(&ball.at) + height - ball.radius);
        }
        least
    }

    /// Of a rail or an edge: the least of the segments'.
    fn off(&self, piece: &Piece, local: &Transform, form: Form) -> f64 {
        let mut least = f64::INFINITY;
        for link in &self.made.links[piece.links.clone()] {
            let balls = link.map(|ball| self.made.balls[ball]);
            let ends = balls.map(|ball| local.transform_point(&ball.at.into()).coords);
            let here = from_form(form, &ends, balls.map(|ball| ball.radius));
            least = smaller(least, here);
        }
        least
    }
}
