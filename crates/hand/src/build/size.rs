//! How large a hand is, in mm.
use recipe::{Impossible, Measure, Size, surveyed};
use std::f64::consts::SQRT_2;

/// A size in mm.
///
/// # Errors
/// When it is not a size a hand can have.
pub fn mm(size: Size, measure: Measure) -> Result<f64, Impossible> {
    let mm = match size {
        Size::Mm(mm) => mm,
        Size::Percentile {
            percent,
            sex,
            survey,
        } => {
            // Written so that a NaN fails too.
            if !(percent > 0.0 && percent < 100.0) {
                return Err(Impossible::Percentile { measure, percent });
            }
            let (mean, deviation) = surveyed(survey, sex, measure);
            mean + deviation * normal_quantile(percent / 100.0)
        }
    };
    if mm.is_finite() && mm > 0.0 {
        return Ok(mm);
    }
    Err(Impossible::Size { measure, mm })
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
