//! Hands and surfaces that are none of the table's, pressed anyhow: every number is one, what is
//! wrong is told, and nothing jumps.
use hand::survey::{Ends, Tolerance, measure};
use hand::{Digit, Ground, GroundForm, Hand, Planting, Recipe, Stance, document};
use rig::{Document, Kind, NodeId, Posed, Rotation};

/// A turn of a dial, degrees, and what it may turn a joint by: 50 times as much (chosen here; the
/// letting go turns one by about 11 times as much).
const SMALL: f64 = 0.01;
const MOST: f64 = 0.5;
const PRESS: [&str; 4] = ["lift", "roll", "lean", "twist"];

fn fingers(names: &[&str], apart: f64, length: f64) -> Hand {
    let count = names.len() as f64;
    let digits = names.iter().enumerate().map(|(k, name)| {
        let aside = apart * (0.5 * (count - 1.0) - k as f64);
        let mut digit: Digit = Hand::table().digits[2].clone();
        (*name).clone_into(&mut digit.name);
        for bone in &mut digit.bones[1..] {
            *bone *= length;
        }
        digit.base[1] = 0.5 * aside;
        digit.head = [aside, 0.0];
        digit
    });
    Hand {
        digits: digits.collect(),
        ..Hand::table()
    }
}

fn recipe(hand: Hand, stance: Stance, surface: Ground) -> Recipe {
    let digits = hand.digits.iter().filter(|digit| !digit.thumb);
    let planting = Planting {
        stance,
        digits: digits.map(|digit| digit.name.clone()).collect(),
        surface,
        ..Planting::default()
    };
    Recipe {
        hand,
        planting: Some(planting),
    }
}

fn three_long() -> Hand {
    fingers(&["one", "two", "three"], 26.0, 1.7)
}

fn seven() -> Hand {
    fingers(&["a", "b", "c", "d", "e", "f", "g"], 12.0, 1.0)
}

/// Numbers from 0 to 1, the same in every run (Knuth's MMIX multiplier and increment, from memory).
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn turns(posed: &Posed, joints: &[NodeId]) -> Vec<Rotation> {
    let local = |&id: &NodeId| {
        let parent = posed.rig().node(id).and_then(|node| node.parent);
        let above = parent.map_or(Rotation::identity(), |up| posed.world(up).rotation);
        above.inverse() * posed.world(id).rotation
    };
    joints.iter().map(local).collect()
}

/// Every number of a pose and of what is measured of it.
fn is_finite(posed: &Posed) -> bool {
    let rig = posed.rig();
    let nodes = rig.nodes.iter().map(|node| posed.world(node.id));
    let mut placed = nodes.map(|world| {
        let turn = world.rotation.coords;
        world
            .translation
            .vector
            .iter()
            .chain(turn.iter())
            .all(|x| x.is_finite())
    });
    let outcomes = rig.anchors.iter().map(|anchor| posed.outcome(anchor.id));
    let mut solved = outcomes.map(|outcome| {
        [outcome.residual, outcome.reach_margin, outcome.hold]
            .iter()
            .all(|x| x.is_finite())
    });
    let cell = measure(posed);
    let depths = [cell.slip, cell.pad.by, cell.palm.by];
    placed.all(|ok| ok) && solved.all(|ok| ok) && depths.iter().all(|x| x.is_finite())
}

/// Turns the press dials anyhow, `rounds` times; the greatest turn of a joint for a small turn of
/// one dial, and where.
fn walk(document: &Document, rounds: u32) -> (f64, String) {
    let rig = &document.rig;
    let joints = rig.nodes.iter().filter(|node| node.kind == Kind::Joint);
    let joints: Vec<_> = joints.map(|node| node.id).collect();
    let mut posed = Posed::new(document).unwrap();
    let mut draws = Draws(7);
    let mut worst = (0.0, String::new());
    for round in 0..rounds {
        let mut values = Vec::new();
        for name in PRESS {
            let dial = rig.dial_named(name).unwrap();
            let value = dial.min + draws.next() * (dial.max - dial.min);
            posed.set_dial(dial.id, value);
            values.push((dial.id, value));
        }
        posed.evaluate();
        assert!(is_finite(&posed), "{values:?}");
        let before = turns(&posed, &joints);
        let (dial, value) = values[round as usize % PRESS.len()];
        posed.set_dial(dial, value + SMALL);
        posed.evaluate();
        let after = turns(&posed, &joints);
        for ((a, b), joint) in before.iter().zip(&after).zip(&joints) {
            let turned = a.angle_to(b).to_degrees();
            if turned > worst.0 {
                let name = &rig.node(*joint).unwrap().name;
                let at: Vec<_> = values.iter().map(|(_, value)| *value).collect();
                let dial = PRESS[round as usize % PRESS.len()];
                worst = (turned, format!("{name} by {dial} at {at:?}"));
            }
        }
    }
    worst
}

