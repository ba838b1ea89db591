//! The file of measurements.
use std::path::{Path, PathBuf};

use serde::Deserialize;

use super::super::shared::named::opening_named;
use crate::boat::file::Point;
use crate::boat::{HullOnTape, Readings, Taped};
use crate::equilibrium::Afloat;
use crate::files::Files;
use crate::mesh::is_utf16;
use crate::numerics::Vec3;
use crate::quantity::{Dimension, Quantity};

/// Largest file of measurements that is read, bytes.
const MOST_BYTES: u64 = 1 << 20;

/// Why a file of measurements could not be read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum MeasuredError {
    /// The file could not be opened or is no text.
    #[error("cannot read {}: {source}", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// Something in it is wrong; the text points at the line.
    #[error("{}: {text}", path.display())]
    Content {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        text: String,
    },
}

/// ± of a scale that states none, kg. Ours, no source: a bathroom or hanging scale.
pub const SCALE_KG: f64 = 0.5;
pub use crate::quantity::TAPE_M;
/// ± of an angle read that states none, deg. Ours, no source: a phone or a level.
pub const ANGLE_DEG: f64 = 0.2;

/// What was measured, in SI, each number with its ± (two standard deviations).
///
/// | table | holds |
/// |---|---|
/// | `[[float_mark]]` | `at = [x, y, z]` or tape readings, or `opening = "its name"` for the lowest point of its rim above the water as the boat file floats it; `over_water`: its height above the water; three or more |
/// | `[two_scales]` | `aft = { x, reads }`, `fore = { x, reads }`; to know the height also `stands_at_z` and `tipped = { angle, fore_reads }`, the fore end raised |
/// | `[[incline]]` | `mass` aboard moved by `moved` to starboard, and the change of `heel` |
/// | `[[push]]` | `at = [x, y, z]`, `force` down, and how far that point `sinks` |
///
/// What is read, `over_water`, `reads`, `fore_reads`, `angle`, `heel` and `sinks`, has
/// the ± of [`TAPE_M`], [`SCALE_KG`] and [`ANGLE_DEG`] unless it states its own; an
/// opening has the ± of its rim; places and what is moved or pushed with are exact unless
/// they carry a ±.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Measured {
    /// `[[float_mark]]`.
    pub marks: Vec<FloatMark>,
    /// `[two_scales]`.
    pub two_scales: Option<TwoScales>,
    /// `[[incline]]`.
    pub moves: Vec<InclineMove>,
    /// `[[push]]`.
    pub pushes: Vec<Push>,
}

/// The height of a point above the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloatMark {
    /// The point, boat frame, m.
    pub at: Point,
    /// Its height, m; negative under water.
    pub over_water: Quantity,
}

/// A weighing on two scales, boat level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TwoScales {
    /// The after one.
    pub aft: Scale,
    /// The fore one.
    pub fore: Scale,
    /// Height z at which the boat stands on the scales, m.
    pub stands_at_z: Quantity,
    /// A second weighing with the fore end raised.
    pub tipped: Option<Tipped>,
}

/// One scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Where along the boat, m.
    pub x: Quantity,
    /// What it reads, kg.
    pub reads: Quantity,
}

/// The fore end raised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tipped {
    /// By how much, deg.
    pub angle: Quantity,
    /// What the fore scale reads then, kg.
    pub fore_reads: Quantity,
}

/// One inclining move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InclineMove {
    /// The mass moved, already aboard, kg. Moves of the same mass with the same ± are
    /// taken to be of one weight.
    pub mass: Quantity,
    /// How far, to starboard positive, m.
    pub moved: Quantity,
    /// Change of heel, starboard down positive, deg.
    pub heel: Quantity,
}

/// A push down on one point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Push {
    /// The point, boat frame, m.
    pub at: Point,
    /// The push, N.
    pub force: Quantity,
    /// How far that point goes down, m.
    pub sinks: Quantity,
}

impl FloatMark {
    /// A point and its height above the water by tape, m.
    #[must_use]
    pub fn new(at_m: Vec3, over_water_m: f64) -> Self {
        Self {
            at: exactly_at(at_m),
            over_water: read_as(over_water_m, TAPE_M),
        }
    }
}

impl Scale {
    /// A scale at x, m, and what it reads, kg.
    #[must_use]
    pub fn new(x_m: f64, reads_kg: f64) -> Self {
        Self {
            x: Quantity::exact(x_m),
            reads: read_as(reads_kg, SCALE_KG),
        }
    }
}

