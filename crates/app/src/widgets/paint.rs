//! A list of shapes onto a canvas: the same list that becomes SVG elsewhere.
use figure::{Align, Look, Paint, Seg, Shape, Stroke, Text, TextStyle};
use js_sys::Array;
use wasm_bindgen::prelude::*;
use web_sys::{CanvasPattern, CanvasRenderingContext2d, HtmlCanvasElement};

#[wasm_bindgen(raw_module = "./paint.js")]
extern "C" {
    /// Does what the list says. It reads the list where it lies in the module's memory.
    fn replay(context: &CanvasRenderingContext2d, list: &[f64], words: &str, colours: &Array);
}

/// An act of the list, by the number that `www/paint.js` knows it by, and what follows it there.
#[derive(Clone, Copy)]
enum Act {
    /// x, y
    Move,
    /// x, y
    Line,
    /// control 1, control 2, end
    Cubic,
    Close,
    Begin,
    Fill,
    /// which of the colours
    FillStyle,
    /// which of the colours
    StrokeStyle,
    Stroke,
    /// px
    Width,
    /// opacity
    Alpha,
    Solid,
    /// px on, px off
    Dash,
    /// how many of the words name it
    Font,
    /// as `Align` counts
    Align,
    /// how many of the words, x, y
    Write,
    /// x, y, radians, how many of the words
    WriteTurned,
    /// px, px from the corner
    Cover,
}

/// A canvas, what is set on it, and the list that paints it.
pub struct Painter {
    canvas: HtmlCanvasElement,
    context: CanvasRenderingContext2d,
    /// By `Paint`; the hatch's is a pattern.
    colours: Option<(Look, Array)>,
    ratio: f64,
    set: Set,
    // Kept from frame to frame for their room.
    list: Vec<f64>,
    words: String,
}

/// What the canvas was told last and keeps: telling it again costs, a colour or font a parsing.
#[derive(Default)]
struct Set {
    fill: Option<Paint>,
    stroke: Option<Paint>,
    width: Option<f64>,
    alpha: Option<f64>,
    dash: Option<Option<(f64, f64)>>,
    font: Option<(TextStyle, f64)>,
    align: Option<Align>,
}

/// Whether it is told something new.
fn anew<T: PartialEq>(told: &mut Option<T>, now: T) -> bool {
    let anew = told.as_ref() != Some(&now);
    *told = Some(now);
    anew
}

impl Painter {
    pub fn new(canvas: HtmlCanvasElement) -> Option<Self> {
        let context = canvas.get_context("2d").ok()??.dyn_into().ok()?;
        Some(Self {
            canvas,
            context,
            colours: None,
            ratio: 0.0,
            set: Set::default(),
            list: Vec::new(),
            words: String::new(),
        })
    }

    /// Clears and paints. `size` in CSS px, `ratio` device px per CSS px.
    pub fn paint(&mut self, shapes: &[Shape], size: (f64, f64), ratio: f64, look: Look) {
        self.fit(size, ratio);
        if self.colours.as_ref().is_none_or(|(of, _)| *of != look) {
            self.colours = Some((look, colours(look)));
            (self.set.fill, self.set.stroke) = (None, None);
        }
        self.list.clear();
        self.words.clear();
        self.alpha(1.0);
        self.fill_style(Paint::Ground);
        self.add(Act::Cover, &[size.0, size.1]);
        for shape in shapes {
            match shape {
                Shape::Path {
                    segs,
                    fill,
                    fill_opacity,
                    stroke,
                    ..
                } => {
                    self.trace(segs);
                    if let Some(paint) = fill {
                        self.alpha(*fill_opacity);
                        self.fill_style(*paint);
                        self.add(Act::Fill, &[]);
                    }
                    if let Some(stroke) = stroke {
                        self.stroke(stroke);
                    }
                }
                Shape::Text { text, .. } => self.write(text),
            }
        }
        if let Some((_, colours)) = &self.colours {
            replay(&self.context, &self.list, &self.words, colours);
        }
    }

    /// Gives the canvas its size. A new one clears all that was set.
    fn fit(&mut self, size: (f64, f64), ratio: f64) {
        let (width, height) = (
            (size.0 * ratio).round() as u32,
            (size.1 * ratio).round() as u32,
        );
        if self.canvas.width() == width && self.canvas.height() == height && self.ratio == ratio {
            return;
        }
        self.canvas.set_width(width);
        self.canvas.set_height(height);
        let c = &self.context;
        let _ = c.set_transform(ratio, 0.0, 0.0, ratio, 0.0, 0.0);
        c.set_line_join("round");
        self.ratio = ratio;
        self.set = Set::default();
    }

