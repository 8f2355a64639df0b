//! A palm and a finger on a bench, hung from a pivot at the knuckle, and a scene with everything in it.
use figure::{Bubble, Scene, Seg, Shape};
use rig::*;

pub struct Maker(pub Document);

impl Maker {
    pub fn id(&mut self) -> u32 {
        self.0.next_id += 1;
        self.0.next_id - 1
    }
    pub fn node(
        &mut self,
        name: &str,
        kind: Kind,
        parent: Option<NodeId>,
        translation: [f64; 3],
        width: f64,
    ) -> NodeId {
        let id = NodeId(self.id());
        let node = Node {
            id,
            name: name.into(),
            kind,
            parent,
            translation,
            rotation: [0.0, 0.0, 0.0, 1.0],
            order: Order::Xyz,
            limits: [None; 6],
            loaded: [None; 3],
            width,
            grip: Grip::None,
            hidden: false,
            surface: None,
            part: None,
        };
        self.0.nodes.push(node.into());
        id
    }
    pub fn dial(&mut self, name: &str, node: NodeId, channel: Channel, gain: f64) -> DialId {
        let id = DialId(self.id());
        let drives = vec![Drive {
            target: Target::Channel(node, channel),
            gain,
            ramp: Ramp::Whole,
        }];
        let (name, unit) = (name.into(), Unit::Degrees);
        let dial = Dial {
            id,
            name,
            unit,
            neutral: 0.0,
            min: -90.0,
            max: 90.0,
            softness: None,
            drives,
            role: None,
        };
        self.0.add_dial(dial, 0.0);
        id
    }
    pub fn grip(&mut self, node: NodeId, grip: Grip) {
        self.0.nodes.iter_mut().find(|n| n.id == node).unwrap().grip = grip;
    }
}

/// The document, and its lift dial.
pub fn hand() -> (Document, DialId) {
    let mut m = Maker(Document::default());
    (m.0.rig.name, m.0.rig.bench) = ("bench-press".into(), Some(0.0));
    let pivot = m.node("knuckle pivot", Kind::Mount, None, [90.0, 9.0, 0.0], 10.0);
    let wrist = m.node("wrist", Kind::Joint, Some(pivot), [-90.0, 0.0, 0.0], 18.0);
    let knuckle = m.node("knuckle", Kind::Joint, Some(wrist), [90.0, 0.0, 0.0], 12.0);
    let finger = m.node("finger", Kind::Joint, Some(knuckle), [40.0, 0.0, 0.0], 10.0);
    let tip = m.node("tip", Kind::Joint, Some(finger), [40.0, 0.0, 0.0], 9.0);
    let finger_mark = m.node("finger target", Kind::Mount, None, [130.0, 9.0, 0.0], 10.0);
    let tip_mark = m.node("tip target", Kind::Mount, None, [170.0, 9.0, 0.0], 10.0);
    for (name, base, end, target) in [
        ("finger stays", knuckle, finger, finger_mark),
        ("tip stays", finger, tip, tip_mark),
    ] {
        let id = AnchorId(m.id());
        let anchor = Anchor {
            id,
            name: name.into(),
            base,
            end,
            target,
            solver: Solver::Aim,
        };
        m.0.add_anchor(anchor, true);
    }
    for (node, x) in [(finger, 130.0), (tip, 170.0)] {
        m.0.plants.push(Plant {
            node,
            at: [x, 9.0, 0.0],
            surface: None,
            turned: None,
        });
    }
    let lift = m.dial("lift", pivot, Channel::TurnZ, -1.0);
    m.grip(wrist, Grip::Dials(vec![lift]));
    (m.0, lift)
}

pub fn posed_at(document: &Document, dial: DialId, value: f64) -> Posed {
    let mut posed = Posed::new(document).unwrap();
    posed.set_dial(dial, value);
    posed.evaluate();
    posed
}

