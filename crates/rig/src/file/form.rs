//! From a JSON value to a file's form, with the path to what is wrong.
use serde::de::DeserializeOwned;
use serde_json::Value;
use serde_path_to_error::{Deserializer, Path, Track};

/// Reads a form.
///
/// The deserializer is erased, so that each form's code exists once and not once for every
/// layer of wrapping: a tenth of the page's module otherwise.
///
/// # Errors
/// Where, and what serde says of it.
pub fn form<T: DeserializeOwned>(value: &Value) -> Result<T, (Path, String)> {
    let mut track = Track::new();
    let read = {
        let mut erased =
            <dyn erased_serde::Deserializer>::erase(Deserializer::new(value, &mut track));
        erased_serde::deserialize(&mut erased)
    };
    read.map_err(|error| (track.path(), error.to_string()))
}
