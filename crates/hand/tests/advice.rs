//! Advice on a press, against documents built anew with what is advised.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::advice::{
    Change, Direction, Residual, Search, advice, channel_orders, fitted, greatest_axis, margins,
    pivot_axis, sensitivities,
};
use hand::survey::{Ends, Tolerance, greatest, stay};
use hand::{Hand, Pivot, Planting, Recipe, Side, document as build};
use rig::{DialId, Document, Order, Posed, Solver, Vec3, validate};

mod held;

/// Slip alone is judged here, mm: depth is allowed without end.
const TOLERANCE: Tolerance = Tolerance {
    slip: 0.5,
    pad: 1e9,
    palm: 1e9,
};

/// With little slack, so that what the pivot does shows.
const FLEXION: f64 = 12.0;

fn recipe(side: Side, pivot: Pivot) -> Recipe {
    let hand = Hand {
        side,
        ..Hand::table()
    };
    let planting = Planting {
        pivot,
        flexion: FLEXION,
        ..Planting::default()
    };
    Recipe {
        hand,
        planting: Some(planting),
    }
}

fn made(recipe: &Recipe) -> (Document, Posed) {
    let document = build(recipe).unwrap();
    let posed = validate::document(&document).expect("a sound document");
    (document, posed)
}

/// How far a dial goes with all down and safe.
fn reached(posed: &Posed, dial: DialId, rising: bool) -> f64 {
    let safe = greatest(posed, dial, rising, &TOLERANCE).unwrap().value;
    let stays = stay(posed, dial, rising).unwrap().value;
    if rising {
        safe.min(stays)
    } else {
        safe.max(stays)
    }
}

fn lift(posed: &Posed) -> f64 {
    let document = posed.document();
    let dial = document.dial_named("lift").unwrap().id;
    let found = greatest(posed, dial, true, &TOLERANCE).unwrap();
    let limit = found.limit.map_or(f64::INFINITY, |(at, _)| at);
    reached(posed, dial, true).min(limit)
}

/// Whether at a lift a digit has let go, slips or is at a limit.
fn fails(posed: &Posed, lift: f64) -> bool {
    let document = posed.document();
    let mut posed = posed.clone();
    posed.set_dial(document.dial_named("lift").unwrap().id, lift);
    posed.evaluate();
    let slips = |plant: &rig::Plant| posed.slip(plant.node).unwrap() > TOLERANCE.slip;
    let mut digits = document.anchors.iter().filter(|a| a.solver.is_digit());
    document.plants.iter().any(slips)
        || digits.any(|a| posed.is_active(a.id) && posed.hold(a.id) < held::DOWN)
        || document.anchors.iter().any(|a| posed.outcome(a.id).limited)
}

/// The knuckles' distances are square to the line and sum to zero about it, and each is what the
/// cross product with the line gives.
#[test]
fn the_fitted_axis_is_told_with_its_residuals() {
    for side in [Side::Right, Side::Left] {
        let (document, mut posed) = made(&recipe(side, Pivot::default()));
        let found = fitted(&posed).unwrap();
        assert_eq!(found.residuals.len(), 4);
        let (through, along) = found.axis.in_world(&posed);
        for residual in &found.residuals {
            let off = posed.point(residual.node) - through;
            let square = off.cross(&along).norm();
            assert!((square - residual.ahead.hypot(residual.above)).abs() < 1e-9);
        }
        for sum in [
            found.residuals.iter().map(|r| r.ahead).sum::<f64>(),
            found.residuals.iter().map(|r| r.above).sum::<f64>(),
        ] {
            assert!(sum.abs() < 1e-9, "{sum}");
        }
        assert!(found.spread() > 0.5, "the row is bowed");
        // The pivot was put below it, turned alike.
        let pivot = pivot_axis(&document).unwrap();
        assert!((pivot.along - found.axis.along).norm() < 1e-12);
        assert!((pivot.through - found.axis.through + Vec3::y() * 4.0).norm() < 1e-9);
        // It is that of the planted hand, wherever the dials are now.
        for name in ["lift", "lean", "twist", "roll"] {
            posed.set_dial(document.dial_named(name).unwrap().id, 9.0);
        }
        posed.evaluate();
        let moved = fitted(&posed).unwrap();
        assert!((moved.axis.through - found.axis.through).norm() < 1e-9);
    }
    let chain = hand::read(include_str!(
        "../../../examples/bench-press-chain.hand.json"
    ))
    .unwrap();
    let posed = Posed::new(&chain).unwrap();
    assert!(
        fitted(&posed)
            .unwrap_err()
            .to_string()
            .contains("plant a hand")
    );
}

