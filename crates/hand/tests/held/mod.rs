//! Hands in which slip, depth and limits still occur: fingers that roll let go before they slip, so
//! they are held by a point here, made stiff, or carried by a pivot that was pushed.
#![allow(dead_code)]
use hand::{Hand, Pivot, Planting, Recipe, document as build};
use rig::{Document, Posed, Solver, validate};

/// From this hold on a digit counts as down (CONTACT: a hold of 1; what is left of 1 % is not seen).
pub const DOWN: f64 = rig::DOWN;

/// A flat hand on a bench: so much flexion (degrees), its knuckle pivot so far below (mm).
pub fn flat(flexion: f64, drop: f64, suppleness: f64) -> Document {
    let hand = Hand {
        suppleness,
        ..Hand::table()
    };
    let pivot = Pivot {
        drop,
        ..Pivot::default()
    };
    let planting = Some(Planting {
        flexion,
        pivot,
        ..Planting::default()
    });
    build(&Recipe { hand, planting }).unwrap()
}

/// Its fingers held by a point each, which they keep as long as they reach it and then slip.
pub fn pointed(mut document: Document) -> Document {
    for anchor in &mut document.rig.anchors {
        let mut own = (**anchor).clone();
        if let Solver::Finger { contact, .. } = &mut own.solver {
            *contact = None;
            *anchor = own.into();
        }
    }
    document
}

/// Its heel pivot put so many mm ahead, everything where it was: tipped back it turns on it, and the
/// heel goes into the bench (CONTACT: a roller's axis must be its flesh's centre).
pub fn heel_ahead(mut document: Document, by: f64) -> Document {
    let heel = document.node_named("heel").unwrap().clone();
    assert_eq!(heel.rotation, [0.0, 0.0, 0.0, 1.0]);
    for node in &mut document.rig.nodes {
        let shift = if node.id == heel.id {
            by
        } else if node.parent == Some(heel.id) {
            -by
        } else {
            continue;
        };
        node.translation[0] += shift;
    }
    document
}

pub fn posed(document: &Document) -> Posed {
    validate::document(document).expect("a sound document")
}