    fn add(&mut self, act: Act, with: &[f64]) {
        self.list.push(f64::from(act as u8));
        self.list.extend_from_slice(with);
    }

    fn trace(&mut self, segs: &[Seg]) {
        self.add(Act::Begin, &[]);
        for seg in segs {
            match *seg {
                Seg::Move(x, y) => self.add(Act::Move, &[x, y]),
                Seg::Line(x, y) => self.add(Act::Line, &[x, y]),
                Seg::Cubic(ax, ay, bx, by, x, y) => self.add(Act::Cubic, &[ax, ay, bx, by, x, y]),
                Seg::Close => self.add(Act::Close, &[]),
            }
        }
    }

    fn alpha(&mut self, opacity: f64) {
        if anew(&mut self.set.alpha, opacity) {
            self.add(Act::Alpha, &[opacity]);
        }
    }

    fn fill_style(&mut self, paint: Paint) {
        if anew(&mut self.set.fill, paint) {
            self.add(Act::FillStyle, &[f64::from(paint as u8)]);
        }
    }

    fn stroke(&mut self, stroke: &Stroke) {
        self.alpha(stroke.opacity);
        if anew(&mut self.set.stroke, stroke.paint) {
            self.add(Act::StrokeStyle, &[f64::from(stroke.paint as u8)]);
        }
        if anew(&mut self.set.width, stroke.width) {
            self.add(Act::Width, &[stroke.width]);
        }
        if anew(&mut self.set.dash, stroke.dash) {
            match stroke.dash {
                Some((on, off)) => self.add(Act::Dash, &[on, off]),
                None => self.add(Act::Solid, &[]),
            }
        }
        self.add(Act::Stroke, &[]);
    }

    fn write(&mut self, text: &Text) {
        if anew(&mut self.set.font, (text.style, text.size)) {
            let slope = match text.style {
                TextStyle::Label => "",
                TextStyle::Caption => "italic ",
                TextStyle::Number => "600 ",
            };
            let font = format!("{slope}{}px {}", text.size, figure::font(text.style));
            let length = self.say(&font);
            self.add(Act::Font, &[length]);
        }
        if anew(&mut self.set.align, text.align) {
            self.add(Act::Align, &[f64::from(text.align as u8)]);
        }
        self.alpha(1.0);
        self.fill_style(text.paint);
        let (x, y, length) = (text.x, text.y, self.say(&text.content));
        if text.turn == 0.0 {
            self.add(Act::Write, &[length, x, y]);
        } else {
            self.add(Act::WriteTurned, &[x, y, text.turn.to_radians(), length]);
        }
    }

    /// Adds to the words; how many units they are to JavaScript.
    fn say(&mut self, words: &str) -> f64 {
        self.words.push_str(words);
        words.encode_utf16().count() as f64
    }
}

/// What each `Paint` is set to, by its number.
fn colours(look: Look) -> Array {
    let colours: Array = Paint::ALL
        .iter()
        .map(|paint| JsValue::from(look.colour(*paint)))
        .collect();
    if let Some(hatch) = hatch(look) {
        colours.set(Paint::Hatch as u32, hatch.into());
    }
    colours
}

/// Diagonal lines on the page's ground, as the SVG's pattern has them.
fn hatch(look: Look) -> Option<CanvasPattern> {
    let (spacing, thickness) = figure::HATCH;
    // One tile holds one line: its side is the spacing measured along the edge.
    let tile = (spacing * std::f64::consts::SQRT_2).round();
    let canvas: HtmlCanvasElement = leptos::prelude::document()
        .create_element("canvas")
        .ok()?
        .dyn_into()
        .ok()?;
    canvas.set_width(tile as u32);
    canvas.set_height(tile as u32);
    let c: CanvasRenderingContext2d = canvas.get_context("2d").ok()??.dyn_into().ok()?;
    c.set_fill_style_str(look.colour(Paint::Page));
    c.fill_rect(0.0, 0.0, tile, tile);
    c.set_stroke_style_str(look.colour(Paint::Hatch));
    c.set_line_width(thickness);
    // The line and its neighbours' corners, so that tiles meet.
    for shift in [-tile, 0.0, tile] {
        c.begin_path();
        c.move_to(shift - 1.0, tile + 1.0);
        c.line_to(shift + tile + 1.0, -1.0);
        c.stroke();
    }
    c.create_pattern_with_html_canvas_element(&canvas, "repeat")
        .ok()
        .flatten()
}
