//! What a learner does and sees: a step opened, the figure touched where the world says, buttons
//! pressed by their names, verdicts and gauges read.

use crate::{Key, Look, Page, Rect, Size};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use workbook::route::Route;

/// Where the world's mm are on the screen.
#[derive(Clone, Copy, Debug)]
pub struct Plate {
    pub area: Rect,
    /// Pixels for a millimetre.
    pub scale: f64,
    origin: (f64, f64),
}

impl Plate {
    /// The pixel of a point so far right and so far up in the view.
    pub fn pixel(&self, (right, up): (f64, f64)) -> (f64, f64) {
        (
            self.area.x + self.origin.0 + right * self.scale,
            self.area.y + self.origin.1 - up * self.scale,
        )
    }

    /// The point in the view under a pixel.
    pub fn world(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (
            (x - self.area.x - self.origin.0) / self.scale,
            (self.area.y + self.origin.1 - y) / self.scale,
        )
    }
}

/// Finds a visible button or link by the name a screen reader speaks, or its beginning up to a dot.
const NAMED: &str = "((name) => [...document.querySelectorAll('button, a, summary')].find((e) => e.checkVisibility() && \
    [e.getAttribute('aria-label') ?? e.innerText.trim()].some((n) => n === name || n.startsWith(name + '.'))))";

/// The number in what a row of the desk shows, not a number when there is no such row.
fn shown(row: &str, label: &str, name: &str, number: &str) -> String {
    format!(
        "parseFloat([...document.querySelectorAll('{row}')].find((r) => r.querySelector('{label}').textContent === {})\
         ?.querySelector('{number}').textContent.replace('−', '-'))",
        json!(name)
    )
}

fn gauge(label: &str) -> String {
    shown(".gauge", "span", label, "b")
}

fn dial(name: &str) -> String {
    shown(".dial", "label", name, "output")
}

fn named(name: &str) -> String {
    format!("{NAMED}({})", json!(name))
}

impl Page {
    /// Opens a route such as `lesson/2/1` on a desktop screen and waits for its figure.
    pub async fn open_step(&self, route: &str) -> Result<()> {
        self.open(&format!("#/{route}"), Size::DESKTOP, Look::Paper)
            .await?;
        self.on_step(route).await
    }

    /// As `open_step`, where the list of lessons has not come.
    pub async fn open_step_unlisted(&self, route: &str) -> Result<()> {
        self.open(&format!("#/{route}"), Size::DESKTOP, Look::Paper)
            .await?;
        self.wait_for(".plate").await?;
        self.arrived().await
    }

    /// Waits until what is kept of the address has been read: the page is there before it.
    pub async fn arrived(&self) -> Result<()> {
        for _ in 0..800 {
            if self.document().await?.is_some() {
                return Ok(());
            }
            tokio::time::sleep(std::time::Duration::from_millis(25)).await;
        }
        anyhow::bail!("no figure came")
    }

    /// Waits until the route's figure is on the plate.
    pub async fn on_step(&self, route: &str) -> Result<()> {
        // An old number is led on to the lesson's name.
        let address = Route::parse(route).link();
        self.wait_until(&format!("location.hash === '{address}'"))
            .await?;
        if route.starts_with("lesson") {
            self.wait_until("!!document.querySelector('.box.now .actions')")
                .await?;
        }
        self.arrived().await?;
        self.figure_drawn().await
    }

    pub async fn plate(&self) -> Result<Plate> {
        // Its figure is framed anew a frame or two after what stands about it has changed.
        self.eval(
            "new Promise((done) => { const { dataset } = document.querySelector('.plate'); \
             const now = () => dataset.scale + dataset.cx + dataset.cy; let was = now(), still = 0; \
             const look = () => { still = was === now() ? still + 1 : 0; was = now(); \
             still > 3 ? done(0) : requestAnimationFrame(look); }; requestAnimationFrame(look); })",
        )
        .await?;
        let area = self.rect(".plate").await?;
        let [scale, x, y]: [f64; 3] = serde_json::from_value(
            self.eval(
                "[...'sxy'].map((_, i) => Number(document.querySelector('.plate').dataset[['scale', 'cx', 'cy'][i]]))",
            )
            .await?,
        )?;
        Ok(Plate {
            area,
            scale,
            origin: (x, y),
        })
    }

    /// Clicks a button or link by its name, where it can be seen; fails when something covers it.
    pub async fn press(&self, name: &str) -> Result<()> {
        let (x, y) = self.centre_of(name).await?;
        self.click_at((x, y)).await
    }

