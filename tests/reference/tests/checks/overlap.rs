//! How deep a hand's flesh is in itself, beside Coal (PyPI `coal`) and SciPy.
use fastrand::Rng;
use hand::flesh::{Flesh, Kind, Overlaps};
use hand::{Hand, Recipe, Side, document};
use reference::{between as number, numbers, oracle};
use rig::{Dial, NodeId, Posed, Rig, Target};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use testkit::loose;

/// Neither may tell another distance than the other by more, mm.
const WITHIN: f64 = 1e-6;
/// Of either hand.
const SETTINGS: usize = 1000;
/// How far along a finger's first bone the web joins it to the next.
const WEB: f64 = 0.44;

/// Whether a dial turns a digit's joints and does nothing else.
fn turns(rig: &Rig, dial: &Dial) -> bool {
    dial.drives.iter().all(|drive| {
        let Target::Channel(node, channel) = drive.target else {
            return false;
        };
        let part = rig.node(node).and_then(|node| node.part.as_ref());
        channel.index() < 3 && part.is_some_and(|part| part.digit().is_some())
    })
}

/// A finger's first bone, which the web joins to the next finger's, by the name it is built with.
fn is_first(rig: &Rig, node: NodeId) -> bool {
    let node = rig.node(node).expect("a bone");
    node.name.ends_with("finger-phalanx-proximal")
}

/// A bone by the joint that carries it, and what of the hand its flesh is.
type Bone = (NodeId, Kind);

/// The bones of a hand with their segments in their joints' frames, and for each how many of its
/// segments begin in the web.
fn bones(posed: &Posed) -> (Vec<Value>, BTreeMap<Bone, (usize, usize)>) {
    let (rig, flesh) = (posed.rig(), Flesh::of(posed.rig()));
    let mut links: BTreeMap<Bone, Vec<Value>> = BTreeMap::new();
    let mut webbed: BTreeMap<Bone, usize> = BTreeMap::new();
    for (node, kind, segment) in flesh.segments(posed) {
        let frame = posed.world(node);
        let local = segment
            .ends
            .map(|at| frame.inverse_transform_point(&at.into()));
        let ball = |end: usize| {
            let at = local[end];
            [at.x, at.y, at.z, segment.radii[end]]
        };
        if kind == Kind::Pad && is_first(rig, node) {
            let mut below = rig.nodes.iter();
            let next = below
                .find(|next| next.parent == Some(node))
                .expect("a bone");
            let part = 0.0 - local[0].y / next.rest().translation.vector.norm();
            *webbed.entry((node, kind)).or_default() += usize::from(part < WEB);
        }
        let own = links.entry((node, kind)).or_default();
        own.push(json!([ball(0), ball(1)]));
    }
    let index = links.keys().enumerate();
    let index = index.map(|(at, of)| (*of, (at, webbed.get(of).copied().unwrap_or(0))));
    let index = index.collect();
    let told = links
        .iter()
        .map(|((node, _), links)| json!({"joint": node.0.to_string(), "links": links}));
    (told.collect(), index)
}

fn compare(side: Side, random: &mut Rng) {
    let hand = Hand {
        side,
        ..Hand::table()
    };
    let recipe = Recipe {
        hand,
        planting: None,
    };
    let built = document(&recipe).expect("a hand");
    let own: Vec<_> = built.dials.iter().map(|dial| dial.id).collect();
    let document = loose(&built);
    let mut posed = Posed::new(&document).expect("a sound document");
    let (told, index) = bones(&posed);
    let overlaps = Overlaps::of(posed.rig());

    // Half of them by the hand's own dials, half joint by joint within every joint's range.
    let mut settings = Vec::new();
    let mut ours: Vec<(Vec<f64>, f64)> = Vec::new();
    let mut pairs: Vec<Value> = Vec::new();
    for at in 0..SETTINGS {
        posed.set_neutral();
        let dials = document.dials.iter();
        let dials = dials.filter(|dial| own.contains(&dial.id) == (at % 2 == 0));
        for dial in dials.filter(|dial| turns(&document, dial)) {
            posed.set_dial(dial.id, number(random, dial.min, dial.max));
        }
        posed.evaluate();
        let joints = index.keys().map(|(node, _)| {
            let world = posed.world(*node);
            let at = world.translation.vector;
            let turn = world.rotation.coords;
            (node.0.to_string(), json!([at.as_slice(), turn.as_slice()]))
        });
        settings.push(Value::Object(joints.collect()));
        let mut apart: BTreeMap<[Bone; 2], f64> = BTreeMap::new();
        for here in overlaps.apart(&posed) {
            let pair = [
                (here.bones.digit, Kind::Pad),
                (here.bones.other, here.bones.kind),
            ];
            let least = apart.entry(pair).or_insert(f64::INFINITY);
            *least = here.clearance.min(*least);
        }
        if at == 0 {
            pairs.extend(apart.keys().map(|pair| {
                let [(a, one), (b, other)] = pair.map(|of| index[&of]);
                json!([a, b, one.min(other)])
            }));
        }
        let deepest = overlaps.deepest(&posed).map_or(0.0, |overlap| overlap.mm);
        ours.push((apart.into_values().collect(), deepest));
    }
    let case = json!({"bones": told, "pairs": pairs, "settings": settings});
    let answer = oracle("overlap", &case);

    let theirs = answer["clearances"].as_array().expect("a list");
    let second = numbers(&answer["deepest"]);
    assert_eq!([theirs.len(), second.len()], [SETTINGS; 2]);
    let (mut coal, mut scipy, mut inside, mut clear, mut most) = (0.0f64, 0.0f64, 0, 0, 0.0f64);
    for (((ours, deepest), theirs), second) in ours.iter().zip(theirs).zip(second) {
        let theirs = numbers(theirs);
        assert_eq!(ours.len(), theirs.len());
        for (pair, (ours, theirs)) in pairs.iter().zip(ours.iter().zip(&theirs)) {
            assert!((ours - theirs).abs() <= WITHIN, "{pair}: {ours} {theirs}");
            coal = coal.max((ours - theirs).abs());
            inside += usize::from(*ours < -0.1);
            clear += usize::from(*ours > 0.1);
        }
        let second = (-second).max(0.0);
        assert!((deepest - second).abs() <= WITHIN, "{deepest} {second}");
        scipy = scipy.max((deepest - second).abs());
        most = most.max(*deepest);
    }
    assert!(
        inside > 1000 && clear > 10_000 && most > 5.0,
        "{inside} {clear} {most}"
    );
    println!(
        "{side:?}: {} pairs of bones in {SETTINGS} settings, {inside} in each other, {clear} apart; from Coal's by {coal:e} mm at most, the deepest from SciPy's by {scipy:e} mm; the deepest of all {most:.1} mm; {} segments asked of Coal, {} again of SciPy",
        pairs.len(),
        answer["asked"],
        answer["again"],
    );
}

#[test]
fn coal_and_scipy_find_the_same_overlaps() {
    let mut random = Rng::with_seed(12);
    for side in [Side::Right, Side::Left] {
        compare(side, &mut random);
    }
}
