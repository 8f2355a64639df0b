//! Strongly connected files: each can be reached from every other.
use crate::module::Tree;
use crate::resolve::Edges;
use std::collections::BTreeSet;
use std::fmt;

pub struct Circle {
    /// By name.
    pub files: Vec<String>,
    /// From, to, and the items that are named.
    pub edges: Vec<(String, String, Vec<String>)>,
}

impl fmt::Display for Circle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (from, to, items) in &self.edges {
            let back = self.edges.iter().any(|(a, b, _)| (a, b) == (to, from));
            let sign = if back { "<->" } else { "-->" };
            writeln!(f, "    {from} {sign} {to}: {}", items.join(", "))?;
        }
        Ok(())
    }
}

/// Those of more than one file.
pub fn circles(tree: &Tree, edges: &Edges) -> Vec<Circle> {
    let reached: Vec<BTreeSet<usize>> = (0..tree.files.len())
        .map(|from| reach(from, edges))
        .collect();
    let mut circles = Vec::new();
    for file in 0..tree.files.len() {
        let inside: BTreeSet<usize> = reached[file]
            .iter()
            .copied()
            .filter(|&other| reached[other].contains(&file))
            .collect();
        // Once for each circle: at its first file.
        if inside.len() < 2 || inside.first() != Some(&file) {
            continue;
        }
        let name = |file: usize| tree.files[file].clone();
        let mut files: Vec<String> = inside.iter().map(|&file| name(file)).collect();
        files.sort();
        let edges = edges
            .iter()
            .filter(|((from, to), _)| inside.contains(from) && inside.contains(to))
            .map(|(&(from, to), items)| (name(from), name(to), items.iter().cloned().collect()))
            .collect();
        circles.push(Circle { files, edges });
    }
    circles
}

/// The files that can be reached from one by at least one edge.
fn reach(from: usize, edges: &Edges) -> BTreeSet<usize> {
    let mut reached = BTreeSet::new();
    let mut next = vec![from];
    while let Some(at) = next.pop() {
        for &(_, to) in edges.range((at, 0)..(at + 1, 0)).map(|(ends, _)| ends) {
            if reached.insert(to) {
                next.push(to);
            }
        }
    }
    reached
}