/// The place found is as good as it says when the hand is built anew there; nothing near is better; and
/// it beats the pivot on the fitted axis by far.
#[test]
fn the_axis_of_greatest_lift_is_what_it_says() {
    let mut sides = Vec::new();
    for side in [Side::Right, Side::Left] {
        let start = Pivot {
            drop: 0.0,
            ..Pivot::default()
        };
        let (_, posed) = made(&recipe(side, start));
        let on_axis = lift(&posed);
        let found = greatest_axis(&posed, &TOLERANCE).unwrap();
        println!("{side:?}: on the fitted axis {on_axis}, found {found:?}");
        let pivot = found.pivot;
        let (there, posed_there) = made(&recipe(side, pivot));
        assert!((lift(&posed_there) - found.lift).abs() < 1e-3);
        let line = pivot_axis(&there).unwrap();
        assert!((line.through - found.axis.through).norm() < 1e-6);
        assert!((line.along - found.axis.along).norm() < 1e-6);
        // The palm's turn about the row: the twist part of a turn by the lift about the axis.
        let row = fitted(&posed_there).unwrap();
        let tilt = |lift: f64, along: Vec3| {
            let (s, c) = (0.5 * lift.to_radians()).sin_cos();
            (2.0 * (s * along.dot(&row.axis.along)).atan2(c)).to_degrees()
        };
        assert!((tilt(found.lift, line.along) - found.tilt).abs() < 1e-9);
        let mut near = 0;
        for step in 0..200 {
            let by = |k: f64| (f64::from(step) * k).sin();
            let pivot = Pivot {
                offset: pivot.offset + by(1.1),
                drop: pivot.drop + by(1.7),
                yaw: pivot.yaw + by(2.3),
            };
            let (document, posed) = made(&recipe(side, pivot));
            let line = pivot_axis(&document).unwrap();
            let in_flesh = |r: &Residual| {
                let width = document.node(r.node).unwrap().width;
                (r.at - line.through).cross(&line.along).norm() <= 0.5 * width
            };
            if row.residuals.iter().all(in_flesh) {
                // The lift that would tilt further than what was found: it must fail there, or
                // on the way there.
                let half = (0.5 * (found.tilt + 0.05).to_radians()).tan();
                let further = 2.0 * (half / line.along.dot(&row.axis.along)).atan();
                let further = further.to_degrees();
                assert!(
                    fails(&posed, further) || lift(&posed) < further,
                    "{pivot:?}"
                );
                near += 1;
            }
        }
        assert!(near > 30, "{near}");
        assert!(found.lift > on_axis + 15.0);
        sides.push(found);
    }
    let [right, left] = &sides[..] else {
        panic!("two sides")
    };
    // Mirrored hands are searched alike.
    for (right, left) in [
        (right.pivot.offset, left.pivot.offset),
        (right.pivot.drop, left.pivot.drop),
        (right.pivot.yaw, left.pivot.yaw),
        (right.tilt, left.tilt),
    ] {
        assert_eq!(right.to_bits(), left.to_bits(), "{sides:?}");
    }
}

