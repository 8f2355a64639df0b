//! `handstand survey`: where everything planted stays while two dials are swept.
use crate::answer::{Bad, say};
use crate::input::{Input, WORD, no_dial};
use crate::table::{columns, plain};
use clap::Args;
use hand::survey::report::{self, Layer};
use hand::survey::{self, Cell, Ends, Stay, Sweep, Tolerance};
use rig::text::{line, quoted};
use rig::{Document, Posed, Unit};
use std::process::ExitCode;

#[derive(Args)]
pub struct Survey {
    #[command(flatten)]
    input: Input,
    /// Sweeps the lift from A to B in N values; so do the next three
    #[arg(long, value_name = "A..B/N", allow_hyphen_values = true)]
    lift: Option<String>,
    #[arg(long, value_name = "A..B/N", allow_hyphen_values = true)]
    roll: Option<String>,
    #[arg(long, value_name = "A..B/N", allow_hyphen_values = true)]
    lean: Option<String>,
    #[arg(long, value_name = "A..B/N", allow_hyphen_values = true)]
    twist: Option<String>,
    /// Sweeps any dial. Two sweeps make a grid, a third makes layers of it
    #[arg(long, value_name = "NAME=A..B/N", allow_hyphen_values = true)]
    sweep: Vec<String>,
    /// Slip that is still held, mm
    #[arg(
        long,
        value_name = "MM",
        default_value = "0.5",
        allow_hyphen_values = true
    )]
    tolerance: String,
    /// Depth of a digit's flesh that is still safe, mm
    #[arg(
        long,
        value_name = "MM",
        default_value = "1.5",
        allow_hyphen_values = true
    )]
    pad: String,
    /// The same of the palm's flesh, mm
    #[arg(
        long,
        value_name = "MM",
        default_value = "3",
        allow_hyphen_values = true
    )]
    palm: String,
    /// Prints every cell and the boundary as JSON
    #[arg(long, group = "form")]
    json: bool,
    /// Prints a line for each cell
    #[arg(long, group = "form")]
    csv: bool,
    /// Prints the contact map as a picture
    #[arg(long, group = "form")]
    svg: bool,
}

/// Size of each map of the picture, px.
const SIZE: (f64, f64) = (520.0, 440.0);

impl Survey {
    pub fn run(&self) -> Result<ExitCode, Bad> {
        let posed = self.input.read()?;
        self.answer(&posed)
            .map_err(|bad| format!("{}: {bad}", self.input.file()))
    }

    fn answer(&self, posed: &Posed) -> Result<ExitCode, Bad> {
        let document = posed.document();
        let tolerance = &Tolerance {
            slip: allowed("tolerance", &self.tolerance, "slip")?,
            pad: allowed("pad", &self.pad, "depth")?,
            palm: allowed("palm", &self.palm, "depth")?,
        };
        let layers = layers(posed, &self.sweeps(document)?)?;
        let text = if self.json {
            report::json(document, &layers, tolerance) + "\n"
        } else if self.csv {
            report::csv(document, &layers, tolerance)
        } else if self.svg {
            svg(document, &layers, tolerance)
        } else {
            words(document, &layers, tolerance)
        };
        say(&text)?;
        let mut verdicts = layers
            .iter()
            .map(|layer| layer.survey.verdict(document, tolerance));
        Ok(if verdicts.any(|verdict| verdict.is_ok()) {
            ExitCode::SUCCESS
        } else {
            ExitCode::from(1)
        })
    }

    /// The press dials' sweeps in the order of the help, then the others as they were given.
    fn sweeps(&self, document: &Document) -> Result<Vec<Sweep>, Bad> {
        let press = [
            ("lift", &self.lift),
            ("roll", &self.roll),
            ("lean", &self.lean),
            ("twist", &self.twist),
        ];
        let mut sweeps = Vec::new();
        for (name, range) in press {
            if let Some(range) = range {
                let place = format!("--{name} {}", line(range, WORD));
                sweeps.push(sweep(document, &place, name, range)?);
            }
        }
        for given in &self.sweep {
            let place = format!("--sweep {}", line(given, WORD));
            let Some((name, range)) = given.rsplit_once('=') else {
                return Err(format!("{place}: it has no '='; write NAME=A..B/N."));
            };
            sweeps.push(sweep(document, &place, name, range)?);
        }
        match sweeps.len() {
            2 | 3 => Ok(sweeps),
            count => Err(format!(
                "a survey takes two sweeps, or three for layers, and has {count}; give for example --lift 0..40/41 --lean -10..10/21."
            )),
        }
    }
}

