//! Another document in place of one is a step like any other.
use rig::fault::Explain;
use rig::*;

const CHAIN: &str = include_str!("../../../examples/bench-press-chain.hand.json");
const HAND: &str = include_str!("../../../examples/bench-press.hand.json");

/// Equal to the bit: `Debug` prints the shortest digits that name a float, and the sign of a zero.
fn bits(document: &Document) -> String {
    format!("{document:?}")
}

fn turned(history: &History, value: f64) -> Edit {
    let values = vec![(history.document().dials[0].id, value)];
    Edit::SetDials { values }
}

#[test]
fn every_field_of_what_was_replaced_comes_back() {
    let (chain, hand) = (read(CHAIN).unwrap(), read(HAND).unwrap());
    assert!(chain.hand.is_none() && hand.hand.is_some() && chain.bench != hand.bench);
    let mut history = History::new(Posed::new(&chain).unwrap());
    let lift = turned(&history, 12.0);
    history.edit_live(&lift).unwrap();
    let worked = history.document().clone();

    history.replace(hand.clone(), "open bench-press").unwrap();
    assert_eq!(bits(history.document()), bits(&hand));
    assert_eq!(history.undo_label(), Some("open bench-press"));
    // The drag before it was ended, and another after it begins anew.
    let lift = turned(&history, 5.0);
    history.edit_live(&lift).unwrap();

    history.undo().unwrap();
    assert_eq!(bits(history.document()), bits(&hand));
    assert_eq!(history.undo().as_deref(), Some("open bench-press"));
    assert_eq!(bits(history.document()), bits(&worked));
    history.undo().unwrap();
    assert_eq!(bits(history.document()), bits(&chain));
    assert_eq!(history.undo(), None);
    history.redo().unwrap();
    history.redo().unwrap();
    assert_eq!(bits(history.document()), bits(&hand));
}

#[test]
fn an_equal_document_is_no_step() {
    let chain = read(CHAIN).unwrap();
    let mut history = History::new(Posed::new(&chain).unwrap());
    history.replace(chain, "start again").unwrap();
    assert_eq!(history.undo_label(), None);
}

/// Zeros of either sign are equal, but not the same bits.
#[test]
fn the_sign_of_a_zero_comes_back() {
    let mut first = read(CHAIN).unwrap();
    first.bench = Some(0.0);
    let mut history = History::new(Posed::new(&first).unwrap());
    let height = Some(-0.0);
    history.edit(&Edit::SetBench { height }).unwrap();
    assert_eq!(history.undo_label(), None);
    assert_eq!(bits(history.document()), bits(&first));

    let mut other = first.clone();
    other.name = "other".to_owned();
    other.bench = height;
    other.nodes[0].translation = [90.0, 0.0, -0.0];
    assert_eq!(first.nodes[0].translation, [90.0, 0.0, 0.0]);
    history.replace(other.clone(), "open").unwrap();
    assert_eq!(bits(history.document()), bits(&other));
    history.undo().unwrap();
    assert_eq!(bits(history.document()), bits(&first));
    history.redo().unwrap();
    assert_eq!(bits(history.document()), bits(&other));
}

#[test]
fn only_a_sound_document_is_put_in_place() {
    let chain = read(CHAIN).unwrap();
    let mut history = History::new(Posed::new(&chain).unwrap());
    let mut bad = chain.clone();
    bad.nodes[1].name = bad.nodes[0].name.clone();
    let refusal = history.replace(bad, "open").unwrap_err();
    assert!(refusal.why().contains("two nodes are named"), "{refusal}");
    assert_eq!(bits(history.document()), bits(&chain));
    assert_eq!(history.undo_label(), None);
}

/// A drag against a dial's limit changes nothing, and costs nothing.
#[test]
fn a_drag_that_changes_nothing_keeps_what_can_be_made_again() {
    let chain = read(CHAIN).unwrap();
    let least = chain.dials[0].min;
    let mut history = History::new(Posed::new(&chain).unwrap());
    let to_the_limit = turned(&history, least);
    history.edit(&to_the_limit).unwrap();
    let lift = turned(&history, 12.0);
    history.edit(&lift).unwrap();
    let lifted = history.document().clone();
    history.undo().unwrap();
    let past_it = turned(&history, least - 5.0);
    for _ in 0..2 {
        history.edit_live(&past_it).unwrap();
    }
    assert!(history.redo_label().is_some());
    history.redo().expect("it is still there");
    assert_eq!(bits(history.document()), bits(&lifted));
    // One that does change something is a new step, at whichever of its events.
    history.undo().unwrap();
    history.edit_live(&past_it).unwrap();
    history.edit_live(&lift).unwrap();
    assert_eq!(history.redo(), None);
}
