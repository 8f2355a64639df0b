//! A step that builds: its acts with their ticks, what was refused, and the tools for them.
use super::StartAgain;
use super::words::next_rung;
use crate::plate::place_on_plate;
use crate::state::{Session, session};
use crate::widgets::fields::{Fold, Number};
use crate::widgets::rig_tools::{Choice, names};
use course::build::{hang_of, put_of, rested};
use course::finding::Kind as Found;
use course::{Act, Finding};
use leptos::prelude::*;
use rig::{Kind, NodeId, Vec3};
use workbook::pencil::Tool;

/// The acts on the page.
#[component]
pub fn Building() -> impl IntoView {
    let session = session();
    let course = session.course;
    minded(session);
    let found = Memo::new(move |_| session.found());
    let acts = session.acts().into_iter().enumerate();
    let lines = acts.map(|(index, act)| {
        let told = move || found.with(|all| all.get(index).filter(|it| it.ok()).map(Finding::to_string));
        let told = Memo::new(move |_| told());
        let done = move || told.with(Option::is_some);
        let now = move || found.with(|all| all.iter().filter(|it| it.ok()).count() == index);
        let how = StoredValue::new(act.how().to_owned());
        // Hung from something else: said, for it is allowed.
        let short = move || {
            found.with(|all| all.get(index).filter(|it| elsewhere(it)).map(Finding::to_string))
        };
        view! {
            <li class="act" class:done=done class:now=now aria-current=move || now().then_some("step")>
                <span class="mark" aria-hidden="true">{move || if done() { "✓".to_string() } else { (index + 1).to_string() }}</span>
                <div>
                    <b>{act.title().to_owned()}</b>
                    <span class="spoken">{move || done().then_some(", done")}</span>
                    {move || told.get().map(|told| view! { <p class="told">{told}</p> })}
                    {move || now().then(|| view! { <p>{taken(session).unwrap_or_else(|| how.get_value())}</p> })}
                    {move || short().map(|told| view! { <p class="amiss">{told}</p> })}
                </div>
            </li>
        }
    });
    view! {
        <ol class="acts">{lines.collect_view()}</ol>
        <Refused/>
        {move || amiss(session).map(|(told, next)| view! {
            <p class="verdict amiss">{told}</p>
            {next.map(|said| view! { <p class="rung">{said}</p> })}
        })}
        {move || course.mark.with(|m| m.as_ref().is_some_and(|m| m.passed)).then(|| view! { <p class="verdict good">"It holds."</p> })}
        <div class="actions">
            <StartAgain/>
        </div>
    }
}

fn elsewhere(it: &Finding) -> bool {
    matches!(it.kind, Found::NotHung { under: Some(_), .. })
}

/// What is in the hand already, and what to press next.
fn taken(session: Session) -> Option<String> {
    if session.camera.tool.get() == Tool::AddMount {
        return Some("Now press a place on the figure.".into());
    }
    let chosen = session.stage.selected.get()?;
    let name = session.stage.name(chosen)?;
    let hung = session.hangs_now(chosen);
    hung.then(|| format!("The {name} is taken. Now press the bead that it should hang from."))
}

/// Checks when the last act is reached: at the end of a drag, or as the figure comes.
fn minded(session: Session) {
    let stage = session.stage;
    Effect::new(move |before: Option<u32>| {
        let opened = stage.opened.get();
        stage.settled.track();
        untrack(|| session.mind_acts(before != Some(opened)));
        opened
    });
}

#[component]
fn Refused() -> impl IntoView {
    let refused = session().course.refused;
    move || {
        refused.get().map(|told| {
            view! {
                <div class="refused">
                    <h3>"Refused"</h3>
                    <p>{told}</p>
                </div>
            }
        })
    }
}

/// What the last check found amiss, at the rung it is told, and what another try will say.
fn amiss(session: Session) -> Option<(String, Option<&'static str>)> {
    let course = session.course;
    let rung = course.rung.get();
    course.mark.with(|mark| {
        let last = mark.as_ref()?.findings.last().filter(|it| !it.ok())?;
        let hinted = last.told(rung) != last.to_string();
        Some((last.told(rung), hinted.then(|| next_rung(rung)).flatten()))
    })
}

/// Whether the mount is still to be put.
pub fn puts(session: Session) -> bool {
    matches!(session.act(), Some(Act::Put(_)))
}

