//! What a command says, and where.
use std::io::{ErrorKind, Write};

/// What went wrong with the input, in one sentence.
pub type Bad = String;

/// Says what is wrong with the input. Where nobody listens, the exit status has to do.
pub fn complain(bad: &str) {
    let _ = writeln!(std::io::stderr(), "handstand: {bad}");
}

/// Prints an answer. A reader that has seen enough (`| head`) is not an error.
pub fn say(text: &str) -> Result<(), Bad> {
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(format!(
            "the answer cannot be written ({error}); give it somewhere to go."
        )),
        _ => Ok(()),
    }
}
