//! One page in a browser of its own: opening, looking, asking, waiting.

use crate::engine::{Browser, Engine};
use crate::given;
use crate::size::{Look, Size};
use anyhow::{Context, Result, bail, ensure};
use serde_json::{Value, json};
use std::fmt::Display;
use std::path::Path;
use std::time::{Duration, Instant};
use thirtyfour::WebDriver;

/// How long anything awaited may take: generous, as machines are slow at times and nothing here is timed.
const PATIENCE: Duration = Duration::from_secs(20);

/// In CSS pixels from the viewport's top left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub height: f64,
}

impl Rect {
    pub fn centre(self) -> (f64, f64) {
        (self.x + self.width / 2.0, self.y + self.height / 2.0)
    }
}

pub struct Page {
    pub(crate) engine: Engine,
    pub(crate) site: String,
}

/// Whether a transition or an animation that ends still moves an element or what it stands in.
const MOVES: &str = "((e) => { for (; e; e = e.parentElement) \
    if (e.getAnimations().some((a) => a.playState === 'running' && a.effect.getComputedTiming().endTime < Infinity)) \
    return true; return false; })";

impl Page {
    /// A fresh Chromium with an empty profile, on the site that `cargo xtask` serves.
    pub async fn start() -> Result<Page> {
        Page::start_in(Browser::Chromium).await
    }

    /// As `start`, in any of the browsers.
    pub async fn start_in(browser: Browser) -> Result<Page> {
        Page::at(browser, &given("HANDSTAND_SITE")?).await
    }

    /// A fresh Chromium on the site at another address.
    pub async fn on(site: &str) -> Result<Page> {
        Page::at(Browser::Chromium, site).await
    }

    /// A fresh browser on the site at an address.
    pub async fn at(browser: Browser, site: &str) -> Result<Page> {
        Ok(Page {
            engine: Engine::start(browser).await?,
            site: site.to_owned(),
        })
    }

    /// A Chromium with what it kept in a profile's folder, which stays when it ends.
    pub async fn start_on(profile: &Path) -> Result<Page> {
        Ok(Page {
            engine: Engine::start_on(profile).await?,
            site: given("HANDSTAND_SITE")?,
        })
    }

    pub fn browser(&self) -> Browser {
        self.engine.browser()
    }

    /// The process that all of the browser's others descend from.
    pub fn process(&self) -> u32 {
        self.engine.process()
    }

    /// Chromium's driver: tabs and windows.
    pub fn driver(&self) -> Result<&WebDriver> {
        self.engine.driver()
    }

    /// Loads a route such as `#/lesson/1` anew and waits until the app has taken over from the shell.
    pub async fn open(&self, route: &str, size: Size, look: Look) -> Result<()> {
        self.set_size(size).await?;
        self.set_look(look, false).await?;
        // A route that differs in its fragment alone would not load anew.
        self.engine.goto("about:blank").await?;
        let address = format!("{}{route}", self.site);
        self.engine.goto(&address).await?;
        self.started().await
    }

    /// Loads the same route anew.
    pub async fn reload(&self) -> Result<()> {
        self.engine.reload().await?;
        self.started().await
    }

    async fn started(&self) -> Result<()> {
        self.wait_until("document.readyState === 'complete' && (!document.querySelector('#shell') || !!document.querySelector('.alarm'))")
            .await
            .context("the app did not start")?;
        if self.count(".alarm").await? > 0 {
            bail!("the app did not start: {}", self.text(".alarm").await?);
        }
        Ok(())
    }

    /// Waits until the app has drawn its first figure.
    pub async fn figure_drawn(&self) -> Result<()> {
        self.wait_until("performance.getEntriesByName('figure-drawn').length > 0")
            .await
    }

    pub async fn set_size(&self, size: Size) -> Result<()> {
        self.engine.set_size(size).await
    }

    /// What the reader's system asks for. Only Chromium can be told; the others have paper and motion.
    pub async fn set_look(&self, look: Look, reduced_motion: bool) -> Result<()> {
        if self.browser() != Browser::Chromium {
            ensure!(
                look == Look::Paper && !reduced_motion,
                "only Chromium can be told which look the system asks for"
            );
            return Ok(());
        }
        let scheme = if look == Look::Paper { "light" } else { "dark" };
        let motion = if reduced_motion {
            "reduce"
        } else {
            "no-preference"
        };
        self.devtools(
            "Emulation.setEmulatedMedia",
            json!({ "features": [
                { "name": "prefers-color-scheme", "value": scheme },
                { "name": "prefers-reduced-motion", "value": motion },
            ] }),
        )
        .await?;
        Ok(())
    }

    /// Slows the processor by a factor; 1 is full speed.
    pub async fn throttle(&self, factor: f64) -> Result<()> {
        self.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": factor }))
            .await?;
        Ok(())
    }

    /// Any command of Chromium's DevTools protocol.
    pub async fn devtools(&self, method: &str, parameters: Value) -> Result<Value> {
        let tools = self.driver()?.cdp();
        let answer = tools.send_raw(method, parameters).await;
        answer.with_context(|| method.to_owned())
    }

