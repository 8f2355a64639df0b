//! The skins by themselves, before they are pressed against what they touch: for whoever compares
//! what is drawn with what is measured.
use super::making::Flesh;
use crate::layout::Layout;
use crate::{Sight, View};
use rig::{NodeId, Posed, Vec3};

/// A skin as it is made.
#[derive(Clone, Debug)]
pub struct Skin {
    /// The joints whose bones it covers.
    pub nodes: Vec<NodeId>,
    /// World mm.
    pub points: Vec<Vec3>,
}

/// Every skin of a posed hand, unpressed; none of what is drawn as strokes.
pub fn skins(posed: &Posed) -> Vec<Skin> {
    let layout = Layout::new(
        posed,
        &View::fit(Sight::Side, (100.0, 100.0), &[], 0.0),
        &[],
    );
    let Some(flesh) = Flesh::ghost(posed, &layout, &[]) else {
        return Vec::new();
    };
    let skin = |(at, skin): (usize, super::skin::Skin)| {
        let own = flesh.pieces.iter().filter(|piece| piece.skin == at);
        Skin {
            nodes: own.map(|piece| layout.nodes[piece.base].node.id).collect(),
            points: skin.at,
        }
    };
    flesh.skins.into_iter().enumerate().map(skin).collect()
}
