//! Numbers as the page writes them. One that rounds to nothing has no sign.
use rig::Unit;

/// Rounded to whole parts of one; adding zero makes a negative zero a plain one.
fn rounded(value: f64, per_one: f64) -> f64 {
    (value * per_one).round() / per_one + 0.0
}

/// A unit after a number.
fn unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Degrees => "°",
        Unit::Millimetres => " mm",
        Unit::Percent => " %",
    }
}

/// A dial's value to a tenth, with its unit.
pub fn tenths(value: f64, of: Unit) -> String {
    format!("{:.1}{}", rounded(value, 10.0), unit(of))
}

/// As it is written in a field: two decimals at most.
pub fn plain(value: f64) -> String {
    rounded(value, 100.0).to_string()
}

/// Two decimals with a true minus.
pub fn hundredths(value: f64) -> String {
    format!("{:.2}", rounded(value, 100.0)).replace('-', "−")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_rounds_to_nothing_has_no_sign() {
        assert_eq!(tenths(-0.04, Unit::Degrees), "0.0°");
        assert_eq!(plain(-0.001), "0");
        assert_eq!(hundredths(-0.004), "0.00");
    }

    #[test]
    fn each_has_its_own_decimals_and_sign() {
        assert_eq!(tenths(-12.25, Unit::Millimetres), "-12.3 mm");
        assert_eq!(tenths(50.0, Unit::Percent), "50.0 %");
        assert_eq!(plain(12.345), "12.35");
        assert_eq!(plain(-3.0), "-3");
        assert_eq!(hundredths(-1.5), "−1.50");
    }
}
