//! What has to be evaluated again. Cloned with all its room, so that a clone of a pose
//! allocates nothing either when it is evaluated.
use alloc::vec;
use alloc::vec::Vec;

/// What changed since the last evaluation: a flag each, and their list.
#[derive(Debug, Default)]
pub(crate) struct Changed {
    flags: Vec<bool>,
    list: Vec<usize>,
}

impl Changed {
    pub(crate) fn room(count: usize) -> Self {
        Self {
            flags: vec![false; count],
            list: Vec::with_capacity(count),
        }
    }

    #[inline]
    pub(crate) fn insert(&mut self, at: usize) {
        if !self.flags[at] {
            self.flags[at] = true;
            self.list.push(at);
        }
    }

    pub(crate) fn list(&self) -> &[usize] {
        &self.list
    }

    pub(crate) fn clear(&mut self) {
        for &at in &self.list {
            self.flags[at] = false;
        }
        self.list.clear();
    }
}

impl PartialEq for Changed {
    /// The same in the same order.
    fn eq(&self, other: &Self) -> bool {
        self.list == other.list
    }
}

impl Clone for Changed {
    fn clone(&self) -> Self {
        let mut clone = Self::room(self.flags.len());
        self.list.iter().for_each(|&at| clone.insert(at));
        clone
    }
}

/// The steps of the plan to run again, as bits in plan order. They are kept until something else
/// has changed than what they follow from: a sweep, a drag and a motion move the same again and
/// again.
#[derive(Debug, Default)]
pub(crate) struct DirtySteps {
    /// The nodes and anchors whose change they follow from.
    pub(crate) from: [Changed; 2],
    pub(crate) bits: Vec<u64>,
    pub(crate) stack: Vec<usize>,
    /// Words `first..end` may hold set bits.
    pub(crate) first: usize,
    pub(crate) end: usize,
    /// Nothing has been evaluated yet.
    pub(crate) all: bool,
}

impl DirtySteps {
    /// Of so many steps, none of which has run, for so many nodes and anchors.
    pub(crate) fn all(steps: usize, [nodes, anchors]: [usize; 2]) -> Self {
        Self {
            from: [Changed::room(nodes), Changed::room(anchors)],
            bits: vec![0; steps.div_ceil(64)],
            stack: Vec::with_capacity(steps),
            first: 0,
            end: 0,
            all: true,
        }
    }

    /// Sets a step's bit; true if it was clear.
    pub(crate) fn insert(&mut self, step: usize) -> bool {
        let (word, bit) = (step / 64, 1 << (step % 64));
        if self.bits[word] & bit != 0 {
            return false;
        }
        self.bits[word] |= bit;
        if self.first == self.end {
            (self.first, self.end) = (word, word + 1);
        } else if word < self.first {
            self.first = word;
        } else if word >= self.end {
            self.end = word + 1;
        }
        true
    }

    /// The steps whose bits are set, in order.
    #[inline]
    pub(crate) fn steps(&self) -> impl Iterator<Item = usize> {
        let (mut word, mut bits) = (self.first, 0);
        core::iter::from_fn(move || {
            while bits == 0 {
                if word >= self.end {
                    return None;
                }
                bits = self.bits[word];
                word += 1;
            }
            let step = (word - 1) * 64 + bits.trailing_zeros() as usize;
            bits &= bits - 1;
            Some(step)
        })
    }

    /// Clears every bit.
    pub(crate) fn clear(&mut self) {
        self.bits[self.first..self.end].fill(0);
        (self.first, self.end, self.all) = (0, 0, false);
    }
}

impl Clone for DirtySteps {
    fn clone(&self) -> Self {
        Self {
            from: self.from.clone(),
            bits: self.bits.clone(),
            // Empty but while marking.
            stack: Vec::with_capacity(self.stack.capacity()),
            ..*self
        }
    }
}
