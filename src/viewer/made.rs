//! Things made in the window: by which figures, and the table of the boat file that says
//! the same.
use std::fmt::Write as _;

use super::edits::{place_in_text, quoted, rounded};
use crate::boat::OpeningState;
use crate::boat::file::{OnSkin, Outlined, Point};
use crate::numerics::Vec3;
use crate::quantity::Quantity;

/// What can be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A round hole.
    Round,
    /// A hole with four sides and rounded corners.
    Square,
    /// A hole whose edge goes through points.
    Line,
    /// A recess in the skin, closed by new skin.
    Pocket,
    /// A panel of the deck turned up.
    Lifted,
    /// A wall round an opening.
    Coaming,
    /// A deck over the fore end of an opening.
    Foredeck,
    /// A deck over the after end of an opening.
    Afterdeck,
    /// A wall across the inside.
    Bulkhead,
    /// Along the sides.
    Sponson,
    /// A fin under the bottom.
    Skeg,
    /// Foam fitted to the inside.
    Filling,
}

/// What a figure says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Is {
    /// A length of its own, not nought.
    Size,
    /// A length that may be nought.
    Extra,
    /// A place along the boat.
    Station,
    /// A height in the boat.
    Height,
    /// Degrees.
    Angle,
}

/// One figure of a thing.
#[derive(Debug, Clone, Copy)]
pub struct Figure {
    /// Its key in the boat file.
    pub key: &'static str,
    /// How it is called.
    pub name: &'static str,
    /// What it says.
    pub is: Is,
    /// What it begins with: a share of the hull's length, for a station and a height from
    /// the place that was clicked; degrees for an angle. Ours.
    start: f64,
}

const fn figure(key: &'static str, name: &'static str, is: Is, start: f64) -> Figure {
    Figure {
        key,
        name,
        is,
        start,
    }
}

const LENGTH: Figure = figure("length", "length", Is::Size, 0.12);
const HEIGHT: Figure = figure("height", "height", Is::Size, 0.05);
const CORNER: Figure = figure("corner", "corner radius", Is::Extra, 0.01);
const AFT: Figure = figure("aft", "after end", Is::Station, -0.1);
const FORWARD: Figure = figure("forward", "fore end", Is::Station, 0.1);

impl Kind {
    /// Those that are cut into the skin.
    pub const CUTS: [Self; 4] = [Self::Round, Self::Square, Self::Line, Self::Pocket];
    /// Those that are built on.
    pub const BUILT: [Self; 8] = [
        Self::Coaming,
        Self::Foredeck,
        Self::Afterdeck,
        Self::Bulkhead,
        Self::Sponson,
        Self::Skeg,
        Self::Filling,
        Self::Lifted,
    ];

