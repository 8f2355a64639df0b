//! Reading what is kept of a place, and its copies.
use super::opening::{database, failed, ready};
use super::page::{go_on_with, name_of, note_seen, record, salt, seen, take_beside};
use super::writer::waiting;
use rig::few;
use workbook::record::{Origin, Seen, There, belongs, copy_name};
use workbook::unkept::Why;

/// What is kept of a place.
pub enum Found {
    Nothing,
    Body(String),
    /// Kept by another build, or spoilt; it has been set aside as a copy.
    SetAside,
    /// Nothing can be read here now.
    Unknown,
}

/// A place's work, read.
pub struct Loaded {
    pub found: Found,
    /// Why nothing could be written.
    pub unkept: Option<Why>,
    /// It is this tab's work, from before it was loaded anew; another tab's has the place's name.
    pub beside: bool,
    name: String,
    seen: Seen,
}

impl Loaded {
    /// It stands on the plate now: what is kept next follows upon it.
    pub fn opened(&self) {
        note_seen(&self.name, self.seen.clone());
    }
}

/// A copy, for the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Listed {
    pub name: String,
    pub label: String,
    pub at: f64,
}

/// What is kept of a place, as far as this page is concerned. `readable` tells whether this build
/// can read a body; what it cannot is set aside, never written over.
pub async fn load(slot: &str, readable: impl Fn(&str) -> bool) -> Loaded {
    let mut loaded = Loaded {
        found: Found::Nothing,
        unkept: None,
        beside: false,
        name: name_of(slot),
        seen: Seen::default(),
    };
    if let Err(why) = load_into(&mut loaded, slot, readable).await {
        failed(why);
        loaded.found = Found::Unknown;
        loaded.unkept = Some(why);
    }
    loaded
}

async fn load_into(
    loaded: &mut Loaded,
    slot: &str,
    readable: impl Fn(&str) -> bool,
) -> Result<(), Why> {
    if let Some(body) = waiting(&loaded.name) {
        loaded.seen = seen(&loaded.name);
        loaded.found = Found::Body(body);
        return Ok(());
    }
    let database = database().await?;
    // What cannot be written to may still be read.
    loaded.unkept = ready().await.err();
    loaded.beside = take_beside(slot);
    loaded.name = name_of(slot);
    let mut there = database.get(&loaded.name).await?;
    if there == There::Nothing && loaded.name != slot {
        // The copy that this tab was at is gone.
        go_on_with(slot, slot);
        loaded.name = slot.into();
        there = database.get(slot).await?;
    }
    let found = match there {
        There::Nothing => return Ok(()),
        There::Record(record) => Some(record),
        There::Unread(_) => None,
    };
    if let Some(record) = found.filter(|r| readable(&r.body)) {
        loaded.seen = Seen::of(&record);
        loaded.found = Found::Body(record.body);
        return Ok(());
    }
    let label = "cannot be read by this build";
    let copy = copy_name(slot, js_sys::Date::now(), salt());
    let aside = record(String::new(), Origin::Unread, label.into());
    database.set_aside(&loaded.name, &copy, aside).await?;
    loaded.found = Found::SetAside;
    Ok(())
}

/// The copies of a place: everything kept of it but what this page is writing, newest first.
pub async fn copies(slot: &str) -> Vec<Listed> {
    let own = name_of(slot);
    let Ok(database) = database().await else {
        return Vec::new();
    };
    let all = database
        .all(|name| belongs(name, slot) && name != own)
        .await
        .unwrap_or_default();
    let listed = |(name, there): (String, There)| match there {
        There::Nothing => None,
        There::Unread(_) => Some(Listed {
            name,
            label: "cannot be read by this build".into(),
            at: 0.0,
        }),
        There::Record(record) => Some(Listed {
            name,
            label: match record.origin {
                Origin::Work => "from another tab".into(),
                _ => record.label,
            },
            at: record.at,
        }),
    };
    let mut copies: Vec<_> = all.into_iter().filter_map(listed).collect();
    few::sort(&mut copies, |a, b| b.at.total_cmp(&a.at));
    copies
}

/// A copy's text, if it is still there.
pub async fn copy_text(name: &str) -> Result<Option<String>, Why> {
    Ok(match database().await?.get(name).await? {
        There::Nothing => None,
        There::Record(record) => Some(record.body),
        There::Unread(text) => Some(text),
    })
}
