//! What a picture shows beside its document.
use rig::{NodeId, Posed, Role, Vec3};

/// A value beside a planted node.
#[derive(Clone, Debug, PartialEq)]
pub struct Bubble {
    /// Where, world mm.
    pub at: Vec3,
    /// Whose it is: 'index', or nothing.
    pub name: String,
    /// '0.00 mm'
    pub text: String,
    /// Within tolerance: good, else amiss.
    pub good: bool,
}

/// What to show beside the document itself. All optional.
#[derive(Clone, Debug, Default)]
pub struct Scene<'a> {
    /// Roles in document order (empty: all still).
    pub roles: Vec<(NodeId, Role)>,
    /// The pose before the drag, as a dotted ghost. Nodes it does not have cast none.
    pub ghost: Option<&'a Posed>,
    /// Paths a mover can take (dashed), world points.
    pub reachable: Vec<Vec<Vec3>>,
    /// Path taken (solid), world points.
    pub trail: Vec<Vec3>,
    /// Slip bubbles.
    pub bubbles: Vec<Bubble>,
    /// Named marks to hit, world points.
    pub marks: Vec<(String, Vec3)>,
    /// Length dimension lines: from, to, and the label's text.
    pub dimensions: Vec<(Vec3, Vec3, String)>,
    /// Axes the hand can turn about.
    pub axes: Vec<AxisLine>,
    /// Thin lines through world points, each with its name: a joint's hoops, a mirror's frame.
    pub engraved: Vec<(String, Vec<Vec3>)>,
    /// Angle arcs: apex, from point, to point, label.
    pub arcs: Vec<(Vec3, Vec3, Vec3, String)>,
    /// Lever from a pivot to the pointer while dragging.
    pub lever: Option<(Vec3, Vec3)>,
    /// The reader's own pencil: strokes (world points), pins and painted discs (centre, radius mm).
    pub pencil_strokes: Vec<Vec<Vec3>>,
    #[allow(missing_docs)]
    pub pencil_pins: Vec<Vec3>,
    #[allow(missing_docs)]
    pub pencil_paint: Vec<(Vec3, f64)>,
    /// What really happens, overlaid on a prediction: strokes, pins, and filled regions (closed outlines).
    pub truth_strokes: Vec<Vec<Vec3>>,
    #[allow(missing_docs)]
    pub truth_pins: Vec<Vec3>,
    #[allow(missing_docs)]
    pub truth_regions: Vec<Vec<Vec3>>,
    /// Nodes with a text label beside them ('wrist (drag me)').
    pub labels: Vec<(NodeId, String)>,
    /// Boxes that something else lies over, px from the upper left corner: left, top, right, bottom.
    /// Texts keep off them.
    pub covered: Vec<[f64; 4]>,
    /// Nodes whose handle is not shown: the page looks at something else.
    pub put_away: Vec<NodeId>,
    /// The hovered or focused mover.
    pub highlight: Option<NodeId>,
    /// Stroke and type multiplier (projector mode: about 1.6; else 1). 0 counts as 1.
    pub weight: f64,
}

/// What an axis is; each has its own line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AxisKind {
    /// Fitted to the knuckles: dashed.
    Fitted,
    /// Of the greatest safe lift: solid.
    Safest,
}

/// A line through the picture with a grip at each end.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisLine {
    /// World mm.
    pub from: Vec3,
    /// World mm.
    pub to: Vec3,
    /// Beside its end.
    pub label: String,
    #[allow(missing_docs)]
    pub kind: AxisKind,
    /// What lies off it: a short line from each place (world mm) to the axis, and its reading.
    pub off: Vec<(Vec3, String)>,
}