    /// Its name on buttons; things made are called after it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Round => "round hole",
            Self::Square => "square hole",
            Self::Line => "hole through points",
            Self::Pocket => "pocket",
            Self::Lifted => "lifted panel",
            Self::Coaming => "coaming",
            Self::Foredeck => "foredeck",
            Self::Afterdeck => "afterdeck",
            Self::Bulkhead => "bulkhead",
            Self::Sponson => "sponsons",
            Self::Skeg => "skeg",
            Self::Filling => "foam",
        }
    }

    /// Where to click for it.
    #[must_use]
    pub fn advice(self) -> &'static str {
        match self {
            Self::Round | Self::Square => "Click on the hull where its middle goes.",
            Self::Line => {
                "Click on the hull from point to point round its edge: three or more. Pick the kind again to begin another."
            }
            Self::Pocket => "Click on the hull where the middle of the recess goes.",
            Self::Lifted => {
                "Click on the deck where the middle of the panel is; its after side stays."
            }
            Self::Coaming => "Click on the opening that the wall goes round.",
            Self::Foredeck => "Click in the opening where the deck stops; it runs to the fore end.",
            Self::Afterdeck => {
                "Click in the opening where the deck stops; it runs to the after end."
            }
            Self::Bulkhead => "Click where it stands.",
            Self::Sponson => "Click on the side, at the height and the middle of their length.",
            Self::Skeg => "Click on the bottom, at the middle of its length.",
            Self::Filling => "Click at the middle of its length, at the height of its top.",
        }
    }

    /// Its figures.
    #[must_use]
    pub fn figures(self) -> &'static [Figure] {
        const ROUND: [Figure; 1] = [figure("diameter", "diameter", Is::Size, 0.06)];
        const SQUARE: [Figure; 3] = [LENGTH, HEIGHT, CORNER];
        const POCKET: [Figure; 4] = [
            LENGTH,
            HEIGHT,
            CORNER,
            figure("depth", "depth", Is::Size, 0.02),
        ];
        const LIFTED: [Figure; 3] = [
            LENGTH,
            HEIGHT,
            figure("height_up", "free edge up by", Is::Size, 0.03),
        ];
        const COAMING: [Figure; 2] = [HEIGHT, figure("flare", "leans out", Is::Angle, 0.0)];
        const CAMBER: Figure = figure("camber", "camber", Is::Extra, 0.01);
        const FOREDECK: [Figure; 2] = [figure("aft", "stops at", Is::Station, 0.0), CAMBER];
        const AFTERDECK: [Figure; 2] = [figure("forward", "stops at", Is::Station, 0.0), CAMBER];
        const BULKHEAD: [Figure; 1] = [figure("station", "stands at", Is::Station, 0.0)];
        const WIDTH: Figure = figure("width", "width", Is::Size, 0.04);
        const MIDDLE: Figure = figure("middle", "middle at", Is::Height, 0.0);
        const SPONSON: [Figure; 4] = [AFT, FORWARD, MIDDLE, WIDTH];
        const THIN: Figure = figure("width", "thickness", Is::Size, 0.01);
        const DEEP: Figure = figure("depth", "depth", Is::Size, 0.03);
        const SKEG: [Figure; 4] = [AFT, FORWARD, DEEP, THIN];
        const FILLING: [Figure; 3] = [AFT, FORWARD, figure("below", "top at", Is::Height, 0.0)];
        match self {
            Self::Round => &ROUND,
            Self::Square => &SQUARE,
            Self::Line => &[],
            Self::Pocket => &POCKET,
            Self::Lifted => &LIFTED,
            Self::Coaming => &COAMING,
            Self::Foredeck => &FOREDECK,
            Self::Afterdeck => &AFTERDECK,
            Self::Bulkhead => &BULKHEAD,
            Self::Sponson => &SPONSON,
            Self::Skeg => &SKEG,
            Self::Filling => &FILLING,
        }
    }

    /// Whether it is an opening; else it is a part.
    #[must_use]
    pub fn is_opening(self) -> bool {
        matches!(self, Self::Round | Self::Square | Self::Line)
    }

    /// Whether it goes on an opening.
    #[must_use]
    pub fn goes_on_opening(self) -> bool {
        matches!(self, Self::Coaming | Self::Foredeck | Self::Afterdeck)
    }

    /// Whether it is drawn on the skin about its middle.
    #[must_use]
    pub fn is_on_skin(self) -> bool {
        matches!(
            self,
            Self::Round | Self::Square | Self::Pocket | Self::Lifted
        )
    }

    fn key(self) -> &'static str {
        match self {
            Self::Round => "circle",
            Self::Square => "rectangle",
            Self::Line => "rim",
            Self::Pocket => "pocket",
            Self::Lifted => "lifted",
            Self::Coaming => "wall",
            Self::Foredeck | Self::Afterdeck => "deck",
            Self::Bulkhead => "bulkhead",
            Self::Sponson => "sponson",
            Self::Skeg => "skeg",
            Self::Filling => "filling",
        }
    }
}

/// Points that the edge of a hole needs at least.
pub const LEAST_POINTS: usize = 3;
/// What foam weighs here, kg/m³: a usual pour foam; common practice, no source.
const FOAM: &str = "32 kg/m3";
/// What a coaming is made of, as the file's usual laminate for what is built from the hull.
const WALL_LAMINATE: &str = "laminate = { cloth = \"200 g/m2\", layers = 3, resin = 1 }";

