//! A document's nodes as they lie in the view.
use crate::View;
use rig::index::Index;
use rig::{Grip, Kind, Node, NodeId, Posed, Role, Vec3};

/// One node in the picture.
pub(crate) struct Laid<'a> {
    pub node: &'a Node,
    pub world: Vec3,
    /// px
    pub at: (f64, f64),
    /// mm towards the viewer
    pub depth: f64,
    /// Half its drawn thickness, px.
    pub radius: f64,
    pub role: Role,
    /// The nearest joint above it, as an index: mounts between two joints do not break the bone.
    pub bone_from: Option<usize>,
    /// Whether anything hangs from it.
    pub carries: bool,
    /// Whether a dial turns it.
    pub turned: bool,
    /// Whether it is a mount with a visible joint of its own in the same place …
    pub covered: bool,
    /// … that is itself a handle.
    pub under_handle: bool,
    /// Whether an anchor holds something to it.
    pub is_target: bool,
    /// Generations below its root.
    pub generation: u32,
}

impl Laid<'_> {
    pub fn is_joint(&self) -> bool {
        self.node.kind == Kind::Joint
    }
    /// A mount about which something turns, unless it is a secret.
    pub fn is_pivot(&self) -> bool {
        let turns =
            self.turned || self.role == Role::Mover || matches!(self.node.grip, Grip::Place(_));
        !self.node.hidden && !self.is_joint() && turns
    }
    /// A mount that only carries, or waits for something to carry: shown small, and not at all
    /// under a joint or as the target that its staple shows.
    pub fn is_plain_mount(&self) -> bool {
        let shown = self.covered || (self.is_target && !self.carries) || self.is_handle();
        !self.node.hidden && !self.is_joint() && !self.is_pivot() && !shown
    }
    /// Something to grab at the node itself. A mount under a joint leaves that to the joint.
    pub fn is_handle(&self) -> bool {
        !self.node.hidden && !self.under_handle && matches!(self.node.grip, Grip::Dials(_))
    }
    /// Where a placing grip's handle is, world mm.
    pub fn place_handle(&self) -> Option<Vec3> {
        match self.node.grip {
            Grip::Place(offset) => Some(self.world + Vec3::from(offset)),
            _ => None,
        }
    }
}

/// All nodes, in document order, with an index by id.
pub(crate) struct Layout<'a> {
    pub nodes: Vec<Laid<'a>>,
    by_id: Index,
}

/// Thinnest half bone, px: a bone of no width still shows.
const THINNEST: f64 = 2.0;

/// Nodes nearer than this have one symbol, mm.
const SAME_PLACE: f64 = 0.5;

impl<'a> Layout<'a> {
    pub fn new(posed: &'a Posed, view: &View, roles: &[(NodeId, Role)]) -> Self {
        let document = posed.document();
        let by_id = Index::new(document.nodes.iter().map(|node| node.id.0));
        let given = Index::new(roles.iter().map(|role| role.0.0));
        let find = |id: NodeId| by_id.get(id.0);
        let mut nodes: Vec<Laid> = document
            .nodes
            .iter()
            .map(|node| {
                let world = posed.point(node.id);
                let (x, y, depth) = view.project(&world);
                let role = given.get(node.id.0).map_or(Role::Still, |i| roles[i].1);
                let radius = (node.width * view.scale / 2.0).max(THINNEST);
                Laid {
                    node,
                    world,
                    at: (x, y),
                    depth,
                    radius,
                    role,
                    bone_from: None,
                    carries: false,
                    turned: false,
                    covered: false,
                    under_handle: false,
                    is_target: false,
                    generation: 0,
                }
            })
            .collect();
        let parents: Vec<_> = nodes.iter().map(|l| l.node.parent.and_then(find)).collect();
        let mut known = vec![false; nodes.len()];
        for i in 0..nodes.len() {
            if let Some(p) = parents[i] {
                let (child, parent) = (&nodes[i], &nodes[p]);
                let visible = !child.node.hidden;
                let over = visible
                    && child.is_joint()
                    && !parent.is_joint()
                    && (child.world - parent.world).norm() < SAME_PLACE;
                let handle = over && child.is_handle();
                nodes[p].carries |= visible;
                nodes[p].covered |= over;
                nodes[p].under_handle |= handle;
            }
            // Parents may come after children: climb to what is known, then come back down.
            let climb: Vec<_> = std::iter::successors(Some(i), |&n| parents[n])
                .take_while(|&n| !known[n])
                .collect();
            for &n in climb.iter().rev() {
                known[n] = true;
                if let Some(p) = parents[n] {
                    nodes[n].generation = nodes[p].generation + 1;
                    nodes[n].bone_from = if nodes[p].is_joint() {
                        Some(p)
                    } else {
                        nodes[p].bone_from
                    };
                }
            }
        }
        for drive in document.dials.iter().flat_map(|d| &d.drives) {
            if let Some(node) = drive.node().and_then(find) {
                nodes[node].turned |= drive.turns();
            }
        }
        for anchor in &document.anchors {
            if let Some(target) = find(anchor.target) {
                nodes[target].is_target = true;
            }
        }
        Self { nodes, by_id }
    }

    pub fn get(&self, id: NodeId) -> Option<&Laid<'a>> {
        self.by_id.get(id.0).map(|i| &self.nodes[i])
    }

    /// Bones as indices (base, end). A bone into a hidden joint would give the secret away, so it is left out.
    pub fn bones(&self) -> impl Iterator<Item = (usize, usize)> {
        let ends = self
            .nodes
            .iter()
            .enumerate()
            .filter(|(_, l)| l.is_joint() && !l.node.hidden);
        ends.filter_map(|(i, l)| Some((l.bone_from?, i)))
    }
}
