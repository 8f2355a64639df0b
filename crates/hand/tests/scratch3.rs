#![allow(clippy::disallowed_methods, unused)]
use hand::flesh::Flesh;
use hand::{document, scenario, Planting, Recipe, Hand, Stance, Ground, GroundForm};
use rig::{Document, Kind, NodeId, Posed, Solver};
fn edge(stance: Stance, radius: f64) -> Document {
    document(&Recipe{hand: Hand::table(), planting: Some(Planting{stance, surface: Ground{form: GroundForm::Edge, radius, ..Ground::default()}, ..Planting::default()})}).unwrap()
}
#[test]
fn rates() {
    let docs = [("rail-lean", document(&scenario("rail-lean").unwrap()).unwrap()), ("edge flat", edge(Stance::Flat, 20.0)),("corner flat", edge(Stance::Flat, 0.0)),("edge tips", edge(Stance::Fingertips, 20.0))];
    for (name, doc) in docs {
        let mut posed = Posed::new(&doc).unwrap();
        let joints: Vec<_> = doc.nodes.iter().filter(|n| n.kind==Kind::Joint).map(|n| (n.id,n.name.clone())).collect();
        for (dial, lo, hi) in [("lift",-35.0,55.0),("roll",-35.0,60.0),("lean",-27.0,27.0),("twist",-25.0,25.0)] {
            let d=doc.dial_named(dial).unwrap(); let id=d.id;
            let lo = if lo < d.min {d.min} else {lo}; let hi = if hi>d.max {d.max} else {hi};
            let mut spots: Vec<(f64,f64,String)> = vec![];
            for size in [0.2] {
            let n=((hi-lo)/size) as i32; let mut was: Option<Vec<[f64;3]>>=None;
            let mut best=(0.0f64,0.0,String::new());
            for k in 0..=n { let v=lo+size*k as f64; posed.set_dial(id,v); posed.evaluate();
                let now: Vec<[f64;3]> = joints.iter().map(|n| posed.turns(n.0)).collect();
                if let Some(w)=&was { for (i,(a,b)) in w.iter().zip(&now).enumerate() { for x in 0..3 { let r=(a[x]-b[x]).abs()/size; if r>best.0 {best=(r,v,format!("{} {x}",joints[i].1));} if r>12.0 && size==0.2 { if spots.last().is_none_or(|s| (s.1-v).abs()>1.0 ) { spots.push((r,v,format!("{} {x}",joints[i].1))); } else if spots.last().unwrap().0<r { *spots.last_mut().unwrap()=(r,v,format!("{} {x}",joints[i].1)); } } } } }
                was=Some(now);
            }
            println!("{name} {dial} step {size}: {:.1} at {:.2} {}", best.0,best.1,best.2);
            }
            for s in spots { println!("      {:.1} at {:.2} {}", s.0,s.1,s.2); }
            posed.set_dial(id,0.0); posed.evaluate();
        }
    }
}
