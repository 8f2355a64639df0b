//! In what order nodes and anchors are evaluated, and what depends on what.
//!
//! A node is placed after its parent and after every anchor that turns it. An
//! anchor runs after its target, its pole and the parent of its base. It composes
//! the channel pose of its chain itself, so it does not wait for the chain's nodes.
use crate::dirty::DirtySteps;
use crate::solve::Saddle;
use crate::{Anchor, BuildError, Node, Solver};
use alloc::vec;
use alloc::vec::Vec;

/// One piece of work of the plan.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Step {
    /// Place a root.
    Root(usize),
    /// Place a node below its parent.
    Node { node: usize, parent: usize },
    /// Solve an anchor and place its chain.
    Anchor(usize),
    /// A node that its anchor has placed: nothing is left to do.
    Placed,
}

/// The nodes of an anchor.
#[derive(Clone, Debug, Default)]
pub(crate) struct Chain {
    /// Every node from base to end; the base twice if it is the end.
    pub(crate) path: Vec<usize>,
    /// Those that can turn, or the one that is moved before them, then the end.
    pub(crate) joints: Vec<usize>,
}

/// Lists of small numbers, one list per row, in two flat arrays.
#[derive(Clone, Debug)]
struct Rows {
    starts: Vec<usize>,
    items: Vec<usize>,
}

impl Rows {
    fn new(rows: usize, pairs: &[(usize, usize)]) -> Self {
        let mut starts = vec![0; rows + 1];
        for &(row, _) in pairs {
            starts[row + 1] += 1;
        }
        for row in 0..rows {
            starts[row + 1] += starts[row];
        }
        let (mut next, mut items) = (starts.clone(), vec![0; pairs.len()]);
        for &(row, item) in pairs {
            items[next[row]] = item;
            next[row] += 1;
        }
        Self { starts, items }
    }

    fn row(&self, row: usize) -> &[usize] {
        &self.items[self.starts[row]..self.starts[row + 1]]
    }
}

/// The evaluation plan.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    pub(crate) steps: Vec<Step>,
    pub(crate) chains: Vec<Chain>,
    /// Whether an anchor turns the node, or moves it.
    pub(crate) anchored: Vec<bool>,
    /// Where each anchor stands in `steps`.
    pub(crate) anchor_step: Vec<usize>,
    /// Steps that read a step's result.
    dependents: Rows,
    /// Steps that read a node's channels.
    readers: Rows,
}

impl Plan {
    pub(crate) fn new(nodes: &[Node], anchors: &[Anchor]) -> Result<Self, BuildError> {
        let chains = chains(nodes, anchors)?;
        let mut anchored = vec![false; nodes.len()];
        for chain in &chains {
            for &node in turning(chain) {
                anchored[node] = true;
            }
        }
        // Tasks: nodes first, then anchors. (task, what it waits for).
        let count = nodes.len();
        let mut waits = Vec::new();
        for (node, parent) in nodes
            .iter()
            .enumerate()
            .filter_map(|(i, node)| Some((i, node.parent?)))
        {
            waits.push((node, parent));
        }
        for (index, (anchor, chain)) in anchors.iter().zip(&chains).enumerate() {
            let task = count + index;
            waits.extend(nodes[anchor.base].parent.map(|parent| (task, parent)));
            waits.extend(anchor.reads().map(|node| (task, node)));
            waits.extend(
                chain.path[..chain.path.len() - 1]
                    .iter()
                    .map(|&node| (node, task)),
            );
        }
        let tasks = count + anchors.len();
        let Some(sorted) = sort(&Rows::new(tasks, &waits)) else {
            return Err(name_cycle(anchors, &chains, tasks, &waits));
        };

        let mut place = vec![0; tasks];
        for (step, &task) in sorted.iter().enumerate() {
            place[task] = step;
        }
        let follows: Vec<_> = waits
            .iter()
            .map(|&(task, on)| (place[on], place[task]))
            .collect();
        let mut reads: Vec<_> = (0..count).map(|node| (node, place[node])).collect();
        for (index, chain) in chains.iter().enumerate() {
            reads.extend(chain.path.iter().map(|&node| (node, place[count + index])));
        }
        let mut held = vec![false; count];
        for chain in &chains {
            for &node in &chain.path[..chain.path.len() - 1] {
                held[node] = true;
            }
        }
        let step = |task: usize| match nodes.get(task) {
            None => Step::Anchor(task - count),
            Some(_) if held[task] => Step::Placed,
            Some(node) => match node.parent {
                Some(parent) => Step::Node { node: task, parent },
                None => Step::Root(task),
            },
        };
        Ok(Self {
            steps: sorted.into_iter().map(step).collect(),
            chains,
            anchored,
            anchor_step: place[count..].to_vec(),
            dependents: Rows::new(tasks, &follows),
            readers: Rows::new(count, &reads),
        })
    }

