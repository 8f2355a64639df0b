//! What a digit's solve needs and its target does not change, kept from one solve to the next.
use super::finger::Finger;
use super::link::Link;
use super::pad::{Frame, Pad};
use super::roll::finger::{Rolled, Roller};
use super::roll::surface::On;
use super::roll::unrolled::Unrolled;
use super::saddle::Saddle;
use super::solved::Solved;
use super::thumb::{self, Thumb};
use crate::plan::Chain;
use crate::{Anchor, Contact, Node, Rotation, Solver, Transform, Vec3};
use alloc::vec;
use alloc::vec::Vec;

/// A finger's or thumb's three joints, and what follows from its structure, its own channels
/// and its collapse alone. Made anew when those are other ones, to the bit: a solve cannot
/// tell what was solved before.
#[derive(Clone, Debug)]
pub(crate) struct Digit {
    /// The channels of the path and the collapse that the rest was made from.
    channels: Vec<[f64; 6]>,
    /// Which of them no bone and no limit depends on: what the solver turns, and the end's turns.
    turning: Vec<[bool; 6]>,
    collapse: f64,
    made: bool,
    /// The joints as they were turned last, the base's offset from the base's parent.
    links: [Link; 3],
    /// The four angles of the channel pose.
    relaxed: [f64; 4],
    tip: Vec3,
    saddle: Saddle,
    pad: Pad,
    kind: Kind,
    /// For a finger with a contact.
    roller: Option<Roller>,
    /// What a contact lies on.
    on: Option<On>,
}

#[derive(Clone, Debug)]
#[allow(
    clippy::large_enum_variant,
    reason = "a digit is in a box of its own, and there are few"
)]
enum Kind {
    Finger(Finger),
    Thumb(Thumb),
}

impl Digit {
    /// Room for an anchor's digit, if it holds one.
    pub(crate) fn room(anchor: &Anchor, chain: &Chain, nodes: &[Node]) -> Option<Self> {
        let kind = match anchor.solver {
            Solver::Finger { .. } => Kind::Finger(Finger::default()),
            Solver::Thumb { .. } => Kind::Thumb(Thumb::default()),
            _ => return None,
        };
        let link = Link::new(&nodes[anchor.base], &[0.0; 6], Transform::identity());
        let (end, above) = chain.path.split_last()?;
        let turning = above.iter().map(|node| {
            let solved = chain.joints.contains(node);
            core::array::from_fn(|at| {
                let (min, max) = nodes[*node].limits[at];
                solved && at < 3 && min < max
            })
        });
        let of_end = core::iter::once(core::array::from_fn(|at| at < 3));
        debug_assert_eq!(chain.joints.last(), Some(end));
        Some(Self {
            channels: vec![[0.0; 6]; chain.path.len()],
            turning: turning.chain(of_end).collect(),
            collapse: 0.0,
            made: false,
            links: [link; 3],
            relaxed: [0.0; 4],
            on: anchor.solver.rolling().as_ref().map(On::new),
            tip: Vec3::zeros(),
            saddle: Saddle::new(&link),
            pad: Pad::default(),
            kind,
            roller: None,
        })
    }

    /// Brings what is kept up to date. `links` sets the chain's joints in their channel pose, the
    /// base's offset from its parent, and gives the end's place in the last.
    pub(super) fn update(
        &mut self,
        chain: &Chain,
        channels: &[[f64; 6]],
        (solver, collapse): (Solver, f64),
        links: impl FnOnce(&mut [Link; 3]) -> Vec3,
    ) {
        let mut stands = self.made && self.collapse == collapse;
        let mut turned = false;
        let now = chain.path.iter().map(|&node| &channels[node]);
        for ((kept, now), turning) in self.channels.iter_mut().zip(now).zip(&self.turning) {
            if kept == now {
                continue;
            }
            turned = true;
            stands &= (0..6).all(|at| turning[at] || kept[at] == now[at]);
            *kept = *now;
        }
        if stands {
            if turned {
                self.relax(chain, channels);
            }
            return;
        }
        (self.collapse, self.made) = (collapse, true);
        self.tip = links(&mut self.links);
        let [base, middle, last] = &mut self.links;
        self.saddle = Saddle::new(base);
        if let Solver::Finger { give, .. } = solver
            && collapse > 0.0
            && let Some(axis) = last.hinge()
        {
            last.limits[axis].0 -= give;
        }
        self.pad = Pad::new(middle, last, self.tip, |v| self.saddle.seen(base, v));
        let limits = [&*middle, &*last].map(|link| {
            let Some(axis) = link.hinge() else {
                unreachable!("the plan admits digits whose further joints are hinges only");
            };
            link.limits[axis]
        });
        let relaxed = self.flexed();
        self.relaxed = relaxed;
        let [base, middle, last] = &self.links;
        match (&mut self.kind, solver) {
            (
                Kind::Finger(finger),
                Solver::Finger {
                    coupling,
                    rest,
                    contact,
                    ..
                },
            ) => {
                finger.make(&self.pad, &self.saddle, limits, coupling - collapse, rest);
                self.roller = contact.map(|contact| {
                    Roller::new(&self.links, self.tip, &self.saddle, &contact, relaxed)
                });
            }
            (Kind::Thumb(thumb), Solver::Thumb { rest, .. }) => {
                let frame = Frame::new(middle, last, self.tip, |v| self.saddle.seen(base, v));
                thumb.make(&self.pad, frame, &self.saddle, limits, rest);
            }
            _ => unreachable!("room was made for the anchor's kind"),
        }
    }

