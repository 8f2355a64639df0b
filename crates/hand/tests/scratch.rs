#![allow(clippy::disallowed_methods, unused)]
use hand::flesh::Flesh;
use hand::{document, scenario, Planting, Recipe, Hand, Stance, Ground, GroundForm};
use rig::{Document, Kind, NodeId, Posed, Solver};
mod held;
fn edge(stance: Stance, radius: f64) -> Document {
    document(&Recipe{hand: Hand::table(), planting: Some(Planting{stance, surface: Ground{form: GroundForm::Edge, radius, ..Ground::default()}, ..Planting::default()})}).unwrap()
}
fn pointed(mut document: Document) -> Document {
    for anchor in &mut document.rig.anchors {
        let mut own = (**anchor).clone();
        if let Solver::Finger { contact, .. } | Solver::Thumb { contact, .. } = &mut own.solver { *contact = None; *anchor = own.into(); }
    }
    document
}
#[test]
fn table() {
    let docs = [("rail-lean", document(&scenario("rail-lean").unwrap()).unwrap()), ("edge flat", edge(Stance::Flat, 20.0)),("corner flat", edge(Stance::Flat, 0.0)),("edge tips", edge(Stance::Fingertips, 20.0))];
    for (name, doc) in docs {
        for (kind, doc) in [("point", pointed(doc.clone())), ("round", doc.clone())] {
            let flesh = Flesh::of(&doc);
            let mut posed = Posed::new(&doc).unwrap();
            println!("== {name} {kind}");
            for a in &doc.anchors { 
                if a.solver.is_digit() { let o = posed.outcome(a.id); println!("   {} hold {:.3} res {:.2e} margin {:.1} limited {} it {}", a.name, posed.hold(a.id), o.residual, o.reach_margin, o.limited, o.iterations);
                 if let Some(c)=a.solver.contact() { println!("      pitch {:.1} tilt {:.1} heading {:.1} round {:?}", c.pitch, c.tilt, c.heading, c.round);} } }
            for (dial, lo, hi) in [("lift",-20.0,50.0),("roll",-35.0,60.0),("lean",-25.0,25.0),("twist",-20.0,20.0)] {
                let Some(d)=doc.dial_named(dial) else {continue}; let id=d.id;
                let lo = if lo < d.min {d.min} else {lo}; let hi = if hi>d.max {d.max} else {hi};
                for step in [5.0] {
                    let n = ((hi-lo)/step) as i32;
                    for k in 0..=n {
                        let v = lo + step*k as f64;
                        // fastest near
                        let mut fast=(0.0f64,String::new());
                        let mut was: Option<Vec<[f64;3]>>=None;
                        for j in 0..=50 {
                            posed.set_dial(id, (v + 0.1*j as f64)); posed.evaluate();
                            let now: Vec<[f64;3]> = doc.nodes.iter().filter(|n| n.kind==Kind::Joint).map(|n| posed.turns(n.id)).collect();
                            if let Some(w)=&was { for (i,(a,b)) in w.iter().zip(&now).enumerate() { for x in 0..3 { let r=((a[x]-b[x]).abs())/0.1; if r>fast.0 { let nm=doc.nodes.iter().filter(|n| n.kind==Kind::Joint).nth(i).unwrap(); fast=(r,format!("{} {x}",nm.name)); } } } }
                            was=Some(now);
                        }
                        posed.set_dial(id, v); posed.evaluate();
                        let mut s=String::new();
                        for a in &doc.anchors { if a.solver.is_digit() && posed.is_active(a.id) {
                            let o=posed.outcome(a.id);
                            s += &format!(" {}:h{:.2} r{:.2}", &a.name[..2], posed.hold(a.id), o.residual);
                        } else if a.solver.is_digit() { s += &format!(" ({})", &a.name[..2]); } }
                        // depth per digit
                        let mut dep=String::new();
                        for digit in ["thumb","index-finger","middle-finger","ring-finger","pinky-finger"] {
                            let mut least=(9e9,0); 
                            for (i,n) in doc.nodes.iter().filter(|n| n.kind==Kind::Joint && n.part.as_ref().and_then(|p| p.digit())==Some(digit)).enumerate() {
                                if let Some(c)=flesh.clearance(&posed,n.id,Some(hand::flesh::Kind::Pad)) { if c<least.0 {least=(c,i);} } }
                            dep += &format!(" {:5.1}@{}", least.0, least.1);
                        }
                        let palm = flesh.clearances(&posed).palm.unwrap().mm;
                        println!("{dial:5} {v:6.1}:{s} | {dep} palm {palm:.1} | rate {:.1} {}", fast.0, fast.1);
                    }
                    posed.set_dial(id, 0.0); posed.evaluate();
                }
            }
        }
    }
}
