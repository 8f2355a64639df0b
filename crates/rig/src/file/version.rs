//! Versions of the format: which a file is of, and bringing older ones up to the newest.
use crate::Fault;
use crate::fault::Version;
use serde_json::{Value, json};

/// The newest format this build reads and the one it writes.
pub const FORMAT: &str = "handstand/2";

/// The version of a file, which is this build's newest or an older one.
///
/// # Errors
/// When it says no format, a newer one, or one that this build does not know.
pub fn known(value: &Value, format: &'static str, kind: &'static str) -> Result<u32, Fault> {
    let fault = |kind: Version| Err(Fault::new("format", kind));
    let Some(given) = value.get("format").and_then(Value::as_str) else {
        return fault(Version::Unsaid { kind, format });
    };
    // A version is written one way: neither '+2' nor '02' is one.
    let family = format.trim_end_matches(|c: char| c.is_ascii_digit());
    let version = given.strip_prefix(family).unwrap_or_default();
    let newest = format[family.len()..].parse::<u32>().unwrap_or(0);
    if version.starts_with(|c: char| ('1'..='9').contains(&c))
        && version.chars().all(|c| c.is_ascii_digit())
    {
        if let Some(version) = version.parse().ok().filter(|version| *version <= newest) {
            return Ok(version);
        }
        return fault(Version::Newer {
            given: given.to_owned(),
            newest: format,
        });
    }
    let given = given.to_owned();
    fault(Version::Unknown {
        given,
        kind,
        format,
    })
}

/// A document's file as the newest version has it, step by step.
///
/// # Errors
/// When it has what its version had not.
pub(super) fn migrated(value: Value, version: u32) -> Result<Value, Fault> {
    if version < 2 {
        second(value)
    } else {
        Ok(value)
    }
}

/// From the first version: parts and roles were told by names, and one solver had another name.
fn second(mut value: Value) -> Result<Value, Fault> {
    for (list, field) in [("nodes", "part"), ("dials", "role")] {
        let items = value.get(list).and_then(Value::as_array);
        let with = |item: &Value| item.get(field).is_some();
        if let Some(at) = items.and_then(|items| items.iter().position(with)) {
            let place = format!("{list}[{at}].{field}");
            return Err(Fault::new(place, Version::LaterField { format: FORMAT }));
        }
    }
    value["format"] = json!(FORMAT);
    let anchors = value.get_mut("anchors").and_then(Value::as_array_mut);
    for anchor in anchors.into_iter().flatten() {
        if let Some(solver) = anchor.get_mut("solver")
            && *solver == "orient"
        {
            *solver = json!("turn-with");
        }
    }
    Ok(value)
}
