//! A step that builds: its acts with their ticks, what was refused, and the tools for them.
use super::again::StartAgain;
use super::sheet::scroll_to;
use crate::plate::place_on_plate;
use crate::state::{Session, session};
use crate::widgets::rig_tools::{Choice, names};
use course::Rung;
use course::build::{hang_of, put_of, rested};
use leptos::html::Ol;
use leptos::prelude::*;
use rig::{Kind, NodeId, Vec3};
use workbook::building::{Line, lines};
use workbook::pencil::Tool;

/// The acts as they stand.
fn acts(session: Session) -> Vec<Line> {
    let step = session.building();
    step.map_or_else(Vec::new, |step| {
        lines(step.task.acts(), &session.found(), session.taken())
    })
}

/// The acts on the page.
#[component]
pub fn Building() -> impl IntoView {
    let session = session();
    let course = session.course;
    minded(session);
    let lines = Memo::new(move |_| acts(session));
    let list = NodeRef::<Ol>::new();
    // What is said of them stands under them, and is to be seen.
    Effect::new(move || {
        let said = course.refused.with(Option::is_some) || course.mark.with(Option::is_some);
        if let Some(list) = list.get().filter(|_| said) {
            scroll_to(&list);
        }
    });
    let line = |(at, line): (usize, Line)| {
        let Line {
            title,
            done,
            now,
            told,
            how,
        } = line;
        let mark = if done {
            "✓".into()
        } else {
            (at + 1).to_string()
        };
        let told =
            told.map(|told| view! { <p class=if done { "told" } else { "amiss" }>{told}</p> });
        view! {
            <li class="act" class:done=done class:now=now>
                <span class="mark" aria-hidden="true">{mark}</span>
                <div>
                    <b>{title}</b>
                    <span class="spoken">{done.then_some(", done")}</span>
                    {told}
                    {now.then(|| view! { <p>{how}</p> })}
                </div>
            </li>
        }
    };
    view! {
        <ol class="acts" node_ref=list>
            {move || lines.get().into_iter().enumerate().map(line).collect_view()}
        </ol>
        {move || match said(session) {
            Some((true, "Refused.", told)) => view! { <div class="refused"><h3>"Refused"</h3><p>{told}</p></div> }.into_any(),
            Some((amiss, word, told)) => view! {
                <p class=if amiss { "verdict amiss" } else { "verdict good" }>{if amiss { told } else { word.into() }}</p>
                {next(session).map(|next| view! { <p class="rung">{next}</p> })}
            }
            .into_any(),
            None => ().into_any(),
        }}
        <div class="actions">
            <StartAgain/>
        </div>
    }
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

/// What was refused, else what the last check found: whether it is amiss, a word and the rest.
fn said(session: Session) -> Option<(bool, &'static str, String)> {
    let course = session.course;
    if let Some(told) = course.refused.get() {
        return Some((true, "Refused.", told));
    }
    let rung = course.rung.get();
    course.mark.with(|mark| {
        let mark = mark.as_ref()?;
        let told = mark.findings.last()?.told(rung);
        Some(match mark.passed {
            true => (false, "It holds.", told),
            false => (true, "Not yet.", told),
        })
    })
}

/// What another try will tell, where it tells more.
fn next(session: Session) -> Option<&'static str> {
    let rung = session.course.rung.get();
    let more = session.course.mark.with(|mark| {
        let last = mark.as_ref()?.findings.last()?.clone();
        Some(last.told(rung) != last.to_string())
    });
    more.filter(|more| *more)?;
    match rung {
        Rung::Where => Some("Mend it and lift again: then it says which way."),
        Rung::Way => Some("Mend it and lift again: then it says how far."),
        Rung::Number => None,
    }
}

/// What a phone says of the acts: what is in the hand, was refused or found, else what to do now.
pub fn strip(session: Session) -> AnyView {
    let taken = session.taken();
    let lines = acts(session);
    let now = lines.iter().position(|line| line.now);
    let (before, word, rest) = match (taken, said(session), now) {
        (Some(taken), ..) => (None, taken, String::new()),
        (_, Some((_, word, told)), _) => (None, word.into(), told),
        (_, _, Some(at)) => {
            let before = at.checked_sub(1).and_then(|at| lines[at].told.as_ref());
            let before = before.map(|told| format!("✓ {told} "));
            let Line {
                title, told, how, ..
            } = &lines[at];
            let rest = format!("{} {how}", told.as_deref().unwrap_or_default());
            (before, format!("{title}."), rest)
        }
        _ => return ().into_any(),
    };
    view! { <span class="told">{before}</span><b>{word}</b>" "{rest} }.into_any()
}

