//! The indexed triangle surface that every later stage works on.
use crate::numerics::Vec3;

/// A triangle surface: shared vertices and counter-clockwise faces seen from
/// outside (the outward normal of face `[a, b, c]` is `(b − a) × (c − a)`).
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Surface {
    /// Vertices in the boat frame, m.
    pub vertices: Vec<Vec3>,
    /// Vertex indices of each face.
    pub faces: Vec<[u32; 3]>,
}

impl Surface {
    /// The three corners of a face, m.
    #[inline]
    #[must_use]
    pub fn corners(&self, face: usize) -> [Vec3; 3] {
        self.faces[face].map(|v| self.vertices[v as usize])
    }

    /// Smallest and largest coordinates over all vertices, m; `None` when
    /// there is no vertex.
    #[must_use]
    pub fn bounds(&self) -> Option<(Vec3, Vec3)> {
        let first = *self.vertices.first()?;
        Some(
            self.vertices
                .iter()
                .fold((first, first), |(lo, hi), v| (lo.inf(v), hi.sup(v))),
        )
    }

    /// Signed volume by the divergence theorem, m³: exact for a closed
    /// surface, positive when it faces outward.
    #[must_use]
    pub fn signed_volume_m3(&self) -> f64 {
        let Some((lo, hi)) = self.bounds() else {
            return 0.0;
        };
        let centre = (lo + hi) / 2.0;
        (0..self.faces.len())
            .map(|f| {
                let [a, b, c] = self.corners(f).map(|v| v - centre);
                a.dot(&b.cross(&c))
            })
            .sum::<f64>()
            / 6.0
    }

    /// Total area of all faces, m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        (0..self.faces.len()).map(|f| self.face_area_m2(f)).sum()
    }

    /// Area of one face, m².
    #[must_use]
    pub fn face_area_m2(&self, face: usize) -> f64 {
        let [a, b, c] = self.corners(face);
        (b - a).cross(&(c - a)).norm() / 2.0
    }
}
