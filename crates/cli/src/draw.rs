//! `handstand draw`: a document as an SVG picture.
use crate::answer::Bad;
use crate::input::{Input, shown};
use crate::save;
use clap::{Args, ValueEnum};
use figure::{Look, Sight};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Args)]
pub struct Draw {
    #[command(flatten)]
    input: Input,
    /// The picture to write
    #[arg(value_name = "OUT.svg")]
    out: PathBuf,
    /// Where to look from
    #[arg(long, value_enum, default_value = "side")]
    view: From,
    /// Light or dark
    #[arg(long, value_enum, default_value = "paper")]
    look: Colours,
}

#[derive(Clone, Copy, ValueEnum)]
enum From {
    Side,
    Front,
    Top,
    Oblique,
}

#[derive(Clone, Copy, ValueEnum)]
enum Colours {
    Paper,
    Slate,
}

/// Size of the picture, px.
const SIZE: (f64, f64) = (960.0, 600.0);
/// The oblique view's turn and tip, radians: a right hand's thumb side and back both show.
const YAW: f64 = -0.6;
const PITCH: f64 = 0.4;

impl Draw {
    pub fn run(&self) -> Result<ExitCode, Bad> {
        self.spares_its_input()?;
        let posed = self.input.read()?;
        let sight = match self.view {
            From::Side => Sight::Side,
            From::Front => Sight::Front,
            From::Top => Sight::Top,
            From::Oblique => Sight::Oblique {
                yaw: YAW,
                pitch: PITCH,
            },
        };
        let look = match self.look {
            Colours::Paper => Look::Paper,
            Colours::Slate => Look::Slate,
        };
        let picture = figure::picture(&posed, sight, SIZE, look);
        save::whole(&self.out, &picture).map_err(|error| {
            let out = shown(&self.out);
            format!("{out}: the picture cannot be written ({error}); name a place you may write.")
        })?;
        Ok(ExitCode::SUCCESS)
    }

    /// Refuses to draw over the document, however it is spelt, or over another one.
    fn spares_its_input(&self) -> Result<(), Bad> {
        let out = shown(&self.out);
        // Where one of the two cannot be looked at, reading or writing it says so.
        if same_file::is_same_file(self.input.path(), &self.out).unwrap_or(false) {
            return Err(format!(
                "{out}: this is the document itself, which the picture would overwrite; give the picture another name."
            ));
        }
        let place = save::place(&self.out);
        let named = |path: &Path| path.extension().is_some_and(|end| end == "json");
        if named(&self.out) || named(&place) {
            return Err(format!(
                "{out}: this is the name of a document, and a picture is written; end its name in .svg."
            ));
        }
        Ok(())
    }
}
