//! What 'safe' means: slip, depth and limits, by themselves and together.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::flesh::{Flesh, Kind};
use hand::survey::{Cell, Ends, Limit, LimitKind, Sunk, Survey, Sweep, Tolerance};
use hand::survey::{greatest, measure, span, stay};
use hand::{
    Gauge, Ground, GroundForm, Planting, Recipe, SCENARIOS, Stance, bones, document, press_dials,
    scenario,
};
use recipe::{DigitPart, Part};
use rig::{AnchorId, Channel, NodeId, Posed};

mod held;

fn bench() -> Posed {
    let recipe = Recipe {
        planting: Some(Planting::default()),
        ..Recipe::default()
    };
    Posed::new(&document(&recipe).unwrap()).unwrap()
}

/// Each of the three is measured as the flesh and the anchors say.
#[test]
fn a_cell_is_what_is_measured_apart() {
    let bent = bones::PLANTED_FLEXION;
    let mut ended = [0; 4];
    for document in [
        bench().document().clone(),
        held::pointed(held::flat(12.0, 0.0, 0.5)),
        held::flat(12.0, 4.0, 0.0),
        held::heel_ahead(held::flat(bent, 4.0, 0.5), 15.0),
    ] {
        let posed = held::posed(&document);
        let [lift, roll, lean, _] = press_dials(posed.rig())[..] else {
            panic!("four press dials")
        };
        for (across, from, to) in [(lift, -20.0, 75.0), (roll, -30.0, 80.0)] {
            let across = Sweep {
                dial: across,
                from,
                to,
                count: 20,
            };
            let up = Sweep {
                dial: lean,
                from: -12.0,
                to: 12.0,
                count: 5,
            };
            same_apart(&posed, across, up, &mut ended);
        }
    }
    assert!(ended.iter().all(|&count| count > 0), "{ended:?}");
}

/// Counts in `ended` the poses that slip, that sink in, that are at a limit, and in which a digit
/// has let go.
fn same_apart(posed: &Posed, across: Sweep, up: Sweep, ended: &mut [usize; 4]) {
    let survey = Survey::run(posed, across, up).unwrap();
    let flesh = Flesh::of(posed.rig());
    let tolerance = Tolerance::default();
    for (at, cell) in survey.cells.iter().enumerate() {
        let mut posed = posed.clone();
        let (x, y) = survey.values(at);
        posed.set_dial(across.dial, x);
        posed.set_dial(up.dial, y);
        posed.evaluate();
        assert_eq!(measure(&posed), *cell);
        let clear = flesh.clearances(&posed);
        for (kind, clear) in [(Kind::Pad, clear.pad), (Kind::Palm, clear.palm)] {
            let clear = clear.unwrap();
            let sunk = cell.sunk(kind);
            assert_eq!(sunk.by, if clear.mm < -1e-9 { -clear.mm } else { 0.0 });
            assert_eq!(sunk.node.is_some(), sunk.by > 0.0);
        }
        let mut worst = 0.0f64;
        for (k, plant) in posed.rig().plants.iter().enumerate() {
            let mut anchors = posed.rig().anchors.iter();
            let anchor = anchors.find(|anchor| anchor.end == plant.node).unwrap();
            let down = posed.hold(anchor.id) >= held::DOWN;
            assert_eq!(cell.down.has(k), down);
            if down {
                worst = worst.max(posed.outcome(anchor.id).residual);
            } else {
                ended[3] += 1;
            }
        }
        assert!((cell.slip - worst).abs() < 1e-9, "{} {worst}", cell.slip);
        let good = cell.slip <= tolerance.slip
            && cell.pad.by <= tolerance.pad
            && cell.palm.by <= tolerance.palm
            && cell.limit.is_none_or(|limit| match limit.kind {
                LimitKind::Reach => limit.by <= tolerance.slip,
                LimitKind::Joint { .. } => limit.by == 0.0,
            });
        assert_eq!(survey.safe(at, &tolerance), good, "{x} {y} {cell:?}");
        let ends = cell.ends(&tolerance);
        assert_eq!(ends.is_none(), good);
        ended[0] += usize::from(matches!(ends, Some(Ends::Slips(_))));
        ended[1] += usize::from(matches!(ends, Some(Ends::Sinks(..))));
        ended[2] += usize::from(cell.limit.is_some());
    }
}

