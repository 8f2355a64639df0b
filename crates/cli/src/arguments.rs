//! What is wrong with a command line, in one sentence as everything else is.
use crate::answer::{Bad, say};
use crate::input::WORD;
use clap::error::{ContextKind, ContextValue, Error, ErrorKind};
use rig::text::line;
use std::process::ExitCode;

/// Answers where help or the version was asked for; else says what is wrong.
pub fn told(error: &Error) -> Result<ExitCode, Bad> {
    let given = |kind| {
        error
            .get(kind)
            .map_or(String::new(), |value| line(&words(value), WORD))
    };
    let argument = given(ContextKind::InvalidArg);
    let known = |kind| match given(kind) {
        none if none.is_empty() => "see handstand --help".to_owned(),
        some => format!("use one of {some}"),
    };
    let (what, mend) = match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => {
            say(&error.to_string())?;
            return Ok(ExitCode::SUCCESS);
        }
        ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand | ErrorKind::MissingSubcommand => (
            "no command is given".to_owned(),
            "use one of pose, survey, draw, lint, or see handstand --help".to_owned(),
        ),
        ErrorKind::InvalidSubcommand => (
            format!(
                "there is no command '{}'",
                given(ContextKind::InvalidSubcommand)
            ),
            "use one of pose, survey, draw, lint, or see handstand --help".to_owned(),
        ),
        ErrorKind::UnknownArgument => (
            format!("'{argument}' has no place here"),
            match given(ContextKind::SuggestedArg) {
                none if none.is_empty() => "leave it out, or see handstand --help".to_owned(),
                near => format!("write {near}, or see handstand --help"),
            },
        ),
        ErrorKind::MissingRequiredArgument => (
            format!("{argument} is missing"),
            "give it, or see handstand --help".to_owned(),
        ),
        ErrorKind::ArgumentConflict => (
            format!(
                "{argument} and {} do not go together",
                given(ContextKind::PriorArg)
            ),
            "leave one of them out".to_owned(),
        ),
        ErrorKind::InvalidValue if given(ContextKind::InvalidValue).is_empty() => (
            format!("{argument} has no value"),
            known(ContextKind::ValidValue),
        ),
        ErrorKind::InvalidValue => (
            format!("{argument} is not '{}'", given(ContextKind::InvalidValue)),
            known(ContextKind::ValidValue),
        ),
        ErrorKind::InvalidUtf8 => (
            "an argument is not text in UTF-8".to_owned(),
            "write it anew".to_owned(),
        ),
        _ => (
            "the arguments do not fit together".to_owned(),
            "see handstand --help".to_owned(),
        ),
    };
    Err(format!("{what}; {mend}."))
}

fn words(value: &ContextValue) -> String {
    match value {
        ContextValue::Strings(words) => words.join(", "),
        other => other.to_string(),
    }
}
