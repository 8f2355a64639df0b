//! The shape list as an SVG document.
use crate::shape::debug_assert_finite;
use crate::{Align, Paint, Scene, Seg, Shape, Sight, Stroke, Text, TextStyle, View, draw, extent};
use rig::Posed;
use std::fmt::Write;

/// Light or dark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Look {
    Paper,
    Slate,
}

impl Look {
    /// `#rrggbb` of a paint ([`Paint::Hatch`] gives the colour of its lines).
    pub const fn colour(self, paint: Paint) -> &'static str {
        let (paper, slate) = match paint {
            Paint::Ground => ("#f5f0e6", "#1d2628"),
            Paint::Page | Paint::Still => ("#fbf8f1", "#232e30"),
            Paint::Ink => ("#23262b", "#ece6d6"),
            Paint::Quiet => ("#5d5f63", "#b3b5ab"),
            Paint::Rule => ("#d8cfbd", "#3b494b"),
            Paint::Carried => ("#c7d2d4", "#4c6166"),
            Paint::Mover => ("#885509", "#f0b453"),
            Paint::Anchored | Paint::Hatch => ("#6a3358", "#e3a6cf"),
            Paint::Good => ("#2f6b3a", "#9fd6a6"),
            Paint::Amiss => ("#a3341f", "#f2a18e"),
            Paint::Bench => ("#e7dcc6", "#2d3a3c"),
            Paint::Shade => ("#2a2530", "#05090a"),
            Paint::Light => ("#ffffff", "#e4e2d2"),
        };
        match self {
            Look::Paper => paper,
            Look::Slate => slate,
        }
    }

    const fn hatch_id(self) -> &'static str {
        match self {
            Look::Paper => "hatch-paper",
            Look::Slate => "hatch-slate",
        }
    }
}

/// Spacing and thickness of the hatch's lines, px; they run at 45°.
pub const HATCH: (f64, f64) = (7.0, 2.2);

/// Font families of a text style, for SVG and canvas alike: the reader's own fonts, none to load.
pub const fn font(style: TextStyle) -> &'static str {
    match style {
        TextStyle::Label | TextStyle::Caption => {
            "Charter, 'Bitstream Charter', 'Source Serif 4', Cambria, Georgia, serif"
        }
        TextStyle::Number => "ui-sans-serif, 'Segoe UI', system-ui, sans-serif",
    }
}

/// A standalone SVG of this size in px, with title and ground. A number that is not finite is a
/// fault of the figure: debug builds panic on it, release builds write 0 for a NaN.
pub fn svg(shapes: &[Shape], size: (f64, f64), look: Look, title: &str) -> String {
    debug_assert_finite(shapes);
    let (w, h) = (number(size.0), number(size.1));
    let mut out = String::with_capacity(256 + 160 * shapes.len());
    let _ = write!(
        out,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{w}" height="{h}" viewBox="0 0 {w} {h}" role="img"><title>{}</title>"#,
        escaped(title)
    );
    let hatched = |s: &Shape| {
        matches!(
            s,
            Shape::Path {
                fill: Some(Paint::Hatch),
                ..
            }
        )
    };
    if shapes.iter().any(hatched) {
        let (step, thick) = HATCH;
        let _ = write!(
            out,
            r#"<defs><pattern id="{}" width="{step}" height="{step}" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="{step}" height="{step}" fill="{}"/><path d="M0 0V{step}" stroke="{}" stroke-width="{thick}"/></pattern></defs>"#,
            look.hatch_id(),
            look.colour(Paint::Page),
            look.colour(Paint::Hatch),
        );
    }
    let _ = write!(
        out,
        r#"<rect width="{w}" height="{h}" fill="{}"/>"#,
        look.colour(Paint::Ground)
    );
    for shape in shapes {
        match shape {
            Shape::Path {
                segs,
                fill,
                fill_opacity,
                stroke,
                ..
            } => path(&mut out, segs, *fill, *fill_opacity, stroke.as_ref(), look),
            Shape::Text { text, .. } => words(&mut out, text, look),
        }
    }
    out.push_str("</svg>\n");
    out
}

