//! The `handstand` command: poses, draws and checks documents from a terminal or a script.
//!
//! Exit status: 0, 1 (an answer of 'no'), 2 (bad input, said in one sentence).
use clap::{Parser, Subcommand};
use std::process::ExitCode;

mod answer;
mod arguments;
mod draw;
mod input;
mod lint;
mod pose;
mod save;
mod survey;
mod table;

/// Poses, draws and checks Handstand documents. Lengths in mm, angles in degrees.
#[derive(Parser)]
#[command(name = "handstand", version)]
struct Command {
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// Tells where every node of a document is, in the world
    Pose(pose::Pose),
    /// Sweeps two dials and tells where everything planted stays; status 1 when it does nowhere
    Survey(survey::Survey),
    /// Draws a document as an SVG picture
    Draw(draw::Draw),
    /// Checks documents and lessons; status 1 when something is wrong with one
    Lint(lint::Lint),
}

fn main() -> ExitCode {
    let told = match Command::try_parse() {
        Ok(command) => match command.task {
            Task::Pose(pose) => pose.run(),
            Task::Survey(survey) => survey.run(),
            Task::Draw(draw) => draw.run(),
            Task::Lint(lint) => lint.run(),
        },
        Err(error) => arguments::told(&error),
    };
    told.unwrap_or_else(|bad| {
        answer::complain(&bad);
        ExitCode::from(2)
    })
}
