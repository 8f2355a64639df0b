//! Slips in bubbles: in one row under what slips, from left to right as that stands, so that no
//! thread lies over another's bubble.
use crate::label_layout::{Area, EDGE};
use crate::path::{polyline, rectangle};
use crate::sheet::Sheet;
use crate::sign::Sign;
use crate::words::{LINE, Words};
use crate::{Align, Bubble, Layer, Paint, Shape, Sight, TextStyle};
use rig::{Vec3, few};

/// Over a bench by less than this, px, what slips has its bubble under the bench.
const NEAR: f64 = 240.0;

/// A bubble, and where it would hang by itself.
struct Hung<'a> {
    bubble: &'a Bubble,
    /// What slips, px, or the staple under it.
    from: (f64, f64),
    /// The bubble's top, px.
    top: f64,
}

/// How a bubble is written, the widest first.
#[derive(Clone, Copy, PartialEq)]
enum Form {
    /// 'index 0.00 mm'
    Line,
    /// The reading under the name.
    Stacked,
    /// The same without its unit.
    Bare,
}

/// What a thread lies over counts so much more than what a bubble does: it is as thin as that.
const CROSSED: f64 = 10.0;

/// A row that has been found room for.
struct Row {
    crowd: f64,
    form: Form,
    areas: Vec<Area>,
}

/// Draws them; more than one row holds are in further ones below.
pub(crate) fn draw(sheet: &mut Sheet, bench: Option<f64>, bubbles: &[Bubble]) {
    let placed = |bubble| hung(sheet, bench, bubble);
    let mut all: Vec<_> = bubbles.iter().filter_map(placed).collect();
    few::sort(&mut all, |a, b| a.from.0.total_cmp(&b.from.0));
    let widest = |form| {
        all.iter()
            .map(|h| size(sheet, h.bubble, form).0)
            .fold(0.0, f64::max)
    };
    let least = widest(Form::Bare) + gap(sheet);
    let in_a_row = ((sheet.view.size.0 - 2.0 * EDGE) / least).max(1.0) as usize;
    for row in all.chunks(in_a_row) {
        let forms = [Form::Line, Form::Stacked, Form::Bare].into_iter();
        let rows = forms.filter_map(|form| room_for(sheet, row, form));
        let best = rows.reduce(|best, next| if next.crowd < best.crowd { next } else { best });
        if let Some(best) = best {
            put(sheet, row, &best);
        }
    }
}

fn hung<'a>(sheet: &Sheet, bench: Option<f64>, bubble: &'a Bubble) -> Option<Hung<'a>> {
    let [at] = sheet.line(&[bubble.at])[..] else {
        return None;
    };
    let w = sheet.weight;
    let under = bench
        .filter(|_| sheet.view.sight != Sight::Top)
        .map(|b| sheet.at(&Vec3::new(bubble.at.x, b, bubble.at.z)).1)
        .filter(|y| (y - at.1).abs() < NEAR * w);
    let (from, top) = match under {
        Some(y) => ((at.0, y.max(at.1) + 8.0 * w), y.max(at.1) + 17.0 * w),
        None => (at, at.1 + 24.0 * w),
    };
    Some(Hung { bubble, from, top })
}

fn gap(sheet: &Sheet) -> f64 {
    5.0 * sheet.weight
}

fn value<'a>(sheet: &Sheet, bubble: &'a Bubble, form: Form) -> Words<'a> {
    let content = match form {
        Form::Bare => bubble.text.trim_end_matches(" mm"),
        _ => &bubble.text,
    };
    let paint = if bubble.good {
        Paint::Good
    } else {
        Paint::Amiss
    };
    let (size, style) = (sheet.type_size(13.0), TextStyle::Number);
    Words {
        content,
        size,
        style,
        paint,
    }
}

fn name<'a>(sheet: &Sheet, bubble: &'a Bubble) -> Words<'a> {
    Words {
        content: &bubble.name,
        size: sheet.type_size(12.0),
        style: TextStyle::Caption,
        paint: Paint::Ink,
    }
}

/// All of it in one line, if that is its form.
fn line(bubble: &Bubble) -> String {
    format!("{} {}", bubble.name, bubble.text)
        .trim_start()
        .to_owned()
}

/// How wide and high a bubble is, px.
fn size(sheet: &Sheet, bubble: &Bubble, form: Form) -> (f64, f64) {
    let (w, value) = (sheet.weight, value(sheet, bubble, form));
    if form == Form::Line {
        let content = &line(bubble);
        let high = value.size * 1.7;
        return (Words { content, ..value }.width() + 16.0 * w, high);
    }
    let name = name(sheet, bubble);
    let high = (name.size + value.size) * LINE + 4.0 * w;
    (value.width().max(name.width()) + 12.0 * w, high)
}

