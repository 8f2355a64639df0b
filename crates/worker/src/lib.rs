//! The bench of `survey_job` in a Web Worker: `www/survey.js` starts it and carries messages.
use js_sys::{Array, Float64Array};
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
extern "C" {
    #[wasm_bindgen(js_namespace = performance)]
    fn now() -> f64;
}

/// See [`survey_job::Bench`].
#[wasm_bindgen]
#[derive(Default)]
pub struct Bench(survey_job::Bench);

#[wasm_bindgen]
impl Bench {
    /// Nothing to do yet.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        console_error_panic_hook::set_once();
        Self::default()
    }

    /// Takes an order. Fails with a sentence.
    pub fn take(&mut self, order: &str) -> Result<(), String> {
        self.0.take(order)
    }

    /// Works for about so many ms. A reply: its text, and its numbers if it has any; none of either
    /// of what is not done, unless it shall tell of that. Nothing: there is no work left.
    pub fn step(&mut self, ms: f64, tell: bool) -> Option<Array> {
        let until = now() + ms;
        let Some(reply) = self.0.work(&mut || now() < until, tell)? else {
            return Some(Array::new());
        };
        let text = serde_json::to_string(&reply).expect("names and numbers always serialise");
        let whole = Array::of1(&text.into());
        if !reply.numbers.is_empty() {
            whole.push(&Float64Array::from(&reply.numbers[..]));
        }
        Some(whole)
    }
}
