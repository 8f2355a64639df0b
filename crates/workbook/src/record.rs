//! What is kept under a name, and who may write over it. Without a browser, so tested natively.
use serde::{Deserialize, Serialize};

/// Between a slot's name and a copy's.
const COPY: char = '~';
/// Copies of replaced work kept of one place; the oldest then make room.
pub const MOST_REPLACED: usize = 20;

/// A name of this place's: its own, or a copy's. Names come from the tab's own storage, which
/// another script or an older build may have written: `sketch` must not lead to `hand`.
pub fn belongs(name: &str, slot: &str) -> bool {
    name == slot || name.strip_prefix(slot).is_some_and(|n| n.starts_with(COPY))
}

/// Whether a place may be kept under this name.
pub fn is_slot(name: &str) -> bool {
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    name.starts_with(|c: char| c.is_ascii_lowercase()) && name.chars().all(plain)
}

/// A copy's name. Sorted by name copies are in the order of their making.
pub fn copy_name(slot: &str, now: f64, salt: u32) -> String {
    format!("{slot}{COPY}{:012x}{salt:08x}", now as u64)
}

/// Why a copy is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// The place's own work.
    Work,
    /// Two tabs were at one place: what the later one had.
    Tab,
    /// What stood here until something else was opened, made or built.
    Replaced,
    /// This build could not read it.
    Unread,
}

impl Origin {
    const NAMES: [(Self, &'static str); 4] = [
        (Self::Work, "work"),
        (Self::Tab, "tab"),
        (Self::Replaced, "replaced"),
        (Self::Unread, "unread"),
    ];

    pub fn name(self) -> &'static str {
        Self::NAMES[self as usize].1
    }

    pub fn named(name: &str) -> Option<Self> {
        Self::NAMES.iter().find(|n| n.1 == name).map(|n| n.0)
    }
}

/// What is kept under one name.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// One more with each writing.
    pub revision: u64,
    /// The document as a file has it.
    pub body: String,
    pub origin: Origin,
    /// In words, for the list of copies: 'before New'.
    pub label: String,
    /// When, ms since 1970.
    pub at: f64,
    /// The page that wrote it, by the number it drew when it was loaded.
    pub writer: String,
}

/// Which writing of a record a page knows: none at revision 0.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Seen {
    pub revision: u64,
    pub writer: String,
}

impl Seen {
    pub fn of(record: &Record) -> Self {
        Self {
            revision: record.revision,
            writer: record.writer.clone(),
        }
    }
}

/// Fields as they lie in the store, before they are believed.
#[derive(Default)]
pub struct Fields {
    pub revision: Option<f64>,
    pub body: Option<String>,
    pub origin: Option<String>,
    pub label: Option<String>,
    pub at: Option<f64>,
    pub writer: Option<String>,
}

/// Greatest whole number that a browser's number holds without rounding.
const MOST_REVISION: f64 = 9_007_199_254_740_991.0;

impl Record {
    /// None: not a record of this build's making.
    pub fn from_fields(fields: Fields) -> Option<Self> {
        let whole = |x: f64| (1.0..MOST_REVISION).contains(&x) && x.fract() == 0.0;
        Some(Self {
            revision: fields.revision.filter(|x| whole(*x))? as u64,
            body: fields.body?,
            origin: Origin::named(&fields.origin?)?,
            label: fields.label?,
            at: fields.at.filter(|x| x.is_finite())?,
            writer: fields.writer?,
        })
    }
}

/// What is found under a name.
#[derive(Clone, Debug, PartialEq)]
pub enum There {
    Nothing,
    Record(Record),
    /// Something, but no record: its text.
    Unread(String),
}

/// What a page that wants to write finds it may do.
#[derive(Debug, PartialEq, Eq)]
pub enum Turn {
    /// Write here, as this revision.
    Write(u64),
    /// It stands there already.
    Same(Seen),
    /// Somebody else wrote since: keep it beside.
    Beside,
}