#[test]
fn what_is_worst_is_told() {
    let tolerance = Tolerance::default();
    let limit = |kind, by| Limit {
        anchor: AnchorId(7),
        kind,
        by,
    };
    let joint = LimitKind::Joint {
        node: NodeId(9),
        channel: Channel::TurnZ,
        upper: false,
    };
    let safe = Cell {
        slip: 0.4,
        slipping: Some(NodeId(1)),
        pad: Sunk {
            by: 1.4,
            node: Some(NodeId(2)),
        },
        palm: Sunk {
            by: 2.9,
            node: Some(NodeId(3)),
        },
        // At a limit is not past it.
        limit: Some(limit(joint, 0.0)),
        ..Cell::default()
    };
    assert!(safe.is_safe(&tolerance) && safe.ends(&tolerance).is_none());
    assert!((safe.strain(&tolerance) - 2.9 / 3.0).abs() < 1e-15);
    let ends = |change: fn(&mut Cell)| {
        let mut cell = safe;
        change(&mut cell);
        assert!(!cell.is_safe(&Tolerance::default()));
        cell.ends(&Tolerance::default())
    };
    assert_eq!(ends(|c| c.slip = 0.6), Some(Ends::Slips(NodeId(1))));
    let pad = Ends::Sinks(NodeId(2), Kind::Pad);
    assert_eq!(ends(|c| c.pad.by = 1.6), Some(pad));
    let palm = Ends::Sinks(NodeId(3), Kind::Palm);
    assert_eq!(ends(|c| c.palm.by = 3.1), Some(palm));
    // Of two the one that is over by the greater part.
    let both = ends(|c| (c.palm.by, c.slip) = (3.1, 0.6));
    assert_eq!(both, Some(Ends::Slips(NodeId(1))));
    let past = Cell {
        limit: Some(limit(joint, 0.5)),
        ..safe
    };
    assert!(matches!(past.ends(&tolerance), Some(Ends::Limit(_))));
    let torn = Cell {
        limit: Some(limit(LimitKind::Reach, 30.0)),
        ..safe
    };
    assert!(matches!(torn.ends(&tolerance), Some(Ends::Limit(_))));
    // Nothing allowed is nothing allowed.
    let none = Tolerance {
        slip: 0.0,
        ..tolerance
    };
    assert!(!safe.is_safe(&none) && Cell::default().is_safe(&none));
}

/// The palm in the bench ends the lift downwards, whatever the pads do, also where every digit has
/// let go (H1).
#[test]
fn h1_a_palm_in_the_bench_is_not_safe() {
    let document = held::heel_ahead(held::flat(bones::PLANTED_FLEXION, 4.0, 0.5), 35.0);
    let mut posed = held::posed(&document);
    let lift = press_dials(posed.rig())[0];
    let tolerance = Tolerance {
        slip: 100.0,
        pad: 100.0,
        palm: 4.0,
    };
    assert!(measure(&posed).is_safe(&tolerance));
    posed.set_dial(lift, -15.0);
    posed.evaluate();
    let cell = measure(&posed);
    let clear = Flesh::of(posed.rig()).clearances(&posed).palm.unwrap().mm;
    println!("palm clearance at lift -15: {clear:.2} mm");
    assert!(cell.down.count() == 0 && clear < -tolerance.palm);
    assert!(!cell.is_safe(&tolerance));
    let found = greatest(&posed, lift, false, &tolerance).unwrap();
    assert!(found.value > -15.0 && found.value <= 0.0);
    let told = found.stopped_by;
    assert!(
        matches!(told, Some(Ends::Sinks(_, Kind::Palm))),
        "{found:?}"
    );
}

