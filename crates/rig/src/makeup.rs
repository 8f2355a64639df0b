//! What a channel's value is made up of: who adds how much, and what is taken away again.
use crate::compile::What;
use crate::posed::shaped;
use crate::{Channel, DEGREES, DialId, NodeId, Posed};

/// How a joint came to stand where it does about one axis: degrees, or mm for a move.
#[derive(Clone, Debug, PartialEq)]
pub struct Makeup {
    /// What each dial adds, in the order of adding; those that add nothing are left out.
    pub dials: Vec<(DialId, f64)>,
    /// What links take off that sum: what runs over, what fades.
    pub parted: f64,
    /// What links bring from other channels, by the link's place in the document.
    pub brought: Vec<(usize, f64)>,
    /// What the joint's own limit takes off all that.
    pub limit: f64,
    /// What is left: the channel.
    pub channel: f64,
    /// What anchors that hold the joint make of it: where it stands less the channel.
    pub contact: f64,
}

impl Makeup {
    /// Where it stands.
    pub fn stands(&self) -> f64 {
        self.channel + self.contact
    }
}

impl Posed {
    /// Who adds how much to a channel, and what is taken away again. Of a channel that nothing
    /// drives all is 0. Panics on a node that the document does not have.
    pub fn makeup(&self, node: NodeId, channel: Channel) -> Makeup {
        let unit = if channel.is_turn() { DEGREES } else { 1.0 };
        let set = self.channel(node, channel) * unit;
        let contact = if channel.is_turn() {
            self.turns(node)[channel.axis()] - set
        } else {
            0.0
        };
        let mut makeup = Makeup {
            dials: Vec::new(),
            parted: 0.0,
            brought: Vec::new(),
            limit: 0.0,
            channel: set,
            contact,
        };
        let Some(at) = self.driven_at(node, channel) else {
            return makeup;
        };
        let driven = &self.compiled.channels[at];
        let mut sum = 0.0;
        for &(place, drive) in &driven.by {
            let dial = &self.rig().dials[place];
            let adds = shaped(dial, &dial.drives[drive], self.setting().dials[place]);
            sum += adds;
            match makeup.dials.last_mut() {
                Some((last, by)) if *last == dial.id => *by += adds,
                _ => makeup.dials.push((dial.id, adds)),
            }
        }
        makeup.dials.retain(|&(_, adds)| adds != 0.0);
        makeup.parted = sum - self.sums.kept[at];
        let mut whole = self.sums.kept[at];
        for &(link, gain) in &driven.gets {
            let brings = gain * self.linked(link).0;
            whole += brings;
            if brings != 0.0 {
                makeup.brought.push((link, brings));
            }
        }
        makeup.limit = whole - driven.within(whole);
        makeup
    }

    /// The sum of what dials add to a channel, before anything is taken away: degrees or mm.
    pub fn dialled(&self, node: NodeId, channel: Channel) -> f64 {
        let at = self.driven_at(node, channel);
        at.map_or(0.0, |at| self.dials_sum(at))
    }

    fn driven_at(&self, node: NodeId, channel: Channel) -> Option<usize> {
        let what = What::Channel(self.compiled(node), channel);
        let mut channels = self.compiled.channels.iter();
        channels.position(|driven| driven.what == what)
    }
}
