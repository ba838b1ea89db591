//! What a given water plane cuts from a body.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::cautions::Caution;
use super::shared::hydrostatics::Hydrostatics;
use crate::immersion::{MomentTree, WaterPlane};
use crate::mesh::{Doubt, DoubtKind};
use crate::quantity::{Sentence, metres, sentence};
use crate::water::Water;

/// Result of [`slice()`].
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct SliceResult {
    /// Density of the water, kg/m³.
    pub water_density_kg_m3: f64,
    /// Where that density comes from.
    pub water: Sentence,
    /// The quantities under the plane.
    #[serde(flatten)]
    pub hydrostatics: Hydrostatics,
    /// Triangles of the surface, caps included.
    pub triangles: usize,
}

/// Cuts a closed surface at a plane; `name` is the boat's or the mesh file's. `doubts` are carried into the result, with
/// one more where the plane does not meet the body.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, immersion::WaterPlane, study::slice};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let plane = WaterPlane::at_attitude(5.0, -1.0, 0.18);
/// let cut = slice(&boat.name, &boat.tree, &plane, &boat.water, &boat.doubts);
/// println!("{:.1} L under water", 1e3 * cut.hydrostatics.displaced_volume_m3);
/// # Ok(())
/// # }
/// ```
#[must_use]
pub fn slice(
    name: &str,
    tree: &MomentTree,
    plane: &WaterPlane,
    water: &Water,
    doubts: &[Doubt],
) -> Answer<SliceResult> {
    let result = SliceResult {
        water_density_kg_m3: water.density_kg_m3,
        water: water.about.clone(),
        hydrostatics: Hydrostatics::of(&tree.immerse(plane), water.density_kg_m3),
        triangles: tree.triangles(),
    };
    let doubts = doubts.iter().cloned();
    let doubts = doubts.chain(doubt_clear_plane(tree, plane));
    Answer {
        name: name.to_owned(),
        result,
        as_it_lies: None,
        cautions: vec![Caution::CalmWaterOnly],
        doubts: doubts.collect(),
    }
}

/// A plane clear of the body is most often a height in the wrong unit.
fn doubt_clear_plane(tree: &MomentTree, plane: &WaterPlane) -> Option<Doubt> {
    let lowest = plane.height_m(&tree.extreme(&-plane.up)?);
    let highest = plane.height_m(&tree.extreme(&plane.up)?);
    let (where_it_is, away_m) = if highest <= 0.0 {
        ("over", -highest)
    } else if lowest >= 0.0 {
        ("under", lowest)
    } else {
        return None;
    };
    Some(Doubt::new(
        DoubtKind::Place,
        sentence![
            format!("the water plane passes {where_it_is} the whole body, "),
            metres(away_m, 3),
            " clear of it: bare heights are metres; write \"120 mm\" if millimetres are meant",
        ],
    ))
}
