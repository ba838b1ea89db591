//! Surfaces to and from the library that does booleans.
use manifold_rust::manifold::Manifold;
use manifold_rust::types::MeshGL64;

use super::surface::Surface;
use crate::numerics::Vec3;

/// A surface as the library takes it; each face carries its tag through.
pub(crate) fn to_library(surface: &Surface, tags: Vec<u64>) -> MeshGL64 {
    MeshGL64 {
        num_prop: 3,
        vert_properties: surface
            .vertices
            .iter()
            .flat_map(|v| [v.x, v.y, v.z])
            .collect(),
        tri_verts: surface
            .faces
            .iter()
            .flatten()
            .map(|&v| u64::from(v))
            .collect(),
        face_id: tags,
        ..MeshGL64::default()
    }
}

/// What came of it: the surface and the tag of each face.
pub(crate) fn from_library(solid: &Manifold) -> (Surface, Vec<u64>) {
    let mesh = solid.get_mesh_gl64(-1);
    // Vertices that were split for their properties are one again.
    let mut same: Vec<u64> = (0..mesh.num_vert() as u64).collect();
    for (from, to) in mesh.merge_from_vert.iter().zip(&mesh.merge_to_vert) {
        if let Ok(from) = usize::try_from(*from) {
            same[from] = *to;
        }
    }
    let index = |v: u64| {
        let merged = usize::try_from(v).map_or(v, |v| same[v]);
        u32::try_from(merged).unwrap_or(u32::MAX)
    };
    let stride = mesh.vert_properties.len() / mesh.num_vert().max(1);
    let surface = Surface {
        vertices: mesh
            .vert_properties
            .chunks_exact(stride.max(1))
            .map(|p| Vec3::new(p[0], p[1], p[2]))
            .collect(),
        faces: mesh
            .tri_verts
            .as_chunks::<3>()
            .0
            .iter()
            .map(|t| t.map(index))
            .collect(),
    };
    (surface, mesh.face_id)
}
