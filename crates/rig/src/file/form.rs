//! From a JSON value to a file's form, with the path to what is wrong.
use serde::de::DeserializeOwned;
use serde_json::Value;
use serde_path_to_error::Path;

/// Reads a form.
///
/// # Errors
/// Where, and what serde says of it.
pub fn form<T: DeserializeOwned>(value: &Value) -> Result<T, (Path, String)> {
    serde_path_to_error::deserialize(value)
        .map_err(|error| (error.path().clone(), error.inner().to_string()))
}
