//! Limits that sort a margin into failed, marginal and clear. All are borrowed or
//! our own, all can be changed in the boat file, none promises anything.
use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::Quantity;

/// Where the starting limits come from.
const OWN_BAND: &str = "our own starting band, no source";
/// The same of a thing that is asked for or not.
const OWN_WISH: &str = "our own wish, no source";
/// Where the least height of CB over CG of a dived craft comes from.
const GAP_SOURCE: &str =
    "quoted from class rules for submersibles; borrowed, no rule covers a craft of this kind";

/// How a margin compares with its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, JsonSchema, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Below the red limit, or not a number.
    Fail,
    /// From the red limit up to and including the green one.
    Marginal,
    /// Above the green limit.
    Clear,
}

impl Verdict {
    /// The word shown to the user.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Fail => "fail",
            Self::Marginal => "marginal",
            Self::Clear => "clear",
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
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
            Verdict::Marginal
        } else {
            Verdict::Fail
        }
    }
}

/// Two limits of something that should be small: up to `green` it is clear, over
/// `red` it fails.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ceiling {
    /// Up to this it is clear; base unit of the quantity.
    pub green: Quantity,
    /// Over this it fails; base unit of the quantity, not below `green`.
    pub red: Quantity,
    /// Who says so.
    pub source: String,
}

impl Ceiling {
    /// Sorts `value`, in the quantity's base unit. A value that is not a number
    /// fails.
    #[must_use]
    pub fn verdict(&self, value: f64) -> Verdict {
        if value <= self.green.value {
            Verdict::Clear
        } else if value <= self.red.value {
            Verdict::Marginal
        } else {
            Verdict::Fail
        }
    }
}

/// Something that is asked of the craft, or not.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wish {
    /// Whether it is asked.
    pub asked: bool,
    /// Who says so.
    pub source: String,
}

impl Wish {
    fn own() -> Self {
        Self {
            asked: true,
            source: OWN_WISH.into(),
        }
    }

    /// Fails where what is asked is not so; `None` where nothing is asked.
    #[must_use]
    pub fn verdict(&self, is_so: bool) -> Option<Verdict> {
        self.asked
            .then_some(if is_so { Verdict::Clear } else { Verdict::Fail })
    }

    /// The same with how it `lies` so; `None` where nothing is asked.
    #[must_use]
    pub fn judged(&self, is_so: bool, lies: Option<Verdict>) -> Option<Verdict> {
        let asked = self.verdict(is_so)?;
        lies.into_iter().chain([asked]).min()
    }
}

/// The limits a boat's margins are held against: `[yardsticks]`.
/// Its keys: [`crate::reference::boat_file`].
///
/// The defaults are our own starting bands and have no source, but for the gap,
/// which is borrowed. A limit changed without naming its source is said to come from
/// the boat file; `swamped_source` speaks of all that begin with `swamped` or `floats`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Yardsticks {
    /// Height of a sill above the water at rest, m.
    pub sill: Band,
    /// Tilt to flooding, degrees.
    pub tilt: Band,
    /// Work to flooding, J.
    pub energy: Band,
    /// Whether it is asked to stay afloat with water inside.
    pub floats_swamped: Wish,
    /// Whether it is asked to stay afloat with any one space open to the sea.
    pub floats_with_one_flooded: Wish,
    /// With water inside: height of the lowest sill of what is still dry, m; of a
    /// craft wholly swamped, of the rim.
    pub swamped_sill: Band,
    /// With water inside: lean from upright, degrees.
    pub swamped_lean: Ceiling,
    /// Dived: height of CB over CG, m.
    pub gap: Band,
}

impl Yardsticks {
    /// What is said of a craft with water inside, by its lean, deg, and its lowest sill, m.
    #[must_use]
    pub fn swamped(&self, lean_deg: Option<f64>, sill_m: Option<f64>) -> Option<Verdict> {
        let lean = lean_deg.map(|deg| self.swamped_lean.verdict(deg));
        let sill = sill_m.map(|sill_m| self.swamped_sill.verdict(sill_m));
        lean.into_iter().chain(sill).min()
    }
}

impl Default for Yardsticks {
    fn default() -> Self {
        Self {
            sill: Band::own(0.05, 0.10),
            tilt: Band::own(5.0, 15.0),
            energy: Band::own(15.0, 50.0),
            floats_swamped: Wish::own(),
            floats_with_one_flooded: Wish::own(),
            swamped_sill: Band::own(0.0, 0.05),
            swamped_lean: Ceiling {
                green: Quantity::exact(10.0),
                red: Quantity::exact(30.0),
                source: OWN_BAND.into(),
            },
            gap: Band {
                source: GAP_SOURCE.into(),
                ..Band::own(0.05, 0.05)
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_belong_to_the_marginal_band() {
        let sill = Yardsticks::default().sill;
        let sorted: Vec<Verdict> = [0.049, 0.05, 0.10, 0.101].map(|v| sill.verdict(v)).into();
        assert_eq!(
            sorted,
            [
                Verdict::Fail,
                Verdict::Marginal,
                Verdict::Marginal,
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
    fn equal_limits_leave_only_the_limit_itself_marginal() {
        let band = Band::own(1.0, 1.0);
        assert_eq!(band.verdict(0.999), Verdict::Fail);
        assert_eq!(band.verdict(1.0), Verdict::Marginal);
        assert_eq!(band.verdict(1.001), Verdict::Clear);
    }

    /// What should be small is sorted the other way round.
    #[test]
    fn a_lean_fails_over_red_and_is_clear_up_to_green() {
        let lean = Yardsticks::default().swamped_lean;
        let sorted: Vec<Verdict> = [0.0, 10.0, 10.1, 30.0, 30.1]
            .map(|v| lean.verdict(v))
            .into();
        assert_eq!(
            sorted,
            [
                Verdict::Clear,
                Verdict::Clear,
                Verdict::Marginal,
                Verdict::Marginal,
                Verdict::Fail
            ]
        );
        assert_eq!(lean.verdict(f64::NAN), Verdict::Fail);
    }

    /// What is not asked gives no verdict.
    #[test]
    fn a_wish_that_is_not_asked_judges_nothing() {
        let mut wish = Yardsticks::default().floats_swamped;
        assert_eq!(wish.verdict(true), Some(Verdict::Clear));
        assert_eq!(wish.verdict(false), Some(Verdict::Fail));
        wish.asked = false;
        assert_eq!(wish.verdict(false), None);
    }

    #[test]
    fn no_verdict_promises_anything() {
        let words = [Verdict::Fail, Verdict::Marginal, Verdict::Clear].map(|v| v.to_string());
        assert_eq!(words, ["fail", "marginal", "clear"]);
    }
}
