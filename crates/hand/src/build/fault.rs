//! What no hand can be.
use rig::Fault;

pub(crate) fn impossible(what: String, mend: &str) -> Fault {
    Fault {
        place: "hand".to_owned(),
        what,
        mend: mend.to_owned(),
    }
}
