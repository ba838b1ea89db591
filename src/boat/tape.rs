//! Places as a tape measures them on the hull: from readings to x, y, z and back. The
//! one place where that is done, for boat files, options and float marks.
//!
//! | reading | counts |
//! |---|---|
//! | `from_stem`, `from_stern` | along the boat's x axis, aft from the foremost or forward from the aftmost point of the hull as loaded, parts left out |
//! | `from_middle` | along y from the hull's own centre plane: `"30 cm port"`, `"30 cm starboard"`, `0` |
//! | `over_base` | up along z from the base line, level with the hull's lowest point |
//! | `below_rim` | down along z from the hull's rim (its open edge, or the edge of its deck) on that side at that station; on the middle from half-way between both rims |
//! | `along_skin` | the height is read along the outside of the skin in the station's plane instead: `below_rim` from the rim down, or the distance in `from_middle` from the keel up |
//!
//! A side without a distance, `from_middle = "port"`, is the outside of the skin there.
use std::cell::OnceCell;

use schemars::JsonSchema;
use serde::Serialize;

use super::fields::nearest;
use super::hull_frame::HullFrame;
use super::side::{Side, SidePath, Skinned};
use crate::mesh::{Prepared, Slicer, Surface};
use crate::numerics::Vec3;
use crate::quantity::{Dimension, Quantity, QuantityError, UnitSystem};

/// The keys of tape readings.
pub(crate) const KEYS: [&str; 6] = [
    "from_stem",
    "from_stern",
    "from_middle",
    "over_base",
    "below_rim",
    "along_skin",
];

/// How readings look, for hints.
pub(crate) const EXAMPLE: &str =
    "{ from_stem = \"1.2 m\", from_middle = \"30 cm port\", over_base = \"25 cm\" }";

/// How far past the hull a tape may reach, m: an outrigger, a mast, a fin. Ours.
const REACH_M: f64 = 3.0;
/// A point this near to the skin lies on it, m.
const ON_SKIN_M: f64 = 0.002;

/// What stands behind a key of tape readings.
#[derive(Debug, Clone, PartialEq)]
pub enum Taped {
    /// A text, such as `"30 cm port"`.
    Text(String),
    /// A number, in metres.
    Number(f64),
    /// `true` or `false`.
    Flag(bool),
    /// Anything else.
    Other,
}

/// Why readings give no place.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TapeFault {
    /// One of them cannot be read.
    #[error("`{key}`: {cause}")]
    BadQuantity {
        /// Which.
        key: &'static str,
        /// Why not.
        cause: QuantityError,
    },
    /// They say too little, too much, or what cannot be; the text says what to do.
    #[error("{0}")]
    Said(String),
}

fn said<T>(text: impl Into<String>) -> Result<T, TapeFault> {
    Err(TapeFault::Said(text.into()))
}

/// Tape readings of one place, as they were written.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Readings {
    /// `from_stem`, m aft.
    pub from_stem: Option<Quantity>,
    /// `from_stern`, m forward.
    pub from_stern: Option<Quantity>,
    /// `from_middle`: the side, and how far, m. No side on the middle, no distance on
    /// the skin.
    pub from_middle: Option<(Option<Side>, Option<Quantity>)>,
    /// `over_base`, m up.
    pub over_base: Option<Quantity>,
    /// `below_rim`, m down.
    pub below_rim: Option<Quantity>,
    /// `along_skin`.
    pub along_skin: bool,
}

impl Readings {
    /// Whether this is a key of a reading.
    #[must_use]
    pub fn knows(key: &str) -> bool {
        KEYS.contains(&key)
    }

