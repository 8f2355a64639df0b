//! A dial's value as it is typed.
use crate::arithmetic;
use crate::number::plain;
use rig::Unit;

/// What a text sets a dial to that goes from `min` to `max`.
///
/// # Errors
/// When it is no number or lies outside, in a sentence for the place beside the field.
pub fn value(text: &str, (min, max): (f64, f64), unit: Unit) -> Result<f64, String> {
    let typed = arithmetic::value(without(text, unit)).map_err(|fault| {
        let told = fault.to_string();
        let mut letters = told.chars();
        let first: String = letters
            .next()
            .into_iter()
            .flat_map(char::to_uppercase)
            .collect();
        format!("{first}{}.", letters.as_str())
    })?;
    let refused = |end: f64, which: &str| {
        format!(
            "{} is the {which}; {} was not set.",
            signed(end),
            signed(typed)
        )
    };
    if typed > max {
        Err(refused(max, "most"))
    } else if typed < min {
        Err(refused(min, "least"))
    } else {
        Ok(typed)
    }
}

/// What a sum comes to, for beside the field; none of a plain number.
pub fn comes_to(text: &str, unit: Unit) -> Option<f64> {
    let text = without(text, unit);
    let sum = arithmetic::is_sum(text);
    arithmetic::value(text).ok().filter(|_| sum)
}

/// The unit may be typed too.
fn without(text: &str, unit: Unit) -> &str {
    let text = text.trim();
    let name = match unit {
        Unit::Degrees => "°",
        Unit::Millimetres => "mm",
        Unit::Percent => "%",
    };
    text.strip_suffix(name).unwrap_or(text)
}

fn signed(value: f64) -> String {
    plain(value).replace('-', "−")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_outside_is_said_and_what_is_within_is_taken() {
        let lift = |text: &str| value(text, (-15.0, 75.0), Unit::Degrees);
        assert_eq!(lift("60/2"), Ok(30.0));
        assert_eq!(lift("75"), Ok(75.0));
        assert_eq!(lift("30°"), Ok(30.0));
        assert_eq!(lift("80").unwrap_err(), "75 is the most; 80 was not set.");
        assert_eq!(
            lift("-10*2").unwrap_err(),
            "−15 is the least; −20 was not set."
        );
        assert_eq!(
            lift("six").unwrap_err(),
            "‘six’ is no number; type one, such as 30 or 60/2."
        );
        assert!(value("30 mm", (0.0, 40.0), Unit::Millimetres).is_ok());
        assert!(value("30 mm", (0.0, 40.0), Unit::Percent).is_err());
    }

    #[test]
    fn only_a_sum_comes_to_something() {
        assert_eq!(comes_to("35+6", Unit::Degrees), Some(41.0));
        assert_eq!(comes_to("35", Unit::Degrees), None);
        assert_eq!(comes_to("35+", Unit::Degrees), None);
    }
}