/// The row in this form, where it lies over least; none if it is wider than the picture.
fn room_for(sheet: &Sheet, row: &[Hung], form: Form) -> Option<Row> {
    let (width, height) = sheet.view.size;
    let sizes: Vec<_> = row.iter().map(|h| size(sheet, h.bubble, form)).collect();
    let high = sizes.first()?.1;
    let lefts = spread(row, &sizes, gap(sheet), (EDGE, width - EDGE))?;
    let home = row.iter().map(|h| h.top).fold(f64::MIN, f64::max);
    let highest = row.iter().map(|h| h.from.1).fold(f64::MAX, f64::min);
    let step = 8.0 * sheet.weight;
    let down = (0..60).map(|k| home + f64::from(k) * step);
    let up = (0..60).map(|k| highest - high - 24.0 * sheet.weight - f64::from(k) * step);
    let inside = |top: &f64| (EDGE..=height - EDGE - high).contains(top);
    let mut best: Option<Row> = None;
    for top in down.chain(up).filter(inside) {
        let areas = lefts.iter().zip(&sizes).map(|(x, size)| Area {
            x0: *x,
            y0: top,
            x1: x + size.0,
            y1: top + high,
        });
        let areas: Vec<_> = areas.collect();
        let crowd = row.iter().zip(&areas).map(|(hung, area)| {
            let crossed = thread(hung, area).map_or(0.0, |ends| CROSSED * sheet.room.crossed(ends));
            sheet.room.crowd(area) + crossed
        });
        let crowd = crowd.sum();
        if best.as_ref().is_none_or(|best| crowd < best.crowd) {
            best = Some(Row { crowd, form, areas });
        }
        if crowd == 0.0 {
            break;
        }
    }
    best
}

/// From what slips to a bubble that does not hang right under it.
fn thread(hung: &Hung, area: &Area) -> Option<[(f64, f64); 2]> {
    let Hung { from, top, .. } = *hung;
    let under = (area.x0 + 6.0..area.x1 - 6.0).contains(&from.0) && area.y0 - top < 1.0;
    let end = if area.y0 > from.1 { area.y0 } else { area.y1 };
    (!under || area.y1 < from.1).then_some([from, (area.middle().0, end)])
}

/// Left edges, each as near under what slips as the others let it; none if they do not fit.
fn spread(row: &[Hung], sizes: &[(f64, f64)], gap: f64, ends: (f64, f64)) -> Option<Vec<f64>> {
    let all: f64 = sizes.iter().map(|size| size.0 + gap).sum();
    if all - gap > ends.1 - ends.0 {
        return None;
    }
    let want: Vec<_> = row
        .iter()
        .zip(sizes)
        .map(|(h, size)| h.from.0 - size.0 / 2.0)
        .collect();
    // As far right as those on the left push it, as far left as those on the right do, and half
    // way between the two; then back inside.
    let pushed = |mut x: Vec<f64>, from: f64| {
        let mut free = from;
        for (x, size) in x.iter_mut().zip(sizes) {
            *x = x.max(free);
            free = *x + size.0 + gap;
        }
        x
    };
    let back = |mut x: Vec<f64>, from: f64| {
        let mut free = from;
        for (x, size) in x.iter_mut().zip(sizes).rev() {
            *x = x.min(free - size.0);
            free = *x - gap;
        }
        x
    };
    let (right, left) = (pushed(want.clone(), f64::MIN), back(want, f64::MAX));
    let middle = right
        .into_iter()
        .zip(left)
        .map(|(a, b)| (a + b) / 2.0)
        .collect();
    Some(pushed(back(middle, ends.1), ends.0))
}

