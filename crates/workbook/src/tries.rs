//! How often each exercise was tried in vain: as many rungs of its feedback are told. Kept as one
//! setting, `lesson-1-2:3 lesson-4-3:1`.
use rig::few;
use std::collections::BTreeMap;

/// Wrong tries by the slot of their step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tries(BTreeMap<String, u32>);

impl Tries {
    /// As it was written; what cannot be read is left out.
    pub fn read(text: &str) -> Self {
        let each = text.split_whitespace().filter_map(|word| {
            let (slot, count) = word.rsplit_once(':')?;
            Some((slot.to_owned(), count.parse().ok()?))
        });
        Self(few::map(each))
    }

    /// To be kept.
    pub fn written(&self) -> String {
        let each = self.0.iter().map(|(slot, count)| format!("{slot}:{count}"));
        each.collect::<Vec<_>>().join(" ")
    }

    /// One more in vain; how many that makes.
    pub fn miss(&mut self, slot: &str) -> u32 {
        let count = self.0.entry(slot.to_owned()).or_default();
        *count = count.saturating_add(1);
        *count
    }

    /// How many there were.
    pub fn of(&self, slot: &str) -> u32 {
        self.0.get(slot).copied().unwrap_or_default()
    }

    /// It holds: what comes next begins anew.
    pub fn forget(&mut self, slot: &str) {
        self.0.remove(slot);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counted_kept_and_forgotten() {
        let mut tries = Tries::default();
        assert_eq!([tries.miss("lesson-1-2"), tries.miss("lesson-1-2")], [1, 2]);
        tries.miss("lesson-zero-2");
        assert_eq!(Tries::read(&tries.written()), tries);
        tries.forget("lesson-1-2");
        assert_eq!(tries.written(), "lesson-zero-2:1");
        assert_eq!([tries.of("lesson-1-2"), tries.of("lesson-zero-2")], [0, 1]);
        assert_eq!(Tries::read(":: x:-1 a:9 b"), Tries::read("a:9"));
    }
}
