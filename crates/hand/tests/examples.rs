//! The shipped hands: each file is what its recipe builds today, and is sound.
use hand::read;
use hand::{SCENARIOS, document, scenario};
use rig::{report, validate, write};

#[test]
fn the_shipped_hands_are_current() {
    for name in SCENARIOS {
        let mut hand = document(&scenario(name).unwrap()).unwrap();
        name.clone_into(&mut hand.name);
        let path = format!(
            "{}/../../examples/{name}.hand.json",
            env!("CARGO_MANIFEST_DIR")
        );
        let made = write(&hand);
        if std::env::var_os("UPDATE").is_some() {
            std::fs::write(&path, &made).unwrap();
        }
        let shipped = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            shipped == made,
            "examples/{name}.hand.json is out of date; rewrite it with\n    \
             UPDATE=1 cargo test -p hand --test examples"
        );
        let read = read(&shipped).unwrap();
        let posed = validate::document(&read).unwrap();
        assert_eq!(write(&read), shipped);
        for plant in &read.plants {
            assert!(posed.slip(plant.node).unwrap() < 1e-9, "{name}");
        }
        for anchor in &read.anchors {
            assert!(!posed.outcome(anchor.id).limited, "{name}: {}", anchor.name);
        }
    }
    assert!(scenario("dough").is_none());
}

/// Whichever limit is left out of a file, as an empty field of the page leaves it: the pose is
/// numbers. A finger's last joint without one once stood at infinity.
#[test]
fn any_limit_may_be_left_out() {
    let mut posed = 0;
    for name in SCENARIOS {
        let hand = document(&scenario(name).unwrap()).unwrap();
        for at in 0..hand.nodes.len() {
            for turn in (0..3).filter(|&turn| hand.nodes[at].limits[turn].is_some()) {
                let mut free = hand.clone();
                free.nodes[at].limits[turn] = None;
                // Refused where a digit's joint would turn otherwise than a digit's.
                if let Ok(pose) = validate::document(&free) {
                    let json = report::pose_json(&pose);
                    let nulls = json.replace("\"parent\":null", "");
                    assert!(!nulls.contains("null"), "{name}: {}", hand.nodes[at].name);
                    posed += 1;
                }
            }
        }
    }
    assert!(posed > 150, "{posed}");
}
