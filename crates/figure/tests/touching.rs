//! What is measured is what is drawn: the flesh that the survey measures (`hand::flesh`) against
//! the skin that is drawn, before it is pressed flat on anything.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use figure::skins;
use hand::flesh::{Flesh, Kind, Segment};
use hand::{Hand, Planting, Recipe, SCENARIOS, Side, Stance, scenario};
use recipe::{DigitPart, Part};
use rig::{NodeId, Posed, Vec3};

/// mm by which the measured flesh of a digit may stick out of its drawn skin, or fall short.
const DIGIT: f64 = 0.3;
/// The same on its sides and its back, where sections are neither round nor cut as joints are.
const SIDE: f64 = 0.6;
/// The same of the palm and the heel.
const PALM: f64 = 1.0;

fn posed(recipe: &Recipe, dials: &[(&str, f64)]) -> Posed {
    let mut posed = Posed::new(&hand::document(recipe).unwrap()).unwrap();
    for (name, value) in dials {
        let dial = posed.rig().dial_named(name).expect(name).id;
        posed.set_dial(dial, *value);
    }
    posed.evaluate();
    posed
}

/// Hands, stances and how they stand.
fn cases() -> Vec<(String, Posed)> {
    let mut cases = Vec::new();
    for name in SCENARIOS {
        let recipe = scenario(name).unwrap();
        for dials in [
            &[][..],
            &[("lift", 20.0)],
            &[("roll", 30.0), ("lean", 6.0)],
            &[("roll", -15.0)],
            &[("curl", 40.0)],
        ] {
            cases.push((format!("{name} {dials:?}"), posed(&recipe, dials)));
        }
    }
    let press = |hand| Recipe {
        hand,
        planting: Some(Planting::default()),
    };
    let left = Hand {
        side: Side::Left,
        ..Hand::table()
    };
    cases.push(("left".into(), posed(&press(left), &[("lean", -5.0)])));
    let edge = Recipe {
        hand: Hand::table(),
        planting: Some(Planting {
            stance: Stance::Edge,
            ..Planting::default()
        }),
    };
    cases.push(("edge".into(), posed(&edge, &[])));
    let free = Recipe::default();
    for dials in [
        &[][..],
        &[("curl", 30.0)],
        &[("rest flexion", 25.0), ("arch", 15.0)],
    ] {
        cases.push((format!("free {dials:?}"), posed(&free, dials)));
    }
    cases
}

/// How far points go in a direction.
fn drawn(points: &[Vec3], way: &Vec3) -> f64 {
    let along = points.iter().map(|point| point.dot(way));
    along.fold(f64::NEG_INFINITY, f64::max)
}

/// How far segments go in a direction, and whose does.
fn measured(segments: &[(NodeId, Kind, Segment)], way: &Vec3) -> (f64, Option<NodeId>) {
    let mut most = (f64::NEG_INFINITY, None);
    for (node, _, segment) in segments {
        for (at, radius) in segment.ends.iter().zip(segment.radii) {
            let here = at.dot(way) + radius;
            if here > most.0 {
                most = (here, Some(*node));
            }
        }
    }
    most
}

/// Directions within so many degrees of one: rings round it.
fn about(middle: &Vec3, within: u32) -> Vec<Vec3> {
    let across = middle.cross(&Vec3::new(0.31, 0.17, 0.94)).normalize();
    let other = middle.cross(&across);
    let mut ways = vec![*middle];
    for lean in (10..=within).step_by(10) {
        let (s, c) = f64::from(lean).to_radians().sin_cos();
        for turn in 0..12 {
            let (v, u) = (f64::from(turn) * std::f64::consts::TAU / 12.0).sin_cos();
            ways.push(middle * c + (across * u + other * v) * s);
        }
    }
    ways
}

fn palmward(posed: &Posed, node: NodeId) -> Vec3 {
    posed.world(node).rotation * Vec3::x()
}

fn part(posed: &Posed, node: NodeId) -> Option<Part> {
    posed.rig().node(node)?.part.clone()
}

fn is(posed: &Posed, node: NodeId, wanted: DigitPart) -> bool {
    matches!(part(posed, node), Some(Part::Digit(_, part)) if part == wanted)
}

fn of_thumb(posed: &Posed, node: NodeId) -> bool {
    part(posed, node).is_some_and(|part| part.digit() == Some("thumb"))
}

/// The range of a difference, with where it was widest.
#[derive(Default)]
struct Apart {
    below: f64,
    above: f64,
    compared: u32,
    told: String,
}

impl Apart {
    fn take(&mut self, below: f64, above: f64, told: impl Fn() -> String) {
        if below < self.below || above > self.above {
            self.told += &format!("\n{below:.3} {above:.3} {}", told());
        }
        self.below = self.below.min(below);
        self.above = self.above.max(above);
        self.compared += 1;
    }