    /// Reads them by key.
    ///
    /// # Errors
    /// [`TapeFault`] where one cannot be read.
    pub fn read(given: &dyn Fn(&str) -> Option<Taped>) -> Result<Self, TapeFault> {
        let length = |key: &'static str| match given(key) {
            None => Ok(None),
            Some(taped) => length_of(key, &taped).map(Some),
        };
        Ok(Self {
            from_stem: length("from_stem")?,
            from_stern: length("from_stern")?,
            from_middle: given("from_middle")
                .map(|taped| middle_of(&taped))
                .transpose()?,
            over_base: length("over_base")?,
            below_rim: length("below_rim")?,
            along_skin: match given("along_skin") {
                None => false,
                Some(Taped::Flag(flag)) => flag,
                Some(Taped::Text(text)) if text.trim() == "true" => true,
                Some(_) => return said("`along_skin` must be true or false"),
            },
        })
    }

    /// Reads them from one line: `from_stem 1.2 m, from_middle 30 cm port, over_base 25 cm`,
    /// with or without `=`, quotes and braces.
    ///
    /// # Errors
    /// [`TapeFault`] where one cannot be read.
    pub fn parse(text: &str) -> Result<Self, TapeFault> {
        let text = text.trim().trim_start_matches('{').trim_end_matches('}');
        let mut pairs: Vec<(&str, String)> = Vec::new();
        for pair in text.split(',').map(str::trim).filter(|p| !p.is_empty()) {
            let cut = pair.find(['=', ' ']).unwrap_or(pair.len());
            let (key, rest) = pair.split_at(cut);
            let rest = rest.trim_start_matches(['=', ' ']).trim();
            // The quotes of a text in TOML, not the inch marks of a reading.
            let rest = rest
                .strip_prefix('"')
                .and_then(|rest| rest.strip_suffix('"'))
                .unwrap_or(rest);
            let Some(known) = KEYS.iter().find(|known| **known == key) else {
                let near = nearest(key, KEYS.into_iter());
                let near = near.map_or_else(String::new, |near| format!(" (did you mean {near}?)"));
                return said(format!(
                    "\"{key}\" is no tape reading{near}: write for example \"from_stem 1.2 m, from_middle 30 cm port, over_base 25 cm\""
                ));
            };
            let rest = if *known == "along_skin" && rest.is_empty() {
                "true"
            } else {
                rest
            };
            pairs.push((known, rest.to_owned()));
        }
        Self::read(&|key| {
            let found = pairs.iter().find(|(known, _)| *known == key);
            found.map(|(_, text)| Taped::Text(text.clone()))
        })
    }
}

fn length_of(key: &'static str, taped: &Taped) -> Result<Quantity, TapeFault> {
    match taped {
        Taped::Text(text) => Quantity::parse(text, Dimension::Length),
        Taped::Number(number) => Quantity::parse_bare(*number, Dimension::Length),
        Taped::Flag(_) | Taped::Other => {
            return said(format!("`{key}` must be a length, for example \"120 cm\""));
        }
    }
    .map_err(|cause| TapeFault::BadQuantity { key, cause })
}

/// `"30 cm port"`, `"port"`, `0`.
fn middle_of(taped: &Taped) -> Result<(Option<Side>, Option<Quantity>), TapeFault> {
    let text = match taped {
        Taped::Text(text) => text.trim().to_lowercase(),
        Taped::Number(number) => format!("{number} m"),
        Taped::Flag(_) | Taped::Other => String::new(),
    };
    let side = Side::BOTH
        .into_iter()
        .find(|side| text.contains(side.word()));
    let rest = side.map_or(text.clone(), |side| text.replace(side.word(), ""));
    let rest = rest.trim();
    let needs_side = "`from_middle` needs its side, for example \"30 cm port\" or \"30 cm starboard\"; 0 on the middle, \"port\" alone on the skin";
    if rest.is_empty() {
        return match side {
            Some(side) => Ok((Some(side), None)),
            None => said(needs_side),
        };
    }
    let off = Quantity::parse(rest, Dimension::Length).map_err(|cause| TapeFault::BadQuantity {
        key: "from_middle",
        cause,
    })?;
    if off.value < 0.0 {
        return said(
            "`from_middle` is counted from the middle to a side, never less than 0: name the other side",
        );
    }
    if side.is_none() && off.value != 0.0 {
        return said(needs_side);
    }
    Ok((side, Some(off)))
}

/// A hull to hold a tape to.
#[derive(Debug, Clone)]
pub struct HullOnTape {
    /// What is counted from.
    pub frame: HullFrame,
    /// The closed hull, its centre plane shifted to y = 0.
    surface: Surface,
    first_cap: usize,
    box_m: (Vec3, Vec3),
}

