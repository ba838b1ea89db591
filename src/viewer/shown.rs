//! How the boat lies and what of it is drawn.
use std::path::PathBuf;

/// A question that the window asks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Asks {
    /// Whether a boat file that is there may be replaced; what is in the way, in words.
    Replace(String),
    /// Whether to leave what is not saved: to close the window, or to open another boat.
    Leave(Option<PathBuf>),
    /// Which file to open, of those in a folder.
    Which(PathBuf, Vec<PathBuf>),
}

/// How the craft lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Attitude {
    /// As it comes to rest.
    Afloat,
    /// Held by hand.
    Held(Held),
    /// At a line of the swamping's time line.
    Film(usize),
}

/// An attitude held by hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// Starboard down positive, deg.
    pub heel_deg: f64,
    /// Bow up positive, deg.
    pub pitch_deg: f64,
    /// Drop of the hull's middle from the attitude at rest, m.
    pub sinkage_m: f64,
    /// Whether the sinkage follows, so that displacement and weight agree.
    pub sinkage_follows: bool,
}

/// A plane across one of the boat's axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionPlane {
    /// 0 across the boat at an x, 1 along it at a y, 2 level at a z.
    pub axis: usize,
    /// Where, m.
    pub at_m: f64,
}

/// How the boat as it was before is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Before {
    /// Not at all.
    Hidden,
    /// As a ghost over the boat, each at its own rest.
    Over,
    /// Beside it, at one scale.
    Beside,
}

impl Before {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Over, Self::Beside, Self::Hidden];

    /// Its name on buttons.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Hidden => "hidden",
            Self::Over => "as a ghost",
            Self::Beside => "side by side",
        }
    }

    /// The one after it, round and round.
    #[must_use]
    pub fn next(self) -> Self {
        match self {
            Self::Over => Self::Beside,
            Self::Beside => Self::Hidden,
            Self::Hidden => Self::Over,
        }
    }
}

/// What is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "independent switches of the panel"
)]
pub struct Show {
    /// The water.
    pub water: bool,
    /// The items aboard.
    pub items: bool,
    /// Names and heights.
    pub labels: bool,
    /// The boat as it was before, where there is one.
    pub before: Before,
    /// The hull, so that what is in it shows.
    pub see_through: bool,
    /// The sheet of keys and mouse.
    pub help: bool,
    /// The panel.
    pub panel: bool,
    /// A section and its curve.
    pub section: Option<SectionPlane>,
}