    /// Clicks the first button whose name begins with these words, whatever follows.
    pub async fn press_first(&self, words: &str) -> Result<()> {
        let name = format!(
            "[...document.querySelectorAll('button')].map((e) => e.getAttribute('aria-label') ?? e.innerText).find((n) => n.startsWith({}))",
            json!(words)
        );
        self.wait_until(&format!("!!{name}")).await?;
        let name = self.eval(&name).await?;
        self.press(name.as_str().context("a name")?).await
    }

    /// The middle of a button or link by its name, scrolled into sight, once it may be pressed.
    pub async fn centre_of(&self, name: &str) -> Result<(f64, f64)> {
        let find = named(name);
        self.wait_until(&format!("{find}?.disabled === false || {find}?.href !== undefined || {find}?.localName === 'summary'"))
            .await
            .with_context(|| format!("nothing called '{name}' can be pressed"))?;
        self.still(&find).await?;
        // A sheet that slides away may lie over it yet.
        let middle = |then: &str| {
            format!(
                "((e) => {{ e.scrollIntoView({{ block: 'nearest', behavior: 'instant' }}); const r = e.getBoundingClientRect(); \
                 const [x, y] = [r.x + r.width / 2, r.y + r.height / 2]; const top = document.elementFromPoint(x, y); {then} }})({find})"
            )
        };
        self.still(&middle("return top")).await?;
        let place = self
            .eval(&middle(
                "return e.contains(top) || (e.classList.contains('handle') && top?.localName === 'canvas') ? [x, y] : \
                 (top?.closest('.alarm')?.textContent ?? top?.outerHTML ?? 'off the screen');",
            ))
            .await?;
        serde_json::from_value(place.clone())
            .with_context(|| format!("'{name}' is covered by {place}"))
    }

    /// Where in the view something that can be grabbed is, by its spoken name: 'Move wrist'.
    pub async fn grip(&self, name: &str) -> Result<(f64, f64)> {
        let plate = self.plate().await?;
        Ok(plate.world(self.centre_of(name).await?))
    }

    /// Grabs a mover and takes it through points of the view, in steps along straight lines.
    pub async fn take(&self, name: &str, through: &[(f64, f64)]) -> Result<()> {
        let from = self.grip(name).await?;
        let plate = self.plate().await?;
        let corners: Vec<_> = [from]
            .iter()
            .chain(through)
            .map(|p| plate.pixel(*p))
            .collect();
        self.drag(&crate::path(&corners, 12)).await
    }

    /// Draws on the plate through points of the view.
    pub async fn draw(&self, through: &[(f64, f64)]) -> Result<()> {
        let plate = self.plate().await?;
        let points: Vec<_> = through.iter().map(|p| plate.pixel(*p)).collect();
        self.drag(&points).await
    }

    /// Turns the wheel over a point of the view until a millimetre takes at least so many pixels.
    pub async fn zoom_to(&self, scale: f64, at: (f64, f64)) -> Result<()> {
        for _ in 0..40 {
            let plate = self.plate().await?;
            if plate.scale >= scale {
                return Ok(());
            }
            let (x, y) = plate.pixel(at);
            let wheel =
                json!({ "type": "mouseWheel", "x": x, "y": y, "deltaX": 0, "deltaY": -120 });
            self.devtools("Input.dispatchMouseEvent", wheel).await?;
            self.wait_until(&format!(
                "Number(document.querySelector('.plate').dataset.scale) > {}",
                plate.scale
            ))
            .await?;
        }
        anyhow::bail!("the wheel does not zoom")
    }

    /// Presses 'Show what happens'; gives the verdict.
    pub async fn reveal(&self) -> Result<String> {
        self.press("Show what happens").await?;
        self.wait_for(".box.now .verdict").await?;
        self.text(".box.now .verdict").await
    }

    /// Presses 'Check'; gives the verdict and what was measured, line by line.
    pub async fn check(&self) -> Result<(String, String)> {
        self.press("Check").await?;
        self.marked().await
    }

    /// Checks, and twice more, each time after the figure was touched: the third wrong try is told
    /// its number.
    pub async fn check_to_the_number(&self) -> Result<(String, String)> {
        self.check().await?;
        for _ in 0..2 {
            self.press("Undo").await?;
            self.press("Redo").await?;
            self.wait_for_text(".box.now .verdict", "The figure has changed since.")
                .await?;
            self.check().await?;
            self.wait_until("document.querySelector('.box.now .verdict').innerText.endsWith('.') && !document.querySelector('.box.now .verdict').innerText.includes('since')")
                .await?;
        }
        self.marked().await
    }

