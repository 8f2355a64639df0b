//! Another document in place of one is a step like any other.
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
    let mut history = History::new(chain.clone());
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
    let mut history = History::new(chain.clone());
    history.replace(chain, "start again").unwrap();
    assert_eq!(history.undo_label(), None);
}

/// Zeros of either sign are equal, but not the same bits.
#[test]
fn the_sign_of_a_zero_comes_back() {
    let mut first = read(CHAIN).unwrap();
    first.bench = Some(0.0);
    let mut history = History::new(first.clone());
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
    let mut history = History::new(chain.clone());
    let mut bad = chain.clone();
    bad.nodes[1].name = bad.nodes[0].name.clone();
    let refusal = history.replace(bad, "open").unwrap_err();
    assert!(refusal.why.contains("two nodes are named"), "{refusal}");
    assert_eq!(bits(history.document()), bits(&chain));
    assert_eq!(history.undo_label(), None);
}
