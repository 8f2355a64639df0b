//! Who carries whom: both lineages hang over the plate like a mobile.
use crate::session::{Moving, Session, session};
use leptos::prelude::*;
use rig::{Document, Edit, Kind, Node, NodeId, Role};
use std::collections::{BTreeMap, BTreeSet};

const STEP_Y: f64 = 42.0;
const TOP: f64 = 40.0;

/// Where a bead hangs.
#[derive(Clone, PartialEq)]
struct Bead {
    id: NodeId,
    name: String,
    kind: Kind,
    x: f64,
    y: f64,
    parent: Option<NodeId>,
    held: bool,
}

/// A mobile of more beads is a wall, and slow; the rest is still on the plate.
const MOST_BEADS: usize = 300;

/// The mobile laid out.
#[derive(Clone, Default, PartialEq)]
struct Hung {
    beads: Vec<Bead>,
    width: f64,
    /// Visible nodes, hung or not.
    of: usize,
}

impl Hung {
    fn depth(&self) -> f64 {
        self.beads.iter().map(|b| b.y).fold(0.0, f64::max) + 26.0
    }
}

/// A document's nodes by who carries them, asked for many times while hanging.
struct Carriers<'a> {
    nodes: BTreeMap<NodeId, &'a Node>,
    children: BTreeMap<NodeId, Vec<NodeId>>,
    roots: Vec<NodeId>,
    held: BTreeSet<NodeId>,
}

impl<'a> Carriers<'a> {
    fn new(document: &'a Document) -> Self {
        let nodes: BTreeMap<_, _> = document.nodes.iter().map(|n| (n.id, n)).collect();
        let mut children: BTreeMap<_, Vec<_>> = BTreeMap::new();
        let mut roots = Vec::new();
        for node in document.nodes.iter().filter(|n| !n.hidden) {
            match up(&nodes, node) {
                Some(parent) => children.entry(parent).or_default().push(node.id),
                None => roots.push(node.id),
            }
        }
        let held = document
            .anchors
            .iter()
            .filter(|a| a.active)
            .map(|a| a.end)
            .collect();
        Self {
            nodes,
            children,
            roots,
            held,
        }
    }

    fn children(&self, id: NodeId) -> &[NodeId] {
        self.children.get(&id).map_or(&[], Vec::as_slice)
    }
}

/// The nearest visible ancestor within the same lineage.
fn up(nodes: &BTreeMap<NodeId, &Node>, node: &Node) -> Option<NodeId> {
    let mut parent = nodes.get(&node.parent?)?;
    while parent.kind == node.kind {
        if !parent.hidden {
            return Some(parent.id);
        }
        parent = nodes.get(&parent.parent?)?;
    }
    None
}

/// Lays both lineages out: controls to the left, skeleton to the right; a child hangs under its
/// parent, and further children branch to the right.
fn hang(document: &Document) -> Hung {
    let carriers = Carriers::new(document);
    let mut hung = Hung {
        of: document.nodes.iter().filter(|n| !n.hidden).count(),
        ..Hung::default()
    };
    let mut x = 26.0;
    for kind in [Kind::Mount, Kind::Joint] {
        for root in carriers
            .roots
            .iter()
            .filter(|r| carriers.nodes[r].kind == kind)
        {
            branch(&carriers, *root, None, (x, TOP), &mut hung.beads);
            hung.width = right_of(&hung.beads);
            x = hung.width + 24.0;
        }
        if kind == Kind::Mount && !hung.beads.is_empty() {
            x += 30.0;
        }
    }
    hung
}

/// About how wide a bead and its name are, px.
fn label_width(name: &str) -> f64 {
    30.0 + 7.6 * name.chars().count() as f64
}

/// Where these beads' names end.
fn right_of(beads: &[Bead]) -> f64 {
    beads
        .iter()
        .map(|b| b.x + label_width(&b.name))
        .fold(0.0, f64::max)
}

/// Hangs a node and all below it.
fn branch(
    carriers: &Carriers,
    id: NodeId,
    parent: Option<NodeId>,
    (x, y): (f64, f64),
    beads: &mut Vec<Bead>,
) {
    if beads.len() == MOST_BEADS {
        return;
    }
    let node = carriers.nodes[&id];
    beads.push(Bead {
        id,
        name: node.name.clone(),
        kind: node.kind,
        x,
        y,
        parent,
        held: carriers.held.contains(&id),
    });
    let children = carriers.children(id);
    let widest = children
        .iter()
        .map(|c| label_width(&carriers.nodes[c].name))
        .fold(0.0, f64::max);
    let carries = |id: NodeId| !carriers.children(id).is_empty();
    let own = beads.len();
    let (mut at, mut low) = (x, false);
    for (index, child) in children.iter().copied().enumerate() {
        if index > 0 {
            // Beside a branch that goes further down, clear of all its names; bare siblings hang on
            // threads of two lengths, so that their names pass each other.
            if carries(children[index - 1]) || carries(child) {
                at = right_of(&beads[own..]).max(at) + 10.0;
                low = false;
            } else {
                at += widest / 2.0 + 8.0;
                low = !low;
            }
        }
        let drop = if low { STEP_Y * 1.5 } else { STEP_Y };
        branch(carriers, child, Some(id), (at, y + drop), beads);
    }
}