/// A document's picture at its own size: everything in view, nothing being moved.
pub fn picture(posed: &Posed, sight: Sight, size: (f64, f64), look: Look) -> String {
    let document = posed.document();
    let view = View::fit(sight, size, &extent(posed), 48.0);
    svg(
        &draw(posed, &view, &Scene::default()),
        size,
        look,
        &document.name,
    )
}

fn path(
    out: &mut String,
    segs: &[Seg],
    fill: Option<Paint>,
    fill_opacity: f64,
    stroke: Option<&Stroke>,
    look: Look,
) {
    out.push_str(r#"<path d=""#);
    for seg in segs {
        let _ = match *seg {
            Seg::Move(x, y) => write!(out, "M{} {}", number(x), number(y)),
            Seg::Line(x, y) => write!(out, "L{} {}", number(x), number(y)),
            Seg::Cubic(a, b, c, d, x, y) => {
                write!(
                    out,
                    "C{} {} {} {} {} {}",
                    number(a),
                    number(b),
                    number(c),
                    number(d),
                    number(x),
                    number(y)
                )
            }
            Seg::Close => write!(out, "Z"),
        };
    }
    let _ = match fill {
        None => write!(out, r#"" fill="none""#),
        Some(Paint::Hatch) => write!(out, r#"" fill="url(#{})""#, look.hatch_id()),
        Some(paint) => write!(out, r#"" fill="{}""#, look.colour(paint)),
    };
    if fill.is_some() && fill_opacity < 1.0 {
        let _ = write!(out, r#" fill-opacity="{}""#, number(fill_opacity));
    }
    if let Some(s) = stroke {
        let _ = write!(
            out,
            r#" stroke="{}" stroke-width="{}" stroke-linecap="round" stroke-linejoin="round""#,
            look.colour(s.paint),
            number(s.width)
        );
        if let Some((on, off)) = s.dash {
            let _ = write!(out, r#" stroke-dasharray="{} {}""#, number(on), number(off));
        }
        if s.opacity < 1.0 {
            let _ = write!(out, r#" stroke-opacity="{}""#, number(s.opacity));
        }
    }
    out.push_str("/>");
}

fn words(out: &mut String, text: &Text, look: Look) {
    let (x, y) = (number(text.x), number(text.y));
    let _ = write!(
        out,
        r#"<text x="{x}" y="{y}" font-family="{}" font-size="{}" fill="{}""#,
        font(text.style),
        number(text.size),
        look.colour(text.paint)
    );
    out.push_str(match text.style {
        TextStyle::Label => "",
        TextStyle::Caption => r#" font-style="italic""#,
        TextStyle::Number => r#" font-weight="600""#,
    });
    out.push_str(match text.align {
        Align::Start => "",
        Align::Middle => r#" text-anchor="middle""#,
        Align::End => r#" text-anchor="end""#,
    });
    if text.turn != 0.0 {
        let _ = write!(out, r#" transform="rotate({} {x} {y})""#, number(text.turn));
    }
    let _ = write!(out, ">{}</text>", escaped(&text.content));
}

/// At most two decimals, no trailing zeros, no negative zero. NaN becomes 0, for a reader of SVG
/// would stop at it: that none comes here is for [`svg`] to see to.
fn number(value: f64) -> String {
    let hundredths = (value * 100.0).round() as i64;
    let (whole, part) = (
        hundredths.unsigned_abs() / 100,
        hundredths.unsigned_abs() % 100,
    );
    let sign = if hundredths < 0 { "-" } else { "" };
    match part {
        0 => format!("{sign}{whole}"),
        p if p % 10 == 0 => format!("{sign}{whole}.{}", p / 10),
        p => format!("{sign}{whole}.{p:02}"),
    }
}

/// Text safe in element content; control characters that XML 1.0 forbids are dropped.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if c < ' ' || c == '\u{fffe}' || c == '\u{ffff}' => {}
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Layer;

    /// WCAG 2.2, 'relative luminance' (source: W3C Recommendation, Web Content Accessibility
    /// Guidelines 2.2, section Terms), with its sRGB threshold of 0.04045.
    fn luminance(colour: &str) -> f64 {
        let part = |i: usize| {
            let c = u8::from_str_radix(&colour[i..i + 2], 16).unwrap() as f64 / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                libm::pow((c + 0.055) / 1.055, 2.4)
            }
        };
        0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
    }

    /// WCAG 2.2, 'contrast ratio'.
    fn contrast(a: &str, b: &str) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    const LOOKS: [Look; 2] = [Look::Paper, Look::Slate];

    #[test]
    fn the_contrast_formula_gives_the_published_ends() {
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-12);
        assert!((contrast("#777777", "#ffffff") - 4.48).abs() < 0.005);
    }

    #[test]
    fn text_and_marks_stand_out_on_every_ground() {
        let text = [
            Paint::Ink,
            Paint::Quiet,
            Paint::Mover,
            Paint::Anchored,
            Paint::Good,
            Paint::Amiss,
        ];
        for look in LOOKS {
            for ground in [Paint::Ground, Paint::Page, Paint::Bench] {
                for paint in text {
                    let ratio = contrast(look.colour(paint), look.colour(ground));
                    assert!(ratio >= 4.5, "{look:?} {paint:?} on {ground:?}: {ratio:.2}");
                }
            }
            // Outlines, rings, pivots, hatch and trails also cross carried bones (1.4.11: 3 to 1).
            for paint in [
                Paint::Ink,
                Paint::Mover,
                Paint::Anchored,
                Paint::Hatch,
                Paint::Good,
                Paint::Amiss,
            ] {
                let ratio = contrast(look.colour(paint), look.colour(Paint::Carried));
                assert!(
                    ratio >= 3.0,
                    "{look:?} {paint:?} on a carried bone: {ratio:.2}"
                );
            }
        }
    }

    #[test]
    fn numbers_have_at_most_two_decimals() {
        for (value, text) in [
            (0.0, "0"),
            (-0.001, "0"),
            (1.5, "1.5"),
            (-2.25, "-2.25"),
            (3.999, "4"),
            (10.06, "10.06"),
            (-0.4, "-0.4"),
        ] {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn words_are_escaped_and_the_hatch_is_defined_once() {
        let hatch = Shape::filled(
            Layer::Bone,
            crate::path::circle((5.0, 5.0), 3.0),
            Paint::Hatch,
            None,
        );
        let text = Text {
            x: 1.0,
            y: 2.0,
            content: "<rye & \"spelt\">\u{7}".into(),
            size: 14.0,
            style: TextStyle::Label,
            paint: Paint::Ink,
            align: Align::End,
            turn: 30.0,
        };
        for look in LOOKS {
            let out = svg(
                &[
                    hatch.clone(),
                    Shape::Text {
                        layer: Layer::Label,
                        text: text.clone(),
                    },
                    hatch.clone(),
                ],
                (100.0, 80.0),
                look,
                "a < b",
            );
            assert!(out.contains("<title>a &lt; b</title>") && out.contains(r#"role="img""#));
            assert!(
                out.contains(">&lt;rye &amp; &quot;spelt&quot;&gt;</text>")
                    && out.contains("rotate(30 1 2)")
            );
            assert_eq!(out.matches("<pattern ").count(), 1);
            assert_eq!(
                out.matches(&format!("url(#{})", look.hatch_id())).count(),
                2
            );
        }
        assert!(!svg(&[], (1.0, 1.0), Look::Paper, "").contains("<pattern"));
    }
}
