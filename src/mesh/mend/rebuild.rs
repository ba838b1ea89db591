//! Making one skin of shells that pass through each other.
use std::time::Duration;

use manifold_rust::cancel::CancelToken;
use manifold_rust::manifold::Manifold;
use manifold_rust::types::{Error as ManifoldError, MeshGL64, WindingRule};

use super::super::surface::Surface;
use crate::numerics::Vec3;

/// Longest that a rebuild may take: on rough scans it can run for hours.
const TIME_LIMIT: Duration = Duration::from_secs(120);

/// Why shells could not be made one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RebuildError {
    /// It took too long.
    #[error(
        "the shells could not be made one within {} s: the mesh is too rough or too fine there; reduce it, or give the fairing as a [[part]] of its own",
        TIME_LIMIT.as_secs()
    )]
    TooSlow,
    /// The library refused it.
    #[error("the shells could not be made one ({0}): mend the mesh in an editor first")]
    Refused(String),
}

/// Makes one outward skin of a closed surface whose shells overlap: what lies
/// within at least one shell is inside. Each face keeps its tag.
///
/// # Errors
/// [`RebuildError`] when the surface is not closed or it takes too long.
pub(super) fn rebuilt(
    surface: &Surface,
    tags: &[u64],
) -> Result<(Surface, Vec<u64>), RebuildError> {
    let mesh = MeshGL64 {
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
        face_id: tags.to_vec(),
        ..MeshGL64::default()
    };
    let token = CancelToken::new();
    let (done, wait) = std::sync::mpsc::channel::<()>();
    let result = std::thread::scope(|scope| {
        let token = &token;
        scope.spawn(move || {
            if wait.recv_timeout(TIME_LIMIT) == Err(std::sync::mpsc::RecvTimeoutError::Timeout) {
                token.cancel();
            }
        });
        let solid = Manifold::from_mesh_gl64_robust(&mesh);
        let rebuilt = solid.rebuild_solid_with_token(WindingRule::Positive, Some(token));
        drop(done);
        rebuilt
    });
    match result.status() {
        ManifoldError::NoError if !result.is_empty() => {}
        ManifoldError::Cancelled => return Err(RebuildError::TooSlow),
        other => return Err(RebuildError::Refused(format!("{other:?}"))),
    }
    let mesh = result.get_mesh_gl64(-1);
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
    Ok((surface, mesh.face_id.clone()))
}