/// A scene with every part in use. `ghost` is the pose before.
pub fn everything<'a>(
    document: &Document,
    lift: DialId,
    posed: &Posed,
    ghost: &'a Posed,
) -> Scene<'a> {
    let at = |name: &str| posed.point(document.node_named(name).unwrap().id);
    let id = |name: &str| document.node_named(name).unwrap().id;
    let arc = |from: f64, to: f64| -> Vec<Vec3> {
        (0..=40)
            .map(|i| {
                let (s, c) = libm::sincos((from + (to - from) * f64::from(i) / 40.0).to_radians());
                Vec3::new(90.0 - 90.0 * c, 9.0 + 90.0 * s, 0.0)
            })
            .collect()
    };
    Scene {
        covered: Vec::new(),
        engraved: Vec::new(),
        put_away: Vec::new(),
        roles: rig::roles(document, &[lift]),
        ghost: Some(ghost),
        reachable: vec![arc(-15.0, 75.0)],
        trail: arc(0.0, 34.0),
        bubbles: ["finger", "tip"]
            .map(|n| Bubble {
                at: at(n),
                name: n.into(),
                text: "0.00 mm".into(),
                good: n == "tip",
            })
            .into(),
        marks: vec![("knuckle, as planted".into(), Vec3::new(94.0, 40.0, 0.0))],
        dimensions: vec![(at("wrist"), at("knuckle"), "90 mm".into())],
        axes: vec![figure::AxisLine {
            from: at("wrist"),
            to: at("knuckle"),
            label: "fitted axis".into(),
            kind: figure::AxisKind::Fitted,
            off: vec![(at("tip"), "0.3 mm".into())],
        }],
        arcs: vec![(
            at("knuckle"),
            Vec3::new(0.0, 9.0, 0.0),
            at("wrist"),
            "34°".into(),
        )],
        lever: Some((at("knuckle"), Vec3::new(-10.0, 90.0, 0.0))),
        pencil_strokes: vec![
            arc(0.0, 70.0)
                .into_iter()
                .step_by(4)
                .map(|p| p + Vec3::new(2.0, 1.0, 0.0))
                .collect(),
        ],
        pencil_pins: vec![Vec3::new(20.0, 70.0, 0.0)],
        pencil_paint: (0..8)
            .map(|i| {
                (
                    Vec3::new(150.0 + 4.0 * f64::from(i), 60.0 + f64::from(i), 0.0),
                    8.0,
                )
            })
            .collect(),
        truth_strokes: vec![arc(40.0, 70.0)],
        truth_pins: vec![Vec3::new(26.0, 74.0, 0.0)],
        truth_regions: vec![
            (0..24)
                .map(|i| {
                    let (s, c) = libm::sincos(f64::from(i) * std::f64::consts::TAU / 24.0);
                    Vec3::new(165.0 + 22.0 * c, 64.0 + 12.0 * s, 0.0)
                })
                .collect(),
        ],
        labels: vec![
            (id("wrist"), "wrist (drag me)".into()),
            (id("knuckle pivot"), "pivot, at the knuckle".into()),
            (id("tip"), "tip".into()),
        ],
        highlight: Some(id("wrist")),
        weight: 1.0,
    }
}

/// Every number of a shape.
pub fn numbers(shape: &Shape) -> Vec<f64> {
    match shape {
        Shape::Path {
            segs,
            stroke,
            fill_opacity,
            ..
        } => {
            let mut all = vec![*fill_opacity];
            for seg in segs {
                match *seg {
                    Seg::Move(x, y) | Seg::Line(x, y) => all.extend([x, y]),
                    Seg::Cubic(a, b, c, d, x, y) => all.extend([a, b, c, d, x, y]),
                    Seg::Close => {}
                }
            }
            if let Some(s) = stroke {
                all.extend([s.width, s.opacity]);
                all.extend(s.dash.iter().flat_map(|d| [d.0, d.1]));
            }
            all
        }
        Shape::Text { text, .. } => vec![text.x, text.y, text.size, text.turn],
    }
}

/// Least and greatest x and y of a path's points.
pub fn bounds(shape: &Shape) -> [f64; 4] {
    let Shape::Path { segs, .. } = shape else {
        panic!("not a path")
    };
    let mut b = [
        f64::INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::NEG_INFINITY,
    ];
    for seg in segs {
        if let Seg::Move(x, y) | Seg::Line(x, y) | Seg::Cubic(_, _, _, _, x, y) = *seg {
            b = [b[0].min(x), b[1].min(y), b[2].max(x), b[3].max(y)];
        }
    }
    b
}

/// Whether a filled outline of straight lines covers a place in the picture, by its winding number.
pub fn covers(shape: &Shape, (x, y): (f64, f64)) -> bool {
    let Shape::Path { segs, .. } = shape else {
        return false;
    };
    let (mut winding, mut first, mut at) = (0, (0.0, 0.0), (0.0, 0.0));
    for seg in segs {
        let to = match *seg {
            Seg::Move(x, y) => {
                (first, at) = ((x, y), (x, y));
                continue;
            }
            Seg::Line(x, y) | Seg::Cubic(_, _, _, _, x, y) => (x, y),
            Seg::Close => first,
        };
        if (at.1 > y) != (to.1 > y) && x < at.0 + (y - at.1) / (to.1 - at.1) * (to.0 - at.0) {
            winding += if to.1 > at.1 { 1 } else { -1 };
        }
        at = to;
    }
    winding != 0
}
