//! Limits that sort a margin into failed, narrow and clear. All are borrowed or
//! our own, all can be changed in the boat file, none promises anything.
use std::fmt;

use serde::Serialize;

use crate::quantity::Quantity;

/// Where the starting limits come from.
const OWN_BAND: &str = "our own starting band, no source";

/// How a margin compares with its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Below the red limit, or not a number.
    Fail,
    /// From the red limit up to and including the green one.
    Narrow,
    /// Above the green limit.
    Clear,
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Fail => "fail",
            Self::Narrow => "narrow",
            Self::Clear => "clear",
        })
    }
}

/// Two limits of one margin: below `red` it fails, above `green` it is clear.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Band {
    /// Below this the margin fails; base unit of the margin.
    pub red: Quantity,
    /// Above this the margin is clear; base unit of the margin, not below `red`.
    pub green: Quantity,
    /// Who says so.
    pub source: String,
}

impl Band {
    fn own(red: f64, green: f64) -> Self {
        Self {
            red: Quantity::exact(red),
            green: Quantity::exact(green),
            source: OWN_BAND.into(),
        }
    }

    /// Sorts `value`, in the margin's base unit. A value that is not a number
    /// fails.
    #[must_use]
    pub fn verdict(&self, value: f64) -> Verdict {
        if value > self.green.value {
            Verdict::Clear
        } else if value >= self.red.value {
            Verdict::Narrow
        } else {
            Verdict::Fail
        }
    }
}

/// The limits a boat's margins are held against: `[yardsticks]`.
///
/// | key | unit | default | meaning |
/// |---|---|---|---|
/// | `sill_red`, `sill_green` | length with its unit | 5 cm, 10 cm | height of the lowest open sill over the water at rest |
/// | `tilt_red`, `tilt_green` | angle (a bare number is degrees) | 5°, 15° | tilt that brings the first open sill to the water |
/// | `energy_red`, `energy_green` | energy with its unit | 15 J, 50 J | work that brings the first open sill to the water |
/// | `sill_source`, `tilt_source`, `energy_source` | text | see below | who says so |
///
/// The defaults are our own starting bands and have no source. A limit changed
/// without naming its source is said to come from the boat file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Yardsticks {
    /// Height of a sill over the water at rest, m.
    pub sill: Band,
    /// Tilt to flooding, degrees.
    pub tilt: Band,
    /// Work to flooding, J.
    pub energy: Band,
}

impl Default for Yardsticks {
    fn default() -> Self {
        Self {
            sill: Band::own(0.05, 0.10),
            tilt: Band::own(5.0, 15.0),
            energy: Band::own(15.0, 50.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_belong_to_the_narrow_band() {
        let sill = Yardsticks::default().sill;
        let sorted: Vec<Verdict> = [0.049, 0.05, 0.10, 0.101].map(|v| sill.verdict(v)).into();
        assert_eq!(
            sorted,
            [
                Verdict::Fail,
                Verdict::Narrow,
                Verdict::Narrow,
                Verdict::Clear
            ]
        );
    }

    #[test]
    fn nonsense_and_water_over_the_sill_fail() {
        let sill = Yardsticks::default().sill;
        assert_eq!(sill.verdict(-0.01), Verdict::Fail);
        assert_eq!(sill.verdict(f64::NAN), Verdict::Fail);
        assert_eq!(sill.verdict(f64::INFINITY), Verdict::Clear);
    }

    #[test]
    fn equal_limits_leave_only_the_limit_itself_narrow() {
        let band = Band::own(1.0, 1.0);
        assert_eq!(band.verdict(0.999), Verdict::Fail);
        assert_eq!(band.verdict(1.0), Verdict::Narrow);
        assert_eq!(band.verdict(1.001), Verdict::Clear);
    }

    #[test]
    fn no_verdict_promises_anything() {
        let words = [Verdict::Fail, Verdict::Narrow, Verdict::Clear].map(|v| v.to_string());
        assert_eq!(words, ["fail", "narrow", "clear"]);
    }
}