/// A place in readings.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct AsTaped {
    /// Aft of the stem, m.
    pub from_stem_m: f64,
    /// Forward of the stern, m.
    pub from_stern_m: f64,
    /// From the middle, to port positive, m.
    pub to_port_m: f64,
    /// Over the base line, m.
    pub over_base_m: f64,
    /// Straight down from the rim, m; `None` off the hull's length.
    pub below_rim_m: Option<f64>,
    /// Down from the rim along the skin, m, where it lies on the outside of the skin.
    pub below_rim_along_skin_m: Option<f64>,
}

impl HullOnTape {
    /// Of a closed hull in the boat frame that lies so in it.
    #[must_use]
    pub fn of(hull: &Prepared, frame: HullFrame) -> Self {
        let mut surface = hull.surface.clone();
        for v in &mut surface.vertices {
            v.y -= frame.middle_y_m;
        }
        let open = hull.loops.iter().filter(|capped| !capped.mended);
        let first_cap = open.map(|capped| capped.cap.start).min();
        Self {
            frame,
            first_cap: first_cap.unwrap_or(surface.faces.len()),
            box_m: surface.bounds().unwrap_or_default(),
            surface,
        }
    }

    /// Starts reading places.
    #[must_use]
    pub fn tape(&self) -> Tape<'_> {
        Tape {
            hull: self,
            slicer: OnceCell::new(),
        }
    }
}

/// A tape held to a hull.
pub struct Tape<'a> {
    hull: &'a HullOnTape,
    slicer: OnceCell<Slicer<'a>>,
}

