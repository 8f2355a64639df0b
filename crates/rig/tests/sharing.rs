//! Undo is cheap where little was changed: steps share what they have in common.
// Counting needs an allocator, and an allocator is unsafe by its trait.
#![allow(unsafe_code)]
use rig::*;
use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

struct Counting;

thread_local! {
    // By thread: other tests run beside this one.
    static HELD: Cell<isize> = const { Cell::new(0) };
}

unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        HELD.set(HELD.get() + layout.size() as isize);
        unsafe { System.alloc(layout) }
    }
    unsafe fn dealloc(&self, at: *mut u8, layout: Layout) {
        HELD.set(HELD.get() - layout.size() as isize);
        unsafe { System.dealloc(at, layout) }
    }
}

#[global_allocator]
static COUNTING: Counting = Counting;

const NODES: u32 = 10_000;
/// Bytes that 2,000 steps of a sketch of this size may take: chosen here.
const MOST: isize = 200_000_000;

/// A bush: a thousand stems of ten joints, a dial on each stem.
fn bush() -> Document {
    let mut bush = Document::default();
    for at in 0..NODES {
        let stem = at.is_multiple_of(10);
        let node = Node {
            id: NodeId(at),
            name: format!("joint {at} of the bush"),
            kind: Kind::Joint,
            parent: (!stem).then(|| NodeId(at - 1)),
            translation: [30.0, 0.0, f64::from(at)],
            rotation: [0.0, 0.0, 0.0, 1.0],
            order: Order::Xyz,
            limits: [None; 6],
            loaded: [None; 3],
            width: 10.0,
            grip: Grip::None,
            hidden: false,
            surface: None,
            part: None,
        };
        bush.nodes.push(node.into());
        if stem {
            let dial = Dial {
                id: DialId(NODES + at),
                name: format!("turn {at}"),
                unit: Unit::Degrees,
                neutral: 0.0,
                min: -90.0,
                max: 90.0,
                softness: None,
                drives: vec![Drive {
                    target: Target::Channel(NodeId(at), Channel::TurnZ),
                    gain: 1.0,
                    ramp: Ramp::Whole,
                }],
                role: None,
            };
            bush.add_dial(dial, 0.0);
        }
    }
    bush.next_id = 2 * NODES;
    bush
}

/// Half of the edits turn a dial, half move a joint, which is an edit of structure.
#[test]
fn two_thousand_edits_of_ten_thousand_nodes_stay_within_the_bound() {
    let posed = Posed::new(&bush()).unwrap();
    let mut history = History::new(posed);
    let before = HELD.get();
    for at in 0..2_000_u32 {
        let edit = if at % 2 == 0 {
            let dial = DialId(NODES + 10 * (at % 1_000));
            let values = vec![(dial, f64::from(at % 90) + 0.5)];
            Edit::SetDials { values }
        } else {
            let node = NodeId((at * 7) % NODES);
            Edit::Rename {
                node,
                name: format!("renamed {at}"),
            }
        };
        history.edit(&edit).unwrap();
    }
    let held = HELD.get() - before;
    println!("2,000 edits of {NODES} nodes: {:.1} MB", held as f64 / 1e6);
    assert!(held < MOST, "{held} bytes");
    // Nothing was thrown away for it.
    for _ in 0..2_000 {
        history.undo().expect("a step for each edit");
    }
    assert_eq!(history.undo(), None);
    assert_eq!(*history.document(), bush());
}

#[test]
fn what_an_edit_leaves_alone_is_shared() {
    let document = bush();
    let mut edited = document.clone();
    assert!(edited.rig.is_same(&document.rig));
    let (node, name) = (NodeId(17), "another".to_owned());
    edit::apply(&mut edited, &Edit::Rename { node, name }).unwrap();
    let apart = edited.nodes.iter().zip(&document.nodes);
    let apart: Vec<_> = apart.filter(|(a, b)| !a.is_same(b)).collect();
    assert_eq!(apart.len(), 1);
    assert_eq!(apart[0].0.id, node);
}

#[test]
fn a_setting_goes_along_to_another_rig_by_id() {
    let from = bush();
    let mut setting = from.setting.clone();
    setting.set_dial(&from, from.dials[3].id, 12.0);
    let mut to = from.clone();
    let first = to.dials[0].id;
    to.retain_dials(|dial| dial.id != first);
    let carried = setting.carried(&from, &to);
    assert!(carried.fits(&to));
    assert_eq!(carried.dial(&to, from.dials[3].id), Some(12.0));
    assert_eq!(carried.dial(&to, first), None);
    // What only the other has is neutral there.
    let back = carried.carried(&to, &from);
    assert_eq!(back, setting);
}

#[test]
fn a_setting_of_another_rig_is_refused() {
    let mut document = bush();
    document.setting.dials.pop();
    let fault = Posed::new(&document).unwrap_err();
    assert!(fault.to_string().contains("another rig"), "{fault}");
    assert!(validate::document(&document).is_err());
}
