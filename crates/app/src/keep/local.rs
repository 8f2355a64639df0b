//! The browser's small synchronous stores: settings; a page's last word, written as it goes away,
//! when nothing slower would be heard; and what earlier builds kept there.
use super::record::Seen;
use serde::{Deserialize, Serialize};
use web_sys::Storage;

const PREFIX: &str = "handstand/1/";
const SETTING: &str = "set/";
const LAST_WORD: &str = "last/";

fn area() -> Option<Storage> {
    leptos::prelude::window().local_storage().ok().flatten()
}

fn area_of_tab() -> Option<Storage> {
    leptos::prelude::window().session_storage().ok().flatten()
}

/// A small setting, last writer wins.
pub fn setting(name: &str) -> Option<String> {
    area()?.get_item(&format!("{PREFIX}{SETTING}{name}")).ok()?
}

/// Keeps a small setting.
pub fn set_setting(name: &str, value: &str) {
    if let Some(area) = area() {
        let _ = area.set_item(&format!("{PREFIX}{SETTING}{name}"), value);
    }
}

/// The name under which this tab, reloads included, keeps a place's work.
pub fn name_of_tab(slot: &str) -> Option<String> {
    area_of_tab()?.get_item(&format!("{PREFIX}{slot}")).ok()?
}

/// This tab keeps a place's work under that name from now on.
pub fn set_name_of_tab(slot: &str, name: &str) {
    if let Some(area) = area_of_tab() {
        let _ = area.set_item(&format!("{PREFIX}{slot}"), name);
    }
}

/// The page that was in this tab before, by the number it drew.
pub fn page_of_tab() -> Option<String> {
    area_of_tab()?
        .get_item(&format!("{PREFIX}{SETTING}page"))
        .ok()?
}

/// This tab's next page will want to know which it follows.
pub fn set_page_of_tab(page: &str) {
    if let Some(area) = area_of_tab() {
        let _ = area.set_item(&format!("{PREFIX}{SETTING}page"), page);
    }
}

/// Work that was not yet on the disk when the page went away.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LastWord {
    pub slot: String,
    pub name: String,
    /// What the page had seen under that name.
    pub seen: Seen,
    pub body: String,
    /// The name of its [`Origin`](super::Origin), and its label.
    pub origin: String,
    pub label: String,
    /// When, ms since 1970.
    pub at: f64,
}

/// Leaves a page's last words for whoever comes next; none takes them back. Whether they are there.
pub fn leave(writer: &str, words: &[LastWord]) -> bool {
    let Some(area) = area() else { return false };
    let key = format!("{PREFIX}{LAST_WORD}{writer}");
    if words.is_empty() {
        return area.remove_item(&key).is_ok();
    }
    serde_json::to_string(words).is_ok_and(|text| area.set_item(&key, &text).is_ok())
}

/// What a page had still to say, and as what text it lies there.
pub struct LastWords {
    pub writer: String,
    pub words: Vec<LastWord>,
    text: String,
}

/// All last words. Those that cannot be understood, a newer build's perhaps, are left to it.
pub fn last_words() -> Vec<LastWords> {
    let read = |key: String| {
        let writer = key.strip_prefix(LAST_WORD)?.to_string();
        let text = area()?.get_item(&format!("{PREFIX}{key}")).ok()??;
        let words = words(&text)?;
        Some(LastWords {
            writer,
            words,
            text,
        })
    };
    keys().into_iter().filter_map(read).collect()
}

fn words(text: &str) -> Option<Vec<LastWord>> {
    serde_json::from_str(text).ok()
}

/// Takes away last words that were heard, unless their page has come back and said others.
pub fn forget_last_words(heard: &LastWords) {
    let Some(area) = area() else { return };
    let key = format!("{PREFIX}{LAST_WORD}{}", heard.writer);
    if area.get_item(&key).ok().flatten().as_ref() == Some(&heard.text) {
        let _ = area.remove_item(&key);
    }
}

/// What earlier builds kept here: names and texts.
pub fn earlier() -> Vec<(String, String)> {
    let read = |key: String| {
        let ours = key.starts_with(SETTING) || key.starts_with(LAST_WORD) || key == "probe";
        let text = area()?.get_item(&format!("{PREFIX}{key}")).ok()??;
        (!ours).then_some((key, text))
    };
    keys().into_iter().filter_map(read).collect()
}

/// Forgets what has been taken over.
pub fn forget_earlier(name: &str) {
    if let Some(area) = area() {
        let _ = area.remove_item(&format!("{PREFIX}{name}"));
    }
}

/// Every key of ours, without what they begin with.
fn keys() -> Vec<String> {
    let Some(area) = area() else {
        return Vec::new();
    };
    let count = area.length().unwrap_or(0);
    (0..count)
        .filter_map(|at| area.key(at).ok()?)
        .filter_map(|key| key.strip_prefix(PREFIX).map(String::from))
        .collect()
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