/// What a pose is unsafe for, as a person would be told.
fn told(posed: &Posed) -> Option<String> {
    let rig = posed.rig();
    let name = |node| hand::in_words(rig, node);
    Some(match measure(posed).ends(&Tolerance::default())? {
        Ends::Slips(node) => format!("the {} slips", name(node)),
        Ends::Sinks(node, _) => format!("the {} sinks in", name(node)),
        Ends::Limit(limit) => limit.told(rig),
    })
}

#[test]
fn hands_of_three_long_fingers_and_of_seven_press_without_a_jump() {
    for (called, hand) in [("three", three_long()), ("seven", seven())] {
        for stance in [Stance::Flat, Stance::Fingertips, Stance::Fist, Stance::Edge] {
            let made = match document(&recipe(hand.clone(), stance, Ground::default())) {
                Ok(made) => made,
                // Refused in a sentence that says what is wrong.
                Err(fault) => {
                    let said = fault.to_string();
                    assert!(said.len() > 30 && !said.contains("NaN"), "{said}");
                    continue;
                }
            };
            let neutral = Posed::new(&made).unwrap();
            assert!(is_finite(&neutral));
            if stance == Stance::Flat {
                assert_eq!(told(&neutral), None, "{called}");
            }
            let (turned, at) = walk(&made, 400);
            assert!(turned <= MOST, "{called} {stance:?}: {turned}° of the {at}");
        }
    }
}

/// Rails and edges too thick or too thin for a hand, a steep plane: built or refused in words, and
/// what is built is finite.
#[test]
fn surfaces_that_do_not_fit_are_told() {
    let mut refused = 0;
    for form in [GroundForm::Plane, GroundForm::Edge, GroundForm::Rail] {
        for radius in [0.5, 4.0, 20.0, 90.0, 400.0] {
            for tilt in [0.0, -70.0, 85.0] {
                let surface = Ground {
                    form,
                    radius,
                    tilt,
                    ..Ground::default()
                };
                for hand in [Hand::table(), three_long(), seven()] {
                    match document(&recipe(hand, Stance::Flat, surface)) {
                        Ok(made) => {
                            walk(&made, 12);
                        }
                        Err(fault) => {
                            refused += 1;
                            let said = fault.to_string();
                            assert!(said.len() > 30 && !said.contains("NaN"), "{said}");
                        }
                    }
                }
            }
        }
    }
    assert!(refused > 0, "something here fits no hand");
}

/// A second surface through the middle of the hand: what is in it is told, by whose it is, and
/// nothing is moved by it.
#[test]
fn a_surface_through_the_hand_is_told() {
    let made = document(&recipe(Hand::table(), Stance::Flat, Ground::default())).unwrap();
    let before = Posed::new(&made).unwrap();
    assert_eq!(told(&before), None);
    let mut through = made.clone();
    let bench = through
        .nodes
        .iter()
        .position(|node| node.surface.is_some())
        .unwrap();
    let mut second = (*through.nodes[bench]).clone();
    second.id = NodeId(through.take_id());
    "shelf".clone_into(&mut second.name);
    second.part = None;
    second.translation = [0.0, 15.0, 0.0];
    through.nodes.push(second.into());
    let posed = Posed::new(&through).unwrap();
    for node in &made.nodes {
        assert_eq!(posed.point(node.id), before.point(node.id), "{}", node.name);
    }
    let said = told(&posed).expect("something is in it");
    assert!(said.ends_with("sinks in"), "{said}");
    let cell = measure(&posed);
    // A palm whose joints are 13 to 18 mm over the bench, under 15 mm of shelf.
    assert!(cell.palm.by > 10.0 && cell.pad.by > 10.0, "{cell:?}");
    let (turned, at) = walk(&through, 200);
    assert!(turned <= MOST, "{turned}° of the {at}");
}

/// The table's hand itself, and where the bench has been pushed up into it by its raw pivots.
#[test]
fn the_tables_hand_does_not_jump() {
    let made = document(&recipe(Hand::table(), Stance::Flat, Ground::default())).unwrap();
    let (turned, at) = walk(&made, 3000);
    assert!(turned <= MOST, "{turned}° of the {at}");
    let mut posed = Posed::new(&made).unwrap();
    let heel = made.dial_named("raw heel").unwrap().id;
    for value in [-60.0, -20.0, 20.0, 60.0] {
        posed.set_dial(heel, value);
        posed.evaluate();
        assert!(is_finite(&posed));
        let deep = measure(&posed).palm.by > 3.0;
        assert_eq!(deep, told(&posed).is_some(), "{value}: {:?}", told(&posed));
    }
}