/// One thing made.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// What it is.
    pub kind: Kind,
    /// Its name in the boat file.
    pub name: String,
    /// Where it was clicked, boat frame, m: its middle, or the points of its edge.
    pub points_m: Vec<Vec3>,
    /// Out of the skin there.
    pub out: Vec3,
    /// Its figures, m or degrees, as [`Kind::figures`] has them.
    pub figures: Vec<f64>,
    /// The opening that it goes on.
    pub on: String,
    /// How an opening stands.
    pub state: OpeningState,
}

impl Made {
    /// A thing of usual size where someone clicked, on a hull so long.
    #[must_use]
    pub fn at(kind: Kind, name: String, at_m: &Vec3, out: &Vec3, hull_length_m: f64) -> Self {
        let start = |figure: &Figure| {
            let length = figure.start * hull_length_m;
            let value = match figure.is {
                Is::Station => at_m.x + length,
                Is::Height => at_m.z + length,
                Is::Size | Is::Extra => length,
                Is::Angle => figure.start,
            };
            // In whole centimetres, of a model in whole millimetres.
            let steps = if hull_length_m > 1.0 { 100.0 } else { 1000.0 };
            (value * steps).round() / steps
        };
        Self {
            kind,
            name,
            points_m: vec![rounded(at_m)],
            out: *out,
            figures: kind.figures().iter().map(start).collect(),
            on: String::new(),
            state: OpeningState::Open,
        }
    }

    /// Whether it has all that its table needs.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.kind != Kind::Line || self.points_m.len() >= LEAST_POINTS
    }

    /// Its pattern on the skin, where it is an opening drawn there.
    #[must_use]
    pub fn on_skin(&self) -> Option<OnSkin> {
        let exact = Quantity::exact;
        let outlined = match (self.kind, self.figures.as_slice()) {
            (Kind::Round, [diameter]) => Outlined::Circle {
                diameter: exact(*diameter),
            },
            (Kind::Square, [length, height, corner]) => Outlined::Rectangle {
                length: exact(*length),
                height: exact(*height),
                corner: exact(*corner),
            },
            _ => return None,
        };
        let middle = self.points_m.first()?;
        let centre: Point = [exact(middle.x), exact(middle.y), exact(middle.z)];
        Some(OnSkin {
            centre,
            outlined,
            along: None,
        })
    }

    /// Its table.
    #[must_use]
    pub fn to_toml(&self) -> String {
        let table = if self.kind.is_opening() {
            "opening"
        } else {
            "part"
        };
        let mut text = format!("\n[[{table}]]\nname = {}\n", quoted(&self.name));
        let places: Vec<String> = self.points_m.iter().map(place_in_text).collect();
        if self.kind == Kind::Line {
            let _ = writeln!(text, "rim = [{}]", places.join(", "));
        } else {
            let mut keys = Vec::new();
            match self.kind {
                Kind::Coaming => keys.push(format!("round = {}", quoted(&self.on))),
                Kind::Foredeck | Kind::Afterdeck => {
                    keys.push(format!("over = {}", quoted(&self.on)));
                }
                kind if kind.is_on_skin() => keys.push(format!("centre = {}", places.join(", "))),
                _ => {}
            }
            if self.kind == Kind::Lifted {
                keys.push("hinge = \"aft\"".to_owned());
            }
            for (figure, value) in self.kind.figures().iter().zip(&self.figures) {
                if figure.is == Is::Angle {
                    keys.push(format!("{} = \"{value} deg\"", figure.key));
                } else {
                    keys.push(format!("{} = {value:?}", figure.key));
                }
            }
            let _ = writeln!(text, "{} = {{ {} }}", self.kind.key(), keys.join(", "));
        }
        match self.kind {
            Kind::Filling => {
                let _ = writeln!(text, "foam = {{ density = \"{FOAM}\" }}");
            }
            Kind::Coaming => {
                let _ = writeln!(text, "role = \"add\"\n{WALL_LAMINATE}");
            }
            kind if kind.is_opening() && self.state == OpeningState::Covered => {
                text.push_str("state = \"covered\"\n");
            }
            _ => {}
        }
        text
    }
}
