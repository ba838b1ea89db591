//! How a craft lies, in words, and whether it has capsized. Holds no study.
use schemars::JsonSchema;
use serde::Serialize;

use super::hydrostatics::coordinates;
use crate::equilibrium::{Knock, KnockState, Rest};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Which side of the craft is uppermost: the axis of the boat that lies nearest to
/// the vertical says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Lies {
    /// Keel down.
    Upright,
    /// Starboard side down.
    OnStarboardSide,
    /// Port side down.
    OnPortSide,
    /// Keel up.
    UpsideDown,
    /// Standing on its stern.
    BowUp,
    /// Standing on its bow.
    BowDown,
}

impl Lies {
    /// At a vertical in the boat frame.
    #[must_use]
    pub fn at(up: &Vec3) -> Self {
        let [x, y, z] = coordinates(*up);
        let most = x.abs().max(y.abs()).max(z.abs());
        match () {
            () if z == most => Self::Upright,
            () if z == -most => Self::UpsideDown,
            () if y == most => Self::OnStarboardSide,
            () if y == -most => Self::OnPortSide,
            () if x == most => Self::BowUp,
            () => Self::BowDown,
        }
    }

    /// Whether it lies on a side, on an end or bottom up.
    #[must_use]
    pub fn is_capsized(self) -> bool {
        self != Self::Upright
    }

    /// "upright", "upside down", "on its port side".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Upright => "upright",
            Self::OnStarboardSide => "on its starboard side",
            Self::OnPortSide => "on its port side",
            Self::UpsideDown => "upside down",
            Self::BowUp => "bow up",
            Self::BowDown => "bow down",
        }
    }
}

/// How a craft lies, in words: "upside down", "on its port side", "heeled 14° to
/// starboard".
pub(in crate::study) fn lies_in_words(plane: &WaterPlane) -> String {
    let heel = plane.heel_deg();
    match Lies::at(&plane.up) {
        Lies::Upright if heel >= 0.0 => format!("heeled {heel:.0}° to starboard"),
        Lies::Upright => format!("heeled {:.0}° to port", -heel),
        Lies::BowUp => "on its stern".to_owned(),
        Lies::BowDown => "on its bow".to_owned(),
        lies => lies.words().to_owned(),
    }
}

/// [`comes_first`] of the least of some knocks.
pub(in crate::study) fn comes_first_of_least(knocks: &[Knock], rest: &Rest) -> Option<String> {
    let least = knocks
        .iter()
        .min_by(|a, b| a.work_m4.total_cmp(&b.work_m4))?;
    comes_first(least, rest)
}

/// What a craft does before a knock brings a sill to the water: "turns over and lies
/// upside down", "falls over and lies heeled 14° to port", "goes wholly under"; `None`
/// where nothing comes first.
pub(in crate::study) fn comes_first(knock: &Knock, rest: &Rest) -> Option<String> {
    if knock.state == KnockState::Never {
        return Some("goes wholly under".to_owned());
    }
    let pass = knock.pass?;
    let falls = if pass.turns_over(rest) {
        "turns"
    } else {
        "falls"
    };
    Some(format!(
        "{falls} over and lies {}",
        lies_in_words(&pass.into)
    ))
}
