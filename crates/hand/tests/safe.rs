//! What 'safe' means: slip, depth and limits, by themselves and together.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::flesh::{Flesh, Kind};
use hand::survey::{Cell, Ends, Limit, LimitKind, Sunk, Survey, Sweep, Tolerance};
use hand::survey::{greatest, measure, span};
use hand::{
    Gauge, Ground, GroundForm, Planting, Recipe, SCENARIOS, Stance, document, press_dials, scenario,
};
use rig::{AnchorId, Channel, NodeId, Posed};

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
    let posed = bench();
    let [lift, roll, lean, _] = press_dials(posed.rig())[..] else {
        panic!("four press dials")
    };
    for (across, from, to) in [(lift, -20.0, 60.0), (roll, -30.0, 70.0)] {
        let across = Sweep {
            dial: across,
            from,
            to,
            count: 9,
        };
        let up = Sweep {
            dial: lean,
            from: -12.0,
            to: 12.0,
            count: 5,
        };
        let survey = Survey::run(&posed, across, up).unwrap();
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
            for (k, plant) in posed.rig().plants.iter().enumerate() {
                let mut anchors = posed.rig().anchors.iter();
                let anchor = anchors.find(|anchor| anchor.end == plant.node).unwrap();
                assert_eq!(cell.down.has(k), posed.hold(anchor.id) >= 1.0);
            }
            let good = cell.slip <= tolerance.slip
                && cell.pad.by <= tolerance.pad
                && cell.palm.by <= tolerance.palm
                && cell.limit.is_none_or(|limit| match limit.kind {
                    LimitKind::Reach => limit.by <= tolerance.slip,
                    LimitKind::Joint { .. } => limit.by == 0.0,
                });
            assert_eq!(survey.safe(at, &tolerance), good, "{x} {y} {cell:?}");
            assert_eq!(cell.ends(&tolerance).is_none(), good);
        }
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

/// The palm in the bench ends the lift downwards, whatever the pads do (H1).
#[test]
fn h1_a_palm_in_the_bench_is_not_safe() {
    let mut posed = bench();
    let lift = press_dials(posed.rig())[0];
    posed.set_dial(lift, -15.0);
    posed.evaluate();
    let cell = measure(&posed);
    let tolerance = Tolerance {
        slip: 100.0,
        pad: 100.0,
        ..Tolerance::default()
    };
    let clear = Flesh::of(posed.rig()).clearances(&posed).palm.unwrap().mm;
    println!("palm clearance at lift -15: {clear:.2} mm");
    assert_eq!(cell.is_safe(&tolerance), clear >= -tolerance.palm);
    let found = greatest(&posed, lift, false, &tolerance).unwrap();
    if clear < -tolerance.palm {
        assert!(found.value > -15.0 && found.value <= 0.0);
        let ends = Some(Kind::Palm);
        let told = found.stopped_by.and_then(|ends| match ends {
            Ends::Sinks(_, kind) => Some(kind),
            _ => None,
        });
        assert_eq!(told, ends, "{found:?}");
    }
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
    let mut posed = bench();
    let dials = press_dials(posed.rig());
    let mut differ = 0;
    for &dial in &dials {
        let found = span(&posed, dial, &tolerance).unwrap();
        let mut moved = posed.clone();
        moved.set_dial(dial, 3.0);
        moved.evaluate();
        assert_eq!(span(&moved, dial, &tolerance), Some(found));
        for end in [found.down, found.up] {
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
        differ += usize::from(span(&posed, dial, &tolerance) != Some(found));
        posed.set_dial(dials[2], 0.0);
        posed.evaluate();
    }
    assert!(differ > 1);
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
