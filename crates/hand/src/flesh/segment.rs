//! Tapered round-ended segments: two spheres and their convex hull.
use rig::surface::{Surface, distance};
use rig::{Form, Vec3};

/// The convex hull of two spheres. It is the union of the spheres between them, whose centres and
/// radii change evenly from the one's to the other's: (1 − t)·A + t·B of two balls is the ball
/// about the mixed centre with the mixed radius (Minkowski addition).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Centres, mm.
    pub ends: [Vec3; 2],
    /// Radii, mm.
    pub radii: [f64; 2],
}

impl Segment {
    /// Distance from a surface, mm; negative: how deep the deepest of its spheres is in the solid.
    /// Exact to rounding for every form: the distance from a convex solid is convex along the
    /// segment, and its least value is found in closed form.
    pub fn clearance(&self, surface: &Surface) -> f64 {
        let local = |at: &Vec3| {
            let local = surface.frame.inverse_transform_point(&(*at).into());
            local.coords
        };
        from_form(surface.form, &self.ends.each_ref().map(local), self.radii)
    }

    /// Centre and radius of the sphere at a part of the way, 0 to 1.
    pub fn sphere(&self, part: f64) -> (Vec3, f64) {
        let ([a, b], [r, s]) = (self.ends, self.radii);
        (a + (b - a) * part, r + (s - r) * part)
    }
}

/// [`Segment::clearance`] with the ends in the surface's own frame.
pub(super) fn from_form(form: Form, ends: &[Vec3; 2], radii: [f64; 2]) -> f64 {
    let segment = Segment { ends: *ends, radii };
    let at = |part: f64| {
        let (centre, radius) = segment.sphere(part);
        distance(form, &centre) - radius
    };
    let ([a, b], taper) = (ends, radii[1] - radii[0]);
    let mut least = smaller(at(0.0), at(1.0));
    let mut look = |part: f64| {
        if part > 0.0 && part < 1.0 {
            least = smaller(least, at(part));
        }
    };
    match form {
        // Even along the segment: an end is nearest.
        Form::Plane => {}
        // The same as of a point from the rail's axis.
        Form::Rail { radius } => {
            let from = Vec3::new(a.x, a.y + radius, 0.0);
            look(nearest(&from, &Vec3::new(b.x - a.x, b.y - a.y, 0.0), taper));
        }
        // Convex, and even between the places where another of its faces is nearest, except round
        // the corner, where it is the distance from the corner's line.
        Form::Edge { radius } => {
            let from = Vec3::new(a.x + radius, a.y + radius, 0.0);
            let along = Vec3::new(b.x - a.x, b.y - a.y, 0.0);
            look(nearest(&from, &along, taper));
            for (value, slope) in [
                (from.x, along.x),
                (from.y, along.y),
                (from.x - from.y, along.x - along.y),
            ] {
                if slope != 0.0 {
                    look(0.0 - value / slope);
                }
            }
        }
    }
    least
}

/// The part of the way, 0 to 1, at which |from + t·along| − t·taper is least. With s the distance
/// along the line from its foot, h the foot's distance and k = taper/|along| it is
/// √(s² + h²) − k·s, whose slope is zero at s = h·k/√(1 − k²).
pub(super) fn nearest(from: &Vec3, along: &Vec3, taper: f64) -> f64 {
    let square = along.norm_squared();
    // One sphere holds the other.
    if taper * taper >= square {
        return if taper > 0.0 { 1.0 } else { 0.0 };
    }
    let foot = 0.0 - from.dot(along) / square;
    let height = (from + along * foot).norm();
    let part = foot + height * taper / (square * (square - taper * taper)).sqrt();
    if part > 1.0 {
        1.0
    } else if part > 0.0 {
        part
    } else {
        0.0
    }
}

pub(super) fn smaller(a: f64, b: f64) -> f64 {
    if b < a { b } else { a }
}
