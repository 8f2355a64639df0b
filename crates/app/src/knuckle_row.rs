//! Where axes lie: the planted row of knuckles, and a pivot of the recipe as a line in the world.
use hand::Axis;
use hand::advice::{KnuckleRow, Residual};
use hand::{Pivot, Recipe, Side};
use recipe::{DigitPart, Part, Press};
use rig::{Posed, Transform, Vec3};

/// An axis goes so far past the outermost knuckles, mm.
const PAST: f64 = 16.0;

/// The planted knuckles where they stand with every dial neutral, in the surface's frame: x
/// towards the fingertips, y off the surface.
pub struct Row {
    pub axis: Axis,
    /// Digits' names and their knuckles.
    knuckles: Vec<(String, Residual)>,
    half: f64,
    /// Degrees of the recipe's yaw as the document turns: a left hand is mirrored.
    sign: f64,
    /// From the surface's frame at rest to the world now, as what carries the pivot moved.
    now: Transform,
}

impl Row {
    /// None when the figure is no planted hand, or its knuckles make no axis.
    pub fn new(posed: &Posed) -> Option<Self> {
        let document = posed.document();
        let recipe = document.hand.as_deref()?;
        let id = |part: Part| document.part(&part).map(|n| n.id);
        let (surface, carrier) = (
            id(Part::Surface)?,
            document.part(&Part::Pivot(Press::Knuckles))?.parent?,
        );
        let mut rest = posed.clone();
        rest.set_neutral();
        rest.evaluate();
        let ground = *rest.world(surface);
        let named = planted(recipe).filter_map(|name| {
            let knuckle = id(Part::of(name, DigitPart::PhalanxProximal))?;
            Some((name.clone(), knuckle))
        });
        let (names, nodes): (Vec<_>, Vec<_>) = named.unzip();
        let row = KnuckleRow::fitted(&rest, Some(&ground), nodes.into_iter()).ok()?;
        let out = |knuckle: &Residual| {
            let off = knuckle.at - row.axis.through;
            off.dot(&row.axis.along()).abs()
        };
        let half = row.residuals.iter().map(out).fold(0.0, f64::max) + PAST;
        Some(Self {
            axis: row.axis,
            knuckles: names.into_iter().zip(row.residuals).collect(),
            half,
            sign: if recipe.hand.side == Side::Left {
                -1.0
            } else {
                1.0
            },
            now: posed.world(carrier) * rest.world(carrier).inverse() * ground,
        })
    }

    /// Both ends of a pivot's axis and its middle, in the world now.
    pub fn line(&self, pivot: &Pivot) -> [Vec3; 3] {
        let middle = self.axis.through + Vec3::new(pivot.offset, -pivot.drop, 0.0);
        let along = Axis {
            yaw: self.axis.yaw + self.sign * pivot.yaw.to_radians(),
            ..self.axis
        }
        .along();
        [-self.half, self.half, 0.0].map(|out| self.world(&(middle + along * out)))
    }

    fn world(&self, at: &Vec3) -> Vec3 {
        self.now.translation.vector + self.now.rotation * at
    }

    /// A pivot moved by a distance in the world at its middle.
    pub fn shifted(&self, pivot: &Pivot, by: &Vec3) -> Pivot {
        let by = self.now.rotation.inverse() * by;
        Pivot {
            offset: pivot.offset + by.x,
            drop: pivot.drop - by.y,
            ..*pivot
        }
    }

    /// A pivot turned by moving its second end a distance in the world.
    pub fn turned(&self, pivot: &Pivot, by: &Vec3) -> Pivot {
        let by = self.now.rotation.inverse() * by;
        let turn = libm::atan2(by.x, self.half).to_degrees();
        Pivot {
            yaw: pivot.yaw + self.sign * turn,
            ..*pivot
        }
    }

    /// Each planted digit, its knuckle in the world now, and how far that is from the fitted
    /// axis, mm.
    pub fn residuals(&self) -> impl Iterator<Item = (&str, Vec3, f64)> {
        self.knuckles.iter().map(|(name, knuckle)| {
            let far = libm::hypot(knuckle.ahead, knuckle.above);
            (name.as_str(), self.world(&knuckle.at), far)
        })
    }
}

/// Names of the planted fingers; the row of knuckles is theirs.
fn planted(recipe: &Recipe) -> impl Iterator<Item = &String> {
    let digits = recipe.planting.iter().flat_map(|p| &p.digits);
    digits.filter(|name| {
        recipe
            .hand
            .digits
            .iter()
            .any(|d| d.name == **name && !d.thumb)
    })
}