    /// Marks everything that reads a node's channels, and all that follows from it.
    pub(crate) fn mark_node(&self, dirty: &mut DirtySteps, node: usize) {
        for &step in self.readers.row(node) {
            self.mark(dirty, step);
        }
    }

    /// Marks a step and all that follows from it.
    pub(crate) fn mark(&self, dirty: &mut DirtySteps, step: usize) {
        if !dirty.insert(step) {
            return;
        }
        // A step enters the stack once, when its bit is set, so the stack never grows.
        dirty.stack.push(step);
        while let Some(step) = dirty.stack.pop() {
            for &next in self.dependents.row(step) {
                if dirty.insert(next) {
                    dirty.stack.push(next);
                }
            }
        }
    }
}

impl Anchor {
    /// The nodes whose positions the solve reads.
    fn reads(&self) -> impl Iterator<Item = usize> {
        let pole = match self.solver {
            Solver::TwoBone { pole, .. } => pole,
            _ => None,
        };
        core::iter::once(self.target).chain(pole)
    }
}

/// The joints an anchor turns, or moves: all of `joints` but the end.
fn turning(chain: &Chain) -> &[usize] {
    &chain.joints[..chain.joints.len() - 1]
}

/// Every anchor's chain, checked.
fn chains(nodes: &[Node], anchors: &[Anchor]) -> Result<Vec<Chain>, BuildError> {
    let mut owner: Vec<Option<usize>> = vec![None; nodes.len()];
    let mut chains = Vec::with_capacity(anchors.len());
    for (index, anchor) in anchors.iter().enumerate() {
        let broken = BuildError::NotAChain { anchor: index };
        let known = |node: usize| node < nodes.len();
        if !known(anchor.base)
            || !known(anchor.end)
            || (anchor.end == anchor.base) != anchor.solver.is_turn()
            || !anchor.reads().all(known)
        {
            return Err(broken);
        }
        let share = match anchor.solver {
            Solver::Twist { share } => share,
            _ => 0.0,
        };
        if !share.is_finite() {
            return Err(BuildError::NotFinite { node: anchor.base });
        }
        let low = match &anchor.solver {
            Solver::SetDown { low } => low.as_flattened(),
            _ => &[],
        };
        if !low.iter().all(|number| number.is_finite()) {
            return Err(BuildError::NotFinite { node: anchor.base });
        }
        let mut path = vec![anchor.end];
        if anchor.solver.is_turn() {
            path.push(anchor.base);
        }
        let mut node = anchor.end;
        while node != anchor.base {
            node = nodes[node].parent.ok_or(broken.clone())?;
            path.push(node);
        }
        path.reverse();
        let above = &path[..path.len() - 1];
        let mut joints: Vec<_> = above
            .iter()
            .copied()
            .filter(|&node| nodes[node].can_turn())
            .collect();
        let bones = joints.len();
        if anchor.solver.is_set_down() && joints.first() != Some(&anchor.base) {
            joints.insert(0, anchor.base);
        }
        let fits = match anchor.solver {
            Solver::Aim => bones == 1,
            Solver::TwoBone { .. } => bones == 2,
            Solver::Finger { .. } | Solver::Thumb { .. } => bones == 3,
            Solver::TurnWith => bones == 1,
            Solver::SetDown { .. } => true,
            Solver::Twist { .. } => nodes[anchor.base].is_free(1),
            Solver::DampedLeastSquares { .. } | Solver::Fabrik { .. } => bones > 0,
        };
        if !fits {
            return Err(BuildError::WrongBoneCount {
                anchor: index,
                bones,
            });
        }
        let numbers = match anchor.solver {
            Solver::Finger {
                coupling,
                rest,
                give,
                contact,
            } if give >= 0.0 && contact.is_none_or(|contact| contact.is_sound()) => {
                Some([coupling, rest, give])
            }
            Solver::Finger { .. } => Some([f64::NAN; 3]),
            Solver::Thumb {
                rest: [middle, last],
                contact,
            } if contact.is_none_or(|contact| contact.is_sound()) => Some([middle, last, 0.0]),
            Solver::Thumb { .. } => Some([f64::NAN; 3]),
            _ => None,
        };
        if numbers.is_some_and(|numbers| {
            !(is_finger(nodes, &joints) && numbers.iter().all(|number| number.is_finite()))
        }) {
            return Err(BuildError::NotAFinger { anchor: index });
        }
        for &node in &joints {
            if let Some(first) = owner[node].replace(index) {
                return Err(BuildError::SharedJoint {
                    first,
                    second: index,
                    node,
                });
            }
        }
        joints.push(anchor.end);
        chains.push(Chain { path, joints });
    }
    Ok(chains)
}