/// A span does not depend on where its own dial stands, holds safe poses only and ends at the
/// tolerance, and the other dials have their say.
#[test]
fn a_span_ends_where_it_is_no_longer_safe() {
    let tolerance = Tolerance {
        slip: 0.5,
        pad: 3.5,
        palm: 6.0,
    };
    let rolling = bench();
    let held = held::posed(&held::pointed(rolling.document().clone()));
    let mut ended = [0, 0];
    for (at, mut posed) in [rolling, held].into_iter().enumerate() {
        let dials = press_dials(posed.rig());
        let mut differ = 0;
        for &dial in &dials {
            let found = span(&posed, dial, &tolerance).unwrap();
            let stays = [false, true].map(|rising| stay(&posed, dial, rising).unwrap());
            let mut moved = posed.clone();
            for elsewhere in [3.0, -25.0] {
                moved.set_dial(dial, elsewhere);
                moved.evaluate();
                assert_eq!(span(&moved, dial, &tolerance), Some(found));
                let again = [false, true].map(|rising| stay(&moved, dial, rising).unwrap());
                assert_eq!(again, stays);
            }
            for end in [found.down, found.up] {
                ended[at] += usize::from(end.stopped_by.is_some());
                for part in [0.0, 0.3, 0.7, 1.0] {
                    posed.set_dial(dial, end.value * part);
                    posed.evaluate();
                    let strain = measure(&posed).strain(&tolerance);
                    assert!(strain <= 1.0 + 1e-9, "{dial:?} {part} {strain}");
                    if part == 1.0 && end.stopped_by.is_some() {
                        assert!(strain > 1.0 - 1e-5, "{dial:?} {end:?} {strain}");
                    }
                }
            }
            posed.set_dial(dial, 0.0);
            posed.set_dial(dials[2], if dial == dials[2] { 0.0 } else { 2.0 });
            posed.evaluate();
            let other = [false, true].map(|rising| stay(&posed, dial, rising).unwrap());
            let same = span(&posed, dial, &tolerance) == Some(found) && other == stays;
            differ += usize::from(!same);
            posed.set_dial(dials[2], 0.0);
            posed.evaluate();
        }
        assert!(differ > 1, "{differ}");
    }
    // What rolls lets go before it slips: nothing ends there. What is held by a point does.
    println!("ends that are not the dials' own: {ended:?}");
    assert!(ended[1] >= 6 && ended[1] > ended[0], "{ended:?}");
}

/// A span that ends before its dial does says why: an arm's reach too, which is missed by no more
/// than what is halved away.
#[test]
fn a_span_that_ends_early_says_why() {
    let mut limits = 0;
    for name in SCENARIOS {
        let document = document(&scenario(name).unwrap()).unwrap();
        let posed = Posed::new(&document).unwrap();
        for id in press_dials(posed.rig()) {
            let dial = posed.rig().dial(id).unwrap();
            let Some(found) = span(&posed, id, &Tolerance::default()) else {
                continue;
            };
            for (end, last) in [(found.down, dial.min), (found.up, dial.max)] {
                let told = format!("{name}, {}: {end:?}", dial.name);
                assert_eq!(end.value == last, end.stopped_by.is_none(), "{told}");
                limits += usize::from(matches!(end.stopped_by, Some(Ends::Limit(_))));
            }
        }
    }
    assert!(limits > 0, "an arm is out of reach somewhere");
}

/// All stay down up to where the first lets go, and it is that one that has.
#[test]
fn all_stay_down_to_where_the_first_lets_go() {
    let mut posed = held::posed(&held::flat(12.0, 4.0, 0.5));
    let holds = |posed: &Posed| {
        let plants = posed.rig().plants.iter();
        let hold = |plant: &rig::Plant| {
            let mut anchors = posed.rig().anchors.iter();
            let anchor = anchors.find(|anchor| anchor.end == plant.node).unwrap();
            (plant.node, posed.hold(anchor.id))
        };
        plants.map(hold).collect::<Vec<_>>()
    };
    let mut firsts = 0;
    for dial in press_dials(&posed.rig().clone()) {
        for rising in [false, true] {
            let found = stay(&posed, dial, rising).unwrap();
            assert_eq!(found.count, 4);
            for part in [0.0, 0.3, 0.6, 0.9, 1.0] {
                posed.set_dial(dial, found.value * part);
                posed.evaluate();
                let holds = holds(&posed);
                assert!(
                    holds.iter().all(|(_, hold)| *hold >= held::DOWN),
                    "{holds:?}"
                );
            }
            if let Some(first) = found.first {
                firsts += 1;
                let past = if rising { 1e-6 } else { -1e-6 };
                posed.set_dial(dial, found.value + past);
                posed.evaluate();
                let gone: Vec<_> = holds(&posed)
                    .into_iter()
                    .filter(|(_, hold)| *hold < held::DOWN)
                    .map(|(node, _)| node)
                    .collect();
                assert_eq!(gone, [first]);
            }
            posed.set_dial(dial, 0.0);
            posed.evaluate();
        }
    }
    // CONTACT, who lets go: either way of each dial somebody does.
    assert_eq!(firsts, 8);
    let mut let_go = posed.clone();
    for anchor in &posed.rig().anchors {
        let_go.set_active(anchor.id, false);
    }
    let_go.evaluate();
    let lift = press_dials(posed.rig())[0];
    assert_eq!(stay(&let_go, lift, true), None);
}

