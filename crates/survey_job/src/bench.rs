//! What is worked at: one question of each lane at most.
use crate::job::Job;
use crate::{Answer, Lane, Order, Reply};
use rig::Posed;
use std::collections::BTreeMap;

/// Takes orders and works at them in steps.
#[derive(Default)]
pub struct Bench {
    figure: Option<Posed>,
    jobs: BTreeMap<Lane, (u32, Job)>,
}

impl Bench {
    /// Takes an order as text.
    ///
    /// # Errors
    /// When it is none, or its document cannot be read: a mistake of who sent it.
    pub fn take(&mut self, order: &str) -> Result<(), String> {
        match serde_json::from_str(order).map_err(|why| why.to_string())? {
            Order::Figure(text) => {
                let document = hand::read(&text).map_err(|f| f.to_string())?;
                self.figure = Some(Posed::new(&document).map_err(|f| f.to_string())?);
            }
            Order::Ask { number, question } => {
                let lane = question.lane();
                let job = Job::new(self.figure.as_ref(), question);
                self.jobs.insert(lane, (number, job));
            }
            Order::Leave(lane) => {
                self.jobs.remove(&lane);
            }
        }
        Ok(())
    }

    /// Works at the first lane that has work, while `more` says that there is time. None: there
    /// is nothing left to do.
    pub fn step(&mut self, more: &mut dyn FnMut() -> bool) -> Option<Reply> {
        self.work(more, true).map(|reply| reply.expect("it tells"))
    }

    /// The same; of what is not done it tells only if it shall, for that costs who hears it too.
    pub fn work(&mut self, more: &mut dyn FnMut() -> bool, tell: bool) -> Option<Option<Reply>> {
        let mut first = self.jobs.first_entry()?;
        let (number, job) = first.get_mut();
        let number = *number;
        let Some((answer, numbers, part)) = job.step(more, tell) else {
            return Some(None);
        };
        let done = part >= 1.0 && answer != Answer::Going;
        if done {
            first.remove();
        }
        Some((done || tell).then_some(Reply {
            number,
            part,
            done,
            answer,
            numbers,
        }))
    }
}
