//! A step's tools: the page's `tools.rs` and what it is made of.
use crate::html::{button, escaped, list, switch};
use crate::step::put;
use course::mounts::{rest, turn};
use course::signs::sides;
use course::{Step, Tool};
use rig::{Order, Posed};
use workbook::desk::whole;
use workbook::turn_order::told;

pub fn tools(posed: &Posed, step: Option<&Step>) -> String {
    let offered = step.map_or(&[][..], |step| &step.tools);
    let built = built(step);
    if offered.is_empty() && built.is_empty() {
        return String::new();
    }
    let mut out = format!(r#"<div class="tools">{built}"#);
    for tool in [Tool::LetGo, Tool::Rehang, Tool::Poses] {
        if !offered.contains(&tool) {
            continue;
        }
        out += &match tool {
            Tool::LetGo => button("tool", let_go(posed)),
            Tool::Rehang => rehang(posed),
            _ => format!(
                r#"<div class="tool-row">{}{}{}</div>"#,
                button("tool", "Keep as first"),
                button("tool", "Keep as second"),
                button("tool", "Play between")
            ),
        };
    }
    out.extend(offered.iter().map(|tool| of_nodes(posed, tool)));
    out + "</div>"
}

/// The tools of a step that builds: the page's `acts.rs`.
fn built(step: Option<&Step>) -> String {
    let step = step.filter(|step| !step.task.acts().is_empty());
    step.map_or_else(String::new, |step| {
        format!(
            r#"<div class="tool-row put">{}</div><details class="fold" inert><summary>By name or by number</summary></details>"#,
            button("tool puts main", &put(step))
        )
    })
}

/// A tool that is for certain nodes.
fn of_nodes(posed: &Posed, tool: &Tool) -> String {
    let rig = posed.rig();
    let named = |name: &String| rig.node_named(name).map(|node| node.id);
    match tool {
        Tool::Mounts(joints) => acts(joints.iter().map(|joint| {
            let by = rest(posed, joint).map_or(0.0, |by| turn(&by));
            let turned = format!("Turn the mount by {}", whole(by));
            let both = button("tool", "Mount above") + &button("tool", &turned);
            (joint.clone(), both)
        })),
        Tool::Signs(under) => {
            let sides = named(under).map(|under| sides(rig, under));
            let row = |name: String| (name, switch(&["same", "opposite"]));
            acts(sides.unwrap_or_default().into_iter().map(|s| row(s.name)))
        }
        Tool::Order(node) => named(node).map_or_else(String::new, |node| {
            let words = Order::ALL.map(|order| told(rig, node, order));
            let list = list(&words);
            format!(r#"<label class="choice"><span>Turns, outermost first</span>{list}</label>"#)
        }),
        Tool::LetGo | Tool::Rehang | Tool::Poses | Tool::Map => String::new(),
    }
}

fn acts(rows: impl Iterator<Item = (String, String)>) -> String {
    let rows = rows.map(|(of, inside)| {
        let of = escaped(&of);
        format!(r#"<div class="tool-row"><span class="act-of">{of}</span>{inside}</div>"#)
    });
    format!(r#"<div class="acts">{}</div>"#, rows.collect::<String>())
}

fn let_go(posed: &Posed) -> &'static str {
    if posed.setting().active.contains(&false) {
        "Anchors: let go"
    } else {
        "Anchors: holding"
    }
}

fn rehang(posed: &Posed) -> String {
    let nodes = workbook::names::nodes(posed.document()).into_iter();
    let names: Vec<_> = std::iter::once("choose".to_owned())
        .chain(nodes.map(|(_, name)| name))
        .collect();
    let choice = |label: &str| {
        format!(
            r#"<label class="choice"><span>{label}</span>{}</label>"#,
            list(&names)
        )
    };
    format!(
        r#"<div class="tool-row">{}{}{}</div>"#,
        choice("Hang"),
        choice("under"),
        button("tool", "Hang")
    )
}