impl Tipped {
    /// The angle, deg, and what the fore scale reads, kg.
    #[must_use]
    pub fn new(angle_deg: f64, fore_reads_kg: f64) -> Self {
        Self {
            angle: read_as(angle_deg, ANGLE_DEG),
            fore_reads: read_as(fore_reads_kg, SCALE_KG),
        }
    }
}

impl InclineMove {
    /// A mass, kg, moved to starboard, m, and the heel that makes, deg.
    #[must_use]
    pub fn new(mass_kg: f64, moved_m: f64, heel_deg: f64) -> Self {
        Self {
            mass: Quantity::exact(mass_kg),
            moved: Quantity::exact(moved_m),
            heel: read_as(heel_deg, ANGLE_DEG),
        }
    }
}

impl Push {
    /// A point pushed down with a force, N, and how far it sinks, m.
    #[must_use]
    pub fn new(at_m: Vec3, force_n: f64, sinks_m: f64) -> Self {
        Self {
            at: exactly_at(at_m),
            force: Quantity::exact(force_n),
            sinks: read_as(sinks_m, TAPE_M),
        }
    }
}

fn exactly_at(at_m: Vec3) -> Point {
    [at_m.x, at_m.y, at_m.z].map(Quantity::exact)
}

fn read_as(value: f64, spread: f64) -> Quantity {
    Quantity { value, spread }
}

impl Measured {
    /// Reads a file of measurements.
    ///
    /// # Errors
    /// [`MeasuredError`] with the file and what is wrong in it, and where; tape readings
    /// and openings need `places`.
    pub fn read(
        from: &dyn Files,
        path: &Path,
        places: Option<&MarkPlaces<'_>>,
    ) -> Result<Self, MeasuredError> {
        let io_error = |source| MeasuredError::Io {
            path: path.to_owned(),
            source,
        };
        let bytes = from.read(path, MOST_BYTES).map_err(io_error)?;
        if bytes.len() as u64 > MOST_BYTES {
            return Err(MeasuredError::Content {
                path: path.to_owned(),
                text: format!("it has more than {MOST_BYTES} bytes; is this a mesh?"),
            });
        }
        let text = String::from_utf8(bytes).map_err(|error| {
            let found = if is_utf16(error.as_bytes()) {
                "the file is saved as UTF-16"
            } else {
                "the file is not UTF-8 text"
            };
            io_error(std::io::Error::other(format!(
                "{found}: save it again with the encoding UTF-8"
            )))
        })?;
        Self::parse(&text, places).map_err(|text| MeasuredError::Content {
            path: path.to_owned(),
            text,
        })
    }

    fn parse(text: &str, places: Option<&MarkPlaces<'_>>) -> Result<Self, String> {
        let file: File = toml::from_str(text).map_err(|error| error.to_string())?;
        let length = Dimension::Length;
        let point = |at: &PlaceGiven, what: &str| -> Result<Point, String> {
            match at {
                PlaceGiven::Point([x, y, z]) => Ok([
                    x.read(length, what)?,
                    y.read(length, what)?,
                    z.read(length, what)?,
                ]),
                PlaceGiven::Taped(readings) => match places {
                    Some(places) => places
                        .taped(readings)
                        .map_err(|why| format!("{what}: {why}")),
                    None => Err(format!(
                        "{what}: tape readings need a boat to hold the tape to"
                    )),
                },
            }
        };
        let mut measured = Self::default();
        for (number, mark) in (1..).zip(&file.float_mark) {
            let what = |key: &str| format!("[[float_mark]] {number}: `{key}`");
            let at = match (&mark.at, &mark.opening, places) {
                (Some(at), None, _) => point(at, &what("at"))?,
                (None, Some(name), Some(places)) => places
                    .sill(name)
                    .map_err(|why| format!("{}: {why}", what("opening")))?,
                _ => {
                    return Err(format!(
                        "[[float_mark]] {number}: give either `at` (a point) or `opening` (the name of an opening: its lowest rim point)"
                    ));
                }
            };
            measured.marks.push(FloatMark {
                at,
                over_water: mark
                    .over_water
                    .reading(length, TAPE_M, &what("over_water"))?,
            });
        }
        for (number, one) in (1..).zip(&file.incline) {
            let what = |key: &str| format!("[[incline]] {number}: `{key}`");
            measured.moves.push(InclineMove {
                mass: positive(
                    one.mass.read(Dimension::Mass, &what("mass"))?,
                    &what("mass"),
                )?,
                moved: one.moved.read(length, &what("moved"))?,
                heel: one
                    .heel
                    .reading(Dimension::Angle, ANGLE_DEG, &what("heel"))?,
            });
        }
        for (number, push) in (1..).zip(&file.push) {
            let what = |key: &str| format!("[[push]] {number}: `{key}`");
            measured.pushes.push(Push {
                at: point(&push.at, &what("at"))?,
                force: push.force.read(Dimension::Force, &what("force"))?,
                sinks: push.sinks.reading(length, TAPE_M, &what("sinks"))?,
            });
        }
        if let Some(scales) = &file.two_scales {
            measured.two_scales = Some(scales.read()?);
        }
        Ok(measured)
    }
}

