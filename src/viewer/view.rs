//! Where the boat is looked at from.
use crate::numerics::Vec3;

/// A fixed view.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    /// From starboard, the bow to the right.
    Side,
    /// From above, the bow to the right.
    Top,
    /// From ahead.
    Bow,
    /// From astern.
    Stern,
    /// From ahead, to starboard and above.
    Quarter,
    /// From below, to starboard.
    Below,
}

impl View {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Quarter,
        Self::Side,
        Self::Top,
        Self::Bow,
        Self::Stern,
        Self::Below,
    ];

    /// Its name on buttons.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Side => "side",
            Self::Top => "top",
            Self::Bow => "bow",
            Self::Stern => "stern",
            Self::Quarter => "quarter",
            Self::Below => "below",
        }
    }

    /// From the boat to the eye, x forward, y to port, z up.
    #[must_use]
    pub fn towards_eye(self) -> Vec3 {
        match self {
            Self::Side => Vec3::new(0.0, -1.0, 0.0),
            Self::Top => Vec3::new(0.0, -0.011, 1.0),
            Self::Bow => Vec3::new(1.0, 0.0, 0.0),
            Self::Stern => Vec3::new(-1.0, 0.0, 0.0),
            Self::Quarter => Vec3::new(0.62, -0.85, 0.62),
            Self::Below => Vec3::new(0.45, -0.85, -0.55),
        }
        .normalize()
    }

    /// Whether lengths can be measured in it: a parallel projection.
    #[must_use]
    pub fn is_parallel(self) -> bool {
        !matches!(self, Self::Quarter | Self::Below)
    }
}
