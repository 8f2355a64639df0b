//! Where a node may stand: a gauge within its limit over two dials.
use crate::measure::Run;
use crate::obstacle::Obstacle;
use hand::Gauge;
use hand::survey::contour::{Crossing, outlines};
use motion::between;
use rig::{Posed, Vec3};

/// Cells a side at most: the whole region is found within a frame or two.
const MOST_CELLS: usize = 160;

/// Two dials sampled on a grid: where the node stands and what the gauge reads.
pub(crate) struct Field {
    columns: usize,
    points: Vec<Vec3>,
    values: Vec<f64>,
    most: f64,
}

impl Field {
    /// Samples over the dials' whole ranges, a quarter of the allowed value apart where that is possible.
    pub(crate) fn new(
        posed: &Posed,
        node: &str,
        dials: (&str, &str),
        gauge: &Gauge,
        most: f64,
    ) -> Result<Self, Obstacle> {
        let mut run = Run::new(posed);
        let (across, up) = (run.dial(dials.0)?.clone(), run.dial(dials.1)?.clone());
        let cells = |dial: &rig::Dial| {
            (libm::ceil(4.0 * (dial.max - dial.min) / most) as usize).clamp(8, MOST_CELLS)
        };
        let (columns, rows) = (cells(&across) + 1, cells(&up) + 1);
        let (mut points, mut values) = (
            Vec::with_capacity(columns * rows),
            Vec::with_capacity(columns * rows),
        );
        for row in 0..rows {
            for column in 0..columns {
                let part = |i: usize, n: usize| i as f64 / (n - 1) as f64;
                run.set(&[
                    (
                        across.id,
                        between(across.min, across.max, part(column, columns)),
                    ),
                    (up.id, between(up.min, up.max, part(row, rows))),
                ]);
                points.push(run.point(node)?);
                values.push(run.read(gauge)?.value);
            }
        }
        Ok(Self {
            columns,
            points,
            values,
            most,
        })
    }

    /// The places on the grid where the gauge is within its limit.
    pub(crate) fn inside(&self) -> impl Iterator<Item = &Vec3> {
        self.points
            .iter()
            .zip(&self.values)
            .filter(|(_, value)| **value <= self.most)
            .map(|(point, _)| point)
    }

    /// Closed outlines of the region, even-odd.
    pub(crate) fn outlines(&self) -> Vec<Vec<Vec3>> {
        let place = |c: &Crossing| self.points[c.inside].lerp(&self.points[c.outside], c.part);
        outlines(self.columns, &self.values, self.most)
            .iter()
            .map(|line| line.iter().map(place).collect())
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A field over a unit grid with one corner at the origin.
    fn field(columns: usize, values: &[f64]) -> Field {
        let point = |i: usize| Vec3::new((i % columns) as f64, (i / columns) as f64, 0.0);
        Field {
            columns,
            points: (0..values.len()).map(point).collect(),
            values: values.to_vec(),
            most: 1.0,
        }
    }

    /// Twice the signed areas by the shoelace rule, smallest first.
    fn areas(field: &Field) -> Vec<f64> {
        let mut areas: Vec<f64> = field
            .outlines()
            .iter()
            .map(|outline| {
                let next = outline.iter().cycle().skip(1);
                outline
                    .iter()
                    .zip(next)
                    .map(|(a, b)| a.x * b.y - b.x * a.y)
                    .sum()
            })
            .collect();
        areas.sort_by(f64::total_cmp);
        areas
    }

    #[test]
    fn a_single_place_is_a_diamond() {
        let mut values = [3.0; 9];
        values[4] = 0.0;
        // Crossings a third of the way to each neighbour: a square of diagonal 2/3.
        let found = areas(&field(3, &values));
        assert_eq!(found.len(), 1);
        assert!((found[0].abs() - 4.0 / 9.0).abs() < 1e-12, "{found:?}");
    }

    #[test]
    fn a_full_grid_is_closed_along_its_rim() {
        let found = areas(&field(3, &[0.0; 9]));
        assert_eq!(found.len(), 1);
        assert!((found[0].abs() - 8.0).abs() < 1e-12, "{found:?}");
    }

    #[test]
    fn a_hole_is_an_outline_of_its_own() {
        let mut values = [0.0; 25];
        values[12] = 3.0;
        let found = areas(&field(5, &values));
        assert_eq!(found.len(), 2);
        assert!(
            found[0] * found[1] < 0.0,
            "a hole runs the other way round: {found:?}"
        );
    }

    #[test]
    fn a_saddle_keeps_its_two_corners_apart() {
        let found = areas(&field(2, &[0.0, 3.0, 3.0, 0.0]));
        assert_eq!(found.len(), 2);
    }

    #[test]
    fn nowhere_is_no_outline() {
        assert!(field(2, &[3.0; 4]).outlines().is_empty());
    }
}
