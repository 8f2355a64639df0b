//! A list of shapes onto a canvas: the same list that becomes SVG elsewhere.
use figure::{Align, Look, Paint, Seg, Shape, Text, TextStyle};
use wasm_bindgen::JsCast;
use web_sys::{CanvasPattern, CanvasRenderingContext2d, HtmlCanvasElement};

/// A canvas with its hatch, made again when the look changes.
pub struct Painter {
    canvas: HtmlCanvasElement,
    context: CanvasRenderingContext2d,
    hatch: Option<(Look, CanvasPattern)>,
    /// The font set last: setting one makes the browser parse it again.
    font: String,
}

impl Painter {
    pub fn new(canvas: HtmlCanvasElement) -> Option<Self> {
        let context = canvas.get_context("2d").ok()??.dyn_into().ok()?;
        Some(Self {
            canvas,
            context,
            hatch: None,
            font: String::new(),
        })
    }

    /// Clears and paints. `size` in CSS px, `ratio` device px per CSS px.
    pub fn paint(&mut self, shapes: &[Shape], size: (f64, f64), ratio: f64, look: Look) {
        let (width, height) = (
            (size.0 * ratio).round() as u32,
            (size.1 * ratio).round() as u32,
        );
        if self.canvas.width() != width || self.canvas.height() != height {
            self.canvas.set_width(width);
            self.canvas.set_height(height);
            // A new size clears everything set on the canvas.
            self.font.clear();
        }
        let c = &self.context;
        let _ = c.set_transform(ratio, 0.0, 0.0, ratio, 0.0, 0.0);
        c.set_fill_style_str(look.colour(Paint::Ground));
        c.fill_rect(0.0, 0.0, size.0, size.1);
        c.set_line_join("round");
        if self.hatch.as_ref().is_none_or(|(of, _)| *of != look) {
            self.hatch = hatch(look).map(|pattern| (look, pattern));
        }
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
                        self.context.set_global_alpha(*fill_opacity);
                        self.fill_with(*paint, look);
                        self.context.fill();
                    }
                    if let Some(stroke) = stroke {
                        let c = &self.context;
                        c.set_global_alpha(stroke.opacity);
                        c.set_stroke_style_str(look.colour(stroke.paint));
                        c.set_line_width(stroke.width);
                        let dash = js_sys::Array::new();
                        if let Some((on, off)) = stroke.dash {
                            dash.push(&on.into());
                            dash.push(&off.into());
                            c.set_line_cap("butt");
                        } else {
                            c.set_line_cap("round");
                        }
                        let _ = c.set_line_dash(&dash);
                        c.stroke();
                    }
                    self.context.set_global_alpha(1.0);
                }
                Shape::Text { text, .. } => {
                    self.set_font(text);
                    self.write(text, look);
                }
            }
        }
    }

    fn trace(&self, segs: &[Seg]) {
        let c = &self.context;
        c.begin_path();
        for seg in segs {
            match *seg {
                Seg::Move(x, y) => c.move_to(x, y),
                Seg::Line(x, y) => c.line_to(x, y),
                Seg::Cubic(ax, ay, bx, by, x, y) => c.bezier_curve_to(ax, ay, bx, by, x, y),
                Seg::Close => c.close_path(),
            }
        }
    }

    fn fill_with(&self, paint: Paint, look: Look) {
        match (&self.hatch, paint) {
            (Some((_, pattern)), Paint::Hatch) => {
                self.context.set_fill_style_canvas_pattern(pattern)
            }
            _ => self.context.set_fill_style_str(look.colour(paint)),
        }
    }

    fn set_font(&mut self, text: &Text) {
        let slope = match text.style {
            TextStyle::Label => "",
            TextStyle::Caption => "italic ",
            TextStyle::Number => "600 ",
        };
        let font = format!("{slope}{}px {}", text.size, figure::font(text.style));
        if font != self.font {
            self.context.set_font(&font);
            self.font = font;
        }
    }

    fn write(&self, text: &Text, look: Look) {
        let c = &self.context;
        c.set_text_align(match text.align {
            Align::Start => "left",
            Align::Middle => "center",
            Align::End => "right",
        });
        c.set_fill_style_str(look.colour(text.paint));
        if text.turn == 0.0 {
            let _ = c.fill_text(&text.content, text.x, text.y);
        } else {
            c.save();
            let _ = c.translate(text.x, text.y);
            let _ = c.rotate(text.turn.to_radians());
            let _ = c.fill_text(&text.content, 0.0, 0.0);
            c.restore();
        }
    }
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
