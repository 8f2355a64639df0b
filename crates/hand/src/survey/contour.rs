//! Level lines of a sampled field: marching squares (Lorensen & Cline's marching cubes, 1987, in
//! the plane). A saddle's corners are joined or parted by the mean of all four, its
//! value in the middle.
use std::collections::BTreeMap;

/// Where a level is crossed between two neighbours on the grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// Index of the one not above the level.
    pub inside: usize,
    /// Index of the one above it.
    pub outside: usize,
    /// Of the way from the former to the latter, by linear interpolation.
    pub part: f64,
}

/// The lines along which `values`, rows of `columns` numbers, cross `level`. What is not above
/// it lies on their left, with x along a row and y from row to row. A line that closes ends
/// with its first crossing; others end at the grid's rim.
///
/// # Panics
/// If `columns` is 0.
pub fn contour(columns: usize, values: &[f64], level: f64) -> Vec<Vec<Crossing>> {
    let rows = values.len() / columns;
    let inside = |at: usize| values[at] <= level;
    // An edge by its first place and whether it runs up.
    let key = |at: usize, up: bool| 2 * at + usize::from(up);
    let mut next = BTreeMap::new();
    for row in 1..rows {
        for column in 1..columns {
            let (below, above) = ((row - 1) * columns + column, row * columns + column);
            let corners = [below - 1, below, above, above - 1];
            let edges = [
                key(below - 1, false),
                key(below, true),
                key(above - 1, false),
                key(below - 1, true),
            ];
            let state = corners.map(inside);
            let mean = corners.iter().map(|&at| values[at]).sum::<f64>() / 4.0;
            // Going round anticlockwise, a line leaves the square where the way goes from inside
            // to out, and has come in where the way goes back: at the next such place when
            // the middle is inside, else at the last one.
            for i in 0..4 {
                if !state[i] || state[(i + 1) % 4] {
                    continue;
                }
                let mut others = (1..4).map(|k| (i + k) % 4);
                let back = |&j: &usize| !state[j] && state[(j + 1) % 4];
                let from = if mean <= level {
                    others.find(back)
                } else {
                    others.rev().find(back)
                };
                let from = from.expect("round a square one comes back in as often as one leaves");
                next.insert(edges[i], edges[from]);
            }
        }
    }
    let crossing = |edge: usize| {
        let (a, b) = (edge / 2, edge / 2 + if edge % 2 == 1 { columns } else { 1 });
        let (inner, outer) = if inside(a) { (a, b) } else { (b, a) };
        Crossing {
            inside: inner,
            outside: outer,
            part: (level - values[inner]) / (values[outer] - values[inner]),
        }
    };
    lines(next, crossing)
}

/// Closed outlines of where rows of `columns` numbers are not above a level, the grid's rim
/// included where it cuts them; holes run the other way round. Crossings are of the grid's own
/// places: one on its rim is at that place.
///
/// # Panics
/// If `columns` is 0.
pub fn outlines(columns: usize, values: &[f64], level: f64) -> Vec<Vec<Crossing>> {
    let rows = values.len() / columns;
    // The grid is given a rim that is above the level.
    let padded = columns + 2;
    let mut rimmed = vec![f64::INFINITY; padded * (rows + 2)];
    for (at, value) in values.iter().enumerate() {
        rimmed[(at / columns + 1) * padded + at % columns + 1] = *value;
    }
    // A rim's place is its neighbour's: the part of the way to it is 0.
    let own = |at: usize| {
        let (column, row) = (at % padded, at / padded);
        (row.clamp(1, rows) - 1) * columns + column.clamp(1, columns) - 1
    };
    let mut lines = contour(padded, &rimmed, level);
    for crossing in lines.iter_mut().flatten() {
        (crossing.inside, crossing.outside) = (own(crossing.inside), own(crossing.outside));
    }
    lines
}

