//! Random documents: an example, a hand from a recipe or a random rig, then changed by a few
//! random hands. A change is a number, so that a case that fails can be cut down change by change.
use crate::solvers;
use hand::{self, Arm, GroundForm, SCENARIOS, Side, Size, Stance};
use rig::*;
use std::sync::LazyLock;
use testkit::{random_document, random_press};

/// SplitMix64 (Steele, Lea & Flood 2014).
pub struct Random(pub u64);

impl Random {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count.max(1) as u64) as usize
    }
    pub fn chance(&mut self, of_ten: usize) -> bool {
        self.below(10) < of_ten
    }
    pub fn between(&mut self, min: f64, max: f64) -> f64 {
        min + (max - min) * ((self.next() >> 11) as f64 / (1u64 << 53) as f64)
    }
    pub fn of<T: Copy>(&mut self, items: &[T]) -> T {
        items[self.below(items.len())]
    }
    /// A number a file may hold: most often one with sense, else one at the end of what is taken.
    pub fn number(&mut self, sense: f64) -> f64 {
        match self.below(10) {
            0 => 0.0,
            1 => self.of(&[1e9, -1e9, 1e6, -1e6, 1e-9, 1e-160, -1e-300, 5e-324, -0.0]),
            2 => self.of(&[-360.0, -180.0, -90.0, 90.0, 180.0, 360.0, 1.0, -1.0]),
            _ => self.between(-sense, sense),
        }
    }
    pub fn not_negative(&mut self, sense: f64) -> f64 {
        self.number(sense).abs()
    }
}

/// What a case is made of.
#[derive(Clone, Debug)]
pub struct Case {
    pub base: u64,
    pub changes: Vec<u64>,
}

impl Case {
    pub fn new(seed: u64) -> Self {
        let mut random = Random(seed);
        let base = random.next();
        let count = random.of(&[0, 1, 1, 2, 3, 4, 6, 10]);
        let changes = (0..count).map(|_| random.next()).collect();
        Self { base, changes }
    }

    /// None where the base itself is refused, as some random recipes are.
    pub fn document(&self) -> Option<Document> {
        let mut document = base(&mut Random(self.base))?;
        for &seed in &self.changes {
            change(&mut document, &mut Random(seed));
        }
        Some(document)
    }
}

static EXAMPLES: LazyLock<Vec<Document>> = LazyLock::new(|| {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");
    let files = std::fs::read_dir(folder).expect("the examples");
    let paths = files.map(|file| file.expect("a file").path());
    let mut paths: Vec<_> = paths
        .filter(|path| path.to_string_lossy().ends_with(".hand.json"))
        .collect();
    paths.sort();
    assert!(paths.len() > 5, "{paths:?}");
    let text = |path| std::fs::read_to_string(path).expect("a text");
    let texts = paths.iter().map(text);
    texts
        .map(|text| hand::read(&text).expect("sound"))
        .collect()
});

fn base(random: &mut Random) -> Option<Document> {
    // Building a hand takes much longer than changing one.
    match random.below(100) {
        0 => hand::document(&recipe(random)).ok(),
        1 => hand::read(&random_press(random.next())).ok(),
        2..30 => Some(random_document(random.next())),
        _ => Some(EXAMPLES[random.below(EXAMPLES.len())].clone()),
    }
}

fn recipe(random: &mut Random) -> hand::Recipe {
    let name = random.of(&SCENARIOS);
    let mut recipe = hand::scenario(name).expect("one of its own names");
    let hand = &mut recipe.hand;
    if random.chance(3) {
        hand.side = Side::Left;
    }
    if random.chance(3) {
        hand.arm = random.chance(5).then(Arm::default);
    }
    if random.chance(3) {
        let length = random.between(100.0, 400.0);
        hand.length = Size::Mm(length);
        hand.breadth = Size::Mm(length * random.between(0.3, 0.7));
    }
    let planting = recipe.planting.as_mut().expect("a scenario is planted");
    if random.chance(4) {
        planting.stance =
            random.of(&[Stance::Flat, Stance::Fingertips, Stance::Fist, Stance::Edge]);
    }
    planting.heel = random.chance(3);
    planting.surface.form = random.of(&[GroundForm::Plane, GroundForm::Edge, GroundForm::Rail]);
    planting.surface.radius = random.between(0.5, 80.0);
    planting.surface.tilt = random.between(-60.0, 60.0);
    planting.flexion = random.between(0.0, 100.0);
    if random.chance(3) {
        let count = planting.digits.len();
        planting.digits.truncate(random.below(count + 1));
    }
    recipe
}