    /// The value of a JavaScript expression, awaited when it is a promise. The page's
    /// Content-Security-Policy does not reach here.
    pub async fn eval(&self, expression: &str) -> Result<Value> {
        self.engine.eval(expression).await
    }

    /// The value of an expression in which `app` is the app's module, with all that it exports.
    pub async fn app(&self, expression: &str) -> Result<Value> {
        self.eval(&format!(
            "import(document.querySelector('link[rel=modulepreload]').href).then((app) => ({expression}))"
        ))
        .await
    }

    /// Waits until a JavaScript expression is `true`.
    pub async fn wait_until(&self, expression: &str) -> Result<()> {
        let start = Instant::now();
        while self.eval(expression).await? != Value::Bool(true) {
            ensure!(
                start.elapsed() < PATIENCE,
                "waited in vain until {expression}{}",
                self.stopped().await?
            );
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
        Ok(())
    }

    /// What the program said when it stopped, if it did: most vain waits are for that.
    async fn stopped(&self) -> Result<String> {
        let said = self
            .eval("document.querySelector('.alarm code')?.textContent")
            .await?;
        Ok(said
            .as_str()
            .map_or_else(String::new, |said| format!("; the program stopped: {said}")))
    }

    /// Waits until the selector matches something visible.
    pub async fn wait_for(&self, selector: &str) -> Result<()> {
        self.wait_until(&format!(
            "!!document.querySelector({})?.checkVisibility()",
            json!(selector)
        ))
        .await
    }

    /// Waits until the first match's text contains the words.
    pub async fn wait_for_text(&self, selector: &str, words: &str) -> Result<()> {
        let text = format!(
            "(document.querySelector({})?.innerText ?? '')",
            json!(selector)
        );
        if let Err(error) = self
            .wait_until(&format!("{text}.includes({})", json!(words)))
            .await
        {
            bail!("{error}; it reads {}", self.eval(&text).await?);
        }
        Ok(())
    }

    pub async fn count(&self, selector: &str) -> Result<usize> {
        let count = self
            .eval(&format!(
                "document.querySelectorAll({}).length",
                json!(selector)
            ))
            .await?;
        Ok(count.as_u64().context("a count")? as usize)
    }

    /// The text of the first match, as it is shown.
    pub async fn text(&self, selector: &str) -> Result<String> {
        let text = self
            .eval(&format!(
                "document.querySelector({})?.innerText ?? null",
                json!(selector)
            ))
            .await?;
        Ok(text
            .as_str()
            .with_context(|| format!("nothing matches {selector}"))?
            .to_owned())
    }

    /// Waits until nothing moves what the expression finds: a press at where it was would miss it.
    pub async fn still(&self, found: &str) -> Result<()> {
        self.wait_until(&format!("!{MOVES}({found})")).await
    }

    /// Where the first match is, once there is one and after scrolling it into view.
    pub async fn rect(&self, selector: &str) -> Result<Rect> {
        self.wait_until(&format!("!!document.querySelector({})", json!(selector)))
            .await?;
        self.still(&format!("document.querySelector({})", json!(selector)))
            .await?;
        let expression = format!(
            "(() => {{ const e = document.querySelector({}); if (!e) return null; \
             e.scrollIntoView({{ block: 'nearest', inline: 'nearest', behavior: 'instant' }}); \
             const r = e.getBoundingClientRect(); return [r.x, r.y, r.width, r.height]; }})()",
            json!(selector)
        );
        let found = self.eval(&expression).await?;
        let found: Option<[f64; 4]> = serde_json::from_value(found)?;
        let [x, y, width, height] = found.with_context(|| format!("nothing matches {selector}"))?;
        Ok(Rect {
            x,
            y,
            width,
            height,
        })
    }

    /// What the browser complained of since last asked: errors, warnings, failed loads, breaches of
    /// the Content-Security-Policy.
    pub async fn complaints(&self) -> Result<Vec<String>> {
        self.engine.complaints().await
    }

    /// What axe-core finds against WCAG 2.2 AA, one line for each element at fault.
    pub async fn axe(&self) -> Result<Vec<String>> {
        if self.eval("typeof axe").await? == "undefined" {
            self.eval(&std::fs::read_to_string(given("HANDSTAND_AXE")?)?)
                .await?;
        }
        let faults = self
            .eval(
                "axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }).then((found) => \
                 found.violations.flatMap((rule) => rule.nodes.map((node) => \
                 `${rule.id} at ${node.target.join(' ')}: ${node.failureSummary.replace(/\\s+/g, ' ')}`)))",
            )
            .await?;
        Ok(serde_json::from_value(faults)?)
    }

    pub async fn screenshot(&self, path: &Path) -> Result<()> {
        Ok(std::fs::write(path, self.engine.picture().await?)?)
    }
}

/// Fails with every line, when there are any.
pub fn none(lines: &[impl Display]) -> Result<()> {
    ensure!(
        lines.is_empty(),
        "\n{}",
        lines
            .iter()
            .map(|line| format!("  {line}\n"))
            .collect::<String>()
    );
    Ok(())
}
