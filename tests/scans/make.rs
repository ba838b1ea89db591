//! Makes scans of the open hull as phones and hand scanners give them.
use std::collections::HashSet;
use std::path::Path;

use awash::boat::read_mesh;
use awash::mesh::{Moved, Surface, solids};
use awash::numerics::Vec3;
use nalgebra::Rotation3;

/// The open hull: 3.4 m, open at the top, x forward, z up from the keel.
pub(crate) fn hull() -> Surface {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats/hull.stl");
    let read =
        read_mesh(&awash::files::Disk, &path, Some(0.001), false).expect("the open hull is there");
    read.surface
}

/// Each triangle cut into four, `times` over: scans are finer than models.
pub(crate) fn finer(surface: Surface, times: usize) -> Surface {
    (0..times).fold(surface, |surface, _| solids::quartered(surface))
}

/// Numbers that look random and are the same every time (splitmix64).
pub(crate) struct Random(pub(crate) u64);

impl Random {
    /// Evenly between 0 and 1.
    pub(crate) fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^= z >> 31;
        (z >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// About normal with the given standard deviation: twelve shares less six.
    pub(crate) fn normal(&mut self, deviation: f64) -> f64 {
        ((0..12).map(|_| self.share()).sum::<f64>() - 6.0) * deviation
    }

    pub(crate) fn turn(&mut self) -> Rotation3<f64> {
        let axis = Vec3::new(self.normal(1.0), self.normal(1.0), self.normal(1.0));
        Rotation3::from_axis_angle(
            &nalgebra::Unit::new_normalize(axis),
            self.share() * std::f64::consts::TAU,
        )
    }

    /// A turn and a shift of up to some metres.
    pub(crate) fn motion(&mut self) -> Moved {
        Moved {
            turn: self.turn(),
            scale: 1.0,
            shift_m: Vec3::new(self.normal(2.0), self.normal(2.0), self.normal(2.0)),
        }
    }
}

/// Every vertex moved by noise of the given standard deviation along each
/// axis, m.
pub(crate) fn noisy(mut surface: Surface, deviation_m: f64, random: &mut Random) -> Surface {
    for v in &mut surface.vertices {
        for k in 0..3 {
            v[k] += random.normal(deviation_m);
        }
    }
    surface
}

/// A share of the triangles gone, here and there.
pub(crate) fn with_missing(mut surface: Surface, share: f64, random: &mut Random) -> Surface {
    surface.faces.retain(|_| random.share() >= share);
    surface
}

/// Triangles whose middle lies in any of the given balls gone.
pub(crate) fn with_holes(mut surface: Surface, balls: &[(Vec3, f64)]) -> Surface {
    let vertices = &surface.vertices;
    surface.faces.retain(|face| {
        let middle = face.iter().map(|v| vertices[*v as usize]).sum::<Vec3>() / 3.0;
        balls
            .iter()
            .all(|(centre, radius)| (middle - centre).norm() > *radius)
    });
    surface
}

/// A share of the triangles turned over.
pub(crate) fn with_flipped(mut surface: Surface, share: f64, random: &mut Random) -> Surface {
    for face in &mut surface.faces {
        if random.share() < share {
            face.swap(1, 2);
        }
    }
    surface
}

/// The hull on a workshop floor as a scanner sees it: the floor 5 × 2 m under the hull's
/// lowest point, none where the hull stands; of the hull nothing that lies so near over it,
/// m; and the two fused by triangles across the gap at one side.
pub(crate) fn on_a_floor(hull: &Surface, hidden_m: f64) -> Surface {
    let height_m = hull.bounds().expect("a hull").0.z;
    with_floor(hull, height_m, height_m + hidden_m)
}

/// The hull on ground that gave way under it: the floor at a height, and of the hull nothing
/// below another.
pub(crate) fn with_floor(hull: &Surface, height_m: f64, hidden_below_m: f64) -> Surface {
    let mut scan = hull.clone();
    let vertices = &scan.vertices;
    scan.faces.retain(|face| {
        face.iter()
            .all(|v| vertices[*v as usize].z > hidden_below_m)
    });
    let columns = 100_u32;
    let rows = 40_u32;
    let first = u32::try_from(scan.vertices.len()).expect("few vertices");
    for i in 0..=columns {
        for j in 0..=rows {
            let (x, y) = (f64::from(i) * 0.05 - 0.8, f64::from(j) * 0.05 - 1.0);
            scan.vertices.push(Vec3::new(x, y, height_m));
        }
    }
    let under_hull = |x: f64, y: f64| (0.0..3.3).contains(&x) && y.abs() < 0.3;
    for i in 0..columns {
        for j in 0..rows {
            let at = |i: u32, j: u32| first + i * (rows + 1) + j;
            let corner = scan.vertices[at(i, j) as usize];
            if under_hull(corner.x, corner.y) {
                continue;
            }
            scan.faces.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
            scan.faces.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
    }
    fuse(&mut scan, first);
    scan
}

/// Joins open edges of the hull (vertices below `first`) to the nearest floor
/// vertex, low down: the bridges that a scanner draws.
fn fuse(scan: &mut Surface, first: u32) {
    let mut sides: HashSet<(u32, u32)> = HashSet::new();
    for &[a, b, c] in &scan.faces {
        sides.extend([(a, b), (b, c), (c, a)]);
    }
    let mut open: Vec<(u32, u32)> = sides
        .iter()
        .filter(|(a, b)| *a < first && !sides.contains(&(*b, *a)))
        .copied()
        .collect();
    open.sort_unstable();
    let floor: Vec<u32> =
        (first..u32::try_from(scan.vertices.len()).expect("few vertices")).collect();
    let mut bridges = 0;
    for (a, b) in open {
        let p = scan.vertices[a as usize];
        if p.z > 0.1 || bridges == 60 {
            continue;
        }
        let near = floor.iter().copied().min_by(|s, t| {
            let far = |v: &u32| (scan.vertices[*v as usize] - p).norm();
            far(s).total_cmp(&far(t))
        });
        if let Some(near) = near {
            scan.faces.push([b, a, near]);
            bridges += 1;
        }
    }
}

/// The port half, with a ragged edge up to `ragged_m` past the centre plane.
pub(crate) fn port_half(hull: &Surface) -> Surface {
    let mut half = hull.clone();
    let vertices = &half.vertices;
    half.faces
        .retain(|face| face.iter().map(|v| vertices[*v as usize].y).sum::<f64>() > 0.0);
    half
}

/// Both skins, the inner one `thickness_m` inside the outer, joined round the
/// rim into one thin solid, as a careful scan of an open hull comes out.
pub(crate) fn double_skinned(hull: &Surface, thickness_m: f64) -> Surface {
    let mut normals = vec![Vec3::zeros(); hull.vertices.len()];
    let mut sides: HashSet<(u32, u32)> = HashSet::new();
    for (face, &[a, b, c]) in hull.faces.iter().enumerate() {
        for v in [a, b, c] {
            normals[v as usize] += hull.face_normal(face);
        }
        sides.extend([(a, b), (b, c), (c, a)]);
    }
    let count = u32::try_from(hull.vertices.len()).expect("few vertices");
    let mut both = hull.clone();
    let inner = hull
        .vertices
        .iter()
        .zip(&normals)
        .map(|(v, n)| v - n.try_normalize(0.0).unwrap_or_default() * thickness_m);
    both.vertices.extend(inner);
    let turned = hull
        .faces
        .iter()
        .map(|&[a, b, c]| [a, c, b].map(|v| v + count));
    both.faces.extend(turned);
    let mut rim: Vec<(u32, u32)> = sides
        .iter()
        .filter(|(a, b)| !sides.contains(&(*b, *a)))
        .copied()
        .collect();
    rim.sort_unstable();
    for (a, b) in rim {
        both.faces.push([b, a, a + count]);
        both.faces.push([b, a + count, b + count]);
    }
    both
}
