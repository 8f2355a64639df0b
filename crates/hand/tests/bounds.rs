//! B5: what a document may hold at most, each bound told in one sentence, and the same in the
//! code, in the schema and in docs/bounds.md.
use hand::read;
use hand::survey::{self, MOST_CELLS, MOST_SLIPS, Sweep};
use recipe::{MOST_DIGIT_NAME, MOST_DIGITS};
use rig::Edit;
use rig::fault::Explain;
use rig::file::bounds::*;
use serde_json::{Value, json};

fn document() -> Value {
    json!({"format": "handstand/1", "name": "dough-roll", "nodes": [
        {"name": "wrist", "kind": "joint", "translation": [0, 0, 0]},
        {"name": "tip", "kind": "joint", "parent": "wrist", "translation": [90, 0, 0]},
        {"name": "staple", "kind": "mount", "translation": [90, 0, 0]},
    ]})
}

fn many(count: usize, one: impl Fn(usize) -> Value) -> Value {
    (0..count).map(one).collect()
}

fn refused(document: &Value, place: &str, what: &str) {
    let fault = read(&document.to_string()).expect_err(what);
    assert_eq!(fault.place, place, "{fault}");
    assert!(fault.what().contains(what), "{what:?} in {fault}");
}

/// The document with one list of this length, up to the bound and past it.
fn bounded(field: &str, most: usize, place: &str, one: impl Fn(usize) -> Value) {
    let with = |count| {
        let mut document = document();
        document[field] = many(count, &one);
        document
    };
    if let Err(fault) = read(&with(most).to_string()) {
        panic!("{fault}");
    }
    refused(&with(most + 1), place, &format!("{most} is the most"));
}

fn dial(name: &str, drives: usize) -> Value {
    let drive = json!({"node": "wrist", "channel": "turn_z"});
    json!({"name": name, "unit": "deg", "min": 0, "max": 1, "drives": vec![drive; drives]})
}

#[test]
fn b5_lists_are_bounded() {
    // Each anchor has a chain of its own, for no two may turn one joint.
    let with = |count: usize| {
        let mut document = document();
        let nodes = document["nodes"].as_array_mut().unwrap();
        for k in 0..count {
            nodes.push(
                json!({"name": format!("base {k}"), "kind": "joint", "translation": [0, 0, 0]}),
            );
            nodes.push(json!({"name": format!("end {k}"), "kind": "joint",
                "parent": format!("base {k}"), "translation": [90, 0, 0]}));
        }
        document["anchors"] = many(count, |k| {
            json!({"name": k.to_string(), "base": format!("base {k}"), "end": format!("end {k}"),
                "target": "staple", "solver": "aim"})
        });
        document
    };
    if let Err(fault) = read(&with(MOST_ANCHORS).to_string()) {
        panic!("{fault}");
    }
    refused(&with(MOST_ANCHORS + 1), "anchors", "1000 is the most");
    bounded("dials", MOST_DIALS, "dials", |k| dial(&k.to_string(), 0));
    bounded(
        "plants",
        MOST_PLANTS,
        "plants",
        |_| json!({"node": "tip", "at": [0, 0, 0]}),
    );
    bounded(
        "nodes",
        MOST_NODES,
        "nodes",
        |k| json!({"name": k.to_string(), "kind": "mount", "translation": [0, 0, 0]}),
    );
}

#[test]
fn b5_drives_are_bounded() {
    let with = |dials: Value| {
        let mut document = document();
        document["dials"] = dials;
        document
    };
    assert!(read(&with(json!([dial("lift", MOST_DRIVES)])).to_string()).is_ok());
    let one = with(json!([dial("lift", 0), dial("roll", MOST_DRIVES + 1)]));
    refused(
        &one,
        "dials[1]",
        "there are 1001 drives, and 1000 is the most",
    );
    let full = MOST_DRIVES_IN_ALL / MOST_DRIVES;
    let all = |more| many(full + more, |k| dial(&k.to_string(), MOST_DRIVES));
    assert!(read(&with(all(0)).to_string()).is_ok());
    refused(
        &with(all(1)),
        "dials",
        "drives in all, and 20000 is the most",
    );
}

