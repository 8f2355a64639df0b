//! A random walk: acts chosen by a seed among all that the page offers, done by trusted events,
//! and looked at after each. What fails is done again in fewer and fewer acts before it is told.

mod act;
mod choose;
mod doer;
mod fault;
mod shorten;

pub use act::{Act, Stroke};
pub use doer::Doer;
pub use fault::{Fault, Kind};

use crate::{Browser, Page};
use anyhow::{Context, Result, bail, ensure};
use choose::Chooser;
use std::time::{Duration, Instant};

/// Acts from one address of the tour to the next.
const LEG: usize = 40;

/// Which walk.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The site's address.
    pub site: String,
    pub seed: u64,
    pub acts: usize,
    /// How long shortening may take.
    pub patience: Duration,
}

impl Plan {
    /// A walk of so many acts, unless `HANDSTAND_ACTS` and `HANDSTAND_SEED` say otherwise.
    pub fn new(acts: usize) -> Result<Plan> {
        let given = |name: &str| match std::env::var(name) {
            Ok(text) => {
                Ok(Some(text.parse::<u64>().with_context(|| {
                    format!("{name}={text} is not a whole number")
                })?))
            }
            Err(_) => Ok::<_, anyhow::Error>(None),
        };
        Ok(Plan {
            site: crate::given("HANDSTAND_SITE")?,
            seed: given("HANDSTAND_SEED")?.unwrap_or(1),
            acts: given("HANDSTAND_ACTS")?.map_or(acts, |n| n as usize),
            patience: Duration::from_secs(given("HANDSTAND_SHORTEN")?.unwrap_or(240)),
        })
    }
}

/// Walks the site in a fresh browser.
pub async fn walk(browser: Browser, plan: &Plan) -> Result<()> {
    let fresh = async || Page::at(browser, &plan.site).await;
    let page = fresh().await?;
    let start = Instant::now();
    let mut taken = Vec::new();
    let outcome = wander(&page, plan, &mut taken).await?;
    let each = start.elapsed().as_millis() as usize / taken.len().max(1);
    let Err(fault) = outcome else {
        println!("{browser:?}, seed {}: {each} ms an act", plan.seed);
        return Ok(());
    };
    let at = taken.len();
    println!(
        "seed {}, act {at}: {fault}\nshortening {at} acts…",
        plan.seed
    );
    drop(page);
    let few = fewest(fresh, taken, &fault, plan.patience).await?;
    bail!(
        "{browser:?}, seed {}, act {at}: {fault}\n{}",
        plan.seed,
        told(browser, &few)?
    );
}

/// Acts to read, and the command that does them again; the last of them when they are many.
fn told(browser: Browser, acts: &[Act]) -> Result<String> {
    const READABLE: usize = 40;
    let first = acts.len().saturating_sub(READABLE);
    let lines: String = acts[first..]
        .iter()
        .map(|act| format!("  {act}\n"))
        .collect();
    let mut given = serde_json::to_string(acts)?.replace('\'', r"'\''");
    let mut cut = "";
    if first > 0 {
        let file = std::env::temp_dir().join(format!("handstand-walk-{}.json", std::process::id()));
        std::fs::write(&file, serde_json::to_string(acts)?)?;
        given = file.display().to_string();
        cut = "(the last of them)\n";
    }
    let elsewhere = match browser {
        Browser::Chromium => String::new(),
        other => format!("HANDSTAND_BROWSER={other:?} "),
    };
    Ok(format!(
        "{} acts still fail:\n{cut}{lines}\
         again: {elsewhere}HANDSTAND_REPLAY='{given}' cargo xtask test --only browser --filter acts_given",
        acts.len()
    ))
}

/// Does given acts in a fresh browser; what went wrong, if anything.
pub async fn replay(browser: Browser, acts: &[Act]) -> Result<Option<Fault>> {
    let page = Page::start_in(browser).await?;
    again(&page, acts).await
}

async fn again(page: &Page, acts: &[Act]) -> Result<Option<Fault>> {
    let mut doer = Doer::start(page).await?;
    for act in acts {
        if let Err(fault) = doer.take(act).await {
            return Ok(Some(fault));
        }
    }
    Ok(None)
}

/// The fewest acts that fail in the same way. A page that answers no more is left for a fresh one.
async fn fewest(
    fresh: impl AsyncFn() -> Result<Page>,
    acts: Vec<Act>,
    fault: &Fault,
    patience: Duration,
) -> Result<Vec<Act>> {
    let mut page = fresh().await?;
    shorten::shorten(acts, Instant::now() + patience, async |acts| {
        match again(&page, acts).await {
            Ok(found) => Ok(found.is_some_and(|found| found.is_like(fault))),
            Err(_) => {
                page = fresh().await?;
                Ok(false)
            }
        }
    })
    .await
}

/// The acts themselves, gathered in `taken`; the fault that ended them.
async fn wander(page: &Page, plan: &Plan, taken: &mut Vec<Act>) -> Result<Result<(), Fault>> {
    let mut chooser = Chooser::new(plan.seed);
    let mut tour = chooser.tour().into_iter().cycle();
    let mut doer = Doer::start(page).await?;
    let mut missed = 0;
    let legs = plan.acts.div_ceil(LEG);
    for leg in 0..legs {
        let mut next = vec![Act::Go(tour.next().unwrap_or_default())];
        let end = ((leg + 1) * LEG).min(plan.acts);
        while taken.len() < end {
            let act = next.pop().unwrap_or_else(|| {
                let act = chooser.next(doer.focus(), doer.targets());
                // Leaving, half of the time all is taken back first.
                let leaves = matches!(act, Act::Go(_) | Act::Back | Act::Forward | Act::Reload);
                if leaves && chooser.toss() {
                    next.push(act);
                    return Act::TakeBack;
                }
                act
            });
            taken.push(act.clone());
            match doer.take(&act).await {
                Ok(done) => missed += usize::from(!done),
                Err(fault) => return Ok(Err(fault)),
            }
        }
        taken.push(Act::TakeBack);
        if let Err(fault) = doer.take(&Act::TakeBack).await {
            return Ok(Err(fault));
        }
    }
    let (met, back) = (chooser.met(), doer.taken_back());
    println!(
        "{} acts on {met} things in {legs} legs, {back} times all taken back, {missed} acts missed",
        taken.len()
    );
    // A walk that touches next to nothing would prove nothing.
    ensure!(
        met * 4 > legs && back * 2 > legs && missed * 4 < taken.len(),
        "the walk did too little"
    );
    Ok(Ok(()))
}
