//! The shape list as a small SVG in the styles' colours: it serves both looks, and what cannot be
//! seen of it is left out. `figure::svg` is for files, which stand alone.
use figure::{Align, HATCH, Paint, Seg, Shape, Stroke, Text, TextStyle, font};
use std::fmt::Write;

/// A corner nearer than this to the line past it is not drawn, px.
const FLAT: f64 = 0.25;

/// Text safe in content and in attributes.
pub fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// The shapes of a figure, and the pattern they need.
pub fn inside(shapes: &[Shape]) -> String {
    let (step, thick) = HATCH;
    let hatch = format!(
        r#"<defs><pattern id="first-hatch" width="{step}" height="{step}" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="{step}" height="{step}" fill="var(--page)"/><path d="M0 0V{step}" stroke="var(--anchored)" stroke-width="{thick}"/></pattern></defs>"#
    );
    hatch + &drawn(shapes)
}

/// Shapes that are not hatched.
pub fn drawn(shapes: &[Shape]) -> String {
    let mut out = String::new();
    for shape in shapes {
        match shape {
            Shape::Path {
                segs,
                fill,
                fill_opacity,
                stroke,
                ..
            } => {
                let _ = write!(out, r#"<path d="{}""#, data(segs));
                match fill {
                    None => out += r#" fill="none""#,
                    Some(paint) => {
                        let _ = write!(out, r#" fill="{}""#, colour(*paint));
                        opacity(&mut out, "fill", *fill_opacity);
                    }
                }
                if let Some(stroke) = stroke {
                    stroked(&mut out, stroke);
                }
                out += "/>";
            }
            Shape::Text { text, .. } => words(&mut out, text),
        }
    }
    out
}

/// The name the styles have for a paint's colour, and what gives it.
pub fn name(paint: Paint) -> &'static str {
    match paint {
        Paint::Ground => "ground",
        Paint::Page | Paint::Still => "page",
        Paint::Ink => "ink",
        Paint::Quiet => "quiet",
        Paint::Rule => "rule",
        Paint::Carried => "carried",
        Paint::Mover => "mover",
        Paint::Anchored | Paint::Hatch => "anchored",
        Paint::Good => "good",
        Paint::Amiss => "amiss",
        Paint::Bench => "bench",
        Paint::Shade => "shade",
        Paint::Light => "light",
    }
}

fn colour(paint: Paint) -> String {
    match paint {
        Paint::Hatch => "url(#first-hatch)".into(),
        paint => format!("var(--{})", name(paint)),
    }
}

fn opacity(out: &mut String, of: &str, value: f64) {
    if value < 1.0 {
        let _ = write!(out, r#" {of}-opacity="{}""#, hundredths(value));
    }
}

/// Caps and joins are the styles'.
fn stroked(out: &mut String, stroke: &Stroke) {
    let (paint, width) = (colour(stroke.paint), hundredths(stroke.width));
    let _ = write!(out, r#" stroke="{paint}" stroke-width="{width}""#);
    if let Some((on, off)) = stroke.dash {
        let (on, off) = (hundredths(on), hundredths(off));
        let _ = write!(out, r#" stroke-dasharray="{on} {off}""#);
    }
    opacity(out, "stroke", stroke.opacity);
}

fn words(out: &mut String, text: &Text) {
    let (x, y) = (hundredths(text.x), hundredths(text.y));
    let _ = write!(
        out,
        r#"<text x="{x}" y="{y}" font-family="{}" font-size="{}" fill="{}""#,
        font(text.style),
        hundredths(text.size),
        colour(text.paint)
    );
    *out += match text.style {
        TextStyle::Label => "",
        TextStyle::Caption => r#" font-style="italic""#,
        TextStyle::Number => r#" font-weight="600""#,
    };
    *out += match text.align {
        Align::Start => "",
        Align::Middle => r#" text-anchor="middle""#,
        Align::End => r#" text-anchor="end""#,
    };
    if text.turn != 0.0 {
        let _ = write!(
            out,
            r#" transform="rotate({} {x} {y})""#,
            hundredths(text.turn)
        );
    }
    let _ = write!(out, ">{}</text>", escaped(&text.content));
}

fn hundredths(value: f64) -> String {
    format!("{}", (value * 100.0).round() / 100.0 + 0.0)
}

/// Path data in whole tenths of a px, each from the last, so that no error adds up.
fn data(segs: &[Seg]) -> String {
    let mut pen = Pen::default();
    for seg in &plain(segs) {
        match *seg {
            Seg::Move(x, y) => pen.go('m', &[(x, y)]),
            Seg::Line(x, y) => pen.go('l', &[(x, y)]),
            Seg::Cubic(a, b, c, d, x, y) => pen.go('c', &[(a, b), (c, d), (x, y)]),
            Seg::Close => pen.close(),
        }
    }
    pen.out
}

/// Writes relative commands; a command like the last is not named again.
#[derive(Default)]
struct Pen {
    out: String,
    at: (i64, i64),
    begun: (i64, i64),
    last: Option<char>,
}

impl Pen {
    fn go(&mut self, command: char, points: &[(f64, f64)]) {
        let tenths = |v: f64| (v * 10.0).round() as i64;
        let from = self.at;
        // After a move, 'l' is understood.
        let understood = self.last == Some(command) && command != 'm'
            || self.last == Some('m') && command == 'l';
        if !understood {
            self.out.push(command);
        }
        for (index, (x, y)) in points.iter().enumerate() {
            let to = (tenths(*x), tenths(*y));
            self.number(to.0 - from.0, understood || index > 0);
            self.number(to.1 - from.1, true);
            self.at = to;
        }
        if command == 'm' {
            self.begun = self.at;
        }
        self.last = Some(command);
    }

    fn close(&mut self) {
        self.out.push('z');
        self.at = self.begun;
        self.last = None;
    }

    /// `after`: follows another number.
    fn number(&mut self, tenths: i64, after: bool) {
        let (whole, part) = (tenths.abs() / 10, tenths.abs() % 10);
        if tenths < 0 {
            self.out.push('-');
        } else if after {
            self.out.push(' ');
        }
        let _ = match (whole, part) {
            (_, 0) => write!(self.out, "{whole}"),
            (0, _) => write!(self.out, ".{part}"),
            _ => write!(self.out, "{whole}.{part}"),
        };
    }
}

/// The same without corners that do not show. Ramer–Douglas–Peucker on each run of lines.
fn plain(segs: &[Seg]) -> Vec<Seg> {
    let mut out = Vec::new();
    let mut run: Vec<(f64, f64)> = Vec::new();
    let mut begun = None;
    for seg in segs {
        match *seg {
            Seg::Line(x, y) => run.push((x, y)),
            other => {
                flush(&mut run, &mut out);
                out.push(other);
                if let Seg::Move(x, y) = other {
                    begun = Some((x, y));
                }
                run.extend(match other {
                    Seg::Line(x, y) | Seg::Move(x, y) | Seg::Cubic(_, _, _, _, x, y) => {
                        Some((x, y))
                    }
                    Seg::Close => begun,
                });
            }
        }
    }
    flush(&mut run, &mut out);
    out
}

/// Lines through a run's points after its first, which is where the pen is.
fn flush(run: &mut Vec<(f64, f64)>, out: &mut Vec<Seg>) {
    if run.len() > 1 {
        let mut kept = vec![false; run.len()];
        keep(run, 0, run.len() - 1, &mut kept);
        let points = run.iter().zip(kept).skip(1);
        out.extend(points.filter_map(|(p, kept)| kept.then_some(Seg::Line(p.0, p.1))));
    }
    run.clear();
}

fn keep(points: &[(f64, f64)], first: usize, last: usize, kept: &mut [bool]) {
    (kept[first], kept[last]) = (true, true);
    let (a, b) = (points[first], points[last]);
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = libm::hypot(dx, dy);
    let off = |p: (f64, f64)| {
        let (x, y) = (p.0 - a.0, p.1 - a.1);
        // A run that comes back to its beginning has no line to lie on.
        if length < 1e-9 {
            libm::hypot(x, y)
        } else {
            (x * dy - y * dx).abs() / length
        }
    };
    let between = first + 1..last;
    let farthest = between.max_by(|&i, &j| off(points[i]).total_cmp(&off(points[j])));
    if let Some(middle) = farthest.filter(|&i| off(points[i]) > FLAT) {
        keep(points, first, middle, kept);
        keep(points, middle, last, kept);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn path_data_is_brief_and_comes_back_to_where_it_began() {
        let segs = [
            Seg::Move(10.0, 20.04),
            Seg::Line(20.0, 20.0),
            Seg::Line(30.0, 20.1),
            Seg::Line(30.0, 9.76),
            Seg::Close,
            Seg::Line(10.5, 20.0),
            Seg::Cubic(11.0, 20.0, 12.0, 21.0, 12.0, 22.0),
        ];
        assert_eq!(data(&segs), "m10 20 20 .1 0-10.3zl.5 0c.5 0 1.5 1 1.5 2");
    }

    #[test]
    fn a_corner_that_shows_is_kept() {
        let corners = |y: f64| {
            let points = [(0.0, 0.0), (5.0, y), (10.0, 0.0)];
            let mut segs = vec![Seg::Move(0.0, 0.0)];
            segs.extend(points[1..].iter().map(|p| Seg::Line(p.0, p.1)));
            plain(&segs).len()
        };
        assert_eq!((corners(0.2), corners(0.3)), (2, 3));
        // There and back: its far end is no corner of a straight line, but it shows.
        let loops = [
            Seg::Move(0.0, 0.0),
            Seg::Line(4.0, 0.0),
            Seg::Line(0.0, 0.0),
        ];
        assert_eq!(plain(&loops).len(), 3);
    }
}
