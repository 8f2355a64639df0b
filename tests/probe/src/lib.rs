//! What tests ask of the core in a browser. Apart from the app, whose module would otherwise carry
//! code to every learner that only tests call: each export keeps all that it reaches.

use wasm_bindgen::prelude::*;

/// A document's pose as JSON: the same bytes as `handstand pose --json`. Fails with the sentence it prints.
#[wasm_bindgen]
pub fn pose(document: &str) -> Result<String, String> {
    let document = hand::read(document).map_err(|f| f.to_string())?;
    let posed = rig::Posed::new(&document).map_err(|f| f.to_string())?;
    Ok(rig::report::pose_json(&posed))
}

/// The same of a document after so many random edits, from a seed.
#[wasm_bindgen(js_name = poseEdited)]
pub fn pose_edited(document: &str, seed: u32, count: usize) -> Result<String, String> {
    let document = hand::read(document).map_err(|f| f.to_string())?;
    let (document, _) = testkit::edited(&document, seed.into(), count);
    let posed = rig::Posed::new(&document).map_err(|f| f.to_string())?;
    Ok(rig::report::pose_json(&posed))
}