/// In pieces of any size it comes to the same place.
#[test]
fn the_search_in_pieces_is_the_same() {
    let (_, posed) = made(&recipe(Side::Right, Pivot::default()));
    let whole = greatest_axis(&posed, &TOLERANCE).unwrap();
    let mut search = Search::new(&posed, &TOLERANCE).unwrap();
    // It is the tilt that is sought.
    let mut tilt = search.best().tilt;
    while !search.step(3) {
        assert!(search.best().tilt >= tilt);
        tilt = search.best().tilt;
    }
    assert_eq!(search.best(), whole);
}

/// Against hands built anew with the pivot put elsewhere: each digit's margin of a hand that rolls,
/// the slip of one that holds points.
#[test]
fn sensitivities_are_those_of_hands_built_anew() {
    for (points, drop, at) in [(false, 4.0, 42.0), (true, 0.0, 15.0)] {
        let pivot = Pivot {
            drop,
            ..Pivot::default()
        };
        let built = |pivot: Pivot| {
            let (document, _) = made(&recipe(Side::Right, pivot));
            let document = if points {
                held::pointed(document)
            } else {
                document
            };
            let mut posed = held::posed(&document);
            posed.set_dial(document.dial_named("lift").unwrap().id, at);
            posed.evaluate();
            posed
        };
        let posed = built(pivot);
        let document = posed.document().clone();
        let found = sensitivities(&posed).unwrap();
        assert_eq!(found.len(), 24);
        let slip = |posed: &Posed| {
            let slips = posed.rig().plants.iter();
            slips
                .map(|plant| posed.slip(plant.node).unwrap())
                .fold(0.0, f64::max)
        };
        assert_eq!(slip(&posed) > 0.1, points);
        let left = |posed: &Posed| -> Vec<f64> {
            let fingers = posed.rig().anchors.iter();
            let fingers = fingers.filter(|a| matches!(a.solver, Solver::Finger { .. }));
            let fingers = fingers.filter(|a| posed.is_active(a.id));
            fingers.map(|a| posed.outcome(a.id).reach_margin).collect()
        };
        let told: Vec<_> = margins(&posed).iter().map(|margin| margin.mm).collect();
        assert_eq!(told, left(&posed));
        let knuckles = document.node_named("knuckles").unwrap().id;
        let h = 1e-4;
        for (direction, low, high) in [
            (
                Direction::Ahead,
                Pivot {
                    offset: pivot.offset - h,
                    ..pivot
                },
                Pivot {
                    offset: pivot.offset + h,
                    ..pivot
                },
            ),
            (
                Direction::Up,
                Pivot {
                    drop: pivot.drop + h,
                    ..pivot
                },
                Pivot {
                    drop: pivot.drop - h,
                    ..pivot
                },
            ),
            (
                Direction::Yaw,
                Pivot {
                    yaw: pivot.yaw - h,
                    ..pivot
                },
                Pivot {
                    yaw: pivot.yaw + h,
                    ..pivot
                },
            ),
        ] {
            let (low, high) = (built(low), built(high));
            let slope = (slip(&high) - slip(&low)) / (2.0 * h);
            let told = found
                .iter()
                .find(|s| s.pivot == knuckles && s.direction == direction)
                .unwrap();
            assert!((told.slip - slope).abs() < 1e-4, "{told:?} {slope}");
            let (low, high) = (left(&low), left(&high));
            assert_eq!(told.digits.len(), 4);
            for ((plant, digit), (low, high)) in told.digits.iter().zip(low.iter().zip(&high)) {
                let slope = (high - low) / (2.0 * h);
                assert!((digit - slope).abs() < 1e-4, "{plant:?} {digit} {slope}");
                assert!(digit.abs() > 1e-4, "none is without a say: {told:?}");
            }
            let least = |all: &[f64]| all.iter().copied().fold(f64::INFINITY, f64::min);
            let slope = (least(&high) - least(&low)) / (2.0 * h);
            assert!((told.reach - slope).abs() < 1e-4, "{told:?} {slope}");
        }
        // A pivot that is not turned costs nothing.
        let tips = document.node_named("tips").unwrap().id;
        for still in found.iter().filter(|s| s.pivot == tips) {
            let digits = still.digits.iter().map(|(_, mm)| *mm);
            let mut all = digits.chain([still.slip, still.reach]);
            assert!(all.all(|mm| mm.abs() < 1e-6), "{still:?}");
        }
    }
}