/// Follows the links from edge to edge: open lines from their first ends, then closed ones.
fn lines(
    mut next: BTreeMap<usize, usize>,
    crossing: impl Fn(usize) -> Crossing,
) -> Vec<Vec<Crossing>> {
    let mut starts = next.clone();
    for led_to in next.values() {
        starts.remove(led_to);
    }
    let mut starts = starts.into_keys();
    let mut found = Vec::new();
    while let Some(first) = starts.next().or_else(|| next.keys().next().copied()) {
        let mut line = vec![crossing(first)];
        let mut at = first;
        while let Some(after) = next.remove(&at) {
            line.push(crossing(after));
            at = after;
        }
        found.push(line);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// The level lines of a function on an n by n grid over ±1, as points.
    fn lines(n: usize, level: f64, f: impl Fn(f64, f64) -> f64) -> Vec<Vec<(f64, f64)>> {
        let at = |i: usize| 2.0 * i as f64 / (n - 1) as f64 - 1.0;
        let values: Vec<_> = (0..n * n).map(|i| f(at(i % n), at(i / n))).collect();
        let place = |crossing: &Crossing| {
            let part = |of: fn(usize, usize) -> usize| {
                let (a, b) = (at(of(crossing.inside, n)), at(of(crossing.outside, n)));
                a + (b - a) * crossing.part
            };
            (part(|i, n| i % n), part(|i, n| i / n))
        };
        contour(n, &values, level)
            .iter()
            .map(|line| line.iter().map(place).collect())
            .collect()
    }

    fn sum(line: &[(f64, f64)], of: impl Fn((f64, f64), (f64, f64)) -> f64) -> f64 {
        line.windows(2).map(|pair| of(pair[0], pair[1])).sum()
    }

    fn area(line: &[(f64, f64)]) -> f64 {
        sum(line, |a, b| 0.5 * (a.0 * b.1 - b.0 * a.1))
    }

    /// A circle's area πr², perimeter 2πr and radius, each off by what falls as the square of the
    /// grid's step h. Along an edge the field x² + y² has the second derivative 2, so linear
    /// interpolation is off by at most h²/4 in it, and by that over its slope 2r in the radius.
    #[test]
    fn a_circle_is_found_to_second_order() {
        let r = 0.7;
        let errors = |n: usize| {
            let found = lines(n, r * r, |x, y| x * x + y * y);
            assert_eq!(found.len(), 1);
            let line = &found[0];
            assert_eq!(line.first(), line.last(), "it closes");
            let h = 2.0 / (n - 1) as f64;
            for &(x, y) in line {
                assert!((libm::hypot(x, y) - r).abs() <= h * h / (8.0 * r) + 1e-12);
            }
            let around = sum(line, |a, b| libm::hypot(b.0 - a.0, b.1 - a.1));
            [PI * r * r - area(line), 2.0 * PI * r - around]
        };
        let (coarse, fine, finest) = (errors(41), errors(81), errors(161));
        for k in 0..2 {
            assert!(coarse[k] > 0.0 && coarse[k] < 0.01, "{coarse:?}");
            for ratio in [coarse[k] / fine[k], fine[k] / finest[k]] {
                assert!(
                    (3.0..5.5).contains(&ratio),
                    "{coarse:?} {fine:?} {finest:?}"
                );
            }
        }
    }

    /// Inside is on the left: round a hole the line runs the other way.
    #[test]
    fn a_ring_has_two_lines() {
        let far = |x: f64, y: f64| (libm::hypot(x, y) - 0.6).abs();
        let mut areas: Vec<_> = lines(101, 0.2, far).iter().map(|line| area(line)).collect();
        areas.sort_by(f64::total_cmp);
        assert_eq!(areas.len(), 2);
        assert!((areas[0] + PI * 0.16).abs() < 0.01 && (areas[1] - PI * 0.64).abs() < 0.01);
    }

    /// The grid's rim cuts a line: it stays open and ends on the rim.
    #[test]
    fn a_line_ends_at_the_rim() {
        let found = lines(21, 0.25, |x, _| x);
        assert_eq!(found.len(), 1);
        let line = &found[0];
        assert_eq!(
            (line[0].1, line[20].1),
            (-1.0, 1.0),
            "what is less is on the left"
        );
        assert!(line.iter().all(|point| (point.0 - 0.25).abs() < 1e-12));
    }

    /// x·y has its saddle in the middle of a square whose corners are ±1: just above 0 the
    /// middle is inside and the corners that are, are joined; just below it they are apart. Drawn
    /// exactly, the lines are hyperbolas that run so.
    #[test]
    fn the_middle_of_a_saddle_decides() {
        for (level, joined) in [(0.1, true), (-0.1, false)] {
            let found = lines(2, level, |x, y| x * y);
            assert_eq!(found.len(), 2);
            for line in &found {
                let ((a, b), (c, d)) = (line[0], line[1]);
                // A line about an inside corner has it on its left.
                let (x, y) = (0.5 * (a + c), 0.5 * (b + d));
                assert_eq!(x * y > 0.0, joined, "{level} {line:?}");
            }
        }
    }

    #[test]
    fn nothing_to_cross_is_no_line() {
        assert!(contour(3, &[1.0; 9], 0.5).is_empty());
        assert!(contour(3, &[0.0; 9], 0.5).is_empty());
        assert!(contour(1, &[0.0, 1.0], 0.5).is_empty());
        assert!(contour(4, &[], 0.5).is_empty());
    }
}