fn limits(random: &mut Random) -> Option<(f64, f64)> {
    let (a, b) = (random.number(200.0), random.number(200.0));
    match random.below(6) {
        0 | 1 => None,
        2 => Some((a, a)),
        3 => Some((a, a + random.of(&[1e-12, 1e-9, 1e-3, 1.0]))),
        _ => Some(if a < b { (a, b) } else { (b, a) }),
    }
}

/// A place in the list, more often one that an anchor's chain goes through.
fn place(document: &Document, random: &mut Random) -> usize {
    let at = |id: NodeId| document.nodes.iter().position(|node| node.id == id);
    let count = document.nodes.len();
    if document.anchors.is_empty() || random.chance(3) {
        return random.below(count);
    }
    let anchor = &document.anchors[random.below(document.anchors.len())];
    let (mut node, mut chain) = (Some(anchor.end), vec![anchor.target]);
    while let Some(id) = node {
        chain.push(id);
        node = (id != anchor.base)
            .then(|| document.node(id)?.parent)
            .flatten();
    }
    at(random.of(&chain)).unwrap_or(0)
}

fn change(document: &mut Document, random: &mut Random) {
    let at = place(document, random);
    let (nodes, anchors, dials) = (
        document.nodes.len(),
        document.anchors.len(),
        document.dials.len(),
    );
    match random.below(19) {
        0..3 => {
            // Of a digit's joints the free turn is the third one.
            let channel = random.of(&[2, 2, 2, 0, 1]);
            document.nodes[at].limits[channel] = limits(random);
        }
        3 => {
            // What is not locked has no limits any more, in a part of the joints.
            let turns = document.nodes.iter_mut().flat_map(|node| &mut node.limits);
            for turn in turns.filter(|turn| turn.is_some_and(|(min, max)| min < max)) {
                if random.chance(6) {
                    *turn = None;
                }
            }
        }
        4 | 5 if anchors > 0 => {
            let which = random.below(anchors);
            solvers::change(document, which, random);
        }
        6 | 7 if dials > 0 => {
            let which = random.below(dials);
            let Document { rig, setting } = document;
            dial(&mut rig.dials[which], &mut setting.dials[which], random);
        }
        8 if dials > 0 => {
            let which = random.below(dials);
            let target = if anchors > 0 && random.chance(4) {
                let anchor = document.anchors[random.below(anchors)].id;
                random.of(&[Target::Hold(anchor), Target::Collapse(anchor)])
            } else {
                Target::Channel(document.nodes[at].id, random.of(&Channel::ALL))
            };
            let (gain, ramp) = (random.number(2.0), ramp(random));
            let drive = Drive { target, gain, ramp };
            document.dials[which].drives.push(drive);
        }
        9 if anchors > 0 => {
            let which = random.below(anchors);
            document.setting.active[which] ^= true;
        }
        10 => {
            let node = &mut document.nodes[at];
            let axis = random.below(3);
            node.translation[axis] = random.number(100.0);
            if random.chance(3) {
                node.translation = [0.0; 3];
            }
        }
        11 => rest(&mut document.nodes[at], random),
        12 if anchors > 0 => {
            // The target onto a joint of the chain, or the pole onto the axis.
            let anchor = &document.anchors[random.below(anchors)];
            let onto = random.of(&[anchor.base, anchor.end]);
            if let Ok(posed) = Posed::new(document)
                && let Some(target) = document.node(anchor.target)
            {
                let place = posed.point(onto);
                let frame = target.parent.map(|parent| *posed.world(parent));
                let place = frame.map_or(place, |frame| {
                    frame.inverse_transform_point(&place.into()).coords
                });
                let target = target.id;
                let target = document.nodes.iter_mut().find(|node| node.id == target);
                target.expect("found before").translation = place.into();
            }
        }
        13 => {
            let node = document.nodes[random.below(nodes)].id;
            let surface = document.nodes[random.below(nodes)].id;
            document.plants.push(Plant {
                node,
                at: [(); 3].map(|()| random.number(100.0)),
                surface: random.chance(5).then_some(surface),
                turned: random.chance(5).then(|| unit(random)),
            });
        }
        14 => {
            let radius = random.not_negative(50.0);
            document.nodes[at].surface = random.of(&[
                None,
                Some(Form::Plane),
                Some(Form::Rail { radius }),
                Some(Form::Edge { radius }),
            ]);
            document.bench = random.chance(5).then(|| random.number(50.0));
        }
        15 => {
            // Beside its own limits, or where it has none.
            let axis = random.of(&[2, 2, 0, 1]);
            document.nodes[at].loaded[axis] = limits(random);
        }
        16 if dials > 0 => {
            let link = link(document, random);
            document.links.push(link);
        }
        17 if !document.links.is_empty() => {
            let which = random.below(document.links.len());
            let share = share(random);
            let link = &mut document.links[which];
            if link.to.is_empty() || random.chance(5) {
                link.share = share;
            } else {
                let to = random.below(link.to.len());
                link.to[to].gain = random.number(3.0);
            }
        }
        // Each dial anywhere in its range.
        _ => {
            let rig = document.rig.clone();
            for (dial, stands) in rig.dials.iter().zip(&mut document.setting.dials) {
                let any = random.between(dial.min, dial.max);
                let value = random.of(&[dial.min, dial.max, dial.neutral, any, any]);
                *stands = value.clamp(dial.min, dial.max);
            }
        }
    }
}