/// What a remedy says it gains, a hand built with it gains.
#[test]
fn remedies_gain_what_they_say() {
    let recipe = recipe(
        Side::Right,
        Pivot {
            drop: 1.0,
            ..Pivot::default()
        },
    );
    let (document, posed) = made(&recipe);
    let axis = greatest_axis(&posed, &TOLERANCE).unwrap();
    let mut kinds = [0; 5];
    for (name, rising) in [
        ("lift", true),
        ("lean", true),
        ("lean", false),
        ("twist", true),
    ] {
        let dial = document.dial_named(name).unwrap().id;
        let told = advice(&posed, dial, rising, &TOLERANCE, Some(axis)).unwrap();
        println!("{name}: {:.2}, first {:?}", told.value, told.first);
        assert_eq!(told.value, reached(&posed, dial, rising));
        assert_eq!(
            told.safe,
            greatest(&posed, dial, rising, &TOLERANCE).unwrap()
        );
        assert_eq!(Some(told.stay), stay(&posed, dial, rising));
        // What rolls lets go before anything slips.
        assert!(told.value == told.stay.value && told.safe.stopped_by.is_none());
        assert!(told.first.is_some() && told.first == told.stay.first);
        assert_eq!(told.margins, margins(&posed));
        for remedy in &told.remedies {
            println!("  {}", remedy.told);
            assert!(remedy.told.ends_with('.') && !remedy.told.contains("NaN"));
            let (other, mut other_posed) = match &remedy.recipe {
                Some(recipe) => made(recipe),
                None => (document.clone(), posed.clone()),
            };
            let kind = match remedy.change {
                Change::Stay(value) => {
                    assert_eq!((value, remedy.gain), (told.value, 0.0));
                    0
                }
                Change::Release(anchor) => {
                    other_posed.set_active(anchor, false);
                    other_posed.evaluate();
                    1
                }
                Change::Longer(_) => 2,
                Change::Flexion(_) => 3,
                Change::Pivot(_) => 4,
            };
            kinds[kind] += 1;
            let dial = other.dial_named(name).unwrap().id;
            let reached = reached(&other_posed, dial, rising);
            assert!((reached - remedy.value).abs() < 1e-6);
            assert!((remedy.value - told.value - remedy.gain).abs() < 1e-12);
        }
    }
    assert!(
        kinds.iter().all(|&count| count > 0),
        "each was worth something once: {kinds:?}"
    );
}

/// Where a slip ends a dial before anybody lets go, it is that which is told and mended.
/// Of a hand that no longer stands as its recipe plants it, nothing is advised that builds that anew.
#[test]
fn a_hand_planted_otherwise_is_not_built_anew() {
    let (document, posed) = made(&recipe(Side::Right, Pivot::default()));
    let lift = document.dial_named("lift").unwrap().id;
    let built = |posed: &Posed| {
        let told = advice(posed, lift, true, &TOLERANCE, None).unwrap();
        assert_eq!(told.value, reached(posed, lift, true));
        told.remedies
            .iter()
            .filter(|help| help.recipe.is_some())
            .count()
    };
    assert!(built(&posed) > 0);
    let mut other = posed.clone();
    other.set_active(document.anchor_named("index-finger").unwrap().id, false);
    other.evaluate();
    assert_eq!(built(&other), 0);
}

#[test]
fn a_slip_is_told_where_it_comes_first() {
    let document = held::pointed(made(&recipe(Side::Right, Pivot::default())).0);
    let posed = held::posed(&document);
    let dial = document.dial_named("lean").unwrap().id;
    let told = advice(&posed, dial, true, &TOLERANCE, None).unwrap();
    assert!(told.value == told.safe.value && told.value < told.stay.value);
    let slips = told.safe.stopped_by.unwrap();
    assert_eq!(Some(slips), told.first.map(Ends::Slips));
    assert!(told.stay.first.is_none());
    let mut other = posed.clone();
    let released = told.remedies.iter().find_map(|remedy| match remedy.change {
        Change::Release(anchor) => Some(anchor),
        _ => None,
    });
    let anchor = released.expect("letting go helps");
    other.set_active(anchor, false);
    other.evaluate();
    assert!(reached(&other, dial, true) > told.value);
}

