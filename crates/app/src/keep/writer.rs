//! The one writer: what is to be kept waits here until it is on the disk.
use super::database::Database;
use super::local;
use super::opening::{failed, ready};
use super::page::{go_on_with, name_of, note_seen, page, record, salt, seen};
use rig::few;
use std::cell::{Cell, RefCell};
use std::collections::{BTreeSet, VecDeque};
use workbook::last_word::LastWord;
use workbook::record::{MOST_REPLACED, Origin, Seen, There, belongs, copy_name};
use workbook::unkept::Why;

/// Something to be written.
#[derive(Clone)]
struct Job {
    slot: String,
    name: String,
    body: String,
    origin: Origin,
    label: String,
}

/// What became of a writing, for the screen.
pub enum Outcome {
    Kept,
    /// As a copy that was asked for.
    Copied,
    /// Another tab was here: the work goes on in a copy.
    Beside,
    Not(Why),
}

thread_local! {
    static JOBS: RefCell<VecDeque<Job>> = const { RefCell::new(VecDeque::new()) };
    static WRITING: Cell<bool> = const { Cell::new(false) };
}

/// What waits to be written under a name.
pub fn waiting(name: &str) -> Option<String> {
    JOBS.with_borrow(|jobs| {
        let job = jobs.iter().find(|job| job.name == name)?;
        Some(job.body.clone())
    })
}

/// Asks for a place's work to be kept. What waits for the same name is written over.
pub fn ask(slot: &str, body: String) {
    let name = name_of(slot);
    JOBS.with_borrow_mut(|jobs| {
        jobs.retain(|job| job.name != name);
        jobs.push_back(Job {
            slot: slot.into(),
            name,
            body,
            origin: Origin::Work,
            label: String::new(),
        });
    });
}

/// Asks for a copy of what is about to be replaced.
pub fn ask_copy(slot: &str, body: String, label: &str) {
    let name = copy_name(slot, js_sys::Date::now(), salt());
    JOBS.with_borrow_mut(|jobs| {
        jobs.push_back(Job {
            slot: slot.into(),
            name,
            body,
            origin: Origin::Replaced,
            label: label.into(),
        });
    });
}

/// Writes what was asked for, one after the other, and tells of each place. Does nothing while it is
/// at it already; what cannot be written waits for the next time.
pub async fn write(mut tell: impl FnMut(&str, Outcome)) {
    if WRITING.replace(true) {
        return;
    }
    // Nothing to write: whether it could be is still worth knowing.
    if JOBS.with_borrow(VecDeque::is_empty) {
        tell(
            "",
            match ready().await {
                Ok(_) => Outcome::Kept,
                Err(why) => Outcome::Not(why),
            },
        );
    }
    // A place's work that does not fit must not keep out another's.
    let mut full = BTreeSet::new();
    let next = |full: &BTreeSet<String>| {
        JOBS.with_borrow(|jobs| jobs.iter().find(|job| !full.contains(&job.slot)).cloned())
    };
    // In the queue until it is on the disk, so that a last word can still say it.
    while let Some(job) = next(&full) {
        match write_one(&job).await {
            Ok(outcome) => {
                JOBS.with_borrow_mut(|jobs| {
                    jobs.retain(|waiting| waiting.name != job.name || waiting.body != job.body);
                });
                if full.is_empty() || !matches!(outcome, Outcome::Kept) {
                    tell(&job.slot, outcome);
                }
            }
            Err(why) => {
                failed(why);
                tell(&job.slot, Outcome::Not(why));
                if why != Why::Full {
                    break;
                }
                full.insert(job.slot);
            }
        }
    }
    WRITING.set(false);
}

async fn write_one(job: &Job) -> Result<Outcome, Why> {
    let database = ready().await?;
    if job.origin == Origin::Replaced {
        return write_copy(&database, job).await;
    }
    let beside = copy_name(&job.slot, js_sys::Date::now(), salt());
    let said = record(job.body.clone(), job.origin, job.label.clone());
    let written = database
        .put(&job.name, &beside, &seen(&job.name), said)
        .await?;
    if !written.beside {
        note_seen(&job.name, written.seen);
        return Ok(Outcome::Kept);
    }
    note_seen(&beside, written.seen);
    go_on_with(&job.slot, &beside);
    // What was asked for meanwhile belongs to the copy as well.
    JOBS.with_borrow_mut(|jobs| {
        for waiting in jobs
            .iter_mut()
            .filter(|w| w.name == job.name && w.body != job.body)
        {
            waiting.name.clone_from(&beside);
        }
    });
    Ok(Outcome::Beside)
}

/// Keeps a copy of replaced work, unless the very same is kept already; the oldest beyond the most
/// that are kept make room.
async fn write_copy(database: &Database, job: &Job) -> Result<Outcome, Why> {
    let mut others = Vec::new();
    for (name, there) in database.all(|name| belongs(name, &job.slot)).await? {
        if let There::Record(record) = there
            && record.origin == Origin::Replaced
        {
            if record.body == job.body {
                return Ok(Outcome::Kept);
            }
            others.push((record.at, name));
        }
    }
    few::sort(&mut others, |a, b| a.0.total_cmp(&b.0));
    let mut copy = record(job.body.clone(), job.origin, job.label.clone());
    // The newest, though the clock may have been set back.
    if let Some((newest, _)) = others.last() {
        copy.at = copy.at.max(newest + 1.0);
    }
    database
        .put(&job.name, &job.name, &Seen::default(), copy)
        .await?;
    let over = (others.len() + 1).saturating_sub(MOST_REPLACED);
    let names: Vec<_> = others.into_iter().take(over).map(|r| r.1).collect();
    if !names.is_empty() {
        database.remove(&names).await?;
    }
    Ok(Outcome::Copied)
}

/// Leaves what is not on the disk yet for the next page, as this one goes away. Whether it is left.
pub fn leave_last_words() -> bool {
    let words: Vec<_> = JOBS.with_borrow(|jobs| {
        let word = |job: &Job| LastWord {
            slot: job.slot.clone(),
            name: job.name.clone(),
            seen: seen(&job.name),
            body: job.body.clone(),
            origin: job.origin.name().into(),
            label: job.label.clone(),
            at: js_sys::Date::now(),
        };
        jobs.iter().map(word).collect()
    });
    local::set_page_of_tab(&page());
    local::leave(&page(), &words)
}

/// The page lives on: it says by itself what it has to say.
pub fn take_back_last_words() {
    local::leave(&page(), &[]);
}
