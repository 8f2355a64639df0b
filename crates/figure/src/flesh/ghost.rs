//! The contours flesh had before it moved.
use super::ink::contour;
use super::making::{Flesh, Piece};
use super::outline::{Outlines, Px, Tracer};
use super::seen::{Seen, see};
use crate::layout::Layout;
use crate::sheet::Sheet;
use rig::{Posed, Rig, Setting, Shared, Vec3};

/// A piece whose skin is nowhere farther than this from where it was casts no ghost, mm.
const MOVED: f64 = 0.5;

/// The flesh of the last ghost: it stays as it is for the whole of a drag, whose every frame is
/// drawn over it.
#[derive(Default)]
pub struct Ghosts(Option<Known>);

struct Known {
    /// Whose ghost, how it is set, and over which rig it was laid out.
    ghost: (Shared<Rig>, Setting),
    over: Shared<Rig>,
    flesh: Option<Flesh>,
}

impl Ghosts {
    /// The flesh of a ghost, laid out as the posed document is that it lies under.
    pub(crate) fn of(&mut self, ghost: &Posed, now: &Posed, layout: &Layout) -> Option<&Flesh> {
        let same = |known: &Known| {
            known.ghost.0.is_same(ghost.rig())
                && known.ghost.1 == *ghost.setting()
                && known.over.is_same(now.rig())
        };
        if !self.0.as_ref().is_some_and(same) {
            let surfaces = rig::surface::surfaces(ghost);
            self.0 = Some(Known {
                ghost: (ghost.rig().clone(), ghost.setting().clone()),
                over: now.rig().clone(),
                flesh: Flesh::ghost(ghost, layout, &surfaces),
            });
        }
        self.0.as_ref()?.flesh.as_ref()
    }
}

/// The contours that pieces had in another pose, where they have moved since; without regard to
/// what hides them, since the hand as it is now is painted over them.
pub(crate) fn moved(now: &Flesh, then: &Flesh, sheet: &Sheet) -> Vec<Vec<(f64, f64)>> {
    let mut lines = Vec::new();
    let seen: Vec<Seen> = then.skins.iter().map(|s| see(sheet.view, s)).collect();
    let (mut tracer, mut outlines) = (Tracer::default(), Outlines::default());
    for (piece, old) in now.pieces.iter().zip(&then.pieces) {
        let (skin, here) = (&then.skins[old.skin], &now.skins[piece.skin]);
        let apart = |at: fn(&Piece) -> Vec3| (at(piece) - at(old)).norm();
        let ends = [
            apart(|p| p.solid.bones[0].ends[0]),
            apart(|p| p.solid.bones[0].ends[1]),
        ];
        if skin.sides != here.sides || ends.iter().all(|d| *d < MOVED) || old.fades > 0 {
            continue;
        }
        let seen = &seen[old.skin];
        let facing = |i: usize| seen.facing[i];
        tracer.trace(old.rings.clone(), skin.sides, facing, &mut outlines);
        for outline in outlines.iter() {
            for run in contour(outline) {
                let points = run.iter().filter(|c| c.of(&skin.ink) > 0.3);
                let line: Vec<_> = points
                    .map(|c| {
                        let Px(x, y) = c.of(&seen.at);
                        (x, y)
                    })
                    .collect();
                if line.len() > 2 {
                    lines.push(line);
                }
            }
        }
    }
    lines
}
