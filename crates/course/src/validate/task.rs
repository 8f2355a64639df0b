//! What a task must satisfy on its figure.
use super::{Figure, counted, ensure, listed, positive};
use crate::fault::{Fault, Kind};
use crate::task::Task;

impl Figure<'_> {
    pub(super) fn task(&self, task: &Task, place: &str) -> Result<(), Fault> {
        match task {
            Task::PredictPin { node, dials } => {
                self.node(node, place)?;
                self.values(dials, place)
            }
            Task::PredictPath { node, dial, range } => {
                self.node(node, place)?;
                self.range(dial, *range, place)
            }
            Task::PredictAxis { knuckles } => {
                listed(knuckles.len(), &format!("{place}.knuckles"))?;
                knuckles
                    .iter()
                    .try_for_each(|node| self.node(node, place))?;
                ensure(knuckles.len() > 1, place, || Kind::NoRow)
            }
            Task::PredictRegion {
                node,
                dials: (first, second),
                gauge,
                most,
                brush,
            } => {
                self.node(node, place)?;
                self.dial(first, place)?;
                self.dial(second, place)?;
                ensure(first != second, place, || Kind::SameDials)?;
                self.gauge(gauge, place)?;
                positive(*most, place, "'most'")?;
                positive(*brush, place, "'brush'")
            }
            Task::PredictAngle {
                apex,
                along,
                gauge,
                dials,
            } => {
                self.node(apex, place)?;
                self.node(along, place)?;
                self.gauge(gauge, place)?;
                self.values(dials, place)
            }
            Task::PredictStay {
                among,
                dials,
                within,
            } => {
                ensure(!among.is_empty(), place, || Kind::NoneAsked)?;
                listed(among.len(), &format!("{place}.among"))?;
                among.iter().try_for_each(|node| self.node(node, place))?;
                self.values(dials, place)?;
                positive(*within, place, "'within'")
            }
            Task::Trace {
                node,
                centre,
                angle,
                gauge,
                most,
            } => {
                self.node(node, place)?;
                self.node(centre, place)?;
                self.gauge(gauge, place)?;
                positive(*angle, place, "the angle")?;
                positive(*most, place, "'most'")
            }
            Task::Hold { at, bands } => {
                if !at.is_empty() {
                    self.values(at, &format!("{place}.at"))?;
                }
                self.bands(bands, &format!("{place}.bands"))
            }
            Task::Between {
                first,
                second,
                along,
                samples,
            } => {
                counted(*samples, place)?;
                self.bands(first, &format!("{place}.first"))?;
                self.bands(second, &format!("{place}.second"))?;
                self.bands(along, &format!("{place}.along"))
            }
            Task::Sweep {
                dial,
                range,
                samples,
                runs,
                faults,
            } => {
                self.range(dial, *range, place)?;
                counted(*samples, place)?;
                ensure(!runs.is_empty(), place, || Kind::NoRuns)?;
                listed(runs.len(), &format!("{place}.runs"))?;
                listed(faults.len(), &format!("{place}.faults"))?;
                for (i, run) in runs.iter().enumerate() {
                    self.bands(&run.bands, &format!("{place}.runs[{i}].bands"))?;
                }
                let mut at = faults.iter().enumerate();
                at.try_for_each(|(i, found)| self.misplaced(found, &format!("{place}.faults[{i}]")))
            }
            Task::Build { acts } => self.acts(acts, &format!("{place}.acts")),
        }
    }
}
