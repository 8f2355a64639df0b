//! Random solvers: contacts, balls to be set down on, and every other number of an anchor.
use crate::cases::Random;
use rig::{Contact, Document, Round, Solver};

/// A contact of any size, planted anyhow; or one of a hand's own sizes.
fn contact(random: &mut Random) -> Contact {
    let radius = random.not_negative(20.0);
    let more = random.not_negative(6.0);
    Contact {
        radius,
        pad: radius * (1.0 + more),
        changeover: random.number(60.0),
        joints: [(); 2].map(|()| random.not_negative(20.0)),
        pitch: random.number(120.0),
        tilt: random.number(90.0),
        heading: random.number(180.0),
        round: random.chance(4).then(|| Round {
            radius: random.not_negative(100.0),
            ahead: 0.0,
            aside: random.number(40.0),
            from: -random.not_negative(180.0),
            to: random.not_negative(180.0),
        }),
    }
}

/// One number of a contact, if there is one; else or now and then all of it or none.
fn touch(contact: &mut Option<Contact>, random: &mut Random) {
    let whole = self::contact(random);
    let Some(own) = contact.as_mut().filter(|_| !random.chance(2)) else {
        *contact = random.chance(8).then_some(whole);
        return;
    };
    match random.below(8) {
        0 => (own.radius, own.pad) = (whole.radius, whole.pad),
        1 => own.pad = own.radius * (1.0 + random.not_negative(10.0)),
        2 => own.changeover = whole.changeover,
        3 => own.joints = whole.joints,
        4 => own.pitch = whole.pitch,
        5 => own.tilt = whole.tilt,
        6 => own.round = whole.round,
        _ => own.heading = whole.heading,
    }
}

/// Balls to be set down on.
fn low(random: &mut Random) -> [[f64; 4]; 8] {
    let mut low = [[0.0; 4]; 8];
    for ball in &mut low[..random.below(9)] {
        let [x, y, z] = [(); 3].map(|()| random.number(60.0));
        *ball = [x, y, z, random.not_negative(20.0)];
    }
    low
}

/// Changes a number of an anchor's solver, or makes it another one.
pub fn change(document: &mut Document, which: usize, random: &mut Random) {
    let (at, other) = (random.below(document.nodes.len()), random.below(8));
    let pole = document.nodes[at].id;
    let anchor = &mut document.anchors[which];
    match &mut anchor.solver {
        Solver::Finger {
            coupling,
            rest,
            collapse,
            give,
            contact,
        } if other > 0 => match random.below(8) {
            0 => *coupling = random.number(2.0),
            1 => *rest = random.number(90.0),
            2 => *collapse = random.number(2.0),
            3 => *give = random.not_negative(30.0),
            _ => touch(contact, random),
        },
        Solver::Thumb { rest, contact } if other > 0 => match random.below(3) {
            0 => rest[random.below(2)] = random.number(90.0),
            _ => touch(contact, random),
        },
        Solver::SetDown { low: own } if other > 0 => *own = low(random),
        Solver::Twist { share } if other > 0 => *share = random.number(1.0),
        Solver::TwoBone {
            pole: own,
            softness,
            bend,
        } if other > 0 => match random.below(3) {
            0 => *own = random.chance(7).then_some(pole),
            1 => *softness = random.not_negative(20.0),
            _ => *bend = [(); 3].map(|()| random.number(1.0)),
        },
        solver => {
            let low = low(random);
            let contact = random.chance(5).then(|| contact(random));
            *solver = random.of(&[
                Solver::SetDown { low },
                Solver::DampedLeastSquares,
                Solver::Fabrik,
                Solver::Aim,
                Solver::Thumb {
                    rest: [0.0; 2],
                    contact,
                },
                Solver::Finger {
                    coupling: 0.7,
                    rest: 10.0,
                    collapse: 0.0,
                    give: 0.0,
                    contact,
                },
                Solver::TwoBone {
                    pole: None,
                    softness: 0.0,
                    bend: [0.0, 0.0, 1.0],
                },
            ]);
        }
    }
}
