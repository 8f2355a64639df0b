//! `handstand pose`: where every node is.
use crate::answer::{Bad, say};
use crate::input::Input;
use crate::table::{columns, plain};
use clap::Args;
use rig::index::Index;
use rig::{Order, Posed};
use std::f64::consts::PI;
use std::process::ExitCode;

#[derive(Args)]
pub struct Pose {
    #[command(flatten)]
    input: Input,
    /// Prints JSON: positions and unit quaternions x, y, z, w in world space
    #[arg(long)]
    json: bool,
}

impl Pose {
    pub fn run(&self) -> Result<ExitCode, Bad> {
        let posed = self.input.read()?;
        if self.json {
            say(&(rig::report::pose_json(&posed) + "\n"))?;
        } else {
            say(&table(&posed))?;
        }
        Ok(ExitCode::SUCCESS)
    }
}

fn table(posed: &Posed) -> String {
    let document = posed.document();
    let heads = [
        "node",
        "carried by",
        "x mm",
        "y mm",
        "z mm",
        "turn x°",
        "turn y°",
        "turn z°",
    ];
    let index = Index::new(document.nodes.iter().map(|node| node.id.0));
    let mut rows = vec![heads.map(str::to_owned).to_vec()];
    for node in &document.nodes {
        let world = posed.world(node.id);
        let turns = Order::Xyz
            .decompose(&world.rotation)
            .map(|turn| plain(turn * 180.0 / PI));
        let place = <[f64; 3]>::from(world.translation.vector).map(plain);
        let parent = node
            .parent
            .and_then(|id| index.get(id.0))
            .map_or("", |at| &document.nodes[at].name);
        let names = [node.name.clone(), parent.to_owned()];
        rows.push(names.into_iter().chain(place).chain(turns).collect());
    }
    let mut text = columns(&rows, 2);
    if !document.anchors.is_empty() {
        let heads = ["anchor", "residual mm", "reach margin mm"];
        let mut rows = vec![heads.map(str::to_owned).to_vec()];
        for anchor in &document.anchors {
            let outcome = posed.outcome(anchor.id);
            let numbers = [outcome.residual, outcome.reach_margin].map(plain);
            rows.push(
                std::iter::once(anchor.name.clone())
                    .chain(numbers)
                    .collect(),
            );
        }
        text += "\n";
        text += &columns(&rows, 1);
    }
    text
}
