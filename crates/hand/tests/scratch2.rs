#![allow(clippy::disallowed_methods, unused)]
use hand::flesh::{Flesh,Segment};
use hand::{document, scenario};
use rig::*;
#[test]
fn table() {
    let mut doc = document(&scenario("rail-lean").unwrap()).unwrap();
    for lift in [0.0,45.0] {
    let mut posed = Posed::new(&doc).unwrap(); posed.set_dial(doc.dial_named("lift").unwrap().id, lift); posed.evaluate(); let flesh=Flesh::of(&doc);
    for a in &doc.anchors { let Some(c)=a.solver.contact() else {continue};
        println!("{} {:?}", a.name, c);
        let n = |p:&str| doc.node_named(&format!("{}-{p}", a.name));
        let Some(m)=n("phalanx-intermediate") else {continue};
        let s = surface::surfaces(&posed)[0];
        let pr=posed.point(n("phalanx-proximal").unwrap().id); let m=posed.point(m.id); let l=posed.point(n("phalanx-distal").unwrap().id); let t=posed.point(n("tip-contact").unwrap().id);
        println!("turns {:?} {:?} {:?}", posed.turns(n("phalanx-proximal").unwrap().id),posed.turns(n("phalanx-intermediate").unwrap().id),posed.turns(n("phalanx-distal").unwrap().id));
        println!("  knuckle {:?} middle {:?} last {:?} tip {:?}", pr.as_slice(), m.as_slice(), l.as_slice(), t.as_slice());
        for (e,r) in [([pr+(m-pr)*0.14,m],[c.joints[0];2]),([m,l],c.joints),([l,t],[c.joints[1],c.radius])] { println!("   {}", Segment{ends:e,radii:r}.clearance(&s)); }
        for part in ["phalanx-proximal","phalanx-intermediate","phalanx-distal"] { let id=n(part).unwrap().id; println!("  {part} pad {:?} all {:?}", flesh.clearance(&posed,id,Some(hand::flesh::Kind::Pad)), flesh.clearance(&posed,id,None));
          for (nn,k,s2) in flesh.segments(&posed) { if nn==id { println!("      {:?} {:?} {:.2} {:?}", k, s2.radii, s2.clearance(&s), s2.ends.map(|e| [e.x,e.y,e.z])); } } }
    }}
}