impl Tape<'_> {
    /// x, y, z in the boat frame, m, each with the ± of its reading.
    ///
    /// # Errors
    /// [`TapeFault`] where the readings say too little or too much, or no such place
    /// is near the hull.
    pub fn place(&self, readings: &Readings) -> Result<[Quantity; 3], TapeFault> {
        let x = self.station(readings)?;
        let Some((side, off)) = readings.from_middle else {
            return said(
                "`from_middle` is missing: say how far off the middle and to which side, for example \"30 cm port\", or 0",
            );
        };
        if readings.over_base.is_some() && readings.below_rim.is_some() {
            return said("`over_base` and `below_rim` both give the height: leave one out");
        }
        let [y, z] = if readings.along_skin {
            self.along_skin(readings, x.value, side, off)?
        } else {
            let z = self.height(readings, x.value, side)?;
            let y = match (side, off) {
                (Some(side), None) => Quantity::exact(self.on_skin(x.value, side, z.value)?),
                (side, off) => {
                    let off = off.unwrap_or(Quantity::exact(0.0));
                    Quantity {
                        value: side.map_or(0.0, Side::sign) * off.value,
                        spread: off.spread,
                    }
                }
            };
            [y, z]
        };
        self.within_reach(&[x, y, z])?;
        Ok([
            x,
            Quantity {
                value: y.value + self.hull.frame.middle_y_m,
                ..y
            },
            z,
        ])
    }

    /// One coordinate alone, as of a bulkhead: 0 for x, 1 for y, 2 for z.
    ///
    /// # Errors
    /// [`TapeFault`] unless the one reading that gives it is there.
    pub fn coordinate(&self, readings: &Readings, axis: usize) -> Result<Quantity, TapeFault> {
        let frame = &self.hull.frame;
        let only = |also: bool, what: &str| -> Result<(), TapeFault> {
            if also || readings.along_skin || readings.below_rim.is_some() {
                return said(format!("here one reading is wanted, {what}, and no other"));
            }
            Ok(())
        };
        let along = readings.from_stem.is_some() || readings.from_stern.is_some();
        let (off, up) = (readings.from_middle.is_some(), readings.over_base.is_some());
        match axis {
            0 => {
                only(off || up, "`from_stem` or `from_stern`")?;
                self.station(readings)
            }
            1 => {
                only(along || up, "`from_middle`")?;
                match readings.from_middle {
                    Some((side, Some(off))) => Ok(Quantity {
                        value: frame.middle_y_m + side.map_or(0.0, Side::sign) * off.value,
                        spread: off.spread,
                    }),
                    _ => said(
                        "here `from_middle` with its distance is wanted, for example { from_middle = \"30 cm port\" }",
                    ),
                }
            }
            _ => {
                only(along || off, "`over_base`")?;
                match readings.over_base {
                    Some(up) => Ok(Quantity {
                        value: frame.base_z_m + up.value,
                        spread: up.spread,
                    }),
                    None => {
                        said("here `over_base` is wanted, for example { over_base = \"12 cm\" }")
                    }
                }
            }
        }
    }

    /// The readings of a place, boat frame, m.
    #[must_use]
    pub fn readings(&self, at: &Vec3) -> AsTaped {
        let frame = &self.hull.frame;
        let to_port_m = at.y - frame.middle_y_m;
        let side = side_of(to_port_m);
        let rim_m = self.rim_z_m(at.x, side).ok();
        let along_skin = side
            .and_then(|side| self.path(at.x, side).ok())
            .and_then(|path| {
                let here = Vec3::new(at.x, to_port_m, at.z);
                let (along, off) = nearest_along(&path, &here);
                (off < ON_SKIN_M).then(|| path.length_m() - along)
            });
        AsTaped {
            from_stem_m: frame.stem_x_m - at.x,
            from_stern_m: at.x - frame.stern_x_m,
            to_port_m,
            over_base_m: at.z - frame.base_z_m,
            below_rim_m: rim_m.map(|rim| rim - at.z),
            below_rim_along_skin_m: along_skin,
        }
    }

    fn station(&self, readings: &Readings) -> Result<Quantity, TapeFault> {
        let frame = &self.hull.frame;
        match (readings.from_stem, readings.from_stern) {
            (Some(_), Some(_)) => {
                said("`from_stem` and `from_stern` both say where along the boat: leave one out")
            }
            (None, None) => said(
                "where along the boat is missing: give `from_stem` (aft of the foremost point) or `from_stern` (forward of the aftmost)",
            ),
            (Some(aft), None) => Ok(Quantity {
                value: frame.stem_x_m - aft.value,
                spread: aft.spread,
            }),
            (None, Some(forward)) => Ok(Quantity {
                value: frame.stern_x_m + forward.value,
                spread: forward.spread,
            }),
        }
    }

    /// z by a straight reading, m.
    fn height(
        &self,
        readings: &Readings,
        x_m: f64,
        side: Option<Side>,
    ) -> Result<Quantity, TapeFault> {
        if let Some(up) = readings.over_base {
            return Ok(Quantity {
                value: self.hull.frame.base_z_m + up.value,
                spread: up.spread,
            });
        }
        let Some(down) = readings.below_rim else {
            return said(
                "the height is missing: give `over_base` (up from the hull's lowest point) or `below_rim` (down from the rim there)",
            );
        };
        Ok(Quantity {
            value: self.rim_z_m(x_m, side)? - down.value,
            spread: down.spread,
        })
    }

    /// Height of the rim at a station, m: of one side, or half-way between both.
    fn rim_z_m(&self, x_m: f64, side: Option<Side>) -> Result<f64, TapeFault> {
        let of = |side| self.path(x_m, side).map(|path| path.rim_m().z);
        match side {
            Some(side) => of(side),
            None => Ok(f64::midpoint(of(Side::Port)?, of(Side::Starboard)?)),
        }
    }

    fn path(&self, x_m: f64, side: Side) -> Result<SidePath, TapeFault> {
        let slicer = self.slicer.get_or_init(|| Slicer::of(&self.hull.surface));
        let cut = slicer.section(0, x_m);
        let path = SidePath::of(&Skinned::Hull(self.hull.first_cap), &cut, side);
        path.map_or_else(
            || {
                said(format!(
                    "the hull has no skin to {} at that station, {} aft of the stem: stations lie between the stem and the stern",
                    side.word(),
                    length(self.hull.frame.stem_x_m - x_m)
                ))
            },
            Ok,
        )
    }

    /// y of the skin at a height, m.
    fn on_skin(&self, x_m: f64, side: Side, z_m: f64) -> Result<f64, TapeFault> {
        let path = self.path(x_m, side)?;
        let crossings = path.crossings(|point| point.z - z_m);
        match crossings.as_slice() {
            [(_, place)] => Ok(place.y),
            [] => {
                let base = self.hull.frame.base_z_m;
                said(format!(
                    "the skin to {} does not come to that height there: it runs from {} to {} over the base line; give the distance in `from_middle`",
                    side.word(),
                    length(path.foot_m().z - base),
                    length(path.rim_m().z - base)
                ))
            }
            several => said(format!(
                "the skin to {} comes to that height {} times there: give the distance in `from_middle`",
                side.word(),
                several.len()
            )),
        }
    }

    /// y and z of a reading along the skin, m.
    fn along_skin(
        &self,
        readings: &Readings,
        x_m: f64,
        side: Option<Side>,
        off: Option<Quantity>,
    ) -> Result<[Quantity; 2], TapeFault> {
        let Some(side) = side else {
            return said("`along_skin` needs a side in `from_middle`: \"port\" or \"starboard\"");
        };
        let path = self.path(x_m, side)?;
        let whole = path.length_m();
        let (along, read) = match (off, readings.below_rim, readings.over_base) {
            (None, Some(down), None) => (whole - down.value, down),
            (Some(up), None, None) => (up.value, up),
            _ => {
                return said(
                    "`along_skin` takes one distance: `below_rim` from the rim down with from_middle = \"port\" or \"starboard\" alone, or the distance in `from_middle` from the keel up",
                );
            }
        };
        if !(0.0..=whole).contains(&along) {
            return said(format!(
                "{} along the skin is more than the {} from the keel to the rim there",
                length(read.value),
                length(whole)
            ));
        }
        let marks = path.along_m();
        let run = marks
            .partition_point(|mark| *mark <= along)
            .clamp(1, marks.len() - 1);
        let (a, b) = (path.points[run - 1], path.points[run]);
        let long = (marks[run] - marks[run - 1]).max(f64::MIN_POSITIVE);
        let way = (b - a) / long;
        let at = a + way * (along - marks[run - 1]);
        let share = |way: f64| read.spread * way.abs();
        Ok([
            Quantity {
                value: at.y,
                spread: share(way.y),
            },
            Quantity {
                value: at.z,
                spread: share(way.z),
            },
        ])
    }

    /// A tape does not reach much past the hull.
    fn within_reach(&self, at: &[Quantity; 3]) -> Result<(), TapeFault> {
        let (lo, hi) = self.hull.box_m;
        let words = [
            ("aft of the stern", "forward of the stem"),
            ("past the starboard side", "past the port side"),
            ("under the hull", "above the hull"),
        ];
        for (axis, (under, over)) in words.into_iter().enumerate() {
            let value = at[axis].value;
            let room = REACH_M.max((hi - lo)[axis]);
            let (beyond, word) = if value > hi[axis] {
                (value - hi[axis], over)
            } else {
                (lo[axis] - value, under)
            };
            if beyond > room {
                return said(format!(
                    "the place is {} {word}: check the unit (bare numbers are metres)",
                    length(beyond)
                ));
            }
        }
        Ok(())
    }
}

fn side_of(to_port_m: f64) -> Option<Side> {
    if to_port_m > 0.0 {
        Some(Side::Port)
    } else if to_port_m < 0.0 {
        Some(Side::Starboard)
    } else {
        None
    }
}

/// Distance along a path to its point nearest to another, and how far off that is, m.
fn nearest_along(path: &SidePath, to: &Vec3) -> (f64, f64) {
    let marks = path.along_m();
    let runs = path.points.windows(2).zip(&marks);
    runs.map(|(run, mark)| {
        let way = run[1] - run[0];
        let share =
            (way.dot(&(to - run[0])) / way.norm_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        (
            mark + share * way.norm(),
            (run[0] + way * share - to).norm(),
        )
    })
    .reduce(|best, next| if next.1 < best.1 { next } else { best })
    .unwrap_or((0.0, f64::INFINITY))
}

fn length(m: f64) -> String {
    Quantity::exact(m).show(Dimension::Length, UnitSystem::Metric)
}
