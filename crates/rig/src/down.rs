//! Whether what is planted is still down, and how far it has slipped.
use crate::{Anchor, Form, NodeId, Plant, Posed, Rotation, Transform, Vec3};

/// From this hold on a digit counts as down. What it has let go by then drags it by less than a
/// slip that is safe: a thumb eased to 0.99 is 0.6 mm off. Chosen here.
pub const DOWN: f64 = 0.999;
/// A ball higher over its plane than this, mm, has left it: less is not to be seen.
const LIFTED: f64 = 0.05;

impl Posed {
    /// How fully a planted node is down, from 1 to 0: as its anchor holds it. What the palm
    /// carries and what rolls is down until it has left its plane, a point always. None for a
    /// node that is not planted.
    pub fn down(&self, node: NodeId) -> Option<f64> {
        let plant = self.plant(node)?;
        if let Some(anchor) = self.holding(node) {
            return Some(self.hold(anchor.id));
        }
        let lifted = self.ball(plant).is_some_and(|ball| ball.is_lifted());
        Some(if lifted { 0.0 } else { 1.0 })
    }

    /// Whether a node is planted and down, as good as fully.
    pub fn is_down(&self, node: NodeId) -> bool {
        self.down(node).is_some_and(|down| down >= DOWN)
    }

    /// How far a planted node has slipped, mm: for a point its distance from where it was planted,
    /// in its surface's coordinates; for what rolls, from where it should have rolled to. What
    /// rolls and is not down does not slip: it has let go. None for a node that is not planted.
    pub fn slip(&self, node: NodeId) -> Option<f64> {
        let plant = self.plant(node)?;
        let rolling = |anchor: &&Anchor| anchor.solver.contact().is_some();
        if let Some(anchor) = self.holding(node).filter(rolling) {
            let outcome = self.outcome(anchor.id);
            let down = outcome.hold >= DOWN;
            return Some(if down { outcome.residual } else { 0.0 });
        }
        if let Some(ball) = self.ball(plant) {
            return Some(if ball.is_lifted() { 0.0 } else { ball.slip() });
        }
        let here = Vec3::from(self.local(plant.surface, &self.point(node)));
        Some((here - Vec3::from(plant.at)).norm())
    }

    fn plant(&self, node: NodeId) -> Option<&Plant> {
        self.rig().plants.iter().find(|plant| plant.node == node)
    }

    fn holding(&self, node: NodeId) -> Option<&Anchor> {
        let mut anchors = self.rig().anchors.iter().map(|anchor| &**anchor);
        anchors.find(|anchor| anchor.end == node)
    }

    /// What is planted as a ball of flesh that the palm carries over a plane.
    fn ball(&self, plant: &Plant) -> Option<Ball> {
        let surface = plant.surface?;
        let [x, y, z, w] = plant.turned?;
        (self.rig().node(surface)?.surface == Some(Form::Plane)).then_some(())?;
        Some(Ball {
            here: self.world(surface).inv_mul(self.world(plant.node)),
            there: plant.at.into(),
            then: Rotation::new_unchecked(nalgebra::Quaternion::new(w, x, y, z)),
            radius: 0.5 * self.rig().node(plant.node)?.width,
        })
    }
}

/// A ball of flesh in its plane's frame, and where it was planted.
struct Ball {
    here: Transform,
    there: Vec3,
    then: Rotation,
    radius: f64,
}

impl Ball {
    fn is_lifted(&self) -> bool {
        self.here.translation.y > self.radius + LIFTED
    }

    /// Turned about one axis a ball's centre travels its radius times the turn, square to it;
    /// about several, that of the turn they make together.
    fn slip(&self) -> f64 {
        let turn = (self.here.rotation * self.then.inverse()).into_inner();
        let (half, part) = (turn.imag(), if turn.w < 0.0 { -1.0 } else { 1.0 });
        let sine = half.norm();
        let angle = 2.0 * libm::atan2(sine, turn.w * part);
        let rolled = if sine > 0.0 {
            half.cross(&Vec3::y()) * (part * angle * self.radius / sine)
        } else {
            Vec3::zeros()
        };
        (self.here.translation.vector - self.there - rolled).norm()
    }
}