#[test]
fn b5_what_is_set_shifted_and_gripped_is_bounded() {
    for (field, most, one) in [
        ("set", MOST_DIALS, json!(0)),
        ("shift", MOST_SHIFTS, json!([0, 0, 0])),
        ("grips", MOST_NODES, json!("place")),
    ] {
        let mut document = document();
        let names = (0..=most).map(|k| (k.to_string(), one.clone()));
        document[field] = Value::Object(names.collect());
        refused(&document, field, &format!("{most} is the most"));
    }
}

#[test]
fn b5_a_recipe_is_bounded_before_it_is_built() {
    let digit = |name: &str| json!({"name": name, "bones": [60, 40, 25, 20], "soft_tip": 4, "base": [0, 0, 0], "head": [0, 0]});
    let with = |digits: Value, planted: Value| {
        json!({"format": "handstand/1",
            "hand": {"hand": {"digits": digits}, "planting": {"digits": planted}}})
    };
    let digits = many(MOST_DIGITS + 1, |k| digit(&format!("finger {k}")));
    refused(
        &with(digits, json!([])),
        "hand",
        "13 digits, and 12 is the most",
    );
    let planted = many(MOST_DIGITS + 1, |k| json!(k.to_string()));
    refused(
        &with(json!([]), planted),
        "hand.planting",
        "13 digits, and 12 is the most",
    );
    let long = "x".repeat(1_000_000);
    let fault = read(&with(json!([digit(&long)]), json!([])).to_string()).unwrap_err();
    assert!(fault.what().contains("1000000 characters"), "{fault}");
}

#[test]
fn b5_names_are_bounded() {
    let (longest, longer) = ("ä".repeat(MOST_NAME), "ä".repeat(MOST_NAME + 1));
    let places = ["/name", "/nodes/2/name", "/dials/0/name", "/anchors/0/name"];
    let with = |place: &str, name: &str| {
        let mut document = document();
        document["dials"] = json!([dial("lift", 1)]);
        document["anchors"] = json!([{"name": "palm", "base": "wrist", "end": "tip",
            "target": "tip", "solver": "aim"}]);
        *document.pointer_mut(place).unwrap() = json!(name);
        document["anchors"][0]["target"] = document["nodes"][2]["name"].clone();
        read(&document.to_string())
    };
    for place in places {
        assert!(with(place, &longest).is_ok(), "{place}");
        let fault = with(place, &longer).expect_err(place);
        assert!(
            fault.what().contains("201 characters, and 200 is the most"),
            "{fault}"
        );
    }
}

#[test]
fn b5_an_edit_cannot_pass_a_bound() {
    let mut document = read(&document().to_string()).unwrap();
    let node = document.nodes[0].id;
    let name = "x".repeat(MOST_NAME + 1);
    let refusal = rig::edit::apply(&mut document, &Edit::Rename { node, name }).unwrap_err();
    assert!(refusal.why().contains("200 is the most"), "{refusal:?}");
}

fn chain(count: usize, solver: &str) -> Value {
    let mut document = document();
    let nodes = document["nodes"].as_array_mut().unwrap();
    for k in 0..count {
        let parent = match k {
            0 => "wrist".to_owned(),
            k => format!("link {}", k - 1),
        };
        nodes.push(
            json!({"name": format!("link {k}"), "kind": "joint", "parent": parent,
            "translation": [1, 0, 0]}),
        );
    }
    document["anchors"] = json!([{"name": "reach", "base": "wrist",
        "end": format!("link {}", count - 1), "target": "staple", "solver": solver}]);
    document
}

#[test]
fn b5_a_chain_solved_step_by_step_is_bounded() {
    for solver in ["fabrik", "damped-least-squares"] {
        assert!(read(&chain(MOST_REACHING, solver).to_string()).is_ok());
        refused(
            &chain(MOST_REACHING + 1, solver),
            "anchors",
            "takes too long",
        );
    }
}

/// Chains solved in closed form may share the mounts they run along, so that few nodes make long
/// paths.
#[test]
fn b5_the_paths_of_all_anchors_are_bounded() {
    let mounts = 1_000;
    let with = |anchors: usize| {
        let mut document = document();
        let nodes = document["nodes"].as_array_mut().unwrap();
        for k in 0..mounts {
            let parent = if k == 0 {
                "tip".to_owned()
            } else {
                format!("link {}", k - 1)
            };
            nodes.push(
                json!({"name": format!("link {k}"), "kind": "mount", "parent": parent,
                "translation": [1, 0, 0]}),
            );
        }
        let last = format!("link {}", mounts - 1);
        document["anchors"] = many(anchors, |k| {
            json!({"name": k.to_string(), "base": "link 0", "end": last, "target": "staple",
                "solver": "aim"})
        });
        document
    };
    let full = MOST_PATHS / (mounts - 1);
    let fault = read(&with(full).to_string()).expect_err("they share a joint");
    assert!(!fault.what().contains("is the most"), "{fault}");
    refused(&with(full + 1), "anchors", "20000 nodes is the most");
}