/// Threads from mounts to the joints that hang from them, where one lineage leads the other.
fn leads(document: &Document, beads: &BTreeMap<NodeId, (Kind, f64, f64)>) -> Vec<String> {
    let thread = |a: &NodeId, b: &NodeId| {
        let (_, ax, ay) = beads.get(a)?;
        let (_, bx, by) = beads.get(b)?;
        let middle = (ax + bx) / 2.0;
        Some(format!(
            "M{ax:.1} {ay:.1}C{middle:.1} {ay:.1} {middle:.1} {by:.1} {bx:.1} {by:.1}"
        ))
    };
    let carried = document.nodes.iter().filter_map(|n| {
        let parent = n.parent?;
        let crosses =
            n.kind == Kind::Joint && beads.get(&parent).is_some_and(|p| p.0 == Kind::Mount);
        crosses.then(|| thread(&parent, &n.id))?
    });
    carried.collect()
}

/// How far the mobile hangs down over the plate, px: the figure is framed below it.
pub fn drop_of(document: &Document) -> f64 {
    hang(document).depth()
}

/// The mobile.
#[component]
pub fn Lineage() -> impl IntoView {
    let session = session();
    let hung = Memo::new(move |_| session.history.with(|h| hang(h.document())));
    let places = Memo::new(move |_| {
        hung.with(|h| {
            h.beads
                .iter()
                .map(|b| (b.id, (b.kind, b.x, b.y)))
                .collect::<BTreeMap<_, _>>()
        })
    });
    let roles = Memo::new(move |_| {
        session.history.with(|h| {
            let document = h.document();
            crate::scene::roles_now(session, document)
                .into_iter()
                .collect::<BTreeMap<_, _>>()
        })
    });
    // On a phone the mobile hangs only when asked for.
    let shown = RwSignal::new(false);
    // A bead being dragged, and where it was grabbed.
    let held = RwSignal::new(None::<(NodeId, i32, i32)>);
    let ghost = RwSignal::new(None::<(i32, i32)>);
    let moved = window_event_listener(leptos::ev::pointermove, move |e| {
        if let Some((_, x, y)) = held.get_untracked()
            && (ghost.get_untracked().is_some()
                || (e.client_x() - x).abs() + (e.client_y() - y).abs() > 8)
        {
            ghost.set(Some((e.client_x(), e.client_y())));
        }
    });
    let dropped = window_event_listener(leptos::ev::pointerup, move |e| {
        if let (Some((node, ..)), Some(_)) = (held.get_untracked(), ghost.get_untracked())
            && let Some(under) = bead_at(e.client_x(), e.client_y())
            && under != node
        {
            rehang(session, node, under);
        }
        held.set(None);
        ghost.set(None);
    });
    let cancelled = window_event_listener(leptos::ev::pointercancel, move |_| {
        held.set(None);
        ghost.set(None);
    });
    on_cleanup(move || {
        moved.remove();
        dropped.remove();
        cancelled.remove();
    });
    let threads = move || {
        hung.with(|h| {
            h.beads
                .iter()
                .map(|b| {
                    match b
                        .parent
                        .and_then(|p| places.with(|all| all.get(&p).copied()))
                    {
                        Some((_, x, y)) if (x - b.x).abs() < 0.5 => {
                            format!("M{x:.1} {y:.1}V{:.1}", b.y)
                        }
                        Some((_, x, y)) => format!(
                            "M{x:.1} {y:.1}C{x:.1} {:.1} {:.1} {y:.1} {:.1} {:.1}",
                            y + 20.0,
                            b.x,
                            b.x,
                            b.y
                        ),
                        None => format!("M{:.1} 0V{:.1}", b.x, b.y),
                    }
                })
                .collect::<String>()
        })
    };
    let led = move || {
        session
            .history
            .with(|h| places.with(|p| leads(h.document(), p).join("")))
    };
    let size = move || hung.with(|h| (h.width, h.depth()));
    let caption =
        move |kind: Kind| hung.with(|h| h.beads.iter().find(|b| b.kind == kind).map(|b| b.x));
    let cut = move || {
        hung.with(|h| {
            (h.beads.len() < h.of).then(|| {
                format!(
                    "{} of {} nodes hang here; all are on the plate.",
                    h.beads.len(),
                    h.of
                )
            })
        })
    };
    view! {
        <button
            class="lineage-switch"
            aria-expanded=move || shown.get().to_string()
            on:click=move |_| shown.update(|s| *s = !*s)
        >
            "Lineage"
        </button>
        <div class="lineage" class:shown=move || shown.get() role="group" aria-label="Lineage: who carries whom">
            <div class="mobile" style:width=move || format!("{:.0}px", size().0) style:height=move || format!("{:.0}px", size().1)>
                <svg aria-hidden="true" width=move || size().0 height=move || size().1>
                    <path class="thread" d=threads/>
                    <path class="leads" d=led/>
                    {move || caption(Kind::Mount).map(|x| view! { <text x=x + 12.0 y="18">"controls"</text> })}
                    {move || caption(Kind::Joint).map(|x| view! { <text x=x + 12.0 y="18">"skeleton"</text> })}
                </svg>
                <For each=move || hung.get().beads key=|b| (b.id, b.name.clone(), b.x as i64, b.y as i64, b.held) let:bead>
                    {
                        let id = bead.id;
                        let role = move || roles.with(|r| r.get(&id).copied()).unwrap_or(Role::Still);
                        let word = move || match role() {
                            Role::Mover => "mover",
                            Role::Carried => "carried",
                            Role::Anchored => "anchored",
                            Role::Still => "still",
                        };
                        let label = format!("{}, {}", bead.name, if bead.kind == Kind::Mount { "mount" } else { "joint" });
                        view! {
                            <button
                                class=move || format!("bead {}", word())
                                class:chosen=move || session.selected.get() == Some(id)
                                class:staple=bead.held
                                style:left=format!("{:.1}px", bead.x)
                                style:top=format!("{:.1}px", bead.y)
                                aria-label=move || format!("{label}, {}", word())
                                aria-pressed=move || (session.selected.get() == Some(id)).to_string()
                                data-node=bead.name.clone()
                                data-bead=id.0.to_string()
                                on:click=move |_| choose(session, id)
                                on:pointerdown=move |e| held.set(Some((id, e.client_x(), e.client_y())))
                            >
                                <span class="dot" aria-hidden="true"></span>
                                <span class="name" aria-hidden="true">{bead.name.clone()}</span>
                            </button>
                        }
                    }
                </For>
            </div>
            {move || cut().map(|text| view! { <p class="cut">{text}</p> })}
            <Show when=move || ghost.get().is_some()>
                <div
                    class="bead-ghost"
                    aria-hidden="true"
                    style:left=move || format!("{}px", ghost.get().map_or(0, |g| g.0))
                    style:top=move || format!("{}px", ghost.get().map_or(0, |g| g.1))
                >
                    {move || {
                        held.get().and_then(|(id, ..)| session.history.with(|h| h.document().node(id).map(|n| n.name.clone())))
                    }}
                </div>
            </Show>
        </div>
    }
}

