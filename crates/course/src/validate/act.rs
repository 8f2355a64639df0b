//! What the acts of a task that builds must satisfy on its figure.
use super::{Figure, counted, ensure, filled, listed, positive};
use crate::act::{Act, Hang, Put, Turn};
use crate::fault::{Fault, Fill, Kind};
use rig::{Unit, Vec3};

impl Figure<'_> {
    pub(super) fn acts(&self, acts: &[Act], place: &str) -> Result<(), Fault> {
        ensure(!acts.is_empty(), place, || Kind::NoActs)?;
        listed(acts.len(), place)?;
        acts.iter().enumerate().try_for_each(|(i, act)| {
            let (before, place) = (&acts[..i], format!("{place}[{i}]"));
            for (text, name) in [(act.title(), "title"), (act.how(), "how")] {
                let place = format!("{place}.{name}");
                ensure(!text.trim().is_empty(), &place, || Kind::NoText)?;
                filled(text, &place, |_| false, Fill::Readings)?;
            }
            match act {
                Act::Put(put) => self.put(put, &place),
                Act::Hang(hang) => self.hang(hang, before, &place),
                Act::Turn(turn) => self.turn(turn, before, &place),
            }
        })
    }

    fn put(&self, put: &Put, place: &str) -> Result<(), Fault> {
        self.node(&put.under, place)?;
        let free = self.posed.rig().node_named(&put.mount).is_none();
        ensure(free, place, || Kind::Taken(put.mount.clone()))?;
        ensure(!put.mount.trim().is_empty(), place, || Kind::NoText)
    }

    fn hang(&self, hang: &Hang, before: &[Act], place: &str) -> Result<(), Fault> {
        self.node(&hang.node, place)?;
        self.dial(&hang.dial, place)?;
        let is_put = |act: &Act| matches!(act, Act::Put(put) if put.mount == hang.from);
        ensure(before.iter().any(is_put), place, || {
            Kind::NotPutBefore(hang.from.clone())
        })?;
        let dial = self.posed.rig().dial_named(&hang.dial);
        let idle = dial.is_some_and(|dial| dial.drives.is_empty() && dial.unit == Unit::Degrees);
        ensure(idle, place, || Kind::Driven(hang.dial.clone()))?;
        ensure(!hang.mend.trim().is_empty(), place, || Kind::NoText)?;
        listed(hang.rest.len(), place)?;
        let mut rest = self.posed.clone();
        rest.set_neutral();
        rest.evaluate();
        hang.rest.iter().try_for_each(|(name, [x, y, z])| {
            self.node(name, place)?;
            let node = self.posed.rig().node_named(name);
            let off = node.map(|node| (rest.point(node.id) - Vec3::new(*x, *y, *z)).norm());
            let there = off.is_some_and(|off| off < 1e-6);
            ensure(there, place, || Kind::NotThere(name.clone()))
        })
    }

    fn turn(&self, turn: &Turn, before: &[Act], place: &str) -> Result<(), Fault> {
        let hung = |act: &Act| matches!(act, Act::Hang(hang) if hang.dial == turn.dial);
        ensure(before.iter().any(hung), place, || {
            Kind::NotHungBefore(turn.dial.clone())
        })?;
        self.value(&turn.dial, turn.to, place)?;
        let neutral = self.posed.rig().dial_named(&turn.dial);
        let runs = neutral.is_some_and(|dial| dial.neutral != turn.to);
        ensure(runs, place, || Kind::NoRange)?;
        counted(turn.samples, place)?;
        positive(turn.most, place, "'most'")?;
        self.node(&turn.moves, place)?;
        self.node(&turn.stays, place)?;
        ensure(!turn.still.trim().is_empty(), place, || Kind::NoText)?;
        self.directions(&turn.towards, place)?;
        ensure(!turn.off.is_empty(), place, || Kind::NoSentence("off"))?;
        turn.off.all().try_for_each(|text| {
            let known = |name: &str| matches!(name, "ways" | "off" | "half" | "moved");
            filled(text, place, known, Fill::Strays)
        })
    }
}
