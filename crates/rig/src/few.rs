//! Short lists put in order, sets and maps filled one by one. The standard library sorts for each of
//! them, and every type that it sorts is 4 kB of code that a page loads; of these there are a dozen.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// Sorts a short list, equal ones staying in order; its time grows with the square of its length.
pub fn sort<T>(items: &mut [T], order: impl Fn(&T, &T) -> Ordering) {
    for end in 1..items.len() {
        let mut at = end;
        while at > 0 && order(&items[at - 1], &items[at]).is_gt() {
            items.swap(at - 1, at);
            at -= 1;
        }
    }
}

/// What `collect` makes.
pub fn set<T: Ord>(items: impl IntoIterator<Item = T>) -> BTreeSet<T> {
    let mut set = BTreeSet::new();
    set.extend(items);
    set
}

/// What `collect` makes: of two with one key the later.
pub fn map<K: Ord, V>(items: impl IntoIterator<Item = (K, V)>) -> BTreeMap<K, V> {
    let mut map = BTreeMap::new();
    map.extend(items);
    map
}

#[cfg(test)]
mod tests {
    use super::sort;

    #[test]
    fn sorted_as_by_std() {
        let mut seed = 1_u32;
        for length in 0..40 {
            let mut items: Vec<(u32, usize)> = (0..length)
                .map(|at| {
                    seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    (seed >> 29, at)
                })
                .collect();
            let mut by_std = items.clone();
            by_std.sort_by_key(|item| item.0);
            sort(&mut items, |a, b| a.0.cmp(&b.0));
            assert_eq!(items, by_std);
        }
    }
}
