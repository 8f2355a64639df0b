#![allow(clippy::disallowed_methods, unused)]
mod common;
use common::{Act, apply};
use hand::{document, Arm, Ground, GroundForm, Hand, Planting, Recipe, Side, Stance};
use rig::*;
#[test]
fn table() {
    let mut doc = document(&Recipe{hand: Hand{side: Side::Left, ..Hand::table()}, planting: Some(Planting{stance: Stance::Flat, surface: Ground{form: GroundForm::Rail, tilt: 8.0, ..Ground::default()}, ..Planting::default()})}).unwrap();
    let d = doc.dials.iter().position(|d| d.name=="lift").unwrap();
    doc.setting.dials[d] = -1.8046;
    let a = Posed::new(&doc).unwrap();
    let before = doc.clone();
    let mut history = History::new(Posed::new(&doc).unwrap());
    hand::Edit::Replant.act(&mut history).unwrap();
    let after = history.document().clone();
    let b = Posed::new(&after).unwrap();
    for n in before.nodes.iter() { let m=(a.point(n.id)-b.point(n.id)).norm(); if m>1e-9 { println!("{} {m:e}", n.name); } }
    for x in &before.anchors { let y=after.anchors.iter().find(|y| y.id==x.id).unwrap(); println!("{} hold {} {} res {:e} {:e} limited {} {}\n  {:?}\n  {:?}", x.name, a.hold(x.id), b.hold(x.id), a.outcome(x.id).residual, b.outcome(x.id).residual, a.outcome(x.id).limited, b.outcome(x.id).limited, x.solver, y.solver); }
}
