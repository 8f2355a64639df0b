use super::*;
use rig::Edit;

const PRESS: &str = include_str!("../../../../examples/bench-press.hand.json");

fn posed() -> Posed {
    Posed::new(&hand::read(PRESS).expect("a good example")).expect("checked")
}

fn named(name: &str) -> Gesture {
    let first = starters().nth(8).expect("twenty");
    Gesture {
        name: name.into(),
        ..first
    }
}

#[test]
fn what_is_kept_comes_back_to_the_bit() {
    let mut own = Vec::new();
    for (at, mut gesture) in starters().enumerate() {
        gesture.name = format!("own {at}");
        gesture.fingers[0].knuckle += 0.1 + 1.0 / 3.0;
        add(&mut own, gesture).unwrap();
    }
    let mut none = named("no thumb");
    none.thumb = None;
    add(&mut own, none).unwrap();
    assert_eq!(read(&write(&own)), Some(own));
    assert_eq!(read(&write(&[])), Some(vec![]));
}

#[test]
fn what_cannot_be_understood_is_not_taken_for_nothing() {
    let good = write(&[named("dough cup")]);
    assert!(read(&good).is_some());
    let mut twice = vec![named("dough cup")];
    twice.push(named("Dough  cup"));
    let mut wild = named("wild");
    wild.fingers[1].last = 1e9;
    for bad in [
        String::new(),
        "null".into(),
        "[]".into(),
        good.replace("gestures/1", "gestures/2"),
        good.replace("dough cup", "fist"),
        good.replace("dough cup", " dough cup"),
        good.replace("\"knuckle\"", "\"elbow\""),
        good[..good.len() - 1].to_owned(),
        write(&twice),
        write(&[wild]),
        write(&[named(&"x".repeat(LONGEST + 1))]),
    ] {
        assert_eq!(read(&bad), None, "{bad}");
    }
}

#[test]
fn a_name_is_new_short_and_seen() {
    let own = [named("dough cup")];
    assert_eq!(name("  dough   hook ", &own), Ok("dough hook".into()));
    assert_eq!(name(&"ü".repeat(LONGEST), &own), Ok("ü".repeat(LONGEST)));
    for (typed, part) in [
        ("", "needs a name"),
        (" \t ", "needs a name"),
        (&"x".repeat(LONGEST + 1) as &str, "41 characters"),
        ("a\u{7}b", "can be seen"),
        ("Fist", "one of the twenty"),
        ("DOUGH CUP", "You have a gesture called"),
    ] {
        let told = name(typed, &own).unwrap_err();
        assert!(told.contains(part) && told.ends_with('.'), "{told}");
    }
}

#[test]
fn own_gestures_are_renamed_removed_and_put_back_where_they_were() {
    let mut own: Vec<_> = ["a", "b", "c"].map(named).into();
    assert_eq!(rename(&mut own, "b", " B ").unwrap().name, "B");
    assert!(rename(&mut own, "B", "a").is_err());
    assert!(rename(&mut own, "gone", "d").is_err());
    let before = own.clone();
    let (at, taken) = remove(&mut own, "B").unwrap();
    assert_eq!(own.len(), 2);
    assert!(remove(&mut own, "B").is_err());
    put_back(&mut own, at, taken.clone()).unwrap();
    assert_eq!(own, before);
    assert!(put_back(&mut own, at, taken).is_err());
    while own.len() < MOST {
        let more = named(&format!("g {}", own.len()));
        add(&mut own, more).unwrap();
    }
    assert!(add(&mut own, named("one more")).is_err());
}

#[test]
fn small_figures_are_the_recipes_hand_free_and_of_its_side() {
    let posed = posed();
    let recipe = posed.rig().hand.as_deref().expect("a hand");
    let right = free(recipe).expect("built");
    assert!(right.document().plants.is_empty());
    let mut other = recipe.clone();
    other.hand.side = recipe::Side::Left;
    let left = free(&other).expect("built");
    let mut seen = Vec::new();
    for gesture in starters() {
        let (one, two) = (small(&right, &gesture), small(&left, &gesture));
        assert!(one.len() > 300, "{}: {one}", gesture.name);
        assert!(!one.contains("NaN") && !one.contains("inf"));
        assert_ne!(one, two, "{}", gesture.name);
        assert!(!seen.contains(&one), "{}", gesture.name);
        seen.push(one);
    }
    let few = Recipe {
        hand: recipe::Hand {
            digits: Vec::new(),
            ..recipe.hand.clone()
        },
        ..recipe.clone()
    };
    // No digits at all: no hand, or one that is drawn, but no panic.
    if let Some(bare) = free(&few) {
        small(&bare, &named("x"));
    }
}

#[test]
fn a_mix_is_a_part_of_the_way_and_says_who_stays() {
    let mut posed = posed();
    let fist = named("fist");
    for (typed, weight) in [("100", 1.0), ("60/2", 0.3), ("30 %", 0.3), ("0", 0.0)] {
        assert_eq!(Mix::typed(&fist, typed, "").unwrap().weight, weight);
    }
    assert_eq!(
        Mix::typed(&fist, "101", "").unwrap_err(),
        "100 is the most; 101 was not set."
    );
    assert!(Mix::typed(&fist, "-1", "").is_err());
    assert!(Mix::typed(&fist, "", "").is_err());
    let mix = Mix::typed(&fist, "30", "pinky-finger").unwrap();
    assert_eq!(mix.label(), "mix in fist");
    assert_eq!(mix.told(&posed), "fist: 30 % for the little finger.");
    assert_eq!(
        stays(&posed, "").as_deref(),
        Some("4 digits are planted and stay; they take it when let go.")
    );
    assert_eq!(
        stays(&posed, "index-finger").as_deref(),
        Some("The index finger is planted and stays; it takes the gesture when let go.")
    );
    assert_eq!(stays(&posed, "thumb"), None);
    let flat = hand::Rest::Flat.setting(posed.document());
    posed.set(&flat);
    assert_eq!(stays(&posed, ""), None);
    let before = Gesture::of(&posed, "before");
    let mut history = rig::History::new(posed);
    let setting = mix.setting(history.posed());
    history.edit(&Edit::Set { setting }).unwrap();
    let after = Gesture::of(history.posed(), "after");
    let way = after.fingers[3].knuckle - before.fingers[3].knuckle;
    let whole = fist.fingers[3].knuckle - before.fingers[3].knuckle;
    assert!((way - 0.3 * whole).abs() < 1e-9, "{way} of {whole}");
    assert_eq!(after.fingers[..3], before.fingers[..3]);
    assert_eq!(after.thumb, before.thumb);
}