/// Whether three joints are a knuckle of two axes and two hinges.
fn is_finger(nodes: &[Node], joints: &[usize]) -> bool {
    let free = |&joint: &usize| {
        let turns = &nodes[joint].limits[..3];
        turns.iter().filter(|(min, max)| min < max).count()
    };
    let knuckle = &nodes[joints[0]];
    Saddle::fits(&knuckle.limits, knuckle.order) && joints[1..].iter().all(|joint| free(joint) == 1)
}

/// Tasks in an order in which each comes after what it waits for, as near as can be to
/// their own order; `None` if they wait for each other in a ring. Depth first with an
/// explicit stack: documents may be deeper than the machine's own.
fn sort(waits: &Rows) -> Option<Vec<usize>> {
    let tasks = waits.starts.len() - 1;
    let mut sorted = Vec::with_capacity(tasks);
    // How many of a task's waits have been looked at; none before it is met.
    let mut seen: Vec<Option<usize>> = vec![None; tasks];
    let mut done = vec![false; tasks];
    let mut stack = Vec::new();
    for root in 0..tasks {
        if seen[root].is_none() {
            seen[root] = Some(0);
            stack.push(root);
        }
        while let Some(&task) = stack.last() {
            let at = seen[task].unwrap_or(0);
            let Some(&on) = waits.row(task).get(at) else {
                done[task] = true;
                sorted.push(task);
                stack.pop();
                continue;
            };
            seen[task] = Some(at + 1);
            if done[on] {
                continue;
            }
            if seen[on].is_some() {
                return None;
            }
            seen[on] = Some(0);
            stack.push(on);
        }
    }
    Some(sorted)
}

/// The first anchor that reads what its own chain carries, with the lowest such node of
/// its chain. Every ring holds one: waits without reads only run down the tree.
fn name_cycle(
    anchors: &[Anchor],
    chains: &[Chain],
    tasks: usize,
    waits: &[(usize, usize)],
) -> BuildError {
    let reversed: Vec<_> = waits.iter().map(|&(task, on)| (on, task)).collect();
    let follows = Rows::new(tasks, &reversed);
    let nodes = tasks - anchors.len();
    for (index, (anchor, chain)) in anchors.iter().zip(chains).enumerate() {
        let carried = |moved: usize| {
            let mut met = vec![false; tasks];
            // The anchor's own step leads back up its chain, which would hide how low
            // the reader hangs.
            met[nodes + index] = true;
            met[moved] = true;
            let mut stack = vec![moved];
            while let Some(task) = stack.pop() {
                for &next in follows.row(task) {
                    if !met[next] {
                        met[next] = true;
                        stack.push(next);
                    }
                }
            }
            anchor.reads().find(|&node| met[node])
        };
        // What a node carries, the nodes above it carry too: the lowest is found by halving.
        let above = chain.path.partition_point(|&node| carried(node).is_some());
        if let Some(&moved) = above.checked_sub(1).and_then(|last| chain.path.get(last)) {
            let reads = carried(moved).unwrap_or(anchor.target);
            return BuildError::Cycle {
                anchor: index,
                reads,
                moved,
            };
        }
    }
    unreachable!("a ring of waits always passes through what an anchor reads")
}
