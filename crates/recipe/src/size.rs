//! How large a hand is: in mm, or as a percentile of a survey.
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

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
    /// In a sentence.
    pub fn name(self) -> &'static str {
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
