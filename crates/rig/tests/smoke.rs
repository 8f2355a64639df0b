use rig::*;
#[test]
fn smoke() {
    let doc = read(include_str!("../../../examples/bench-press-chain.hand.json")).unwrap();
    let mut posed = Posed::new(&doc).unwrap();
    println!("{}", report::pose_json(&doc, &posed));
    let lift = doc.dial_named("lift").unwrap().id;
    posed.set_dial(lift, -40.0);
    posed.evaluate();
    println!("{}", report::pose_json(&doc, &posed));
    println!("{}", write(&doc));
    println!("{:?}", roles(&doc, &[lift]).iter().map(|(n, r)| (doc.node(*n).unwrap().name.clone(), *r)).collect::<Vec<_>>());
    assert_eq!(read(&write(&doc)).unwrap(), doc);
    for (name, want) in [("knuckle", 0.0), ("tip", 0.0)] {
        let s = posed.slip(&doc, doc.node_named(name).unwrap().id).unwrap();
        assert!((s - want).abs() < 1e-10, "{name} {s}");
    }
    for seed in 0..200 {
        let d = sample::random_document(seed);
        let p = check::document(&d).unwrap_or_else(|e| panic!("{seed} {e}"));
        assert_eq!(read(&write(&d)).map(|r| write(&r)).as_ref(), Ok(&write(&d)), "{seed}");
        assert!(!report::pose_json(&d, &p).contains("null,null"));
    }
}
