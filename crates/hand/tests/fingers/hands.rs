//! Hands of any number of fingers, and dials set.
use hand::{Hand, Recipe, Side, free};
use rig::{DialRole, Document, Posed};

pub fn whole(digits: usize, side: Side) -> Document {
    let table = Hand::table();
    let fingers = (0..digits - 1).map(|at| {
        let mut finger = table.digits[1 + at * 3 / (digits - 1).max(1)].clone();
        finger.name = format!("finger-{at}");
        // As far apart as the table's, so that a row of any number is one.
        let part = at as f64 / (digits - 2).max(1) as f64;
        finger.head[0] = 26.8 - part * 58.6;
        finger.base[1] = 15.0 - part * 32.0;
        finger
    });
    let digits = std::iter::once(table.digits[0].clone()).chain(fingers);
    let hand = Hand {
        digits: digits.collect(),
        side,
        ..table
    };
    let mut document = free(&hand).unwrap();
    document.hand = Some(Box::new(Recipe {
        hand,
        planting: None,
    }));
    document
}

pub fn hand_of(side: Side) -> Document {
    let hand = Hand {
        side,
        ..Hand::table()
    };
    let recipe = Recipe {
        hand,
        planting: None,
    };
    hand::document(&recipe).unwrap()
}

pub fn set(posed: &mut Posed, role: &DialRole, value: f64) {
    let dial = posed.rig().role(role).unwrap_or_else(|| panic!("{role:?}"));
    let id = dial.id;
    posed.set_dial(id, value);
}

/// A hand with every dial that turns a finger's joints anywhere.
pub fn anyhow(document: &Document, seeds: &[f64]) -> Posed {
    let mut posed = Posed::new(document).unwrap();
    let rig = posed.rig().clone();
    for (dial, seed) in rig.dials.iter().zip(seeds.iter().cycle()) {
        posed.set_dial(dial.id, dial.min + seed * (dial.max - dial.min));
    }
    posed.evaluate();
    posed
}
