use hand::flesh::Overlaps;
use hand::{Hand, Recipe, document};
use rig::Posed;
use std::collections::BTreeMap;
fn rnd(s: &mut u64) -> f64 { *s ^= *s << 13; *s ^= *s >> 7; *s ^= *s << 17; (*s >> 11) as f64 / (1u64 << 53) as f64 }
#[test]
fn look() {
    let recipe = Recipe { hand: Hand::table(), planting: None };
    let doc = document(&recipe).unwrap();
    for d in &doc.dials { println!("{} {:?} {}..{} {}", d.name, d.role, d.min, d.max, doc.value(d.id).unwrap()); }
    let mut posed = Posed::new(&doc).unwrap();
    let overlaps = Overlaps::of(posed.rig());
    let name = |posed: &Posed, n| posed.rig().node(n).unwrap().name.clone();
    for a in overlaps.apart(&posed) { if a.web > 0.0 { println!("web {} {} {:.3}", name(&posed, a.bones.digit), name(&posed, a.bones.other), a.web); } }
    let set = |posed: &mut Posed, v: &[(&str, f64)]| { posed.set_neutral(); for (n, x) in v { let id = posed.rig().dial_named(n).unwrap().id; posed.set_dial(id, *x); } posed.evaluate(); };
    let rf = "rest flexion";
    for v in [vec![(rf, 0.0)], vec![(rf, 30.0)], vec![(rf, 60.0)], vec![(rf, 0.0), ("curl", 50.0)], vec![(rf, 0.0), ("curl", 70.0)], vec![(rf, 0.0), ("curl", 80.0)], vec![(rf, 0.0), ("curl", 90.0)], vec![(rf, 0.0), ("curl", 100.0)], vec![(rf, 0.0), ("opposition", 100.0)], vec![(rf, 60.0), ("opposition", 100.0)], vec![(rf,0.0),("arch", 20.0)], vec![(rf,0.0),("arch", -5.0)]] {
        set(&mut posed, &v);
        println!("{v:?}: {:?}", overlaps.deepest(&posed).map(|o| o.told(posed.rig())));
        for a in overlaps.apart(&posed) { if -a.clearance - a.web > 0.3 { println!("    {} {} {:.3} web {:.3}", name(&posed, a.bones.digit), name(&posed, a.bones.other), -a.clearance, a.web); } }
    }
    for scenario in hand::SCENARIOS { let p = Posed::new(&document(&hand::scenario(scenario).unwrap()).unwrap()).unwrap(); let t = std::time::Instant::now(); let o = Overlaps::of(p.rig()); let t1 = t.elapsed(); let mut d=None; let t = std::time::Instant::now(); for _ in 0..100 { d = o.deepest(&p); } println!("{scenario} made {t1:?} read {:?} {:?} {:?}", t.elapsed()/100, d.map(|d| d.told(p.rig())), o.apart(&p).filter(|a| a.web>0.0).map(|a| a.web).collect::<Vec<_>>()); }
    set(&mut posed, &[(rf, 35.0)]); let t = std::time::Instant::now(); for _ in 0..100 { std::hint::black_box(overlaps.deepest(&posed)); } println!("relaxed {:?} pairs {}", t.elapsed()/100, overlaps.apart(&posed).count());
    let mut seed = 7u64;
    let mut worst: BTreeMap<String, f64> = BTreeMap::new();
    let t = std::time::Instant::now();
    let mut first = 0;
    let mut total = std::time::Duration::ZERO;
    for _ in 0..500 {
        for d in doc.dials.iter() { posed.set_dial(d.id, d.min + (d.max - d.min) * rnd(&mut seed)); }
        posed.evaluate();
        let s = std::time::Instant::now();
        let d = std::hint::black_box(overlaps.deepest(&posed));
        total += s.elapsed();
        if first < 10 { println!("{:?} {:?}", s.elapsed(), d.map(|d| d.told(posed.rig()))); first += 1; }
        for a in overlaps.apart(&posed) {
            let over = -a.clearance - a.web;
            if over > 0.0 { let e = worst.entry(format!("{} {}", name(&posed, a.bones.digit), name(&posed, a.bones.other))).or_default(); if over > *e { *e = over; } }
        }
    }
    println!("{:?} each {:?}", t.elapsed(), total / 500);
    for (k, v) in worst { println!("{v:.2} {k}"); }
}
