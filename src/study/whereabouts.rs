//! Places in x, y, z and as a tape measures them on the hull.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::hydrostatics::coordinates;
use crate::boat::{AsTaped, Boat, HullFrame, HullOnTape, Readings, TapeFault};
use crate::mesh::NearSurface;
use crate::numerics::Vec3;
use crate::quantity::Quantity;

/// A place asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum Asked {
    /// By its coordinates in the boat frame, m.
    At(Vec3),
    /// By tape.
    Taped(Readings),
}

/// Result of [`whereabouts`]. Points are `[x, y, z]` in the boat frame, m.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct WhereResult {
    /// x of the hull's foremost point, m.
    pub stem_x_m: f64,
    /// x of its aftmost point, m.
    pub stern_x_m: f64,
    /// y of its centre plane, m.
    pub middle_y_m: f64,
    /// z of its lowest point, m.
    pub base_z_m: f64,
    /// The places, in the order asked for.
    pub places: Vec<WherePlace>,
}

/// One place both ways.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct WherePlace {
    /// As it was asked for, or the name of what is there.
    pub asked: String,
    /// In the boat frame, m.
    pub at_m: [f64; 3],
    /// ± of the readings along x, y, z, m.
    pub spread_m: [f64; 3],
    /// Whether it lies within the closed craft, its openings capped.
    pub inside: bool,
    /// How far it lies from the craft's outside, caps included, m.
    pub off_skin_m: f64,
    /// The same in readings.
    #[serde(flatten)]
    pub taped: AsTaped,
}

/// Turns tape readings into coordinates and back, on one hull.
///
/// # Errors
/// [`TapeFault`] and which place, where readings give none.
pub fn whereabouts(
    boat: &Boat,
    hull: &HullOnTape,
    asked: &[(String, Asked)],
) -> Result<Answer<WhereResult>, (String, TapeFault)> {
    let tape = hull.tape();
    let near = NearSurface::of(&boat.envelope.surface);
    let places = asked
        .iter()
        .map(|(words, asked)| {
            let at = match asked {
                Asked::At(at) => [at.x, at.y, at.z].map(Quantity::exact),
                Asked::Taped(readings) => tape
                    .place(readings)
                    .map_err(|fault| (words.clone(), fault))?,
            };
            let at_m = Vec3::from(at.map(|axis| axis.value));
            Ok(WherePlace {
                asked: words.clone(),
                at_m: coordinates(at_m),
                spread_m: at.map(|axis| axis.spread),
                inside: boat.envelope.encloses(&at_m),
                off_skin_m: near.distance_m(&at_m),
                taped: tape.readings(&at_m),
            })
        })
        .collect::<Result<_, _>>()?;
    let HullFrame {
        stem_x_m,
        stern_x_m,
        middle_y_m,
        base_z_m,
    } = hull.frame;
    let result = WhereResult {
        stem_x_m,
        stern_x_m,
        middle_y_m,
        base_z_m,
        places,
    };
    Ok(Answer::of(boat, result, Vec::new()))
}