fn share(random: &mut Random) -> Share {
    if random.chance(4) {
        return Share::All {
            from: random.number(60.0),
        };
    }
    Share::Past {
        from: random.number(60.0),
        softness: random.not_negative(20.0),
    }
}

/// From a channel that a dial drives most often, or from any, to a few.
fn link(document: &Document, random: &mut Random) -> Link {
    let any = |random: &mut Random| {
        let node = document.nodes[place(document, random)].id;
        (node, random.of(&Channel::ALL))
    };
    let (mut node, mut channel) = any(random);
    let dial = &document.dials[random.below(document.dials.len())];
    if let Some(drive) = dial.drives.get(random.below(dial.drives.len()))
        && let Target::Channel(driven, by) = drive.target
    {
        (node, channel) = (driven, by);
    }
    let count = 1 + random.below(4);
    let mut to = Vec::with_capacity(count);
    for _ in 0..count {
        let (node, channel) = any(random);
        let gain = random.number(2.0);
        to.push(Passed {
            node,
            channel,
            gain,
        });
    }
    let share = share(random);
    Link {
        node,
        channel,
        share,
        to,
    }
}

fn ramp(random: &mut Random) -> Ramp {
    let stage = random.not_negative(20.0);
    random.of(&[
        Ramp::Whole,
        Ramp::Rising,
        Ramp::Falling,
        Ramp::RisingPast(stage),
    ])
}

fn dial(dial: &mut Dial, value: &mut f64, random: &mut Random) {
    match random.below(4) {
        0 => dial.softness = random.chance(8).then(|| random.not_negative(20.0)),
        1 if !dial.drives.is_empty() => {
            let which = random.below(dial.drives.len());
            dial.drives[which].gain = random.number(3.0);
        }
        2 if !dial.drives.is_empty() => {
            let which = random.below(dial.drives.len());
            dial.drives[which].ramp = ramp(random);
        }
        _ => {
            let mut numbers = [(); 4].map(|()| random.number(100.0));
            if random.chance(3) {
                numbers = [numbers[0]; 4];
            }
            numbers.sort_by(f64::total_cmp);
            let [min, low, high, max] = numbers;
            (dial.min, dial.max) = (min, max);
            (dial.neutral, *value) = random.of(&[(low, high), (high, low), (min, max), (max, min)]);
        }
    }
}

fn unit(random: &mut Random) -> [f64; 4] {
    let axis = [(); 4].map(|()| random.between(-1.0, 1.0));
    let size = axis.iter().map(|x| x * x).sum::<f64>().sqrt();
    axis.map(|x| x / size)
}

fn rest(node: &mut Node, random: &mut Random) {
    match random.below(5) {
        0 => node.rotation = unit(random),
        1 => node.order = random.of(&Order::ALL),
        2 => node.width = random.not_negative(30.0),
        3 => node.hidden ^= true,
        _ => node.grip = Grip::Place([(); 3].map(|()| random.number(20.0))),
    }
}
