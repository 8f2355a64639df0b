//! What is wrong with a hand is data: nobody need read a sentence to know it.
use hand::advice::{self, NoAdvice};
use hand::survey::{NoSurvey, Survey, Sweep};
use hand::{Impossible, Recipe, document};
use rig::fault::Kind;
use rig::{DialId, History, Posed};

#[test]
fn what_no_hand_can_be_is_told_by_kind() {
    let mut recipe = Recipe::default();
    recipe.hand.digits[1].soft_tip = -1.0;
    let fault = document(&recipe).unwrap_err();
    let Kind::Impossible(Impossible::SoftTip { digit, mm, .. }) = fault.kind else {
        panic!("{fault:?}");
    };
    assert_eq!((digit, mm), (recipe.hand.digits[1].name.clone(), -1.0));
    let loose = document(&Recipe::default()).unwrap();
    let posed = Posed::new(&loose).unwrap();
    let missing = advice::fitted(&posed).unwrap_err();
    assert_eq!(missing.kind, NoAdvice::NoPress);
    let mut history = History::new(posed);
    let (node, name) = (loose.nodes[0].id, loose.nodes[0].name.clone());
    let release = hand::Edit::Release { node };
    let refusal = history.change(|posed, to| release.make(posed, to));
    let never = hand::Refusal::NotPlanted { node: name };
    assert_eq!(refusal, Err(never));
    let posed = history.posed();
    let sweep = Sweep {
        dial: DialId(4_000_000),
        from: 0.0,
        to: 1.0,
        count: 2,
    };
    let none = Survey::run(posed, sweep, sweep).unwrap_err();
    assert_eq!(none.kind, NoSurvey::NoDial);
}
