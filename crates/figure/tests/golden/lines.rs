//! Pictures as lines that a person can compare.
use roxmltree::{Document, Node};
use std::fmt::Write;

/// One line an element, else as it is.
pub fn elements(svg: &str) -> String {
    svg.replace("><", ">\n<")
}

/// One line a drawn shape: what it is made of, where it reaches (px, to a tenth), its style, and
/// a digest of its numbers as the SVG has them (to a hundredth). A hand's flesh is so many
/// numbers that the whole would say less.
pub fn digest(svg: &str) -> String {
    let tree = Document::parse(svg).expect("well formed SVG");
    let mut out = String::new();
    for node in tree.root_element().descendants().filter(Node::is_element) {
        let _ = write!(out, "{}", node.tag_name().name());
        if let Some(path) = node.attribute("d") {
            let _ = write!(out, " {}", outline(path));
        }
        for attribute in node.attributes().filter(|a| a.name() != "d") {
            let _ = write!(out, " {}={}", attribute.name(), attribute.value());
        }
        if let Some(text) = node.text() {
            let _ = write!(out, " '{}'", text.trim());
        }
        out.push('\n');
    }
    out
}

/// '24 curves, 1 closed, x 12.3..45.6, y 7.8..9.1, #0123456789abcdef'.
fn outline(path: &str) -> String {
    let count = |command: char| path.matches(command).count();
    let mut reach = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
    let numbers = path
        .split(|c: char| c.is_ascii_alphabetic() || c == ' ')
        .filter(|number| !number.is_empty());
    for (at, number) in numbers.enumerate() {
        let number: f64 = number.parse().expect("a number of a path");
        let [least, most] = &mut reach[at % 2];
        (*least, *most) = (least.min(number), most.max(number));
    }
    let parts: Vec<String> = [
        ('M', "outlines"),
        ('L', "lines"),
        ('C', "curves"),
        ('Z', "closed"),
    ]
    .into_iter()
    .filter(|&(command, _)| count(command) > 0)
    .map(|(command, name)| format!("{} {name}", count(command)))
    .collect();
    let [x, y] = reach.map(|[least, most]| format!("{least:.1}..{most:.1}"));
    format!("{}, x {x}, y {y}, #{:016x}", parts.join(", "), fnv(path))
}

/// FNV-1a, 64 bits (source: Fowler, Noll and Vo; RFC 9923).
pub fn fnv(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

/// FNV's published values of the empty text, 'a' and 'foobar'.
#[test]
fn the_digest_is_the_published_one() {
    assert_eq!(fnv(""), 0xcbf2_9ce4_8422_2325);
    assert_eq!(fnv("a"), 0xaf63_dc4c_8601_ec8c);
    assert_eq!(fnv("foobar"), 0x8594_4171_f739_67e8);
}
