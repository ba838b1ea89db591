//! What a given water plane cuts from a body.
use serde::Serialize;

use super::hydrostatics::Hydrostatics;
use crate::immersion::{MomentTree, WaterPlane};
use crate::mesh::Doubt;
use crate::water::Water;

/// Result of [`slice`].
#[derive(Debug, Clone, Serialize)]
pub struct SliceResult {
    /// What was sliced: the boat's name or the mesh file's.
    pub name: String,
    /// Density of the water, kg/m³.
    pub water_density_kg_m3: f64,
    /// How that density was come by.
    pub water: String,
    /// The quantities under the plane.
    #[serde(flatten)]
    pub hydrostatics: Hydrostatics,
    /// Triangles of the surface, caps included.
    pub triangles: usize,
    /// Everything that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// Cuts a closed surface at a plane. `doubts` are carried into the result.
#[must_use]
pub fn slice(
    name: &str,
    tree: &MomentTree,
    plane: &WaterPlane,
    water: &Water,
    doubts: &[Doubt],
) -> SliceResult {
    SliceResult {
        name: name.to_owned(),
        water_density_kg_m3: water.density_kg_m3,
        water: water.about.clone(),
        hydrostatics: Hydrostatics::of(&tree.immerse(plane), water.density_kg_m3),
        triangles: tree.triangles(),
        mesh_doubts: doubts.to_vec(),
    }
}
