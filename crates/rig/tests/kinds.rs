//! What is wrong is data: nobody need read a sentence to know it.
use rig::edit::apply;
use rig::fault::{
    Content, Excess, Found, Item, Kind, Mismatch, Structure, Text, Turned, Value, Version,
};
use rig::{Document, Edit, Refusal, Solver, file, read, write};
use serde_json::{Value as Json, json};

fn chain() -> Document {
    read(include_str!(
        "../../../examples/bench-press-chain.hand.json"
    ))
    .expect("a good example")
}

/// The example with something of its file changed.
fn spoilt(change: impl FnOnce(&mut Json)) -> Kind {
    let mut file: Json = serde_json::from_str(&write(&chain())).unwrap();
    change(&mut file);
    read(&file.to_string()).expect_err("it is spoilt").kind
}

#[test]
fn a_file_is_refused_by_kind() {
    assert_eq!(read("{").unwrap_err().kind, Kind::Text(Text::EndsEarly));
    let twice = read(r#"{"name": 1, "name": 2}"#).unwrap_err();
    assert_eq!(twice.kind, Text::Twice("name".to_owned()).into());
    let newer = spoilt(|file| file["format"] = json!("handstand/9"));
    let (given, newest) = ("handstand/9".to_owned(), file::FORMAT);
    assert_eq!(newer, Version::Newer { given, newest }.into());
    let long = spoilt(|file| file["name"] = json!("x".repeat(201)));
    assert!(matches!(
        long,
        Kind::Excess(Excess::Name {
            item: Item::Document,
            characters: 201,
            most: 200,
            ..
        })
    ));
    let text = spoilt(|file| file["bench"] = json!("low"));
    let found = Found::Text("low".to_owned());
    assert_eq!(text, Mismatch::Type(found, "a number").into());
    let field = spoilt(|file| file["nodes"][0]["parnet"] = json!("wrist"));
    let Kind::Mismatch(Mismatch::UnknownField(name, fields)) = field else {
        panic!("{field:?}");
    };
    assert!(name == "parnet" && fields.contains(&"parent"));
    let unknown = spoilt(|file| file["anchors"][0]["end"] = json!("nail"));
    assert_eq!(
        unknown,
        Content::Unknown(Item::Node, "nail".to_owned()).into()
    );
}

#[test]
fn a_document_is_refused_by_kind() {
    let outside = spoilt(|file| file["dials"][0]["value"] = json!(1000));
    assert!(matches!(
        outside,
        Kind::Value(Value::Outside {
            which: "value",
            value: 1000.0,
            ..
        })
    ));
    let long = spoilt(|file| file["anchors"][1]["solver"] = json!("aim"));
    assert!(
        matches!(
            long,
            Kind::Structure(Structure::BoneCount {
                wanted: Turned::OneBone,
                ..
            })
        ),
        "{long:?}"
    );
    let circle = spoilt(|file| {
        let nodes = file["nodes"].as_array_mut().unwrap();
        let at = |name: &str| nodes.iter().position(|n| n["name"] == name).unwrap();
        let (wrist, knuckle) = (at("wrist"), at("knuckle"));
        nodes[wrist]["parent"] = json!("knuckle");
        nodes[knuckle]["parent"] = json!("wrist");
    });
    assert!(
        matches!(circle, Kind::Structure(Structure::Circle { .. })),
        "{circle:?}"
    );
}

#[test]
fn an_edit_is_refused_by_kind() {
    let mut document = chain();
    let [wrist, knuckle, tip] =
        ["wrist", "knuckle", "tip"].map(|name| document.node_named(name).expect(name).id);
    let mut refused = |edit: Edit| apply(&mut document, &edit).expect_err("refused");
    let hung = refused(Edit::Rehang {
        node: wrist,
        parent: Some(wrist),
    });
    assert_eq!(
        hung,
        Refusal::CarriesItself {
            node: "wrist".to_owned()
        }
    );
    let hung = refused(Edit::Rehang {
        node: wrist,
        parent: Some(knuckle),
    });
    let (child, carrier) = ("wrist".to_owned(), "knuckle".to_owned());
    assert_eq!(hung, Refusal::Circle { child, carrier });
    let gone = refused(Edit::Delete {
        node: rig::NodeId(4_000_000),
    });
    assert_eq!(gone, Refusal::Lost(Item::Node));
    let named = refused(Edit::Rename {
        node: wrist,
        name: "tip".to_owned(),
    });
    assert_eq!(
        named,
        Refusal::Document(Value::SameName(Item::Node, "tip".to_owned()).into())
    );
    let loose = refused(Edit::AddAnchor {
        name: "palm".to_owned(),
        base: tip,
        end: wrist,
        solver: Solver::Aim,
        under: None,
    });
    let (base, end) = ("tip".to_owned(), "wrist".to_owned());
    assert_eq!(loose, Refusal::NoChain { base, end });
}