/// The bead under a point of the screen.
fn bead_at(x: i32, y: i32) -> Option<NodeId> {
    let found = document()
        .element_from_point(x as f32, y as f32)?
        .closest("[data-bead]")
        .ok()??;
    found.get_attribute("data-bead")?.parse().ok().map(NodeId)
}

fn choose(session: Session, id: NodeId) {
    session
        .selected
        .update(|s| *s = if *s == Some(id) { None } else { Some(id) });
    let moving = session.history.with_untracked(|h| {
        let document = h.document();
        crate::session::grip_of(document, id).or_else(|| {
            // Without a grip, the dials that turn it say what it does.
            let dials: Vec<_> = document
                .dials
                .iter()
                .filter(|d| d.drives.iter().any(|r| r.node() == Some(id)))
                .map(|d| d.id)
                .collect();
            (!dials.is_empty()).then_some(Moving::Dials(dials))
        })
    });
    if let Some(moving) = moving {
        session.moving.set(moving);
    }
}

fn rehang(session: Session, node: NodeId, under: NodeId) {
    let lesson_allows = session
        .step_now()
        .is_none_or(|s| s.tools.iter().any(|t| t == "rehang"));
    if !lesson_allows {
        session.notice(
            "This step leaves the lineage as it is.",
            "Free play and the sketch page let you hang nodes anew.",
        );
        return;
    }
    let before = session
        .history
        .with_untracked(|h| h.document().node(node).and_then(|n| n.parent));
    if before != Some(under)
        && session.edit(&Edit::Rehang {
            node,
            parent: Some(under),
        })
    {
        session.say("Hung anew. Nothing on the plate moved.");
    }
}