impl ScalesGiven {
    fn read(&self) -> Result<TwoScales, String> {
        let scale = |given: &ScaleGiven, name: &str| -> Result<Scale, String> {
            let what = |key: &str| format!("[two_scales] {name}: `{key}`");
            let reads = given
                .reads
                .reading(Dimension::Mass, SCALE_KG, &what("reads"))?;
            Ok(Scale {
                x: given.x.read(Dimension::Length, &what("x"))?,
                reads: positive(reads, &what("reads"))?,
            })
        };
        if self.tipped.is_some() && self.stands_at_z.is_none() {
            return Err("[two_scales] `tipped` needs `stands_at_z`: the height z of the points on which the boat stands".into());
        }
        let tipped = self
            .tipped
            .as_ref()
            .map(|tipped| -> Result<Tipped, String> {
                let what = |key: &str| format!("[two_scales] tipped: `{key}`");
                let reads = what("fore_reads");
                let fore = tipped
                    .fore_reads
                    .reading(Dimension::Mass, SCALE_KG, &reads)?;
                Ok(Tipped {
                    angle: tipped
                        .angle
                        .reading(Dimension::Angle, ANGLE_DEG, &what("angle"))?,
                    fore_reads: positive(fore, &reads)?,
                })
            });
        Ok(TwoScales {
            aft: scale(&self.aft, "aft")?,
            fore: scale(&self.fore, "fore")?,
            stands_at_z: match &self.stands_at_z {
                Some(z) => z.read(Dimension::Length, "[two_scales] `stands_at_z`")?,
                None => Quantity::exact(0.0),
            },
            tipped: tipped.transpose()?,
        })
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    float_mark: Vec<MarkGiven>,
    two_scales: Option<ScalesGiven>,
    #[serde(default)]
    incline: Vec<InclineGiven>,
    #[serde(default)]
    push: Vec<PushGiven>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct MarkGiven {
    at: Option<PlaceGiven>,
    opening: Option<String>,
    over_water: Given,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ScalesGiven {
    aft: ScaleGiven,
    fore: ScaleGiven,
    stands_at_z: Option<Given>,
    tipped: Option<TippedGiven>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ScaleGiven {
    x: Given,
    reads: Given,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct TippedGiven {
    angle: Given,
    fore_reads: Given,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct InclineGiven {
    mass: Given,
    moved: Given,
    heel: Given,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct PushGiven {
    at: PlaceGiven,
    force: Given,
    sinks: Given,
}

/// A point as x, y, z or as tape readings.
#[derive(Debug, Deserialize)]
#[serde(
    untagged,
    expecting = "a point: three lengths in square brackets, or tape readings such as { from_stem = \"1.2 m\", from_middle = \"30 cm port\", over_base = \"25 cm\" }"
)]
enum PlaceGiven {
    Point([Given; 3]),
    Taped(std::collections::BTreeMap<String, toml::Value>),
}

/// What places of measurements are found on, beside x, y and z.
pub struct MarkPlaces<'a> {
    /// The boat as its file floats it, for openings by name.
    pub afloat: &'a Afloat<'a>,
    /// Its hull, for tape readings.
    pub hull: &'a HullOnTape,
}

impl MarkPlaces<'_> {
    fn taped(
        &self,
        given: &std::collections::BTreeMap<String, toml::Value>,
    ) -> Result<Point, String> {
        if let Some(odd) = given.keys().find(|key| !Readings::knows(key)) {
            return Err(format!("`{odd}` is no tape reading"));
        }
        let readings = Readings::read(&|key| {
            Some(match given.get(key)? {
                toml::Value::String(text) => Taped::Text(text.clone()),
                toml::Value::Float(number) => Taped::Number(*number),
                toml::Value::Integer(number) => {
                    Taped::Number(f64::from(i32::try_from(*number).unwrap_or(i32::MAX)))
                }
                toml::Value::Boolean(flag) => Taped::Flag(*flag),
                _ => Taped::Other,
            })
        });
        readings
            .and_then(|readings| self.hull.tape().place(&readings))
            .map_err(|fault| fault.to_string())
    }

    /// The rim point of an opening that lies lowest above the water as the boat file
    /// floats it. Its height has the rim's ±.
    fn sill(&self, name: &str) -> Result<Point, String> {
        let boat = self.afloat.boat();
        let number = opening_named(boat, name).map_err(|error| error.to_string())?;
        let opening = &boat.openings[number];
        if opening.rim.is_empty() {
            return Err(format!("opening \"{name}\" has no rim"));
        }
        let rest = self.afloat.rest().map_err(|why| {
            format!("which point of \"{name}\" lies lowest is not known, give the point by `at`: as the boat file has it, {why}")
        })?;
        let mut at = exactly_at(opening.sill_m(&rest.plane().up));
        at[2].spread = opening.rim_spread_m;
        Ok(at)
    }
}

/// A number, or a text with its unit.
#[derive(Debug, Deserialize)]
#[serde(
    untagged,
    expecting = "a number, or a text with its unit such as \"120 mm\""
)]
enum Given {
    Number(f64),
    Text(String),
}

impl Given {
    fn read(&self, dimension: Dimension, what: &str) -> Result<Quantity, String> {
        match self {
            Self::Number(number) => Quantity::parse_bare(*number, dimension),
            Self::Text(text) => Quantity::parse(text, dimension),
        }
        .map_err(|error| format!("{what}: {error}"))
    }

