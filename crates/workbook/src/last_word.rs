//! What a page leaves when it goes away, and what earlier builds kept: texts to be believed or left.
use crate::record::Seen;
use serde::{Deserialize, Serialize};

/// Work that was not yet on the disk when the page went away.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LastWord {
    pub slot: String,
    pub name: String,
    /// What the page had seen under that name.
    pub seen: Seen,
    pub body: String,
    /// The name of its [`Origin`](crate::record::Origin), and its label.
    pub origin: String,
    pub label: String,
    /// When, ms since 1970.
    pub at: f64,
}

/// The last words in a text; none when it is not understood.
pub fn words(text: &str) -> Option<Vec<LastWord>> {
    serde_json::from_str(text).ok()
}

/// A record of an earlier build: its body, or none when it is no such record.
pub fn earlier_body(text: &str) -> Option<String> {
    #[derive(Deserialize)]
    struct Stored {
        #[expect(dead_code, reason = "a record without it is none")]
        revision: u64,
        body: String,
    }
    serde_json::from_str::<Stored>(text).ok().map(|s| s.body)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    /// SplitMix64: a seeded driver on stable, as the documents' own fuzzing has.
    struct Random(u64);

    impl Random {
        fn below(&mut self, most: usize) -> usize {
            self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut z = self.0;
            z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            ((z ^ (z >> 31)) % most as u64) as usize
        }
    }

    /// A text with a few characters changed, left out, doubled or moved.
    fn spoilt(text: &str, random: &mut Random) -> String {
        const PIECES: [char; 12] = [
            '"', '{', '}', '[', ',', ':', '0', '-', 'e', '\\', '\u{0}', 'é',
        ];
        let mut letters: Vec<char> = text.chars().collect();
        for _ in 0..random.below(5) {
            let at = random.below(letters.len().max(1));
            match random.below(4) {
                0 if at < letters.len() => drop(letters.remove(at)),
                1 if at < letters.len() => letters[at] = PIECES[random.below(PIECES.len())],
                2 => letters.insert(at.min(letters.len()), PIECES[random.below(PIECES.len())]),
                _ => letters.truncate(at),
            }
        }
        letters.into_iter().collect()
    }

    #[test]
    fn stored_records_are_read_or_left_as_they_are() {
        let good = [
            json!({"revision": 3, "body": "{\"format\": \"handstand/1\", \"nodes\": []}"}).to_string(),
            json!([{"slot": "sketch", "name": "sketch", "seen": {"revision": 2, "writer": "a"}, "body": "{}",
                    "origin": "work", "label": "", "at": 5.0}])
            .to_string(),
        ];
        assert!(earlier_body(&good[0]).is_some() && words(&good[1]).is_some_and(|w| w.len() == 1));
        let (mut random, mut read) = (Random(7), 0);
        for round in 0..40_000 {
            let text = spoilt(&good[round % 2], &mut random);
            let value: Value = serde_json::from_str(&text).unwrap_or_default();
            // Read only where an independent look finds what a record must have.
            if let Some(body) = earlier_body(&text) {
                assert!(
                    value["revision"].is_u64() && value["body"] == body,
                    "{text}"
                );
                read += 1;
            }
            for word in words(&text).unwrap_or_default() {
                assert!(text.contains("slot") && word.at.is_finite(), "{text}");
                read += 1;
            }
        }
        assert!(read > 4_000, "only {read} were read");
    }
}
