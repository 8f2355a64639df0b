//! A small number for each step of the course, kept as one setting, `lesson-1-2:3 lesson-4-3:1`:
//! how often an exercise was tried in vain, how good a prediction was at first.
use rig::few;
use std::collections::BTreeMap;

/// Numbers by the slots of steps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PerStep(BTreeMap<String, u32>);

impl PerStep {
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

    /// Its number; 0 where there is none.
    pub fn of(&self, slot: &str) -> u32 {
        self.0.get(slot).copied().unwrap_or_default()
    }

    /// Gives a step a number; 0 takes it away.
    pub fn set(&mut self, slot: &str, number: u32) {
        if number == 0 {
            self.0.remove(slot);
        } else {
            self.0.insert(slot.to_owned(), number);
        }
    }

    /// How many steps have this number.
    pub fn count(&self, number: u32) -> usize {
        self.0.values().filter(|found| **found == number).count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn set_counted_kept_and_forgotten() {
        let mut tries = PerStep::default();
        tries.set("lesson-1-2", 2);
        tries.set("lesson-zero-2", 1);
        tries.set("lesson-4-3", 1);
        assert_eq!(PerStep::read(&tries.written()), tries);
        assert_eq!([tries.count(1), tries.count(2), tries.count(3)], [2, 1, 0]);
        tries.set("lesson-4-3", 0);
        tries.set("lesson-1-2", 0);
        assert_eq!(tries.written(), "lesson-zero-2:1");
        assert_eq!([tries.of("lesson-1-2"), tries.of("lesson-zero-2")], [0, 1]);
        assert_eq!(PerStep::read(":: x:-1 a:9 b"), PerStep::read("a:9"));
    }
}