/// B5: what is built of a digit is called after it, and that has to fit too.
#[test]
fn b5_a_digit_with_the_longest_name_is_built() {
    let with = |name: &str| {
        let digit = |name: &str, bones: Value| {
            json!({"name": name, "thumb": bones.as_array().unwrap().len() == 3,
            "bones": bones, "soft_tip": 4, "base": [5, 0, 0], "head": [10, 5]})
        };
        let finger = format!("{name}i");
        let thumb = format!("{name}t");
        json!({"format": "handstand/1", "hand": {
            "hand": {"digits": [digit(&thumb, json!([45, 31, 21])), digit(&finger, json!([68, 39, 22, 15]))]},
            "planting": {"digits": [thumb, finger]}}})
    };
    let read = |length: usize| read(&with(&"ä".repeat(length - 1)).to_string());
    if let Err(fault) = read(MOST_DIGIT_NAME) {
        panic!("{fault}");
    }
    let fault = read(MOST_DIGIT_NAME + 1).expect_err("refused");
    assert!(
        fault.what().contains("161 characters, and 160 is the most"),
        "{fault}"
    );
}

#[test]
fn b5_bytes_are_counted_before_anything_else() {
    let blank = " ".repeat(MOST_BYTES);
    assert!(
        read(&blank)
            .unwrap_err()
            .what()
            .contains("ends in the middle")
    );
    let fault = read(&(blank + " ")).unwrap_err();
    assert!(fault.what().contains("more than 16 MB"), "{fault}");
    // No more is taken from a source without end than shows that it is too much.
    let taken = content(std::io::repeat(b' ')).unwrap();
    assert_eq!(taken.len(), MOST_BYTES + 1);
    assert!(text(taken).is_err());
}

#[test]
fn b5_values_are_counted_as_they_come() {
    let values = |count: usize, one: &str| {
        let list = vec![one; count];
        rig::file::value(&format!("[{}]", list.join(",")))
    };
    assert!(values(MOST_OBJECTS, "{}").is_ok());
    let fault = values(MOST_OBJECTS + 1, "{}").unwrap_err();
    assert_eq!(fault.place, "line 1, column 600003");
    assert!(fault.what().contains("after 200000 objects"), "{fault}");
    assert!(values(MOST_VALUES - 1, "0").is_ok());
    let fault = values(MOST_VALUES, "0").unwrap_err();
    assert!(fault.what().contains("after 2000000 values"), "{fault}");
}

/// The largest document fits: every field of every node given to the last digit.
#[test]
fn b5_the_most_nodes_fit_into_the_bytes() {
    let far = -123_456.789_012_345_68;
    let part = 0.512_345_678_901_234_5;
    let node = json!({"name": "x".repeat(20), "kind": "joint", "parent": "y".repeat(20),
        "translation": [far, far, far], "rotation": [part, -part, part, -part], "order": "ZYX",
        "limits": {"turn_x": [far, far], "turn_y": [far, far], "turn_z": [far, far],
            "move_x": [far, far], "move_y": [far, far], "move_z": [far, far]},
        "width": part, "grip": {"place": [far, far, far]}, "hidden": true});
    let bytes = node.to_string().len() * MOST_NODES;
    assert!(bytes > MOST_BYTES / 2 && bytes < MOST_BYTES, "{bytes}");
    // As many again are left for its dials, anchors and plants.
    assert!(values(&node) * MOST_NODES < MOST_VALUES * 6 / 10);
    assert!(objects(&node) * MOST_NODES < MOST_OBJECTS * 6 / 10);
}

fn inside(value: &Value) -> Vec<&Value> {
    match value {
        Value::Array(items) => items.iter().collect(),
        Value::Object(fields) => fields.values().collect(),
        _ => Vec::new(),
    }
}

fn values(value: &Value) -> usize {
    1 + inside(value).into_iter().map(values).sum::<usize>()
}

fn objects(value: &Value) -> usize {
    let inside = inside(value).into_iter().map(objects);
    usize::from(value.is_object()) + inside.sum::<usize>()
}

