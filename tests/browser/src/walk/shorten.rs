//! The fewest acts that still fail: delta debugging (Zeller & Hildebrandt 2002, from memory).

use anyhow::Result;
use std::time::Instant;

/// Leaves out what the failure does not need, until nothing more can go or the time is up. `fails`
/// tells whether a list still fails in the same way.
pub async fn shorten<T: Clone>(
    mut acts: Vec<T>,
    until: Instant,
    mut fails: impl AsyncFnMut(&[T]) -> Result<bool>,
) -> Result<Vec<T>> {
    // What went wrong was most likely begun lately: the shortest end that fails, by doubling.
    let mut tail = 8;
    while tail < acts.len() && Instant::now() < until {
        let end = &acts[acts.len() - tail..];
        if fails(end).await? {
            acts = end.to_vec();
            break;
        }
        tail *= 4;
    }
    let mut chunk = acts.len().div_ceil(2);
    while chunk > 0 {
        let (mut at, mut shorter) = (0, false);
        while at < acts.len() && acts.len() > 1 {
            if Instant::now() >= until {
                return Ok(acts);
            }
            let end = (at + chunk).min(acts.len());
            let without: Vec<T> = [&acts[..at], &acts[end..]].concat();
            if !without.is_empty() && fails(&without).await? {
                acts = without;
                shorter = true;
            } else {
                at = end;
            }
        }
        // One by one until a whole round finds nothing to leave out.
        if chunk > 1 || !shorter {
            chunk /= 2;
        }
    }
    Ok(acts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    async fn fewest(needed: &[u32], of: u32) -> Vec<u32> {
        let until = Instant::now() + Duration::from_secs(60);
        let fails = async |acts: &[u32]| Ok(needed.iter().all(|n| acts.contains(n)));
        shorten((0..of).collect(), until, fails)
            .await
            .expect("nothing fails to answer")
    }

    #[tokio::test]
    async fn only_what_is_needed_is_left() {
        assert_eq!(fewest(&[999], 1000).await, [999]);
        assert_eq!(fewest(&[3, 500, 997], 1000).await, [3, 500, 997]);
        assert_eq!(fewest(&[0, 1], 2).await, [0, 1]);
        assert_eq!(fewest(&[0], 1).await, [0]);
    }

    #[tokio::test]
    async fn time_that_is_up_leaves_the_acts_as_they_are() {
        let fails = async |_: &[u32]| Ok(true);
        let left = shorten(vec![1, 2, 3], Instant::now(), fails).await;
        assert_eq!(left.expect("no answer needed"), [1, 2, 3]);
    }
}