/// So many mm, as an option gives them.
fn allowed(option: &str, text: &str, what: &str) -> Result<f64, Bad> {
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() && value >= 0.0 => Ok(value),
        _ => Err(format!(
            "--{option} {}: this is not a {what}; give mm, 0 or more.",
            line(text, WORD)
        )),
    }
}

fn sweep(document: &Document, place: &str, name: &str, range: &str) -> Result<Sweep, Bad> {
    let bad = || {
        let range = quoted(range);
        format!("{place}: {range} is not a range; write A..B/N, such as 0..40/41.")
    };
    let (ends, count) = range.split_once('/').ok_or_else(bad)?;
    let (from, to) = ends.split_once("..").ok_or_else(bad)?;
    let number = |text: &str| {
        let value = text.trim().parse::<f64>();
        value.ok().filter(|value| value.is_finite()).ok_or_else(bad)
    };
    let dial = document.dial_named(name).ok_or_else(|| {
        let told = no_dial(document, name, "there is nothing to sweep in it");
        format!("{place}: {told}")
    })?;
    Ok(Sweep {
        dial: dial.id,
        from: number(from)?,
        to: number(to)?,
        count: count.trim().parse().map_err(|_| bad())?,
    })
}

fn layers(posed: &Posed, sweeps: &[Sweep]) -> Result<Vec<Layer>, Bad> {
    let document = posed.document();
    survey::cells(document, sweeps).map_err(|fault| fault.to_string())?;
    let (across, up) = (sweeps[0], sweeps[1]);
    let run =
        |posed: &Posed| survey::Survey::run(posed, across, up).map_err(|fault| fault.to_string());
    let Some(third) = sweeps.get(2) else {
        return Ok(vec![Layer {
            at: None,
            survey: run(posed)?,
        }]);
    };
    third.check(document).map_err(|fault| fault.to_string())?;
    if [across.dial, up.dial].contains(&third.dial) {
        return Err(
            "survey: two sweeps turn the same dial; choose another for one of them.".to_owned(),
        );
    }
    let mut posed = posed.clone();
    (0..third.count)
        .map(|at| {
            let value = third.value(at);
            posed.set_dial(third.dial, value);
            posed.evaluate();
            Ok(Layer {
                at: Some((third.dial, value)),
                survey: run(&posed)?,
            })
        })
        .collect()
}

fn name(document: &Document, dial: rig::DialId) -> &str {
    document.dial(dial).map_or("?", |dial| &dial.name)
}

fn unit(document: &Document, dial: rig::DialId) -> &'static str {
    match document.dial(dial).map(|dial| dial.unit) {
        Some(Unit::Degrees) | None => "°",
        Some(Unit::Millimetres) => " mm",
        Some(Unit::Percent) => " %",
    }
}

fn heading(document: &Document, layer: &Layer) -> String {
    let told = match layer.at {
        None => document.name.clone(),
        Some((dial, value)) => format!(
            "{} {}{}",
            name(document, dial),
            plain(value),
            unit(document, dial)
        ),
    };
    line(&told, usize::MAX)
}

fn svg(document: &Document, layers: &[Layer], tolerance: &Tolerance) -> String {
    let maps: Vec<_> = layers
        .iter()
        .map(|layer| (heading(document, layer), &layer.survey))
        .collect();
    let (shapes, size) = figure::map::sheet(&maps, document, tolerance, SIZE);
    let title = format!("{}: contact map at {} mm", document.name, tolerance.slip);
    figure::svg(&shapes, size, figure::Look::Paper, &title)
}

