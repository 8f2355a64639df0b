//! Texts that are nearly good: a file of the corpus, spoilt in a few places. What is drawn at
//! random are the acts, so that a text that fails is shortened to the fewest of them.
use proptest::prelude::*;
use serde_json::{Value, json};
use std::fmt;

/// A place: taken modulo however many there are.
type Place = u32;

#[derive(Clone, Debug)]
enum Act {
    /// Another value in place of one.
    Put(Place, Value),
    /// A copy of one value in place of another: names that lead elsewhere, forms where others belong.
    Copy(Place, Place),
    /// A field or item away.
    Drop(Place),
    /// A field under another name.
    Rename(Place, Place, String),
    /// An item so many times more.
    Repeat(Place, u8),
    /// A number turned, moved or stretched a little.
    Nudge(Place, f64),
}

#[derive(Clone, Debug)]
enum Cut {
    Away(Place, u8),
    Twice(Place, u8),
    In(Place, String),
}

/// A spoilt file.
#[derive(Clone)]
pub struct Spoilt {
    pub text: String,
    acts: String,
}

impl fmt::Debug for Spoilt {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "{}\n{:.6000}", self.acts, self.text)
    }
}

/// The file without one of its parts, for each of them, with the part's number.
pub fn left_out(text: &str) -> impl Iterator<Item = (String, String)> {
    let whole: Value = serde_json::from_str(text).expect("the corpus is JSON");
    (0..count(&whole) - 1).map(move |at| {
        let (mut value, mut part) = (whole.clone(), whole.clone());
        remove(&mut value, at);
        let part = find(&mut part, at + 1).expect("counted").to_string();
        (format!("part {at}, {part:.60}"), value.to_string())
    })
}

/// Files of the corpus, spoilt.
pub fn spoilt(corpus: Vec<String>) -> impl Strategy<Value = Spoilt> {
    let files: Vec<Value> = corpus
        .iter()
        .map(|text| serde_json::from_str(text).expect("the corpus is JSON"))
        .collect();
    let cuts = prop_oneof![
        4 => Just(Vec::new()),
        1 => prop::collection::vec(cut(), 1..3),
    ];
    // One act is most often still a good file, six hardly ever are.
    let acts = prop_oneof![
        2 => prop::collection::vec(act(), 1..2),
        1 => prop::collection::vec(act(), 0..6),
    ];
    // The last is the one that lists everything: as often as all others together.
    let file = prop_oneof![Just(files.len() - 1), 0..files.len()];
    (file, acts, cuts).prop_map(move |(file, acts, cuts)| {
        let mut value = files[file].clone();
        acts.iter().for_each(|act| make(act, &mut value));
        let mut text = value.to_string();
        cuts.iter().for_each(|cut| slice(cut, &mut text));
        let acts = format!("file {file}: {acts:?}, {cuts:?}");
        Spoilt { text, acts }
    })
}

fn number() -> impl Strategy<Value = f64> {
    let edge = [
        0.0,
        -0.0,
        1.0,
        -1.0,
        2.0,
        5e-324,
        1e-300,
        1e-12,
        1e-6,
        1e-3,
        1e3,
        1e6,
        1e9,
        -1e9,
        1.1e9,
        1e15,
        1e154,
        1e300,
        f64::MAX,
        45.0,
        89.999_999,
        90.0,
        180.0,
        360.0,
        2_147_483_648.0,
    ];
    prop_oneof![prop::sample::select(edge.to_vec()), -200.0..200.0]
}

fn word() -> impl Strategy<Value = String> {
    let words = [
        "",
        " ",
        "wrist",
        "knuckle",
        "tip",
        "lift",
        "lean",
        "joint",
        "mount",
        "place",
        "aim",
        "fabrik",
        "two-bone",
        "finger",
        "thumb",
        "damped-least-squares",
        "turn-with",
        "twist",
        "name",
        "nodes",
        "parent",
        "translation",
        "limits",
        "turn_z",
        "turn_x",
        "drives",
        "value",
        "solver",
        "hold",
        "collapse",
        "set",
        "shift",
        "hand",
        "format",
        "handstand/2",
        "rail",
        "rising",
        "rising-past",
        "fist",
        "edge",
        "fingertips",
        "YZX",
        "{height}",
        "task",
        "gauge",
        "\u{1b}[2J",
        "\u{202e}",
        "a\nb",
        "\0",
        "ÿ",
    ];
    prop_oneof![
        6 => prop::sample::select(words.to_vec()).prop_map(str::to_owned),
        1 => Just("x".repeat(100_000)),
        1 => Just("\u{1b}\n".repeat(300)),
    ]
}

fn leaf() -> impl Strategy<Value = Value> {
    prop_oneof![
        6 => number().prop_map(|number| json!(number)),
        3 => word().prop_map(Value::String),
        1 => prop::sample::select(vec![
            json!(null), json!(true), json!([]), json!({}), json!([0, 0, 0]), json!([0, 0, 0, 1]),
            json!({"aim": null}), json!({"fabrik": {}}), json!("finger"), json!({"finger": {}}),
            json!({"thumb": {"rest": [0, 0]}}), json!({"two-bone": {}}), json!(18446744073709551615_u64),
        ]),
    ]
}

