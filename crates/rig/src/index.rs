//! From ids to places in a list, in constant time.

/// Where each id stands in its list. Ids are small and dense, so this is a plain table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Index(Vec<u32>);

const ABSENT: u32 = u32::MAX;

impl Index {
    /// Indexes ids in list order.
    pub fn new(ids: impl Iterator<Item = u32> + Clone) -> Self {
        let size = ids.clone().max().map_or(0, |id| id as usize + 1);
        let mut table = vec![ABSENT; size];
        for (place, id) in ids.enumerate() {
            table[id as usize] = place as u32;
        }
        Self(table)
    }

    /// The place of an id, if it has one.
    pub fn get(&self, id: u32) -> Option<usize> {
        self.0
            .get(id as usize)
            .filter(|&&place| place != ABSENT)
            .map(|&place| place as usize)
    }
}
