//! Questions put to the page's own surveying worker.

use crate::Page;
use anyhow::{Context, Result, ensure};
use serde_json::json;
use survey_job::{Order, Question, Reply};

/// What came of a question: the last reply, and ms from asking till it came.
pub struct Asked {
    pub reply: Reply,
    pub ms: f64,
}

impl Page {
    /// Asks a worker of its own about a document, as often as is said; the first time is not
    /// timed, since the worker has to load.
    pub async fn ask_surveyor(
        &self,
        document: &rig::Document,
        question: &Question,
        times: u32,
    ) -> Result<Vec<Asked>> {
        let figure = serde_json::to_string(&Order::Figure(rig::write(document)))?;
        let asks: Vec<_> = (0..=times)
            .map(|number| {
                let question = question.clone();
                serde_json::to_string(&Order::Ask { number, question })
            })
            .collect::<Result<_, _>>()?;
        // Numbers cross by their bits: JSON has no −0.
        let answered = self
            .eval(&format!(
                "(async () => {{
                  const worker = window.handstandSurveyor();
                  const answers = [];
                  worker.postMessage({figure});
                  for (const ask of {asks}) {{
                    const began = performance.now();
                    const data = await new Promise((resolve, reject) => {{
                      worker.onerror = (e) => reject(new Error(e.message || 'not loaded'));
                      worker.onmessage = ({{ data }}) => {{
                        if (data[0] === null) reject(new Error(data[1]));
                        else if (JSON.parse(data[0]).done) resolve(data);
                      }};
                      worker.postMessage(ask);
                    }});
                    answers.push([performance.now() - began, data]);
                  }}
                  worker.terminate();
                  const bits = (n) => n ? Array.from(new BigUint64Array(n.buffer), String).join(' ') : '';
                  return answers.map(([ms, [text, numbers]]) => [ms, text, bits(numbers)]);
                }})()",
                figure = json!(figure),
                asks = json!(asks),
            ))
            .await?;
        let answered: Vec<(f64, String, String)> = serde_json::from_value(answered)?;
        ensure!(answered.len() == asks.len());
        answered
            .into_iter()
            .skip(1)
            .map(|(ms, text, bits)| {
                let mut reply: Reply = serde_json::from_str(&text)?;
                let numbers = bits.split_whitespace().map(str::parse);
                let numbers: Vec<u64> = numbers.collect::<Result<_, _>>().context("bits")?;
                reply.numbers = numbers.into_iter().map(f64::from_bits).collect();
                Ok(Asked { reply, ms })
            })
            .collect()
    }
}