fn act() -> impl Strategy<Value = Act> {
    let place = any::<Place>;
    prop_oneof![
        5 => (place(), leaf()).prop_map(|(at, value)| Act::Put(at, value)),
        3 => (place(), place()).prop_map(|(from, to)| Act::Copy(from, to)),
        5 => place().prop_map(Act::Drop),
        1 => (place(), place(), word()).prop_map(|(at, which, name)| Act::Rename(at, which, name)),
        1 => (place(), any::<u8>()).prop_map(|(at, times)| Act::Repeat(at, times)),
        3 => (place(), number()).prop_map(|(at, by)| Act::Nudge(at, by)),
    ]
}

fn cut() -> impl Strategy<Value = Cut> {
    let token = prop::sample::select(vec![
        "{",
        "}",
        "[",
        "]",
        ",",
        ":",
        "\"",
        "\\",
        "\\u",
        "\\ud800",
        "1e999",
        "-",
        "0",
        ".",
        "e",
        "null",
        "tru",
        "NaN",
        "\u{feff}",
        "\0",
        "\n",
        "é",
        "//",
        "[[[[[[[[",
        "\"name\":",
    ]);
    prop_oneof![
        (any::<Place>(), any::<u8>()).prop_map(|(at, count)| Cut::Away(at, count)),
        (any::<Place>(), any::<u8>()).prop_map(|(at, count)| Cut::Twice(at, count)),
        (any::<Place>(), token).prop_map(|(at, token)| Cut::In(at, token.to_owned())),
    ]
}

/// Every value of the tree, outermost first.
fn count(value: &Value) -> u32 {
    1 + match value {
        Value::Array(items) => items.iter().map(count).sum(),
        Value::Object(fields) => fields.values().map(count).sum(),
        _ => 0,
    }
}

fn find(value: &mut Value, at: u32) -> Option<&mut Value> {
    let mut at = at;
    if at == 0 {
        return Some(value);
    }
    at -= 1;
    let inner: Box<dyn Iterator<Item = &mut Value>> = match value {
        Value::Array(items) => Box::new(items.iter_mut()),
        Value::Object(fields) => Box::new(fields.values_mut()),
        _ => return None,
    };
    for one in inner {
        let size = count(one);
        if at < size {
            return find(one, at);
        }
        at -= size;
    }
    None
}

/// Takes away the value at a place, counted without the outermost. Every field is as likely as
/// any other: drawn by its object first, one of a hundred small objects was hardly ever hit.
fn remove(value: &mut Value, mut at: u32) {
    let sizes: Vec<u32> = match value {
        Value::Array(items) => items.iter().map(count).collect(),
        Value::Object(fields) => fields.values().map(count).collect(),
        _ => return,
    };
    for (which, size) in sizes.into_iter().enumerate() {
        if at >= size {
            at -= size;
            continue;
        }
        match value {
            Value::Array(items) if at == 0 => {
                items.remove(which);
            }
            Value::Object(fields) if at == 0 => {
                let name = fields.keys().nth(which).cloned();
                fields.remove(&name.expect("counted"));
            }
            Value::Array(items) => remove(&mut items[which], at - 1),
            Value::Object(fields) => {
                let inner = fields.values_mut().nth(which);
                remove(inner.expect("counted"), at - 1);
            }
            _ => {}
        }
        return;
    }
}

fn pick(value: &mut Value, at: Place) -> &mut Value {
    let at = at % count(value);
    find(value, at).expect("counted")
}

fn make(act: &Act, value: &mut Value) {
    match act {
        Act::Put(at, new) => *pick(value, *at) = new.clone(),
        Act::Copy(from, to) => {
            let copy = pick(value, *from).clone();
            *pick(value, *to) = copy;
        }
        Act::Drop(at) => {
            let inside = count(value) - 1;
            if let Some(at) = at.checked_rem(inside) {
                remove(value, at);
            }
        }
        Act::Rename(at, which, new) => {
            if let Value::Object(fields) = pick(value, *at)
                && !fields.is_empty()
            {
                let name = fields.keys().nth(*which as usize % fields.len()).cloned();
                let inside = fields.remove(&name.expect("counted")).expect("it is there");
                fields.insert(new.clone(), inside);
            }
        }
        Act::Repeat(at, times) => {
            if let Value::Array(items) = pick(value, *at)
                && let Some(last) = items.last().cloned()
            {
                items.extend(std::iter::repeat_n(last, usize::from(*times)));
            }
        }
        Act::Nudge(at, by) => {
            let total = count(value);
            // The next number from there on.
            for step in 0..total {
                let one = pick(value, at.wrapping_add(step));
                if let Some(number) = one.as_f64() {
                    *one = json!(number + by * 0.01);
                    return;
                }
            }
        }
    }
}

fn slice(cut: &Cut, text: &mut String) {
    let floor = |text: &str, at: Place| {
        let mut at = at as usize % (text.len() + 1);
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let (at, count) = match cut {
        Cut::Away(at, count) | Cut::Twice(at, count) => (*at, u32::from(*count)),
        Cut::In(at, _) => (*at, 0),
    };
    let from = floor(text, at);
    let to = floor(text, (from as u32 + count).min(text.len() as u32));
    match cut {
        Cut::Away(..) => text.replace_range(from..to, ""),
        Cut::Twice(..) => {
            let part = text[from..to].to_owned();
            text.insert_str(from, &part);
        }
        Cut::In(_, token) => text.insert_str(from, token),
    }
}