/// What a phone says of the acts: what was refused or found, else what to do now.
pub fn strip(session: Session) -> AnyView {
    if let Some(told) = taken(session) {
        return view! { <b>{told}</b> }.into_any();
    }
    if let Some(told) = session.course.refused.get() {
        return view! { <b>"Refused."</b>" "{told} }.into_any();
    }
    if let Some((told, _)) = amiss(session) {
        return view! { <b>"Not yet."</b>" "{told} }.into_any();
    }
    let found = session.found();
    let acts = session.acts();
    let done = found.iter().filter(|it| it.ok()).count();
    let Some(act) = acts.get(done) else {
        let told = found.last().map(ToString::to_string);
        return view! { <b>"It holds."</b>" "{told} }.into_any();
    };
    let (title, how) = (act.title().to_owned(), act.how().to_owned());
    let before = done.checked_sub(1).and_then(|at| found.get(at));
    let before = before.map(|it| view! { <span class="told">"✓ "{it.to_string()}</span>" " });
    // Hung from something else: said, for it is allowed.
    let short = found.get(done).filter(|it| elsewhere(it));
    let short = short.map(|it| view! { <span class="amiss">{it.to_string()}</span>" " });
    view! { {before}{short}<b>{title}"."</b>" "{how} }.into_any()
}

/// The tool that puts the mount.
#[component]
pub fn PutMount() -> impl IntoView {
    let session = session();
    let taken = move || session.camera.tool.get() == Tool::AddMount;
    // Dragged off the button, the mount is put where it is let go.
    let dragged = StoredValue::new(false);
    let dropped = window_event_listener(leptos::ev::pointerup, move |e| {
        if dragged.get_value() {
            dragged.set_value(false);
            if let Some(at) = place_on_plate(session, e.client_x(), e.client_y()) {
                session.put_mount(session.spot(at).at);
            }
        }
    });
    on_cleanup(move || dropped.remove());
    let named = move || {
        let acts = session.acts();
        let mount = put_of(&acts).map_or_else(String::new, |put| put.mount.clone());
        match session
            .stage
            .with(|s| s.document().node_named(&mount).is_some())
        {
            true => format!("Put the {mount} elsewhere"),
            false => format!("Put a {mount}"),
        }
    };
    view! {
        <button
            class="main tool"
            aria-pressed=move || taken().to_string()
            on:pointerdown=move |_| dragged.set_value(true)
            on:click=move |_| {
                session.stage.selected.set(None);
                session.camera.tool.set(if taken() { Tool::Hand } else { Tool::AddMount });
                if taken() {
                    session.shell.say("Press a place on the figure.");
                }
            }
        >
            {named}
        </button>
    }
}

/// The desk's tools of a step that builds.
#[component]
pub fn BuildTools() -> impl IntoView {
    let session = session();
    let builds = Memo::new(move |_| !session.acts().is_empty());
    view! {
        <Show when=move || builds.get()>
            <div class="tool-row put"><PutMount/></div>
            <Fold title="By name or by number"><ByName/></Fold>
        </Show>
    }
}

/// Both acts without a drag.
#[component]
fn ByName() -> impl IntoView {
    let session = session();
    let stage = session.stage;
    let (x, y) = (RwSignal::new(0.0), RwSignal::new(0.0));
    let joint = RwSignal::new(None::<u32>);
    let joints = Memo::new(move |_| {
        stage.with(|s| {
            let nodes = s.document().nodes.iter();
            let joints = nodes.filter(|node| node.kind == Kind::Joint && !node.hidden);
            joints
                .map(|node| (node.id.0, node.name.clone()))
                .collect::<Vec<_>>()
        })
    });
    Effect::new(move || {
        if let Some(id) = joint.get() {
            let at = stage.with_untracked(|s| rested(s.posed()).point(NodeId(id)));
            x.set(at.x);
            y.set(at.y);
        }
    });
    let number = move |of: RwSignal<f64>| {
        Callback::new(move |to| {
            of.set(to);
            joint.set(None);
            true
        })
    };
    let under = RwSignal::new(None::<u32>);
    let all = Memo::new(move |_| names(stage));
    let hung = move || {
        let acts = session.acts();
        hang_of(&acts).map_or_else(String::new, |hang| hang.node.clone())
    };
    let hang = move |_| {
        let node = untrack(|| stage.named(&hung()));
        if let Some((node, under)) = node.zip(under.get_untracked()) {
            session.hang_from(node, NodeId(under));
        }
    };
    view! {
        <div class="tool-row">
            <Choice label="The mount goes to" names=joints picked=joint/>
            <Number label="or x" value=x set=number(x)/>
            <Number label="y" value=y set=number(y)/>
            <button class="tool" on:click=move |_| session.put_mount(Vec3::new(x.get_untracked(), y.get_untracked(), 0.0))>
                "Put it there"
            </button>
        </div>
        <div class="tool-row">
            <Choice label=format!("The {} hangs from", untrack(hung)) names=all picked=under/>
            <button class="tool" disabled=move || under.get().is_none() on:click=hang>"Hang it"</button>
        </div>
    }
}
