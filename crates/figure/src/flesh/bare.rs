//! The skins by themselves, before they are pressed against what they touch: for whoever compares
//! what is drawn with what is measured.
use super::making::Flesh;
use super::order::Rank;
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
    let mut skins: Vec<Skin> = Vec::new();
    let (mut palm, mut arm) = (Vec::new(), Vec::new());
    for (at, skin) in flesh.skins.iter().enumerate() {
        let own = flesh.pieces.iter().filter(|piece| piece.skin == at);
        let own = own.filter(|piece| !matches!(piece.solid.rank, Rank::Arm | Rank::Knuckle));
        let nodes = own.map(|piece| layout.nodes[piece.base].node.id).collect();
        let (before, points) = skin.at.split_at(skin.hand * skin.sides);
        if at == 0 { &mut arm } else { &mut palm }.extend_from_slice(before);
        let points = points.to_vec();
        skins.push(Skin { nodes, points });
    }
    // A finger's skin within the palm is the palm's.
    skins[0].points.append(&mut palm);
    skins.push(Skin {
        nodes: Vec::new(),
        points: arm,
    });
    skins
}