#[test]
fn advice_on_nothing_is_refused() {
    let mut bare = recipe(Side::Right, Pivot::default());
    bare.planting = None;
    let (document, posed) = made(&bare);
    assert!(fitted(&posed).is_err());
    assert!(pivot_axis(&document).is_err());
    assert!(greatest_axis(&posed, &TOLERANCE).is_err());
    assert!(sensitivities(&posed).is_err());
    let (mut document, _) = made(&recipe(Side::Right, Pivot::default()));
    for (anchor, &active) in document.anchors.iter().zip(&document.setting.active) {
        assert!(!active || matches!(anchor.solver, Solver::Finger { .. }));
    }
    document.setting.active.fill(false);
    let posed = Posed::new(&document).unwrap();
    let told = greatest_axis(&posed, &TOLERANCE).err().unwrap();
    assert!(told.to_string().contains("nothing is planted"));
}

/// A wrist that deviates by ±a, then flexes by ±b, and never turns about its bone: its own order
/// locks by the middle turn alone, so its margin is 90° − b; an order with the deviation in its
/// middle reads that back unchanged or less, 90° − a.
#[test]
fn the_safest_order_of_a_joint() {
    let (mut document, _) = made(&recipe(Side::Right, Pivot::default()));
    let wrist = document.node_named("wrist").unwrap().id;
    let node = document.nodes.iter_mut().find(|node| node.id == wrist);
    let node = node.unwrap();
    assert_eq!(node.order, Order::Xzy);
    node.limits[0] = Some((-20.0, 20.0));
    node.limits[1] = Some((0.0, 0.0));
    node.limits[2] = Some((-60.0, 70.0));
    let told = channel_orders(&document, wrist).unwrap();
    let margin = |of| {
        told.margins
            .iter()
            .find(|(order, _)| *order == of)
            .unwrap()
            .1
    };
    assert!((margin(Order::Xzy) - 20.0).abs() < 1e-4, "{told:?}");
    // Rx(a)·Rz(b) as z-x-y: sin of the middle turn is the sine of a times the cosine of nothing
    // else, since m_zy = sin a·cos b.
    let middle = 90.0 - 20.0;
    assert!((margin(Order::Zxy) - middle).abs() < 1e-4, "{told:?}");
    let best = told.margins.iter().map(|(_, m)| *m).fold(0.0, f64::max);
    assert!((margin(told.best) - best).abs() < 1e-3 && told.best != Order::Xzy);
    let mount = document.node_named("knuckles").unwrap().id;
    assert!(
        channel_orders(&document, mount).is_ok(),
        "no limits: any turn"
    );
    let tip = document.node_named("index-finger-tip").unwrap().id;
    assert!(
        channel_orders(&document, tip)
            .unwrap_err()
            .to_string()
            .contains("does not turn")
    );
}

/// A lift that could go a thousand million degrees is looked at as often as one of 180.
#[test]
fn b5_a_lift_without_end_is_searched_in_a_bounded_number_of_looks() {
    let (mut document, _) = made(&recipe(Side::Right, Pivot::default()));
    let lift = document.dials.iter_mut().find(|dial| dial.name == "lift");
    let lift = lift.unwrap();
    // All the way it turns the palm by a degree, which nothing planted feels.
    lift.max = 1e9;
    for drive in &mut lift.drives {
        drive.gain *= 1e-9;
    }
    let posed = validate::document(&document).expect("a sound document");
    let search = Search::new(&posed, &TOLERANCE).unwrap();
    assert_eq!(search.best().lift, 1e9);
}
