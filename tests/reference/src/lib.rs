//! Checks against outside libraries. Each test makes its cases from a fixed seed, has a
//! Python script work them out with Pinocchio or SciPy, and compares.
use kinematics::{Channel, Mechanism, Node, Order, Pose, Rotation, Transform, Vec3};
use serde_json::{Value, json};
use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicUsize, Ordering};

/// No limit.
pub const FREE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
/// No freedom.
pub const LOCKED: (f64, f64) = (0.0, 0.0);

/// Index, middle, ring and little finger: phalanges, mm (Buryanov & Kotiuk 2010).
pub const PHALANGES: [[f64; 3]; 4] = [
    [39.8, 22.4, 15.8],
    [44.6, 26.3, 17.4],
    [41.4, 25.7, 17.3],
    [32.7, 18.1, 16.0],
];

/// Limits given in degrees.
pub fn degrees(min: f64, max: f64) -> (f64, f64) {
    (min.to_radians(), max.to_radians())
}

/// An order as SciPy writes it. Spelt out here: asked of the order itself, a wrong table of axes
/// would be put to the oracle too, and agree.
pub fn letters(order: Order) -> &'static str {
    match order {
        Order::Xyz => "XYZ",
        Order::Xzy => "XZY",
        Order::Yxz => "YXZ",
        Order::Yzx => "YZX",
        Order::Zxy => "ZXY",
        Order::Zyx => "ZYX",
    }
}

/// Runs `oracle_<name>.py` on the cases and returns what it prints.
///
/// # Panics
/// If `HANDSTAND_PYTHON` is not set, or the script fails.
pub fn oracle(name: &str, cases: &Value) -> Value {
    let python = std::env::var_os("HANDSTAND_PYTHON")
        .expect("HANDSTAND_PYTHON names a Python with the packages of tests/reference/requirements.txt: run `cargo xtask test`");
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("oracle_{name}.py"));
    // Checks run side by side, and one may ask the same script as another.
    static ASKED: AtomicUsize = AtomicUsize::new(0);
    let asked = ASKED.fetch_add(1, Ordering::Relaxed);
    let file = format!("handstand-{name}-{}-{asked}.json", std::process::id());
    let input = std::env::temp_dir().join(file);
    std::fs::write(&input, cases.to_string()).expect("the temporary folder takes a file");
    let output = Command::new(python)
        .arg(&script)
        .arg(&input)
        .output()
        .expect("HANDSTAND_PYTHON can be run");
    std::fs::remove_file(&input).expect("the file just written can be removed");
    assert!(
        output.status.success(),
        "{}: {}",
        script.display(),
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).expect("an oracle prints JSON")
}

/// Numbers of a JSON array.
///
/// # Panics
/// If it is not one.
pub fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter()
        .map(|number| number.as_f64().expect("a number"))
        .collect()
}

/// A node without rest rotation.
pub fn node(parent: Option<usize>, at: Vec3, order: Order, turns: [(f64, f64); 3]) -> Node {
    let rest = Transform::from_parts(at.into(), Rotation::identity());
    Node {
        parent,
        rest,
        order,
        limits: [turns[0], turns[1], turns[2], FREE, FREE, FREE],
    }
}

/// A mechanism without anchors, and its pose.
///
/// # Panics
/// If it cannot be built.
pub fn build(nodes: Vec<Node>, anchors: Vec<kinematics::Anchor>) -> (Mechanism, Pose) {
    let mechanism = Mechanism::new(nodes, anchors).expect("a sound mechanism");
    let pose = mechanism.pose();
    (mechanism, pose)
}

/// A number in `min..max`.
pub fn between(random: &mut fastrand::Rng, min: f64, max: f64) -> f64 {
    min + (max - min) * random.f64()
}

/// A vector in the cube of half side `size`.
pub fn vector(random: &mut fastrand::Rng, size: f64) -> Vec3 {
    Vec3::from_fn(|_, _| between(random, -size, size))
}

/// A rotation of any size about any axis.
pub fn rotation(random: &mut fastrand::Rng) -> Rotation {
    Rotation::from_scaled_axis(vector(random, 3.0))
}

/// Three joints of any finger: each with limits about its middle axis, the first about another
/// too, and all shifted and turned, so that the bones run along −y of turned frames.
pub fn askew(joints: &mut [Node], random: &mut fastrand::Rng) {
    let limits =
        |random: &mut fastrand::Rng| (between(random, -1.2, -0.1), between(random, 0.1, 1.5));
    for (at, joint) in joints.iter_mut().enumerate() {
        joint.order = Order::ALL[random.usize(..6)];
        let [outer, middle, inner] = joint.order.axes();
        let mut turns = [LOCKED; 3];
        turns[middle] = limits(random);
        if at == 0 {
            turns[if random.bool() { outer } else { inner }] = limits(random);
        }
        joint.limits[..3].copy_from_slice(&turns);
        let shift = joint.rest.translation.vector + vector(random, 6.0);
        joint.rest = Transform::from_parts(shift.into(), rotation(random));
    }
}

/// A node as the oracles read it.
pub fn describe(node: &Node, channels: [f64; 6]) -> Value {
    json!({
        "parent": node.parent,
        "at": node.rest.translation.vector.as_slice(),
        "turn": node.rest.rotation.coords.as_slice(),
        "order": letters(node.order),
        "channels": channels,
        // JSON has no infinity: none is no bound.
        "limits": node.limits[..3].iter().map(|&(min, max)| if min == max { json!([0, 0]) } else { json!([finite(min), finite(max)]) }).collect::<Vec<_>>(),
    })
}

fn finite(number: f64) -> Option<f64> {
    number.is_finite().then_some(number)
}

/// Sets all six channels.
pub fn set(pose: &mut Pose, node: usize, channels: [f64; 6]) {
    for channel in Channel::ALL {
        pose.set_channel(node, channel, channels[channel.index()]);
    }
}