fn put(sheet: &mut Sheet, row: &[Hung], found: &Row) {
    for (hung, area) in row.iter().zip(&found.areas) {
        if let Some(ends) = thread(hung, area) {
            let stroke = sheet.stroke(value(sheet, hung.bubble, found.form).paint, 0.8);
            sheet.push(Shape::line(Layer::Measure, polyline(ends), stroke));
            sheet.room.take_thread(ends);
        }
    }
    for (hung, area) in row.iter().zip(&found.areas) {
        let value = value(sheet, hung.bubble, found.form);
        let (high, middle) = (area.y1 - area.y0, area.middle());
        let round = if found.form == Form::Line {
            high / 2.0
        } else {
            high / 4.0
        };
        let outline = rectangle((area.x0, area.y0), (area.x1, area.y1), round);
        let edge = Some(sheet.stroke(value.paint, 1.0));
        let shape = Shape::filled(Layer::Measure, outline, Paint::Page, edge);
        sheet.signed(Sign::Bubble, shape);
        sheet.room.take(*area);
        if found.form == Form::Line {
            let content = &line(hung.bubble);
            let words = Words { content, ..value };
            words.put(sheet, Layer::Measure, middle, Align::Middle, 0.0);
        } else {
            let (name, w) = (name(sheet, hung.bubble), sheet.weight);
            let at = |y: f64| (middle.0, y);
            let (upper, lower) = (area.y0 + 2.0 * w, area.y1 - 2.0 * w);
            let (upper, lower) = (
                upper + name.size * LINE / 2.0,
                lower - value.size * LINE / 2.0,
            );
            name.put(sheet, Layer::Measure, at(upper), Align::Middle, 0.0);
            value.put(sheet, Layer::Measure, at(lower), Align::Middle, 0.0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::View;

    /// Bubbles of four fingertips a few px apart, on a plate of this size: name and outline.
    fn row(size: (f64, f64), names: &[&str]) -> (Vec<Area>, Vec<String>) {
        let view = View {
            sight: Sight::Side,
            centre: Vec3::zeros(),
            scale: 1.0,
            size,
        };
        let mut sheet = Sheet::new(&view, 1.0);
        let bubble = |(i, name): (usize, &&str)| Bubble {
            at: Vec3::new(120.0 + 4.0 * i as f64, 10.0 * (i % 2) as f64, 0.0),
            name: (*name).to_owned(),
            text: "0.00 mm".to_owned(),
            good: true,
        };
        let all: Vec<_> = names.iter().enumerate().map(bubble).collect();
        draw(&mut sheet, Some(0.0), &all);
        let (mut areas, mut texts) = (Vec::new(), Vec::new());
        for shape in sheet.shapes {
            match shape {
                Shape::Path {
                    segs,
                    fill: Some(_),
                    ..
                } => {
                    let ends = segs.iter().filter_map(|seg| match *seg {
                        crate::Seg::Move(x, y)
                        | crate::Seg::Line(x, y)
                        | crate::Seg::Cubic(.., x, y) => Some((x, y)),
                        crate::Seg::Close => None,
                    });
                    let none = Area {
                        x0: f64::MAX,
                        y0: f64::MAX,
                        x1: f64::MIN,
                        y1: f64::MIN,
                    };
                    areas.push(ends.fold(none, |a, (x, y)| Area {
                        x0: a.x0.min(x),
                        y0: a.y0.min(y),
                        x1: a.x1.max(x),
                        y1: a.y1.max(y),
                    }));
                }
                Shape::Text { text, .. } => texts.push(text.content),
                Shape::Path { .. } => {}
            }
        }
        (areas, texts)
    }

    #[test]
    fn bubbles_stand_in_one_row_in_the_order_of_what_slips() {
        let names = ["little", "ring", "middle", "index"];
        let (areas, texts) = row((700.0, 400.0), &names);
        assert_eq!(texts, names.map(|name| format!("{name} 0.00 mm")));
        for pair in areas.windows(2) {
            assert!(
                pair[0].y0 == pair[1].y0 && pair[0].x1 + 4.0 < pair[1].x0,
                "{areas:?}"
            );
        }
        assert!(areas[0].x0 >= EDGE && areas[3].x1 <= 700.0 - EDGE);
    }

    #[test]
    fn on_a_narrow_plate_a_name_stands_over_its_reading_and_then_loses_the_unit() {
        let (areas, texts) = row((390.0, 440.0), &["little", "ring", "middle", "index"]);
        assert_eq!(texts[..2], ["little", "0.00 mm"]);
        assert!(areas.iter().all(|a| a.x0 >= EDGE && a.x1 <= 390.0 - EDGE));
        let five = ["thumb", "little", "ring", "middle", "index"];
        let (areas, texts) = row((390.0, 440.0), &five);
        assert_eq!((areas.len(), &*texts[1]), (5, "0.00"));
        // More than one row holds are in another, clear of the first.
        let (areas, _) = row((200.0, 440.0), &five);
        let apart = areas[4].y1 < areas[0].y0 || areas[0].y1 < areas[4].y0;
        assert!(areas.len() == 5 && apart, "{areas:?}");
    }
}
