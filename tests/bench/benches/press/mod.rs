//! The shipped hand on the bench as it is pressed: poses in which all its digits hold, in which two
//! fingers let go, and in which its thumb is out of reach; and the same hand held by points that do
//! not roll, as it was before contact rolled.
use hand::survey::Sweep;
use rig::{DialId, Document, Posed, Solver};

/// Poses of a kind that are gone over.
pub const POSES: usize = 48;
/// Values of each of the two dials that are tried.
const TRIED: usize = 61;

/// What of a pressing hand stands how.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stand {
    Reached,
    TwoLetGo,
    ThumbOut,
}

/// The shipped hand, its thumb held or not, its digits rolling or held by points.
pub fn document(thumb: bool, rolls: bool) -> Document {
    let text = include_str!("../../../../examples/bench-press.hand.json");
    let mut document = hand::read(text).expect("a shipped hand");
    for (at, anchor) in document.rig.anchors.iter_mut().enumerate() {
        let is_thumb = matches!(anchor.solver, Solver::Thumb { .. });
        document.setting.active[at] = thumb || !is_thumb;
        if let Solver::Finger { contact, .. } | Solver::Thumb { contact, .. } = &mut anchor.solver
            && !rolls
        {
            *contact = None;
        }
    }
    document
}

/// Lift and lean over these ranges.
pub fn sweeps(document: &Document, lift: (f64, f64), lean: f64) -> [Sweep; 2] {
    let sweep = |name, from, to| Sweep {
        dial: document.dial_named(name).expect("a press dial").id,
        from,
        to,
        count: TRIED,
    };
    [sweep("lift", lift.0, lift.1), sweep("lean", -lean, lean)]
}

/// Settings of lift and lean in which a hand of five digits stands so, evenly from all that were tried.
pub fn frames(stand: Stand) -> Vec<[(DialId, f64); 2]> {
    let document = document(true, true);
    let mut posed = Posed::new(&document).expect("it is sound");
    let [lift, lean] = sweeps(&document, (-10.0, 45.0), 12.0);
    let mut found = Vec::new();
    for row in 0..TRIED {
        for column in 0..TRIED {
            let frame = [
                (lift.dial, lift.value(column)),
                (lean.dial, lean.value(row)),
            ];
            set(&mut posed, &frame);
            if stands(&posed) == Some(stand) {
                found.push(frame);
            }
        }
    }
    assert!(found.len() >= POSES, "{stand:?}: {} poses", found.len());
    let evenly = (0..POSES).map(|at| found[at * found.len() / POSES]);
    evenly.collect()
}

fn stands(posed: &Posed) -> Option<Stand> {
    let (mut fingers, mut thumbs) = (0, 0);
    for anchor in &posed.rig().anchors {
        let out = usize::from(posed.hold(anchor.id) < 1.0);
        match anchor.solver {
            Solver::Thumb { .. } => thumbs += out,
            _ => fingers += out,
        }
    }
    match (fingers, thumbs) {
        (0, 0) => Some(Stand::Reached),
        (2, _) => Some(Stand::TwoLetGo),
        (0, _) => Some(Stand::ThumbOut),
        _ => None,
    }
}

/// Sets two dials and evaluates what depends on them.
pub fn set(posed: &mut Posed, frame: &[(DialId, f64); 2]) {
    for &(dial, value) in frame {
        posed.set_dial(dial, value);
    }
    posed.evaluate();
}
