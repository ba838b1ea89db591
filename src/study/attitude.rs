//! How a craft lies, in words, and whether it has capsized. Holds no study.
use serde::Serialize;

use super::hydrostatics::coordinates;
use crate::numerics::Vec3;

/// Which side of the craft is uppermost: the axis of the boat that lies nearest to
/// the vertical says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
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

    /// The sentence that comes before all others where it has capsized.
    pub(super) fn capsize(self) -> Option<String> {
        self.is_capsized().then(|| {
            format!(
                "IT CAPSIZES: set upright on the water it turns over and comes to rest {}.",
                self.words()
            )
        })
    }
}
