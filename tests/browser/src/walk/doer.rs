//! Does acts, looks at the page after each, and tells what must not be.

use super::act::{Act, Stroke};
use super::fault::{Fault, Kind, differ};
use crate::{Acts, Browser, Key, Look, Page, Size};
use anyhow::{Context, Result, bail};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::HashMap;
use std::time::Duration;
use workbook::route::Route;

const LOOK: &str = include_str!("look.js");

/// How long the slowest act may take on a busy machine.
const PATIENCE: Duration = Duration::from_secs(40);

/// Comes back when what a press has set going is over: it plays for 1.2 s from its first frame on, and
/// what it makes of the document then would come between two looks at it.
const PLAYED: &str = "new Promise((done) => requestAnimationFrame(() => \
    setTimeout(() => requestAnimationFrame(() => requestAnimationFrame(() => done(0))), 1300)))";

/// More undos than a walk can make: a history that never ends is a fault.
const MOST_UNDOS: usize = 1000;

/// What `look` gives.
#[derive(Debug, Default, Deserialize)]
struct Seen {
    hash: String,
    focus: String,
    stopped: Option<String>,
    faults: Vec<Heard>,
    targets: Vec<(String, String)>,
}

#[derive(Debug, Deserialize)]
struct Heard {
    kind: String,
    said: String,
}

/// A target's box, px.
#[derive(Clone, Copy, Debug, Deserialize)]
struct Place {
    x: f64,
    y: f64,
    width: f64,
    height: f64,
    /// Where a slider's thumb is.
    part: f64,
    window: [f64; 2],
}

impl Place {
    /// A point by its parts of the box and px from there, within the window: a driver refuses others.
    fn at(&self, [right, down]: [f64; 2], [x, y]: [f64; 2]) -> (f64, f64) {
        let within = |v: f64, most: f64| v.clamp(1.0, (most - 2.0).max(1.0));
        (
            within(self.x + self.width * right + x, self.window[0]),
            within(self.y + self.height * down + y, self.window[1]),
        )
    }
}

/// One who walks.
pub struct Doer<'a> {
    page: &'a Page,
    seen: Seen,
    size: Size,
    /// By slot, the document that was there when it was first opened since the last reload.
    first: HashMap<String, String>,
    /// By slot, the document as it was left, where nothing can have changed it since.
    left: HashMap<String, String>,
    taken_back: usize,
    /// Whether something may be playing, at whose end the document is changed.
    plays: bool,
    /// How long an act may take, with all the page does about it.
    pub patience: Duration,
}

/// Done, or no such target; or a fault.
type Done = Result<bool, Fault>;