    /// The verdict and what was measured, once they are there.
    pub async fn marked(&self) -> Result<(String, String)> {
        self.wait_for(".box.now .verdict").await?;
        Ok((
            self.text(".box.now .verdict").await?,
            self.text(".box.now .findings").await?,
        ))
    }

    /// What a gauge on the desk reads, as shown.
    pub async fn gauge(&self, label: &str) -> Result<f64> {
        self.reads(&gauge(label)).await
    }

    /// Waits until a gauge reads something within a tolerance.
    pub async fn gauge_reads(&self, label: &str, expected: f64, within: f64) -> Result<()> {
        self.comes_to(&gauge(label), expected, within).await
    }

    /// A dial's value on the desk, as shown.
    pub async fn dial(&self, name: &str) -> Result<f64> {
        self.reads(&dial(name)).await
    }

    /// Waits until a dial shows something within a tolerance.
    pub async fn dial_reads(&self, name: &str, expected: f64, within: f64) -> Result<()> {
        self.comes_to(&dial(name), expected, within).await
    }

    /// Brings a dial to a value: its slider is pressed near it, and arrow keys do the rest.
    pub async fn turn_dial(&self, name: &str, to: f64) -> Result<()> {
        let find = format!(
            "[...document.querySelectorAll('.dial')].find((r) => r.querySelector('label').textContent === {})\
             ?.querySelector('input[type=range]')",
            json!(name)
        );
        self.wait_until(&format!("!!{find}")).await?;
        let [min, max, x, y, width]: [f64; 5] = serde_json::from_value(
            self.eval(&format!(
                "((e) => {{ e.scrollIntoView({{ block: 'nearest', behavior: 'instant' }}); const r = e.getBoundingClientRect(); \
                 return [Number(e.min), Number(e.max), r.x, r.y + r.height / 2, r.width]; }})({find})"
            ))
            .await?,
        )?;
        self.click_at((x + width * (to - min) / (max - min), y))
            .await?;
        for step in [1.0, 0.1] {
            let away = ((to - self.dial(name).await?) / step).round();
            if away != 0.0 {
                // Its button is pressed without the focus leaving the slider for long.
                self.press(&format!("Step {step} mm or degrees")).await?;
                self.eval(&format!("{find}.focus()")).await?;
                let key = if away > 0.0 { Key::Right } else { Key::Left };
                self.keys(key, away.abs() as usize).await?;
            }
        }
        self.dial_reads(name, to, 0.1).await
    }

    /// Presses the contact map where its two dials have these values, in the order in which the
    /// map names them. Where that is on the screen is found by pressing it twice elsewhere.
    pub async fn press_map(&self, dials: [&str; 2], to: [f64; 2]) -> Result<()> {
        self.wait_for(".map-sheet canvas").await?;
        self.eval("document.querySelector('.map-sheet').scrollIntoView({ block: 'nearest', behavior: 'instant' })")
            .await?;
        let area = self.rect(".map-sheet").await?;
        let spot =
            |right: f64, down: f64| (area.x + area.width * right, area.y + area.height * down);
        let mut seen = Vec::new();
        for at in [spot(0.4, 0.6), spot(0.7, 0.3)] {
            self.click_at(at).await?;
            // A press is over before its answer: what is read then is of the frame it made.
            self.eval(
                "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))",
            )
            .await?;
            seen.push((at, [self.dial(dials[0]).await?, self.dial(dials[1]).await?]));
        }
        let [(a, va), (b, vb)] = [seen[0], seen[1]];
        ensure!(
            va[0] != vb[0] && va[1] != vb[1],
            "pressing the map turns no dial"
        );
        let on = |from: f64, till: f64, k: usize| {
            from + (till - from) * (to[k] - va[k]) / (vb[k] - va[k])
        };
        self.click_at((on(a.0, b.0, 0), on(a.1, b.1, 1))).await
    }

    async fn reads(&self, number: &str) -> Result<f64> {
        self.wait_until(&format!("!isNaN({number})")).await?;
        let found = self.eval(number).await?;
        found
            .as_f64()
            .with_context(|| format!("{number} is {found}"))
    }

