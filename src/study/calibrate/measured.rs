//! The file of measurements.
use std::path::{Path, PathBuf};

use serde::Deserialize;

use crate::mesh::read_regular_file;
use crate::numerics::Vec3;
use crate::quantity::{Dimension, Quantity};

/// Largest file of measurements that is read, bytes.
const MOST_BYTES: u64 = 1 << 20;

/// Why a file of measurements could not be read.
#[derive(Debug, thiserror::Error)]
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

/// What was measured, in SI.
///
/// | table | holds |
/// |---|---|
/// | `[[float_mark]]` | `at = [x, y, z]`, `over_water`: height over the water of a point of the boat, three or more |
/// | `[two_scales]` | `aft = { x, reads }`, `fore = { x, reads }`; to know the height also `stands_at_z` and `tipped = { angle, fore_reads }`, the fore end raised |
/// | `[[incline]]` | `mass` aboard moved by `moved` to starboard, and the change of `heel` |
/// | `[[push]]` | `at = [x, y, z]`, `force` down, and how far that point `sinks` |
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

/// The height of a point over the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloatMark {
    /// The point, boat frame, m.
    pub at_m: Vec3,
    /// Its height, m; negative under water.
    pub over_water_m: f64,
}

/// A weighing on two scales, boat level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TwoScales {
    /// The after one.
    pub aft: Scale,
    /// The fore one.
    pub fore: Scale,
    /// Height z at which the boat stands on the scales, m.
    pub stands_at_z_m: f64,
    /// A second weighing with the fore end raised.
    pub tipped: Option<Tipped>,
}

/// One scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Where along the boat, m.
    pub x_m: f64,
    /// What it reads, kg.
    pub reads_kg: f64,
}

/// The fore end raised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tipped {
    /// By how much, deg.
    pub angle_deg: f64,
    /// What the fore scale reads then, kg.
    pub fore_reads_kg: f64,
}

/// One inclining move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InclineMove {
    /// The mass moved, already aboard, kg.
    pub mass_kg: f64,
    /// How far, to starboard positive, m.
    pub moved_m: f64,
    /// Change of heel, starboard down positive, deg.
    pub heel_deg: f64,
}

/// A push down on one point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Push {
    /// The point, boat frame, m.
    pub at_m: Vec3,
    /// The push, N.
    pub force_n: f64,
    /// How far that point goes down, m.
    pub sinks_m: f64,
}

impl Measured {
    /// Reads a file of measurements.
    ///
    /// # Errors
    /// [`MeasuredError`] with the file and what is wrong in it, and where.
    pub fn read(path: &Path) -> Result<Self, MeasuredError> {
        let io_error = |source| MeasuredError::Io {
            path: path.to_owned(),
            source,
        };
        let bytes = read_regular_file(path, MOST_BYTES).map_err(io_error)?;
        if bytes.len() as u64 > MOST_BYTES {
            return Err(MeasuredError::Content {
                path: path.to_owned(),
                text: format!("it has more than {MOST_BYTES} bytes; is this a mesh?"),
            });
        }
        let text =
            String::from_utf8(bytes).map_err(|source| io_error(std::io::Error::other(source)))?;
        Self::parse(&text).map_err(|text| MeasuredError::Content {
            path: path.to_owned(),
            text,
        })
    }

