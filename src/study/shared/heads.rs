//! Those aboard: their heads above the water.
use schemars::JsonSchema;
use serde::Serialize;

use crate::boat::Boat;
use crate::immersion::WaterPlane;

/// How far the mouth is under the top of the head, m. Ours, no source.
pub(in crate::study) const MOUTH_UNDER_TOP_M: f64 = 0.2;

/// A person's head above the water.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct HeadLine {
    /// Whose.
    pub person: String,
    /// Its top above the water, m; negative: under it.
    pub head_m: f64,
    /// The mouth above the water, m.
    pub mouth_m: f64,
}

/// The heads of everyone aboard, sitting as the file has them.
pub(in crate::study) fn heads(boat: &Boat, plane: &WaterPlane) -> Vec<HeadLine> {
    boat.persons()
        .filter_map(|entry| {
            let top = entry.head_m()?;
            let body = top - entry.centre_m;
            let mouth = entry.centre_m + body * (1.0 - MOUTH_UNDER_TOP_M / body.norm()).max(0.0);
            Some(HeadLine {
                person: entry.name.clone(),
                head_m: plane.height_m(&top),
                mouth_m: plane.height_m(&mouth),
            })
        })
        .collect()
}
