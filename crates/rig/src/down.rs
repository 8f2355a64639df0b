//! Whether what is planted is still down, and how far it has slipped.
use crate::{Form, NodeId, Plant, Posed, Rotation, Transform, Vec3};

/// From this hold on a digit counts as down. What it has let go by then drags it by less than a
/// slip that is safe: a thumb eased to 0.99 is 0.6 mm off. Chosen here.
pub const DOWN: f64 = 0.999;
/// A ball higher over its plane than this, mm, has left it: less is not to be seen.
const LIFTED: f64 = 0.05;

/// How a plant stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Footing {
    /// See [`Posed::down`].
    pub down: f64,
    /// See [`Posed::slip`], mm.
    pub slip: f64,
}

impl Footing {
    /// Whether it is down, as good as fully.
    pub fn is_down(&self) -> bool {
        self.down >= DOWN
    }
}

impl Posed {
    /// How fully a planted node is down, from 1 to 0: as its anchor holds it. What the palm
    /// carries and what rolls is down until it has left its plane, a point always. None for a
    /// node that is not planted.
    pub fn down(&self, node: NodeId) -> Option<f64> {
        Some(self.footing(self.plant(node)?).down)
    }

    /// Whether a node is planted and down, as good as fully.
    pub fn is_down(&self, node: NodeId) -> bool {
        let plant = self.plant(node);
        plant.is_some_and(|plant| self.footing(plant).is_down())
    }

    /// How far a planted node has slipped, mm: for a point its distance from where it was planted,
    /// in its surface's coordinates; for what rolls, from where it should have rolled to. What
    /// rolls and is not down does not slip: it has let go. None for a node that is not planted.
    pub fn slip(&self, node: NodeId) -> Option<f64> {
        Some(self.footing(self.plant(node)?).slip)
    }

    /// Both of a plant, by its place in the rig's list; as quick as it can be told.
    ///
    /// # Panics
    /// When the rig has no such plant.
    pub fn footing(&self, plant: usize) -> Footing {
        let (anchor, plant) = (self.held_by(plant), &self.rig().plants[plant]);
        if let Some(anchor) = anchor {
            let down = self.hold(anchor.id);
            let slip = match anchor.solver.contact() {
                None => self.strayed(plant),
                Some(_) if down >= DOWN => self.outcome(anchor.id).residual,
                Some(_) => 0.0,
            };
            return Footing { down, slip };
        }
        match self.ball(plant) {
            None => Footing {
                down: 1.0,
                slip: self.strayed(plant),
            },
            Some(ball) if ball.is_lifted() => Footing {
                down: 0.0,
                slip: 0.0,
            },
            Some(ball) => Footing {
                down: 1.0,
                slip: ball.slip(),
            },
        }
    }

    fn plant(&self, node: NodeId) -> Option<usize> {
        self.rig()
            .plants
            .iter()
            .position(|plant| plant.node == node)
    }

    /// A point's distance from where it was planted, mm.
    fn strayed(&self, plant: &Plant) -> f64 {
        let here = Vec3::from(self.local(plant.surface, &self.point(plant.node)));
        (here - Vec3::from(plant.at)).norm()
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
        let turn = (self.here.rotation * self.then.inverse()).scaled_axis();
        let rolled = turn.cross(&Vec3::y()) * self.radius;
        (self.here.translation.vector - self.there - rolled).norm()
    }
}