    fn within(&self, what: &str, most: f64, times: u32) {
        let Self {
            below,
            above,
            compared,
            told,
        } = self;
        println!("{what}: {below:.3} to {above:.3} mm over {compared} directions{told}");
        assert!(*compared > times, "{what}: {compared}");
        assert!(
            *above <= most && -below <= most,
            "{what}: {below} {above}{told}"
        );
    }
}

/// A finger's or thumb's skin, seen from its palm's side out to its sides. The nail's side is left
/// out: a tip is round, and a nail flatter.
#[test]
fn a_digit_touches_where_its_skin_does() {
    let [mut apart, mut aside, mut balls] = [(); 3].map(|()| Apart::default());
    for (name, posed) in cases() {
        let flesh = Flesh::of(posed.rig());
        let skins = skins(&posed);
        let palm = &skins[0];
        for skin in &skins {
            let tip = |node: &&NodeId| is(&posed, **node, DigitPart::PhalanxDistal);
            let Some(&tip) = skin.nodes.iter().find(tip) else {
                continue;
            };
            let thumb = of_thumb(&posed, tip);
            let own: Vec<_> = flesh
                .segments(&posed)
                .filter(|(node, kind, _)| {
                    skin.nodes.contains(node) && (thumb || *kind == Kind::Pad)
                })
                .collect();
            for &node in &skin.nodes {
                for way in about(&palmward(&posed, node), 80) {
                    let (ours, at) = measured(&own, &way);
                    let at = at.unwrap();
                    let nail = at == tip && palmward(&posed, tip).dot(&way) < 0.0;
                    // A digit grows out of the palm: what looks back to the wrist is within it.
                    let back = (posed.world(at).rotation * Vec3::y()).dot(&way) > 0.8;
                    let rooted = is(&posed, at, DigitPart::PhalanxProximal) && !thumb
                        || is(&posed, at, DigitPart::Metacarpal);
                    if nail || back && rooted {
                        continue;
                    }
                    let mut skin = drawn(&skin.points, &way);
                    if rooted && !thumb && skin < ours {
                        skin = ours.min(skin.max(drawn(&palm.points, &way)));
                    }
                    let by = ours - skin;
                    // The ball of the thumb counts as palm.
                    let ball = is(&posed, at, DigitPart::Metacarpal);
                    let front = palmward(&posed, at).dot(&way) > 0.3;
                    let of = match (ball, front) {
                        (true, _) => &mut balls,
                        (_, true) => &mut apart,
                        _ => &mut aside,
                    };
                    of.take(by, by, || {
                        let told = part(&posed, node);
                        let local = posed.world(node).rotation.inverse() * way;
                        format!("{name} {told:?} {:?} {local:?}", part(&posed, at))
                    });
                }
            }
        }
    }
    apart.within("digits", DIGIT, 10_000);
    aside.within("digits' sides and backs", SIDE, 5_000);
    balls.within("balls of the thumb", PALM, 1_000);
}

/// The palm's, from the heel to the web, out to its sides: its skin lies within the measured
/// flesh of palm, thumb's ball and the digits' first bones, and that within the skin of the whole hand with its arm.
#[test]
fn the_palm_touches_where_its_skin_does() {
    let mut apart = Apart::default();
    for (name, posed) in cases() {
        let flesh = Flesh::of(posed.rig());
        let wrist = posed.rig().part(&Part::Wrist).unwrap().id;
        let skins = skins(&posed);
        assert!(skins[0].nodes.contains(&wrist));
        let all: Vec<Vec3> = skins
            .iter()
            .flat_map(|skin| &skin.points)
            .copied()
            .collect();
        let first = |node| {
            !is(&posed, node, DigitPart::PhalanxIntermediate)
                && !is(&posed, node, DigitPart::PhalanxDistal)
        };
        let about_it: Vec<_> = flesh.segments(&posed).filter(|of| first(of.0)).collect();
        let mut own = about_it.clone();
        own.retain(|(node, kind, _)| *kind == Kind::Palm && !of_thumb(&posed, *node));
        let base = |digit| {
            let part = Part::of(digit, DigitPart::Metacarpal);
            posed.point(posed.rig().part(&part).unwrap().id)
        };
        let aside = (base("pinky-finger") - base("index-finger")).normalize();
        let ways = about(&palmward(&posed, wrist), 60);
        for way in ways.into_iter().chain(about(&aside, 30)) {
            let below = measured(&about_it, &way).0 - drawn(&skins[0].points, &way);
            let (ours, at) = measured(&own, &way);
            apart.take(below, ours - drawn(&all, &way), || {
                let local = posed.world(wrist).rotation.inverse() * way;
                format!("{name} {local:?} {:?}", part(&posed, at.unwrap()))
            });
        }
    }
    apart.within("palm", PALM, 2_000);
}
