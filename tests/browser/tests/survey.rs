//! The survey's worker: what it answers, who waits for it, what happens when it does not.

use anyhow::{Context, Result, ensure};
use browser::learner::says;
use browser::{Browser, Look, Page, Size, none};
use hand::survey::{Survey, Sweep};
use hand::{PRESS, press_dials};
use rig::{Document, Posed};
use survey_job::{Answer, Question, Side};

/// The documents and sweeps that are compared.
fn presses() -> Result<Vec<(Document, Posed, [Sweep; 2])>> {
    let examples = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/");
    let names = ["bench-press", "fingertip-press", "dough-roll", "rail-lean"];
    let all = names.iter().map(|name| {
        let text = std::fs::read_to_string(format!("{examples}{name}.hand.json"))?;
        let document = hand::read(&text)?;
        let mut posed = Posed::new(&document)?;
        let dials = press_dials(posed.rig());
        ensure!(dials.len() == PRESS.len());
        posed.set_dial(dials[1], 2.3);
        posed.set_dial(dials[3], -1.7);
        posed.evaluate();
        let sweep = |at: usize| {
            let dial = posed.rig().dial(dials[at]).context("a dial")?;
            Ok::<_, anyhow::Error>(Sweep {
                dial: dial.id,
                from: dial.min / 3.0,
                to: dial.max / 3.0,
                count: 31,
            })
        };
        let sweeps = [sweep(0)?, sweep(2)?];
        Ok((document, posed, sweeps))
    });
    all.collect()
}

async fn surveys_are_alike(browser: Browser) -> Result<()> {
    let page = Page::start_in(browser).await?;
    page.open("", Size::DESKTOP, Look::Paper).await?;
    for (document, posed, [across, up]) in presses()? {
        let rig = posed.rig();
        let side = |sweep| Side::new(rig, sweep).context("a side");
        let question = Question::Survey {
            standing: posed.setting().clone(),
            across: side(across)?,
            up: side(up)?,
        };
        let asked = page.ask_surveyor(&document, &question, 1).await?;
        let theirs = &asked[0].reply;
        ensure!(theirs.answer == Answer::Survey, "{:?}", theirs.answer);
        let ours = Survey::run(&posed, across, up)?.packed(rig);
        let bits = |all: &[f64]| all.iter().map(|x| x.to_bits()).collect::<Vec<_>>();
        ensure!(
            bits(&ours) == bits(&theirs.numbers),
            "{}: the surveys differ",
            document.name
        );
    }
    none(&page.complaints().await?)
}

#[tokio::test]
async fn a_survey_is_alike_here_and_in_chromiums_worker() -> Result<()> {
    surveys_are_alike(Browser::Chromium).await
}

#[tokio::test]
async fn a_survey_is_alike_here_and_in_firefoxs_worker() -> Result<()> {
    surveys_are_alike(Browser::Firefox).await
}

#[tokio::test]
async fn a_survey_is_alike_here_and_in_webkits_worker() -> Result<()> {
    surveys_are_alike(Browser::WebKit).await
}

/// Every worker that the page starts from here on is in `workers`, with what it was told and what
/// it answered; whether it was ended too.
const WATCHED: &str = "(() => {
  const real = window.handstandSurveyor;
  window.workers = [];
  window.handstandSurveyor = () => {
    const worker = real();
    const seen = { worker, orders: [], answers: 0, ended: false };
    const post = worker.postMessage.bind(worker), end = worker.terminate.bind(worker);
    worker.postMessage = (text) => { seen.orders.push(text); post(text); };
    worker.terminate = () => { seen.ended = true; end(); };
    worker.addEventListener('message', () => { seen.answers += 1; });
    workers.push(seen);
    return worker;
  };
})()";

/// The hand page, come to from the front page.
async fn hand_with(surveyor: &str) -> Result<Page> {
    let page = Page::start().await?;
    page.open("", Size::DESKTOP, Look::Paper).await?;
    page.eval(surveyor).await?;
    page.eval("void (location.hash = '#/hand')").await?;
    page.on_step("hand").await?;
    page.figure_drawn().await?;
    Ok(page)
}

async fn number(page: &Page, expression: &str) -> Result<u64> {
    let value = page.eval(expression).await?;
    value
        .as_u64()
        .with_context(|| format!("{expression}: {value}"))
}