    fn parse(text: &str) -> Result<Self, String> {
        let file: File = toml::from_str(text).map_err(|error| error.to_string())?;
        let point = |at: &[Given; 3], what: &str| -> Result<Vec3, String> {
            let [x, y, z] = at;
            Ok(Vec3::new(
                x.read(Dimension::Length, what)?,
                y.read(Dimension::Length, what)?,
                z.read(Dimension::Length, what)?,
            ))
        };
        let mut measured = Self::default();
        for (number, mark) in (1..).zip(&file.float_mark) {
            let what = |key: &str| format!("[[float_mark]] {number}: `{key}`");
            measured.marks.push(FloatMark {
                at_m: point(&mark.at, &what("at"))?,
                over_water_m: mark
                    .over_water
                    .read(Dimension::Length, &what("over_water"))?,
            });
        }
        for (number, one) in (1..).zip(&file.incline) {
            let what = |key: &str| format!("[[incline]] {number}: `{key}`");
            measured.moves.push(InclineMove {
                mass_kg: one.mass.positive(Dimension::Mass, &what("mass"))?,
                moved_m: one.moved.read(Dimension::Length, &what("moved"))?,
                heel_deg: one.heel.read(Dimension::Angle, &what("heel"))?,
            });
        }
        for (number, push) in (1..).zip(&file.push) {
            let what = |key: &str| format!("[[push]] {number}: `{key}`");
            measured.pushes.push(Push {
                at_m: point(&push.at, &what("at"))?,
                force_n: push.force.read(Dimension::Force, &what("force"))?,
                sinks_m: push.sinks.read(Dimension::Length, &what("sinks"))?,
            });
        }
        if let Some(scales) = &file.two_scales {
            let scale = |given: &ScaleGiven, name: &str| -> Result<Scale, String> {
                let what = |key: &str| format!("[two_scales] {name}: `{key}`");
                Ok(Scale {
                    x_m: given.x.read(Dimension::Length, &what("x"))?,
                    reads_kg: given.reads.positive(Dimension::Mass, &what("reads"))?,
                })
            };
            let tipped = match &scales.tipped {
                None => None,
                Some(tipped) => Some(Tipped {
                    angle_deg: tipped
                        .angle
                        .read(Dimension::Angle, "[two_scales] tipped: `angle`")?,
                    fore_reads_kg: tipped
                        .fore_reads
                        .positive(Dimension::Mass, "[two_scales] tipped: `fore_reads`")?,
                }),
            };
            if tipped.is_some() && scales.stands_at_z.is_none() {
                return Err("[two_scales] `tipped` needs `stands_at_z`: the height z of the points on which the boat stands".into());
            }
            measured.two_scales = Some(TwoScales {
                aft: scale(&scales.aft, "aft")?,
                fore: scale(&scales.fore, "fore")?,
                stands_at_z_m: match &scales.stands_at_z {
                    Some(z) => z.read(Dimension::Length, "[two_scales] `stands_at_z`")?,
                    None => 0.0,
                },
                tipped,
            });
        }
        Ok(measured)
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
    at: [Given; 3],
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
    at: [Given; 3],
    force: Given,
    sinks: Given,
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
    fn read(&self, dimension: Dimension, what: &str) -> Result<f64, String> {
        match self {
            Self::Number(number) => Quantity::parse_bare(*number, dimension),
            Self::Text(text) => Quantity::parse(text, dimension),
        }
        .map(|quantity| quantity.value)
        .map_err(|error| format!("{what}: {error}"))
    }

    fn positive(&self, dimension: Dimension, what: &str) -> Result<f64, String> {
        let value = self.read(dimension, what)?;
        if value > 0.0 {
            Ok(value)
        } else {
            Err(format!("{what} must be more than 0"))
        }
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
        let measured = Measured::parse(text).unwrap();
        assert!((measured.marks[0].over_water_m - 9.0 * 0.0254).abs() < 1e-15);
        assert!((measured.pushes[0].force_n - 98.0665).abs() < 1e-9);
        let scales = measured.two_scales.unwrap();
        assert!((scales.aft.reads_kg - 45.359_237).abs() < 1e-9);
        assert!(scales.tipped.is_none());
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
                "[two_scales]\naft = { x = 0, reads = 1 }\nfore = { x = 1, reads = 0 }\n",
                "must be more than 0",
            ),
            (
                "[two_scales]\naft = { x = 0, reads = 1 }\nfore = { x = 1, reads = 1 }\ntipped = { angle = 5, fore_reads = 1 }\n",
                "stands_at_z",
            ),
        ] {
            let message = Measured::parse(text).unwrap_err();
            assert!(message.contains(words), "{text}: {message}");
        }
    }
}
