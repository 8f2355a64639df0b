//! The path a mover can take, found once for as long as only its own dial moves.
use crate::moving::{Moving, mover_of};
use crate::pull::Trials;
use rig::{DialId, NodeId, Posed, Rig, Setting, Shared, Vec3};

/// Poses along a path, less one.
const SAMPLES: u32 = 48;

/// What was found last: a drag asks in every frame, and some fifty poses are a frame's work.
#[derive(Clone, Debug, Default)]
pub struct Ways(Option<Known>);

#[derive(Clone, Debug)]
struct Known {
    rig: Shared<Rig>,
    dial: DialId,
    mover: NodeId,
    /// The dial itself is neutral here: it has no say.
    others: Setting,
    way: Vec<Vec3>,
}

impl Ways {
    /// The path one dial can take its mover along; none where several are moved.
    pub fn of(&mut self, posed: &Posed, moving: &Moving) -> Vec<Vec<Vec3>> {
        self.find(posed, moving).into_iter().collect()
    }

    fn find(&mut self, posed: &Posed, moving: &Moving) -> Option<Vec<Vec3>> {
        let document = posed.document();
        let Moving::Dials(dials) = moving else {
            return None;
        };
        let [dial] = dials[..] else { return None };
        let mover = mover_of(document, moving)?;
        let found = document.dial(dial)?;
        let rig = posed.rig();
        let mut others = posed.setting().clone();
        others.set_dial(rig, dial, found.neutral);
        let same = |known: &&Known| {
            known.rig.is_same(rig)
                && (known.dial, known.mover) == (dial, mover)
                && known.others == others
        };
        if let Some(known) = self.0.as_ref().filter(same) {
            return Some(known.way.clone());
        }
        let mut trials = Trials::default();
        let trial = trials.of(posed, mover);
        let way = (0..=SAMPLES).map(|i| {
            let along = f64::from(i) / f64::from(SAMPLES);
            trial.set_dial(dial, found.min + (found.max - found.min) * along);
            trial.evaluate();
            trial.point(mover)
        });
        let way: Vec<_> = way.collect();
        self.0 = Some(Known {
            rig: rig.clone(),
            dial,
            mover,
            others,
            way: way.clone(),
        });
        Some(way)
    }
}