/// How far the first dial goes at each value of the second, and who stops it.
fn words(document: &Document, layers: &[Layer], tolerance: &Tolerance) -> String {
    let mut text = String::new();
    let Tolerance { slip, pad, palm } = tolerance;
    for layer in layers {
        let survey = &layer.survey;
        let (across, up) = (&survey.across, &survey.up);
        let cells = survey.cells.len();
        let safe = (0..cells).filter(|&cell| survey.safe(cell, tolerance));
        let (safe, free): (Vec<_>, Vec<_>) = safe
            .map(|cell| (cell, survey.cells[cell].limit.is_none()))
            .unzip();
        let free = free.iter().filter(|&&free| free).count();
        text += &format!(
            "{}: {} of {cells} poses are safe, {free} of them with no limit hit (slip within {slip} mm, depth within {pad} mm of the digits and {palm} mm of the palm)\n",
            heading(document, layer),
            safe.len(),
        );
        let mut ends = [0usize; 3];
        for cell in &survey.cells {
            match cell.ends(tolerance) {
                None => {}
                Some(Ends::Slips(_)) => ends[0] += 1,
                Some(Ends::Sinks(..)) => ends[1] += 1,
                Some(Ends::Limit(_)) => ends[2] += 1,
            }
        }
        let [slips, sinks, limits] = ends;
        text += &format!("of the others {slips} slip, {sinks} sink in and {limits} pass a limit\n");
        let stays = survey.stays();
        let held = stays
            .iter()
            .flatten()
            .next()
            .map_or(0, |[low, _]| low.count);
        if held > 0 {
            let all = (0..cells).filter(|&cell| survey.all_down(cell)).count();
            text += &format!("in {all} of {cells} poses all {held} planted are down\n");
        }
        if let Err(told) = survey.verdict(document, tolerance) {
            text += &line(&told, usize::MAX);
            text += "\n";
        }
        let heads = [
            format!("{}{}", name(document, up.dial), unit(document, up.dial)),
            format!(
                "{} from{}",
                name(document, across.dial),
                unit(document, across.dial)
            ),
            "to".to_owned(),
            "stopped below by".to_owned(),
            "above by".to_owned(),
        ];
        let mut rows = vec![heads.to_vec()];
        for (row, reach) in survey.reach(tolerance).into_iter().enumerate() {
            let at = plain(up.value(row));
            rows.push(match reach {
                None => vec![
                    at,
                    "-".to_owned(),
                    "-".to_owned(),
                    String::new(),
                    String::new(),
                ],
                Some((from, to)) => {
                    let who = |cell: Option<usize>| {
                        let cell = cell.map(|column| survey.cell(column, row));
                        cell.map_or(String::new(), |cell| ended(document, cell, tolerance))
                    };
                    let beyond = |value: f64, by: isize| {
                        let column =
                            (0..across.count).find(|&column| across.value(column) >= value);
                        let column = column? as isize + by;
                        usize::try_from(column).ok().filter(|&c| c < across.count)
                    };
                    let below = (from > across.from).then(|| beyond(from, -1)).flatten();
                    let above = (to < across.to).then(|| beyond(to, 0)).flatten();
                    vec![at, plain(from), plain(to), who(below), who(above)]
                }
            });
        }
        text += &columns(&rows, 0);
        if held > 0 {
            text += "\n";
            text += &columns(&down(document, survey, &stays), 0);
        }
    }
    text
}

/// How far all stay down at each value of the second dial, and who lets go first.
fn down(
    document: &Document,
    survey: &survey::Survey,
    stays: &[Option<[Stay; 2]>],
) -> Vec<Vec<String>> {
    let up = &survey.up;
    let mut rows = vec![vec![
        format!("{}{}", name(document, up.dial), unit(document, up.dial)),
        "all down from".to_owned(),
        "to".to_owned(),
        "lets go below".to_owned(),
        "above".to_owned(),
    ]];
    for (row, stays) in stays.iter().enumerate() {
        let at = plain(up.value(row));
        let none = || "-".to_owned();
        rows.push(match stays {
            None => vec![at, none(), none(), String::new(), String::new()],
            Some(ends) => {
                let [low, high] = ends.map(|end| {
                    let node = end.first.and_then(|node| document.node(node));
                    node.map_or_else(String::new, |node| node.name.clone())
                });
                let [from, to] = ends.map(|end| plain(end.value));
                vec![at, from, to, low, high]
            }
        });
    }
    rows
}

/// Who makes a pose unsafe, and how.
fn ended(document: &Document, cell: &Cell, tolerance: &Tolerance) -> String {
    let name = |node| {
        let node = document.node(node);
        node.map_or("?", |node| node.name.as_str())
    };
    match cell.ends(tolerance) {
        None => String::new(),
        Some(Ends::Slips(node)) => format!("{} slips", name(node)),
        Some(Ends::Sinks(node, _)) => format!("{} sinks in", name(node)),
        Some(Ends::Limit(limit)) => limit.told(document),
    }
}