/// Whether a page that last saw `seen` may write `body`. Asked and answered within one exclusive
/// transaction, so no other tab can come between.
pub fn turn(there: &There, seen: &Seen, writer: &str, body: &str) -> Turn {
    match there {
        There::Nothing => Turn::Write(seen.revision + 1),
        There::Unread(_) => Turn::Beside,
        There::Record(record) if record.body == body => Turn::Same(Seen::of(record)),
        // This page's own last word may have been written for it by another.
        There::Record(record) if Seen::of(record) == *seen || record.writer == writer => {
            Turn::Write(record.revision + 1)
        }
        There::Record(_) => Turn::Beside,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(revision: f64) -> Fields {
        let text = |t: &str| Some(t.to_string());
        Fields {
            revision: Some(revision),
            body: text("{}"),
            origin: text("work"),
            label: text(""),
            at: Some(5.0),
            writer: text("me"),
        }
    }

    fn record(revision: u64, writer: &str, body: &str) -> There {
        There::Record(Record {
            revision,
            body: body.into(),
            origin: Origin::Work,
            label: String::new(),
            at: 0.0,
            writer: writer.into(),
        })
    }

    #[test]
    fn k6_a_name_leads_nowhere_else() {
        assert!(belongs("sketch", "sketch") && belongs("sketch~1f", "sketch"));
        for name in [
            "set/look",
            "hand",
            "sketch-2",
            "sketc",
            "",
            "hand~1",
            "lesson-1-10",
        ] {
            assert!(
                !belongs(name, "sketch") && !belongs(name, "lesson-1-1"),
                "{name}"
            );
        }
        assert!(is_slot("lesson-4-play") && is_slot("hand-rail-lean"));
        assert!(!is_slot("set/look") && !is_slot("sketch~1") && !is_slot("") && !is_slot("-"));
    }

    #[test]
    fn k2_odd_records_are_not_believed() {
        assert!(Record::from_fields(fields(3.0)).is_some());
        for odd in [0.0, -1.0, 2.5, f64::NAN, f64::INFINITY, 1e300] {
            assert_eq!(Record::from_fields(fields(odd)), None, "{odd}");
        }
        let gaps: [fn(&mut Fields); 6] = [
            |f| f.revision = None,
            |f| f.body = None,
            |f| f.origin = Some("later".into()),
            |f| f.label = None,
            |f| f.at = Some(f64::NAN),
            |f| f.writer = None,
        ];
        for gap in gaps {
            let mut fields = fields(1.0);
            gap(&mut fields);
            assert_eq!(Record::from_fields(fields), None);
        }
    }

    #[test]
    fn k4_who_wrote_since_is_not_written_over() {
        let seen = |revision, writer: &str| Seen {
            revision,
            writer: writer.into(),
        };
        let asked = |there: &There, seen: Seen| turn(there, &seen, "me", "b");
        assert_eq!(asked(&There::Nothing, Seen::default()), Turn::Write(1));
        assert_eq!(
            asked(&record(4, "you", "a"), seen(4, "you")),
            Turn::Write(5)
        );
        assert_eq!(asked(&record(5, "you", "a"), seen(4, "you")), Turn::Beside);
        // The same number from somebody else is another writing.
        assert_eq!(asked(&record(4, "they", "a"), seen(4, "you")), Turn::Beside);
        assert_eq!(
            asked(&record(5, "you", "b"), seen(4, "you")),
            Turn::Same(seen(5, "you"))
        );
        assert_eq!(asked(&record(5, "me", "a"), seen(4, "me")), Turn::Write(6));
        assert_eq!(
            asked(&There::Unread("?".into()), seen(4, "me")),
            Turn::Beside
        );
    }

    #[test]
    fn copies_sort_by_time() {
        let early = copy_name("sketch", 1.8e12, 7);
        let late = copy_name("sketch", 1.8e12 + 1.0, 3);
        assert!(early < late && belongs(&early, "sketch"));
    }
}
