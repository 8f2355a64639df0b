//! A survey as plain numbers, for another thread of the same program: not a file format.
//!
//! Nodes, dials and anchors are given by their places in the rig, so that two readings of the same
//! document, whose ids may differ, understand each other.
use super::{Cell, Down, Limit, LimitKind, Sunk, Survey, Sweep};
use rig::{Channel, Rig};

/// What stands where a place of the rig would, or a slip.
const NONE: f64 = -1.0;
/// Numbers of a cell.
const CELL: usize = 12;

fn place<T, I: PartialEq>(all: &[T], id: impl Fn(&T) -> I, of: I) -> f64 {
    let at = all.iter().position(|one| id(one) == of);
    at.map_or(NONE, |at| at as f64)
}

impl Survey {
    /// Every bit of it in numbers.
    pub fn packed(&self, rig: &Rig) -> Vec<f64> {
        let dial = |of| place(&rig.dials, |d| d.id, of);
        let node = |of| place(&rig.nodes, |n| n.id, of);
        let anchor = |of| place(&rig.anchors, |a| a.id, of);
        let mut all = Vec::with_capacity(64 + CELL * self.cells.len() + self.slips.len());
        for sweep in [&self.across, &self.up] {
            all.extend([dial(sweep.dial), sweep.from, sweep.to, sweep.count as f64]);
        }
        let counts = [self.plants.len(), self.others.len(), self.active.len()];
        all.push(self.home as f64);
        all.extend(counts.map(|count| count as f64));
        all.extend(self.plants.iter().map(|&plant| node(plant)));
        all.extend(self.others.iter().flat_map(|&(d, value)| [dial(d), value]));
        let active = self.active.iter();
        all.extend(active.flat_map(|&(a, on)| [anchor(a), f64::from(on)]));
        for cell in &self.cells {
            let limit = cell.limit.map_or([NONE; 5], |limit| {
                let (joint, channel, upper) = match limit.kind {
                    LimitKind::Reach => (NONE, NONE, 0.0),
                    LimitKind::Joint {
                        node: joint,
                        channel,
                        upper,
                    } => (node(joint), channel.index() as f64, f64::from(upper)),
                };
                [anchor(limit.anchor), joint, channel, upper, limit.by]
            });
            all.extend([cell.slip, cell.slipping.map_or(NONE, node)]);
            all.extend(limit);
            for sunk in [cell.pad, cell.palm] {
                all.extend([sunk.by, sunk.node.map_or(NONE, node)]);
            }
            all.push(f64::from(cell.down.0));
        }
        all.extend(self.slips.iter().map(|slip| slip.unwrap_or(NONE)));
        all
    }

    /// What [`packed`](Self::packed) gave of the same rig; none of another rig, or when it is
    /// not whole.
    pub fn unpacked(rig: &Rig, numbers: &[f64]) -> Option<Self> {
        let mut left = numbers;
        let across = sweep(rig, take(&mut left, 4)?)?;
        let up = sweep(rig, take(&mut left, 4)?)?;
        let counts = take(&mut left, 4)?;
        let (home, plants) = (counts[0] as usize, counts[1] as usize);
        let dial = |at: f64| Some(rig.dials.get(index(at)?)?.id);
        let node = |at: f64| Some(rig.nodes.get(index(at)?)?.id);
        let anchor = |at: f64| Some(rig.anchors.get(index(at)?)?.id);
        let sunk = |by, at| Sunk { by, node: node(at) };
        let cells = across.count.checked_mul(up.count)?;
        let survey = Self {
            across,
            up,
            home,
            plants: take(&mut left, plants)?
                .iter()
                .map(|&at| node(at))
                .collect::<Option<_>>()?,
            others: take(&mut left, 2 * counts[2] as usize)?
                .chunks_exact(2)
                .map(|of| Some((dial(of[0])?, of[1])))
                .collect::<Option<_>>()?,
            active: take(&mut left, 2 * counts[3] as usize)?
                .chunks_exact(2)
                .map(|of| Some((anchor(of[0])?, of[1] != 0.0)))
                .collect::<Option<_>>()?,
            cells: take(&mut left, CELL.checked_mul(cells)?)?
                .chunks_exact(CELL)
                .map(|of| {
                    let kind = || match (node(of[3]), index(of[4])) {
                        (Some(node), Some(channel)) => Some(LimitKind::Joint {
                            node,
                            channel: *Channel::ALL.get(channel)?,
                            upper: of[5] != 0.0,
                        }),
                        _ => Some(LimitKind::Reach),
                    };
                    let limit = |anchor| {
                        Some(Limit {
                            anchor,
                            kind: kind()?,
                            by: of[6],
                        })
                    };
                    Cell {
                        slip: of[0],
                        slipping: node(of[1]),
                        limit: anchor(of[2]).and_then(limit),
                        pad: sunk(of[7], of[8]),
                        palm: sunk(of[9], of[10]),
                        down: Down(of[11] as u32),
                    }
                })
                .collect(),
            slips: take(&mut left, cells.checked_mul(plants)?)?
                .iter()
                .map(|&slip| (slip >= 0.0).then_some(slip))
                .collect(),
        };
        (left.is_empty() && home < cells).then_some(survey)
    }
}

fn take<'a>(left: &mut &'a [f64], count: usize) -> Option<&'a [f64]> {
    let (taken, rest) = left.split_at_checked(count)?;
    *left = rest;
    Some(taken)
}

fn sweep(rig: &Rig, of: &[f64]) -> Option<Sweep> {
    Some(Sweep {
        dial: rig.dials.get(index(of[0])?)?.id,
        from: of[1],
        to: of[2],
        count: of[3] as usize,
    })
}

fn index(at: f64) -> Option<usize> {
    (at >= 0.0).then_some(at as usize)
}
