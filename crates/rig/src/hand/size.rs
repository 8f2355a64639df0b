//! How large a hand is: in mm, or as a percentile of a survey.
use crate::Fault;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::f64::consts::SQRT_2;

/// Who was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Sex {
    #[allow(missing_docs)]
    Female,
    #[allow(missing_docs)]
    Male,
}

/// Which survey.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Survey {
    /// ACOPLA95: Colombian workers, 20 to 59 years, n = 2100, as found in a secondary table;
    /// deviations estimated from its 5th and 95th percentiles.
    Acopla95,
    /// ANSUR (1988): Greiner T.M. (1991) Hand anthropometry of U.S. Army personnel,
    /// Natick/TR-92/011. From memory: treat as approximate.
    Ansur,
}

/// One measure of a hand.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Size {
    /// In mm.
    Mm(f64),
    /// So many per cent of the people surveyed have less, by the normal approximation.
    Percentile {
        /// More than 0 and less than 100.
        percent: f64,
        /// Of whom.
        sex: Sex,
        /// By which survey.
        survey: Survey,
    },
}

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Wrist crease to the tip of the middle finger.
    Length,
    /// Over the knuckles of the four fingers.
    Breadth,
}

impl Measure {
    fn name(self) -> &'static str {
        match self {
            Self::Length => "length",
            Self::Breadth => "breadth",
        }
    }
}

/// Mean and standard deviation, mm.
pub const fn surveyed(survey: Survey, sex: Sex, measure: Measure) -> (f64, f64) {
    match (survey, sex, measure) {
        (Survey::Acopla95, Sex::Male, Measure::Length) => (183.0, 10.0),
        (Survey::Acopla95, Sex::Female, Measure::Length) => (166.0, 8.0),
        (Survey::Acopla95, Sex::Male, Measure::Breadth) => (84.0, 4.0),
        (Survey::Acopla95, Sex::Female, Measure::Breadth) => (75.0, 4.0),
        (Survey::Ansur, Sex::Male, Measure::Length) => (194.0, 10.0),
        (Survey::Ansur, Sex::Female, Measure::Length) => (181.0, 10.0),
        (Survey::Ansur, Sex::Male, Measure::Breadth) => (90.0, 4.0),
        (Survey::Ansur, Sex::Female, Measure::Breadth) => (79.0, 4.0),
    }
}

impl Size {
    /// The size in mm.
    ///
    /// # Errors
    /// When it is not a size a hand can have.
    pub fn mm(self, measure: Measure) -> Result<f64, Fault> {
        let name = measure.name();
        let mm = match self {
            Self::Mm(mm) => mm,
            Self::Percentile {
                percent,
                sex,
                survey,
            } => {
                // Written so that a NaN fails too.
                if !(percent > 0.0 && percent < 100.0) {
                    return Err(super::impossible(
                        format!("its {name} is asked for at percentile {percent}"),
                        "ask for one between 0 and 100, both excluded",
                    ));
                }
                let (mean, deviation) = surveyed(survey, sex, measure);
                mean + deviation * normal_quantile(percent / 100.0)
            }
        };
        if mm.is_finite() && mm > 0.0 {
            return Ok(mm);
        }
        Err(super::impossible(
            format!("its {name} is {mm} mm"),
            "give it a length greater than 0",
        ))
    }
}

/// Where the standard normal distribution reaches a probability: its distribution function,
/// ½·erfc(−z/√2), is halved upon between ±40, beyond which a double knows no probability.
fn normal_quantile(probability: f64) -> f64 {
    let (mut low, mut high) = (-40.0, 40.0);
    loop {
        let z = 0.5 * (low + high);
        if z <= low || z >= high {
            return z;
        }
        if 0.5 * libm::erfc(-z / SQRT_2) < probability {
            low = z;
        } else {
            high = z;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::normal_quantile;

    /// SciPy 1.17's `scipy.stats.norm.ppf`.
    #[test]
    fn quantiles_are_scipys() {
        for (probability, z) in [
            (0.5, 0.0),
            (0.95, 1.644853626951472),
            (0.025, -1.9599639845400545),
            (0.001, -3.090232306167813),
        ] {
            assert!((normal_quantile(probability) - z).abs() < 1e-12);
        }
    }
}