#[tokio::test]
async fn a_drag_sends_values_and_the_worker_answers() -> Result<()> {
    let page = hand_with(WATCHED).await?;
    page.wait_for_text(".map-told", "safe").await?;
    page.wait_for_text(".map-note", "Band: the greatest lift along each lean")
        .await?;
    ensure!(number(&page, "workers.length").await? == 1);
    let figures = "workers[0].orders.filter((o) => o.startsWith('{\"figure\"')).length";
    let asks = "workers[0].orders.filter((o) => o.includes('\"survey\"')).length";
    ensure!(
        number(&page, figures).await? == 1,
        "the document is sent once"
    );
    let before = number(&page, asks).await?;
    // Rolling changes what the map of lift and lean is of.
    page.press("Side").await?;
    let at = page.grip("Move roll handle").await?;
    page.take(
        "Move roll handle",
        &[(at.0 + 8.0, at.1), (at.0 + 16.0, at.1)],
    )
    .await?;
    let asked = number(&page, asks).await? - before;
    ensure!(asked >= 2, "{asked} surveys were asked for in the drag");
    ensure!(
        number(&page, figures).await? == 1,
        "a drag sends values, not the document"
    );
    let longest = number(
        &page,
        "Math.max(...workers[0].orders.slice(1).map((o) => o.length))",
    )
    .await?;
    ensure!(longest < 2000, "an order of {longest} characters");
    page.wait_until("!document.querySelector('.map-inside').innerText.includes('measuring')")
        .await?;
    none(&page.complaints().await?)
}

/// What answers nothing: were anything surveyed on the page itself, it would show.
const MUTE: &str = "window.asked = 0; window.ended = 0; void (window.handstandSurveyor = () => ({
  postMessage() { window.asked += 1; }, terminate() { window.ended += 1; },
}))";

#[tokio::test]
async fn the_page_itself_surveys_nothing_and_is_dragged_all_the_same() -> Result<()> {
    let page = hand_with(MUTE).await?;
    page.wait_until("window.asked >= 2").await?;
    page.press("Side").await?;
    let at = page.grip("Move wrist").await?;
    page.take("Move wrist", &[(at.0, at.1 + 25.0)]).await?;
    let lift = page.dial("lift").await?;
    ensure!(lift > 5.0, "the wrist lifts by {lift}");
    let at = page.grip("Move roll handle").await?;
    page.take("Move roll handle", &[(at.0 + 12.0, at.1)])
        .await?;
    ensure!(page.count(".map-told").await? == 0, "somebody has surveyed");
    page.press("Plan").await?;
    page.wait_for_text(".hand-page", "Looking for the axis")
        .await?;
    ensure!(page.count(".remedies").await? == 0, "somebody has advised");
    none(&page.complaints().await?)
}

async fn surveys_again(page: &Page) -> Result<()> {
    none(&page.axe().await?)?;
    page.press("Survey again").await?;
    page.wait_until("!document.querySelector('.map-inside [role=alert]')")
        .await?;
    page.wait_for_text(".map-told", "safe").await?;
    page.wait_for_text(".map-note", "Band: the greatest").await
}

#[tokio::test]
async fn a_worker_that_dies_is_told_and_can_be_started_again() -> Result<()> {
    let page = hand_with(WATCHED).await?;
    page.wait_for_text(".map-told", "safe").await?;
    // Killed as a browser short of memory does it: nobody is told.
    page.eval("void Worker.prototype.terminate.call(workers[0].worker)")
        .await?;
    let at = page.grip("Move roll handle").await?;
    page.take("Move roll handle", &[(at.0 + 12.0, at.1)])
        .await?;
    page.wait_for_text(".map-inside [role=alert]", "it does not answer")
        .await?;
    surveys_again(&page).await?;
    ensure!(number(&page, "workers.length").await? == 2);
    // One that stumbles says so itself.
    page.eval("void workers[1].worker.postMessage('no order')")
        .await?;
    page.wait_for_text(".map-inside [role=alert]", "has stopped")
        .await?;
    surveys_again(&page).await?;
    none(&page.complaints().await?)
}

#[tokio::test]
async fn a_worker_that_cannot_be_loaded_is_told_and_can_be_started_again() -> Result<()> {
    let page = hand_with(
        "window.real = window.handstandSurveyor; \
         void (window.handstandSurveyor = () => new Worker('no-such-file.js', { type: 'module' }))",
    )
    .await?;
    page.wait_for_text(".map-inside [role=alert]", "it could not be loaded")
        .await?;
    let told = page.text(".map-inside [role=alert]").await?;
    says(&told, "The hand itself is as it was.")?;
    page.eval("void (window.handstandSurveyor = window.real)")
        .await?;
    surveys_again(&page).await
}

#[tokio::test]
async fn leaving_the_page_ends_its_workers() -> Result<()> {
    let page = hand_with(WATCHED).await?;
    page.press("Plan").await?;
    page.wait_until("workers.length === 2").await?;
    page.wait_for(".remedies").await?;
    page.eval("void (location.hash = '#/lesson/1/1')").await?;
    page.on_step("lesson/1/1").await?;
    page.wait_until("workers.every((w) => w.ended)").await?;
    // No lesson's page starts one.
    ensure!(
        number(&page, "workers.length").await? == 2,
        "another worker"
    );
    none(&page.complaints().await?)
}