    async fn comes_to(&self, number: &str, expected: f64, within: f64) -> Result<()> {
        if let Err(error) = self
            .wait_until(&format!("Math.abs({number} - {expected}) <= {within}"))
            .await
        {
            anyhow::bail!("{error}; it reads {}", self.eval(number).await?);
        }
        Ok(())
    }

    /// Tabs, from wherever the focus is, to a button, link or handle by its spoken name.
    pub async fn tab_to_named(&self, name: &str) -> Result<()> {
        let there = format!("document.activeElement === {}", named(name));
        for _ in 0..150 {
            if self.eval(&there).await? == true {
                return Ok(());
            }
            self.key(Key::Tab).await?;
        }
        anyhow::bail!("150 tabs do not reach '{name}'")
    }

    /// Presses a button or follows a link by keyboard alone.
    pub async fn press_by_key(&self, name: &str) -> Result<()> {
        self.wait_until(&format!("{}?.disabled !== true", named(name)))
            .await?;
        self.tab_to_named(name).await?;
        self.key(Key::Enter).await
    }

    /// Chooses an option of the list with the label, by keyboard alone.
    pub async fn choose_by_key(&self, label: &str, option: &str) -> Result<()> {
        let focused = format!(
            "document.activeElement.matches('select') && document.activeElement.closest('label').innerText.trim().startsWith({})",
            json!(label)
        );
        for _ in 0..150 {
            if self.eval(&focused).await? == true {
                self.write(option).await?;
                let chosen = "document.activeElement.selectedOptions[0].textContent";
                return self
                    .wait_until(&format!("{chosen} === {}", json!(option)))
                    .await;
            }
            self.key(Key::Tab).await?;
        }
        anyhow::bail!("150 tabs do not reach the list '{label}'")
    }

    /// Chooses the arrow keys' step, then moves what has the name so many steps right and up.
    pub async fn nudge(&self, name: &str, step: f64, right: i32, up: i32) -> Result<()> {
        self.choose_step(step).await?;
        self.tab_to_named(name).await?;
        self.arrows(right, up).await
    }

    /// As `nudge`, for the pencil or brush, which stays focused.
    pub async fn nudge_pencil(&self, step: f64, right: i32, up: i32) -> Result<()> {
        self.choose_step(step).await?;
        self.tab_to(".crosshair").await?;
        self.arrows(right, up).await
    }

    async fn choose_step(&self, step: f64) -> Result<()> {
        self.press_by_key(&format!("Step {step} mm or degrees"))
            .await
    }

    async fn arrows(&self, right: i32, up: i32) -> Result<()> {
        for (times, forth, back) in [(right, Key::Right, Key::Left), (up, Key::Up, Key::Down)] {
            let key = if times > 0 { forth } else { back };
            self.keys(key, times.unsigned_abs() as usize).await?;
        }
        Ok(())
    }
}

/// The number just before the words, in a sentence of the app's.
pub fn number_before(text: &str, words: &str) -> Result<f64> {
    let before = text
        .split_once(words)
        .with_context(|| format!("'{words}' is not in '{text}'"))?
        .0
        .trim_end();
    let digits = before
        .rsplit(|c: char| !(c.is_ascii_digit() || c == '.' || c == '−'))
        .next();
    let digits = digits.unwrap_or_default().replace('−', "-");
    digits
        .parse()
        .with_context(|| format!("no number before '{words}' in '{text}'"))
}

/// Fails unless a number is as expected within a tolerance.
pub fn near(found: f64, expected: f64, within: f64) -> Result<()> {
    ensure!(
        (found - expected).abs() <= within,
        "{found} is not {expected} ± {within}"
    );
    Ok(())
}

/// Fails unless a text has the words.
pub fn says(text: &str, words: &str) -> Result<()> {
    ensure!(text.contains(words), "'{words}' is not in '{text}'");
    Ok(())
}

/// A point on a circle round the origin: degrees raised from the left.
pub fn raised(distance: f64, degrees: f64) -> (f64, f64) {
    let angle = degrees.to_radians();
    (-distance * libm::cos(angle), distance * libm::sin(angle))
}

/// A document's pose: each node's name, position and rotation. By the core here; `parity` has it
/// that the browser's says the same.
pub fn posed(document: &Value) -> Result<Value> {
    let document = hand::read(&document.to_string())?;
    let posed = rig::Posed::new(&document)?;
    Ok(serde_json::from_str(&rig::report::pose_json(&posed))?)
}
