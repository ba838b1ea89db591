//! The hull as it is drawn. Numbers never come from it.
use std::collections::HashMap;

use super::quadric::Quadric;
use super::shades::Shades;
use crate::immersion::WaterPlane;
use crate::mesh::Surface;
use crate::numerics::Vec3;

/// Triangles that are drawn at most: software drawing gets slow past that.
pub const DISPLAY_TRIANGLES: usize = 200_000;
/// Faces that meet at less than this look round: cosine of 35°.
const ROUND_BELOW_COS: f64 = 0.819;
/// Growth of the cells until few enough triangles are left.
const CELL_GROWTH: f64 = 1.2;
/// Triangles that a surface cut into square cells keeps per cell, about.
const TRIANGLES_A_CELL: f64 = 2.0;

/// Corners, faces and normals to draw, boat frame, m.
#[derive(Debug, Clone, Default)]
pub struct DisplayMesh {
    /// Corners; one for each normal that a vertex has.
    pub points: Vec<Vec3>,
    /// A unit normal for each corner.
    pub normals: Vec<Vec3>,
    /// Three corners each.
    pub faces: Vec<[u32; 3]>,
    /// Whether it has fewer triangles than the surface.
    pub is_coarser: bool,
}

impl DisplayMesh {
    /// The first `faces` faces of a surface (its skin), made coarser where they
    /// are more than `most`. Vertices that share a cell become the one of them
    /// that lies nearest to all the planes round them, so that chines and rims
    /// stay, and every corner drawn is one of the surface's own.
    #[must_use]
    pub fn new(surface: &Surface, faces: usize, most: usize) -> Self {
        let faces = &surface.faces[..faces.min(surface.faces.len())];
        if faces.len() <= most {
            return Self::with_normals(&surface.vertices, faces, false);
        }
        let area: f64 = (0..faces.len()).map(|f| surface.face_area_m2(f)).sum();
        #[expect(clippy::cast_precision_loss, reason = "a first guess")]
        let mut cell = (area * TRIANGLES_A_CELL / most.max(1) as f64).sqrt();
        loop {
            let fewer = coarser(surface, faces, cell);
            if fewer.len() <= most || cell > 1e6 {
                return Self::with_normals(&surface.vertices, &fewer, true);
            }
            cell *= CELL_GROWTH;
        }
    }

    /// Splits corners along creases.
    fn with_normals(vertices: &[Vec3], faces: &[[u32; 3]], is_coarser: bool) -> Self {
        let twice_area = |face: &[u32; 3]| {
            let [a, b, c] = face.map(|v| vertices[v as usize]);
            (b - a).cross(&(c - a))
        };
        let normals: Vec<Vec3> = faces.iter().map(twice_area).collect();
        let mut around: HashMap<u32, Vec<u32>> = HashMap::new();
        for (index, face) in (0..).zip(faces) {
            for vertex in face {
                around.entry(*vertex).or_default().push(index);
            }
        }
        let mut mesh = Self {
            is_coarser,
            faces: Vec::with_capacity(faces.len()),
            ..Self::default()
        };
        // The corners that a vertex has so far.
        let mut made: HashMap<u32, Vec<u32>> = HashMap::new();
        for (own, face) in normals.iter().zip(faces) {
            let corners = face.map(|vertex| {
                let smooth = around[&vertex]
                    .iter()
                    .map(|f| &normals[*f as usize])
                    .filter(|other| own.dot(other) >= ROUND_BELOW_COS * own.norm() * other.norm())
                    .sum::<Vec3>();
                let normal = smooth.try_normalize(0.0).unwrap_or_else(Vec3::z);
                let same =
                    |corner: &&u32| mesh.normals[**corner as usize].dot(&normal) > 1.0 - 1e-6;
                let known = made.entry(vertex).or_default();
                if let Some(corner) = known.iter().find(same) {
                    return *corner;
                }
                let corner = u32::try_from(mesh.points.len()).unwrap_or(u32::MAX);
                mesh.points.push(vertices[vertex as usize]);
                mesh.normals.push(normal);
                known.push(corner);
                corner
            });
            mesh.faces.push(corners);
        }
        mesh
    }

    /// Where in the row of shades each corner's height above the water lies.
    #[must_use]
    pub fn shade_at_corners(&self, plane: &WaterPlane, shades: &Shades) -> Vec<f32> {
        self.points
            .iter()
            .map(|point| shades.place_of(plane.height_m(point)))
            .collect()
    }
}

/// The faces that are left when vertices in one cell become one of them.
fn coarser(surface: &Surface, faces: &[[u32; 3]], cell_m: f64) -> Vec<[u32; 3]> {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a hull is less than 2³¹ cells long"
    )]
    let cell_of = |vertex: u32| {
        let p = surface.vertices[vertex as usize] / cell_m;
        [p.x.floor() as i32, p.y.floor() as i32, p.z.floor() as i32]
    };
    let mut quadrics: HashMap<[i32; 3], Quadric> = HashMap::new();
    for face in faces {
        let corners = face.map(|v| surface.vertices[v as usize]);
        for vertex in face {
            quadrics
                .entry(cell_of(*vertex))
                .or_default()
                .add_face(&corners);
        }
    }
    let mut best: HashMap<[i32; 3], (f64, u32)> = HashMap::with_capacity(quadrics.len());
    for vertex in faces.iter().flatten() {
        let cell = cell_of(*vertex);
        let error = quadrics[&cell].at(&surface.vertices[*vertex as usize]);
        best.entry(cell)
            .and_modify(|least| {
                if (error, *vertex) < *least {
                    *least = (error, *vertex);
                }
            })
            .or_insert((error, *vertex));
    }
    faces
        .iter()
        .map(|face| face.map(|vertex| best[&cell_of(vertex)].1))
        .filter(|[a, b, c]| a != b && b != c && c != a)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    #[test]
    fn a_box_keeps_its_faces_and_gets_three_normals_at_each_corner() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        let mesh = DisplayMesh::new(&cube, cube.faces.len(), DISPLAY_TRIANGLES);
        assert_eq!((mesh.faces.len(), mesh.points.len()), (12, 24));
        assert!(!mesh.is_coarser);
        for face in &mesh.faces {
            let [a, b, c] = face.map(|v| mesh.points[v as usize]);
            let normal = (b - a).cross(&(c - a)).normalize();
            for corner in face {
                assert!((mesh.normals[*corner as usize] - normal).norm() < 1e-12);
            }
        }
    }

    #[test]
    fn caps_are_not_drawn() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        assert_eq!(DisplayMesh::new(&cube, 10, 100).faces.len(), 10);
    }
}