/// Whether the mount is still to be put.
pub fn puts(session: Session) -> bool {
    acts(session).first().is_some_and(|line| line.now)
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
    let fresh = Memo::new(move |_| puts(session));
    let mount = untrack(|| session.building());
    let mount = mount.and_then(|step| put_of(step.task.acts()).map(|put| put.mount.clone()));
    let mount = mount.unwrap_or_default();
    view! {
        <button
            class="tool puts"
            class:main=fresh
            aria-pressed=move || taken().to_string()
            on:pointerdown=move |_| dragged.set_value(true)
            on:click=move |_| {
                session.stage.selected.set(None);
                session.camera.tool.set(if taken() { Tool::Hand } else { Tool::AddMount });
                session.shell.say(session.taken().unwrap_or_default());
            }
        >
            {move || if fresh.get() { format!("Put a {mount}") } else { format!("Put the {mount} elsewhere") }}
        </button>
    }
}

/// The desk's tools of a step that builds.
#[component]
pub fn BuildTools() -> impl IntoView {
    let session = session();
    let builds = Memo::new(move |_| session.building().is_some());
    view! {
        <Show when=move || builds.get()>
            <div class="tool-row put"><PutMount/></div>
            <details class="fold">
                <summary>"By name or by number"</summary>
                <div class="fold-inside"><ByName/></div>
            </details>
        </Show>
    }
}

/// Both acts without a drag.
#[component]
fn ByName() -> impl IntoView {
    let session = session();
    let stage = session.stage;
    let joint = RwSignal::new(None::<u32>);
    let all = Memo::new(move |_| names(stage));
    let is_joint = move |id: u32| {
        stage.with(|s| {
            s.document()
                .node(NodeId(id))
                .is_some_and(|n| n.kind == Kind::Joint)
        })
    };
    let joints = Memo::new(move |_| {
        let mut all = all.get();
        all.retain(|(id, _)| is_joint(*id));
        all
    });
    let at = [(); 2].map(|()| RwSignal::new("0".to_string()));
    Effect::new(move || {
        if let Some(id) = joint.get() {
            let place = stage.with_untracked(|s| rested(s.posed()).point(NodeId(id)));
            at[0].set(workbook::number::plain(place.x));
            at[1].set(workbook::number::plain(place.y));
        }
    });
    let field = move |name: &'static str, of: RwSignal<String>| {
        view! {
            <label class="choice">
                <span>{name}</span>
                <input
                    type="number"
                    step="any"
                    prop:value=of
                    on:input=move |e| {
                        joint.set(None);
                        of.set(event_target_value(&e));
                    }
                />
            </label>
        }
    };
    let put = move |_| {
        let [x, y] = at.map(|of| of.with_untracked(|text| text.trim().parse::<f64>()));
        match (x, y) {
            (Ok(x), Ok(y)) => session.put_mount(Vec3::new(x, y, 0.0)),
            _ => session
                .shell
                .notice("x and y must be numbers", "Nothing was changed."),
        }
    };
    let hung = untrack(|| session.building());
    let hung = hung.and_then(|step| hang_of(step.task.acts()).map(|hang| hang.node.clone()));
    let hung = StoredValue::new(hung.unwrap_or_default());
    let under = RwSignal::new(None::<u32>);
    let hang = move |_| {
        let node = stage.named(&hung.get_value());
        if let Some((node, under)) = node.zip(under.get_untracked()) {
            session.hang_from(node, NodeId(under));
        }
    };
    view! {
        <div class="tool-row">
            <Choice label="The mount goes to" names=joints picked=joint/>
            {field("or x, mm", at[0])}
            {field("y, mm", at[1])}
            <button class="tool" on:click=put>"Put it there"</button>
        </div>
        <div class="tool-row">
            <Choice label=format!("The {} hangs from", hung.get_value()) names=all picked=under/>
            <button class="tool" disabled=move || under.get().is_none() on:click=hang>"Hang it"</button>
        </div>
    }
}