    /// What is read off an instrument, whose ± is `usual` unless stated.
    fn reading(&self, dimension: Dimension, usual: f64, what: &str) -> Result<Quantity, String> {
        let mut quantity = self.read(dimension, what)?;
        if quantity.spread > 0.0 {
            return Ok(quantity);
        }
        let states_one = |text: &String| ["±", "+/-", "+-"].iter().any(|sign| text.contains(sign));
        if matches!(self, Self::Text(text) if states_one(text)) {
            return Err(format!(
                "{what}: its ± must be more than 0: nothing is read exactly"
            ));
        }
        quantity.spread = usual;
        Ok(quantity)
    }
}

fn positive(quantity: Quantity, what: &str) -> Result<Quantity, String> {
    if quantity.value > 0.0 {
        Ok(quantity)
    } else {
        Err(format!("{what} must be more than 0"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_read_and_kept_in_si() {
        let text = "[[float_mark]]\nat = [0, \"20 cm\", 0.4]\nover_water = \"9 in\"\n\
                    [[push]]\nat = [0, 0, 0]\nforce = \"10 kgf\"\nsinks = \"12 mm\"\n\
                    [two_scales]\naft = { x = 0.2, reads = \"100 lb\" }\nfore = { x = 3, reads = 40 }\n";
        let measured = Measured::parse(text, None).unwrap();
        assert!((measured.marks[0].over_water.value - 9.0 * 0.0254).abs() < 1e-15);
        assert!((measured.pushes[0].force.value - 98.0665).abs() < 1e-9);
        let scales = measured.two_scales.unwrap();
        assert!((scales.aft.reads.value - 45.359_237).abs() < 1e-9);
        assert!(scales.tipped.is_none());
        // Read by tape and scale; a place is exact unless it says.
        assert_eq!(measured.marks[0].over_water.spread, TAPE_M);
        assert_eq!(measured.marks[0].at[2].spread, 0.0);
        assert_eq!(scales.fore.reads.spread, SCALE_KG);
    }

    #[test]
    fn what_is_wrong_is_named() {
        for (text, words) in [
            ("[[float_mark]]\nat = [0, 0]\nover_water = 1\n", "at"),
            ("[[float_marks]]\nat = [0, 0, 0]\n", "float_marks"),
            (
                "[[incline]]\nmass = \"3 m\"\nmoved = 1\nheel = 1\n",
                "[[incline]] 1: `mass`",
            ),
            (
                "[[push]]\nat = [0, 0, 0]\nforce = 10\nsinks = 0.1\n",
                "[[push]] 1: `force`",
            ),
            (
                "[[float_mark]]\nat = [0, 0, 0]\nover_water = \"1 m ± 0 m\"\n",
                "nothing is read exactly",
            ),
            (
                "[two_scales]\naft = { x = 0, reads = 1 }\nfore = { x = 1, reads = 0 }\n",
                "must be more than 0",
            ),
            (
                "[two_scales]\naft = { x = 0, reads = 1 }\nfore = { x = 1, reads = 1 }\ntipped = { angle = 5, fore_reads = 1 }\n",
                "stands_at_z",
            ),
        ] {
            let message = Measured::parse(text, None).unwrap_err();
            assert!(message.contains(words), "{text}: {message}");
        }
    }
}