impl<'a> Doer<'a> {
    /// On the front page, with nothing kept.
    pub async fn start(page: &'a Page) -> Result<Doer<'a>> {
        page.forget_all().await?;
        page.open("#/", Size::DESKTOP, Look::Paper).await?;
        page.complaints().await?;
        let mut doer = Doer {
            page,
            seen: Seen::default(),
            size: Size::DESKTOP,
            first: HashMap::new(),
            left: HashMap::new(),
            taken_back: 0,
            plays: false,
            patience: PATIENCE,
        };
        if let Err(fault) = doer.look().await? {
            bail!("before the first act: {fault}");
        }
        Ok(doer)
    }

    pub fn targets(&self) -> &[(String, String)] {
        &self.seen.targets
    }

    /// What has the focus, by its tag.
    pub fn focus(&self) -> &str {
        &self.seen.focus
    }

    pub fn taken_back(&self) -> usize {
        self.taken_back
    }

    /// Does an act and looks. `false` when what it is about is not there.
    pub async fn take(&mut self, act: &Act) -> Done {
        let patience = self.patience;
        let Ok(taken) = tokio::time::timeout(patience, self.do_and_look(act)).await else {
            let said = format!("not within {} s", patience.as_secs());
            return Err(Fault::new(Kind::Mute, said));
        };
        match taken {
            Ok(done) => done,
            Err(why) => Err(self.explain(why).await),
        }
    }

    async fn do_and_look(&mut self, act: &Act) -> Result<Done> {
        let before = self.seen.hash.clone();
        let done = match self.perform(act).await? {
            Ok(done) => done,
            fault => return Ok(fault),
        };
        if let Err(fault) = self.look().await? {
            return Ok(Err(fault));
        }
        Ok(self.arrive(&before, act).await?.map(|()| done))
    }

    /// A page that cannot be worked with is most often a program that has stopped.
    async fn explain(&self, why: anyhow::Error) -> Fault {
        let stopped = "document.querySelector('.alarm code')?.textContent ?? null";
        match self.page.eval(stopped).await {
            Ok(Value::String(said)) => self.stopped(said).await,
            _ => Fault::new(Kind::Mute, format!("{why:#}")),
        }
    }

    /// What the program said, and what the browser had said before: a trap or an exception leaves
    /// locks shut behind it, and the program stops over those.
    async fn stopped(&self, said: String) -> Fault {
        let heard = self.page.complaints().await.unwrap_or_default();
        let first = said.lines().next().unwrap_or_default();
        let other = heard.iter().take_while(|heard| !heard.contains(first));
        let before: String = other.map(|heard| format!("\nbefore it, {heard}")).collect();
        Fault::new(Kind::Stopped, format!("{said}{before}"))
    }

    async fn perform(&mut self, act: &Act) -> Result<Done> {
        let touch = self.size.mobile && self.page.browser() == Browser::Chromium;
        let acts = || {
            if touch { Acts::by_touch() } else { Acts::new() }
        };
        const MIDDLE: [f64; 2] = [0.5, 0.5];
        self.plays |= match act {
            Act::Press(on) => on.contains("Show what happens"),
            Act::Key(stroke, _) => matches!(stroke, Stroke::Enter | Stroke::Space),
            _ => false,
        };
        let acts = match act {
            Act::Press(on) => match self.place(on).await? {
                Some(place) => acts().click(place.at(MIDDLE, [0.0; 2])),
                None => return Ok(Ok(false)),
            },
            Act::PressTwice(on, part) => match self.place(on).await? {
                Some(place) => {
                    let at = place.at(*part, [0.0; 2]);
                    acts().click(at).down().up()
                }
                None => return Ok(Ok(false)),
            },
            Act::Slide(on, part) => match self.place(on).await? {
                Some(place) => {
                    // The thumb's middle keeps half its width from both ends.
                    let thumb = 11.0 / place.width;
                    let along =
                        |part: f64| place.at([thumb + part * (1.0 - 2.0 * thumb), 0.5], [0.0; 2]);
                    let way = [
                        along(place.part),
                        along((place.part + part) / 2.0),
                        along(*part),
                    ];
                    acts().drag(&way)
                }
                None => return Ok(Ok(false)),
            },
            Act::Drag(on, part, by) => match self.place(on).await? {
                Some(place) => {
                    let from = place.at(*part, [0.0; 2]);
                    let way = by.iter().map(|by| place.at(*part, *by));
                    let way: Vec<_> = [from].into_iter().chain(way).collect();
                    acts().drag(&way)
                }
                None => return Ok(Ok(false)),
            },
            Act::Wheel(on, part, by) => match self.place(on).await? {
                Some(place) => Acts::new().wheel(place.at(*part, [0.0; 2]), *by),
                None => return Ok(Ok(false)),
            },
            Act::Fill(on, text) => {
                if self.place(on).await?.is_none()
                    || self.ask(&format!("take({})", json!(on))).await?.is_null()
                {
                    return Ok(Ok(false));
                }
                if text.is_empty() {
                    Acts::new().key(Key::Delete).key(Key::Tab)
                } else {
                    Acts::new().write(text).key(Key::Tab)
                }
            }
            Act::Choose(on, nth) => {
                let chosen = self.ask(&format!("choose({}, {nth})", json!(on))).await?;
                return Ok(Ok(!chosen.is_null()));
            }
            Act::Key(stroke, times) => {
                (0..*times).fold(Acts::new(), |acts, _| strike(acts, *stroke))
            }
            Act::Go(to) => {
                self.leave().await?;
                self.page
                    .eval(&format!("(location.hash = {}, 0)", json!(to)))
                    .await?;
                self.there().await?;
                return Ok(Ok(true));
            }
            Act::Back | Act::Forward => {
                self.leave().await?;
                self.travel(*act == Act::Back).await?;
                return Ok(Ok(true));
            }
            Act::Reload => {
                self.leave().await?;
                self.first.clear();
                self.page.reload().await?;
                self.there().await?;
                return Ok(Ok(true));
            }
            Act::Resize(to) => {
                self.size = Size::ALL[*to];
                self.page.set_size(self.size).await?;
                return Ok(Ok(true));
            }
            Act::TakeBack => return Ok(self.take_back().await?.map(|()| true)),
        };
        self.page.act(acts).await?;
        Ok(Ok(true))
    }

    /// Back or forward, but not out of the site.
    async fn travel(&self, back: bool) -> Result<()> {
        let (there, home) = if back {
            ("back", "forward")
        } else {
            ("forward", "back")
        };
        let step = async |way: &str| -> Result<()> {
            self.page
                .eval(&format!(
                    "new Promise((done) => {{ history.{way}(); setTimeout(done, 60, 0); }})"
                ))
                .await
                // The page that was asked may be gone with its answer.
                .ok();
            Ok(())
        };
        step(there).await?;
        if self.page.eval("location.protocol === 'about:'").await? == true {
            step(home).await?;
        }
        self.there().await
    }

    /// Waits until the page asked for is there.
    async fn there(&self) -> Result<()> {
        while self.ask("there()").await? != true {
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
        Ok(())
    }

    /// Waits for the end of what may be playing.
    async fn played(&mut self) -> Result<()> {
        if std::mem::take(&mut self.plays) {
            self.page.eval(PLAYED).await?;
        }
        Ok(())
    }

    /// Hands in what was typed, and remembers what is left behind.
    async fn leave(&mut self) -> Result<()> {
        self.ask("leave()").await?;
        self.played().await?;
        if let Some(slot) = slot(&self.seen.hash)
            && let Some(document) = self.page.document().await?
        {
            self.left.insert(slot, document);
        }
        Ok(())
    }

    /// Where another place's document has come, it is the one that was left there.
    async fn arrive(&mut self, before: &str, act: &Act) -> Result<Judged> {
        if let Some(slot) = slot(&self.seen.hash)
            && self.first.contains_key(&slot)
            && self::slot(before).as_ref() == Some(&slot)
        {
            // Work goes on there: what was left no longer is.
            self.left.remove(&slot);
            return Ok(Ok(()));
        }
        let Some((slot, document)) = self.come().await? else {
            return Ok(Ok(()));
        };
        let left = self.left.remove(&slot);
        if matches!(act, Act::Go(_) | Act::Back | Act::Forward | Act::Reload)
            && let Some(left) = left.filter(|left| *left != document)
        {
            let said = differ(&slot, &left, &document);
            return Ok(Err(Fault::new(Kind::NotKept, said)));
        }
        self.first.entry(slot).or_insert(document);
        Ok(Ok(()))
    }

    /// The address's slot and its document, once that is on the plate; none where there is none.
    async fn come(&self) -> Result<Option<(String, String)>> {
        loop {
            self.there().await?;
            let hash = self.page.eval("location.hash").await?;
            let Some(slot) = slot(hash.as_str().unwrap_or_default()) else {
                return Ok(None);
            };
            if let Some(document) = self.page.document().await? {
                return Ok(Some((slot, document)));
            }
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
    }

    /// Undoes everything, which gives the first document to the bit, and makes it again.
    async fn take_back(&mut self) -> Result<Judged> {
        let Some(slot) = slot(&self.seen.hash) else {
            return Ok(Ok(()));
        };
        self.ask("leave()").await?;
        self.played().await?;
        let (Some(first), Some(last)) =
            (self.first.get(&slot).cloned(), self.page.document().await?)
        else {
            return Ok(Ok(()));
        };
        let redone = self.ask("can('Redo')").await? == true;
        if !self.all(Stroke::Undo, "Undo").await? {
            let said = format!("{slot}: after {MOST_UNDOS} there is still something to undo");
            return Ok(Err(Fault::new(Kind::NotTakenBack, said)));
        }
        let now = self.page.document().await?.context("the document")?;
        if now != first {
            return Ok(Err(Fault::new(
                Kind::NotTakenBack,
                differ(&slot, &first, &now),
            )));
        }
        self.all(Stroke::Redo, "Redo").await?;
        let now = self.page.document().await?.context("the document")?;
        // With something to make again from before, all of it goes further than where it was.
        if !redone && now != last {
            return Ok(Err(Fault::new(
                Kind::NotMadeAgain,
                differ(&slot, &last, &now),
            )));
        }
        self.taken_back += 1;
        Ok(Ok(()))
    }

    /// Undoes or makes again until there is nothing more; whether that came.
    async fn all(&self, stroke: Stroke, word: &str) -> Result<bool> {
        const AT_ONCE: usize = 8;
        for _ in 0..MOST_UNDOS / AT_ONCE {
            if self.ask(&format!("can({})", json!(word))).await? != true {
                return Ok(true);
            }
            let chords = (0..AT_ONCE).fold(Acts::new(), |acts, _| strike(acts, stroke));
            self.page.act(chords).await?;
        }
        Ok(false)
    }

    async fn place(&self, name: &str) -> Result<Option<Place>> {
        Ok(serde_json::from_value(
            self.ask(&format!("place({})", json!(name))).await?,
        )?)
    }

    /// Asks what the walk has put into the page, which a new page must be given first.
    async fn ask(&self, question: &str) -> Result<Value> {
        let asked = format!("window.walk ? walk.{question} : 'a new page'");
        let answer = self.page.eval(&asked).await?;
        if answer != "a new page" {
            return Ok(answer);
        }
        let put = format!("(() => {{ {LOOK}; return walk.{question}; }})()");
        self.page.eval(&put).await
    }

    /// Looks at the page as it is now.
    async fn look(&mut self) -> Result<Judged> {
        self.seen = serde_json::from_value(self.ask("look()").await?)?;
        if let Some(said) = self.seen.stopped.take() {
            return Ok(Err(self.stopped(said).await));
        }
        if let Some(Heard { kind, said }) = self.seen.faults.first() {
            let kind = if kind == "foreign" {
                Kind::Foreign
            } else {
                Kind::Senseless
            };
            return Ok(Err(Fault::new(kind, said)));
        }
        let complaints = self.page.complaints().await?;
        Ok(match complaints.first() {
            Some(said) => Err(Fault::new(Kind::Complaint, said)),
            None => Ok(()),
        })
    }
}

type Judged = Result<(), Fault>;

fn strike(acts: Acts, stroke: Stroke) -> Acts {
    let key = match stroke {
        Stroke::Undo => return acts.chord(&Key::Control, 'z'),
        Stroke::Redo => return acts.chord(&Key::Control, 'y'),
        Stroke::BackTab => {
            let shift = Key::Shift.value();
            return acts.key_down(shift).key(Key::Tab).key_up(shift);
        }
        Stroke::Tab => Key::Tab,
        Stroke::Left => Key::Left,
        Stroke::Right => Key::Right,
        Stroke::Up => Key::Up,
        Stroke::Down => Key::Down,
        Stroke::Enter => Key::Enter,
        Stroke::Space => Key::Space,
        Stroke::Escape => Key::Escape,
        Stroke::Home => Key::Home,
        Stroke::End => Key::End,
    };
    acts.key(key)
}

/// Under which name the work at an address is kept.
fn slot(hash: &str) -> Option<String> {
    Route::parse(hash).slot()
}