const SCHEMA: &str = include_str!("../../../docs/schema/hand.schema.json");
const TABLE: &str = include_str!("../../../docs/bounds.md");

#[test]
fn the_published_schema_has_these_numbers() {
    let schema: Value = serde_json::from_str(SCHEMA).unwrap();
    for (place, most) in [
        ("/properties/nodes/maxItems", MOST_NODES),
        ("/properties/anchors/maxItems", MOST_ANCHORS),
        ("/properties/dials/maxItems", MOST_DIALS),
        ("/properties/plants/maxItems", MOST_PLANTS),
        ("/properties/set/maxProperties", MOST_DIALS),
        ("/properties/shift/maxProperties", MOST_SHIFTS),
        ("/properties/grips/maxProperties", MOST_NODES),
        ("/properties/name/maxLength", MOST_NAME),
        ("/$defs/Node/properties/name/maxLength", MOST_NAME),
        ("/$defs/Anchor/properties/name/maxLength", MOST_NAME),
        ("/$defs/Dial/properties/name/maxLength", MOST_NAME),
        ("/$defs/Digit/properties/name/maxLength", MOST_DIGIT_NAME),
        ("/$defs/Dial/properties/drives/maxItems", MOST_DRIVES),
        ("/$defs/Hand/properties/digits/maxItems", MOST_DIGITS),
        ("/$defs/Planting/properties/digits/maxItems", MOST_DIGITS),
    ] {
        assert_eq!(schema.pointer(place), Some(&json!(most)), "{place}");
    }
}

#[test]
fn the_published_table_has_these_numbers() {
    for (bound, most) in [
        ("bytes of a file", MOST_BYTES),
        (
            "values of a file (numbers, texts, lists, objects)",
            MOST_VALUES,
        ),
        ("objects among them", MOST_OBJECTS),
        ("nodes, `grips`", MOST_NODES),
        ("anchors", MOST_ANCHORS),
        ("dials, `set`", MOST_DIALS),
        ("drives of a dial", MOST_DRIVES),
        ("drives of all dials", MOST_DRIVES_IN_ALL),
        ("plants", MOST_PLANTS),
        ("digits of a hand, and of a planting", MOST_DIGITS),
        ("nodes in `shift`", MOST_SHIFTS),
        (
            "characters of a name (node, anchor, dial, document)",
            MOST_NAME,
        ),
        ("characters of a digit's name", MOST_DIGIT_NAME),
        (
            "nodes on the chains of all anchors, all together",
            MOST_PATHS,
        ),
        (
            "nodes on the chains solved by damped least squares or FABRIK, all together",
            MOST_REACHING,
        ),
        ("poses of a survey, all its sweeps multiplied", MOST_CELLS),
        ("the same, times its plants", MOST_SLIPS),
    ] {
        let line = format!("| {bound} | {most} |");
        assert!(TABLE.contains(&line), "docs/bounds.md has no line '{line}'");
    }
}

/// A survey keeps a slip for every pose and plant.
#[test]
fn b4_a_survey_is_bounded_by_its_plants_too() {
    let with = |plants: usize| {
        let mut document = document();
        document["plants"] = many(plants, |_| json!({"node": "tip", "at": [90, 0, 0]}));
        document["dials"] = json!([dial("lift", 1)]);
        read(&document.to_string()).expect("sound")
    };
    let cells = |document: &rig::Document, count| {
        let sweep = Sweep {
            dial: document.dials[0].id,
            from: 0.0,
            to: 1.0,
            count,
        };
        survey::cells(document, &[sweep, sweep])
    };
    let side = MOST_CELLS.isqrt();
    let bare = with(0);
    assert_eq!(cells(&bare, side).ok(), Some(MOST_CELLS));
    let fault = cells(&bare, side + 1).expect_err("too fine");
    assert!(
        fault.to_string().contains(&MOST_CELLS.to_string()) && !fault.what().contains("plants")
    );
    let planted = with(100);
    let most = MOST_SLIPS / 100;
    let side = most.isqrt();
    assert_eq!(cells(&planted, side).ok(), Some(side * side));
    let fault = cells(&planted, side + 1).expect_err("too fine for its plants");
    assert!(fault.what().contains("100 plants"), "{fault}");
    assert!(fault.mend().contains(&most.to_string()), "{fault}");
}