    /// From where a finger's core should have rolled to, to where it is; of a digit with a contact.
    pub(super) fn slip(
        &self,
        contact: &Contact,
        target: &Transform,
        centre: &Vec3,
        last: &Rotation,
    ) -> Vec3 {
        match (&self.kind, &self.on) {
            (Kind::Finger(_), Some(on)) => on.surface(target).slip(&on.outline, centre, last),
            _ => thumb::slip(target, contact, centre, last),
        }
    }

    /// Another channel pose of the same bones within the same limits. The joints' turns are left:
    /// [`Self::turn`] makes them of the angles.
    fn relax(&mut self, chain: &Chain, channels: &[[f64; 6]]) {
        for (link, &joint) in self.links.iter_mut().zip(&chain.joints) {
            let [x, y, z, ..] = channels[joint];
            link.angles = [x, y, z];
        }
        self.saddle.relax(&self.links[0]);
        let relaxed = self.flexed();
        self.relaxed = relaxed;
        if let Some(roller) = &mut self.roller {
            roller.relax(relaxed);
        }
    }

    /// Angles for a target seen from the base's parent.
    pub(super) fn solve(&self, target: Vec3) -> Solved {
        let sight = self.saddle.sight(target);
        match &self.kind {
            Kind::Finger(finger) => finger.solve(&self.pad, &sight),
            Kind::Thumb(thumb) => thumb.solve(&self.pad, sight),
        }
    }

    /// Angles for a target seen from the base's parent, held this fully; none without a contact.
    pub(super) fn roll(&self, contact: &Contact, target: &Transform, hold: f64) -> Option<Rolled> {
        match (&self.kind, &self.roller) {
            (Kind::Finger(finger), Some(roller)) => Some(match Unrolled::new(target, contact) {
                Some(unrolled) => roller.curved(finger, &self.saddle, &unrolled, hold),
                None => {
                    let surface = self.on.as_ref()?.surface(target);
                    roller.solve(finger, &self.saddle, &surface, hold)
                }
            }),
            (Kind::Thumb(thumb), _) => {
                let seen = (&self.pad, &self.saddle);
                Some(thumb.roll(seen, contact, target, (self.relaxed, hold)))
            }
            _ => None,
        }
    }

    /// The four angles of the joints in their channel pose.
    fn flexed(&self) -> [f64; 4] {
        let [_, middle, last] = &self.links;
        let [outer, inner] = self.saddle.relaxed();
        [outer, inner, middle.flexed(), last.flexed()]
    }

    /// Turns the joints by these angles; their frames are not brought up to date.
    pub(super) fn turn(&mut self, [outer, inner, middle, last]: [f64; 4]) {
        self.links[0].angles = self.saddle.angles([outer, inner]);
        for (link, angle) in self.links[1..].iter_mut().zip([middle, last]) {
            if let Some(axis) = link.hinge() {
                link.angles[axis] = angle;
            }
        }
        for link in &mut self.links {
            link.turn = link.order.compose(link.angles);
        }
    }

    /// The joints, as they were turned last.
    pub(super) fn links(&mut self) -> &mut [Link] {
        &mut self.links
    }
}