/// H4: as it is built, nothing of a shipped hand or of a stance on any form is amiss: it does not
/// slip, its digits' flesh is at most 0.2 mm in what it stands on and its palm's 1 mm (flat on a
/// plane, where its weight is on it, as much as is safe), and no joint is past a limit.
#[test]
fn h4_at_neutral_every_hand_reads_good() {
    let (mut bad, mut seen) = (Vec::new(), 0);
    let tolerance = Tolerance::default();
    let mut look = |name: String, recipe: &Recipe| {
        // Some stances stand on some surfaces only: `stances/refusals.rs`.
        let Ok(document) = document(recipe) else {
            return;
        };
        seen += 1;
        let posed = Posed::new(&document).unwrap();
        let cell = measure(&posed);
        let palm = Gauge::PalmClearance {}.read(&posed).unwrap().value;
        let planting = recipe.planting.as_ref().unwrap();
        let pressed = planting.stance == Stance::Flat && planting.surface.form == GroundForm::Plane;
        let deep = if pressed { tolerance.palm } else { 1.0 };
        let limited = posed
            .rig()
            .anchors
            .iter()
            .any(|anchor| posed.outcome(anchor.id).limited);
        let good = cell.is_safe(&tolerance)
            && cell.slip < 1e-9
            && cell.pad.by <= 0.2
            && palm >= -deep
            && cell.limit.is_none_or(|limit| limit.by < 1e-9)
            && !limited;
        if !good {
            bad.push(format!(
                "{name}: palm {palm:.2}, limited {limited}, {cell:?}"
            ));
        }
    };
    for name in SCENARIOS {
        look(name.to_owned(), &scenario(name).unwrap());
    }
    for stance in [Stance::Flat, Stance::Fingertips, Stance::Fist, Stance::Edge] {
        for form in [GroundForm::Plane, GroundForm::Edge, GroundForm::Rail] {
            for (heel, thumb) in [(false, false), (false, true), (true, false), (true, true)] {
                let mut planting = Planting {
                    stance,
                    heel,
                    surface: Ground {
                        form,
                        ..Ground::default()
                    },
                    ..Planting::default()
                };
                if thumb {
                    planting.digits.insert(0, "thumb".to_owned());
                }
                let recipe = Recipe {
                    planting: Some(planting),
                    ..Recipe::default()
                };
                look(
                    format!("{stance:?} on {form:?}, heel {heel}, thumb {thumb}"),
                    &recipe,
                );
            }
        }
    }
    assert_eq!(seen, 27);
    assert!(bad.is_empty(), "{bad:#?}");
}

/// A finger that is held at its limit misses its place; a wrist past its own misses none. It is the
/// wrist that is told all the same, for it is what makes the pose unsafe.
#[test]
fn a_finger_at_its_limit_hides_no_wrist_past_its_own() {
    let mut stiff = document(&scenario("dough-roll").unwrap()).unwrap();
    let knuckle = Part::of("index-finger", DigitPart::PhalanxProximal);
    let mut nodes = stiff.nodes.iter_mut();
    let knuckle = nodes.find(|node| node.part.as_ref() == Some(&knuckle));
    knuckle.unwrap().loaded[Channel::TurnZ.index()] = Some((-20.0, 90.0));
    let mut posed = Posed::new(&stiff).unwrap();
    let [lift, _, lean, _] = press_dials(posed.rig())[..] else {
        unreachable!("a press has four dials");
    };
    let anchors: Vec<_> = posed.rig().anchors.iter().map(|anchor| anchor.id).collect();
    let mut both = 0;
    for tilt in [-25.0, 25.0] {
        for step in 0..=75 {
            posed.set_dial(lean, tilt);
            posed.set_dial(lift, f64::from(step));
            posed.evaluate();
            let limited = |anchor: &AnchorId| {
                let outcome = posed.outcome(*anchor);
                outcome.limited && posed.hold(*anchor) >= rig::DOWN
            };
            let held = |anchor: &AnchorId| posed.rig().anchor(*anchor).unwrap().solver.is_digit();
            let mut at = anchors.iter().filter(|anchor| limited(anchor));
            let (digits, others): (Vec<_>, Vec<_>) = at.by_ref().partition(|anchor| held(anchor));
            if digits.is_empty() || others.is_empty() {
                continue;
            }
            both += 1;
            let limit = measure(&posed).limit.unwrap();
            assert!(
                limit.by > 0.0 && others.contains(&&limit.anchor),
                "{limit:?}"
            );
        }
    }
    assert!(both > 0);
}
