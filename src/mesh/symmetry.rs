//! The plane in which one side of a hull is the mirror image of the other.
use std::collections::BTreeMap;

use nalgebra::{Matrix3, SymmetricEigen};
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::doubt::{id, point_as_array};
use super::face_tree::FaceTree;
use super::samples::{SmoothNormals, spread_over};
use super::surface::Surface;
use crate::numerics::Vec3;

/// Points mirrored to choose among planes, to settle one, and to judge it.
const ROUGH_POINTS: usize = 600;
const FINE_POINTS: usize = 4000;
/// Faces that choosing among planes looks at, at most: a good plane and a bad
/// one differ by more than the gaps between them.
const ROUGH_FACES: usize = 100_000;
/// Planes about the long axis that are tried, besides the one that lies nearest to y = 0
/// as the surface lies in its file, unless the long axis is along y but for this.
const TRIED_PLANES: u32 = 8;
const LEAST_SIDEWAYS: f64 = 0.1;
/// Planes are alike whose misfits differ by no more than this factor and this share of
/// the surface's size: then the one nearest to y counts.
const ALIKE: f64 = 1.1;
const ALIKE_SHARE: f64 = 1e-5;
/// Steps of settling a plane at most; it is settled when a step turns it by
/// less than this, rad, or moves points by less than this share of the misfit
/// that half of them have: what is left is the roughness of the scan.
const ROUGH_STEPS: usize = 6;
const FINE_STEPS: usize = 40;
const SETTLED: f64 = 1e-7;
const SETTLED_SHARE: f64 = 0.01;
/// Mirrored points farther from the surface than this many medians take no
/// part: the sides differ there.
const OUTLIER_MEDIANS: f64 = 3.0;
/// Stretches in which the sides are compared, as a share of the diagonal: 30 cm on a hull of
/// 3.6 m; how far apart noise is independent, m; and how many points make one.
const STRETCH_SHARE: f64 = 0.08;
const NOISE_APART_M: f64 = 0.1;
const LEAST_IN_STRETCH: usize = 10;
/// Half of the differences of two numbers with normal noise are smaller than this, in
/// standard deviations of one: √2 · 0.6745.
const HALF_OF_DIFFERENCES: f64 = 0.954;

/// Distances that differ by less are alike, m.
const ROUNDING_M: f64 = 1e-9;

/// A plane of mirror symmetry `normal · x = offset_m` and how well it holds.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct MirrorPlane {
    /// Unit normal.
    #[serde(serialize_with = "point_as_array")]
    #[schemars(with = "[f64; 3]")]
    pub normal: Vec3,
    /// Distance from the origin along the normal, m.
    pub offset_m: f64,
    /// Half of all mirrored points lie nearer to the surface than this, m.
    pub median_m: f64,
    /// Nine of ten do, m.
    pub nine_tenths_m: f64,
    /// The farthest, m: a fitting, a bump or a hole on one side only.
    pub worst_m: f64,
    /// Where that is on the surface, m.
    #[serde(serialize_with = "point_as_array")]
    #[schemars(with = "[f64; 3]")]
    pub worst_at: Vec3,
}

impl MirrorPlane {
    /// Noise of either side, as a standard deviation, m, if the two differ by noise alone.
    #[must_use]
    pub fn noise_m(&self) -> f64 {
        self.median_m / HALF_OF_DIFFERENCES
    }

    /// The mirror image of a point.
    #[must_use]
    pub fn mirrored(&self, p: &Vec3) -> Vec3 {
        p - self.normal * (2.0 * (self.normal.dot(p) - self.offset_m))
    }
}

/// Middle and axes of a surface's area, the longest first: columns of the
/// matrix.
pub(super) fn principal_axes(points: &[Vec3]) -> (Vec3, [Vec3; 3]) {
    let middle = points.iter().sum::<Vec3>() / points.len().max(1) as f64;
    let spread: Matrix3<f64> = points
        .iter()
        .map(|p| (p - middle) * (p - middle).transpose())
        .sum();
    let eigen = SymmetricEigen::new(spread);
    let mut order = [0, 1, 2];
    order.sort_by(|a, b| eigen.eigenvalues[*b].total_cmp(&eigen.eigenvalues[*a]));
    let axis = |k: usize| eigen.eigenvectors.column(order[k]).into_owned();
    (middle, [axis(0), axis(1), axis(2)])
}

/// Finds the plane along the longest axis in which a surface mirrors itself
/// best: several are tried and settled roughly, the best to the end, of several as good
/// the one nearest to y.
///
/// The mirrored points are drawn onto the surface along its normals; each step
/// turns and shifts the plane so that the sum of the squares of what is left
/// is least (Gauss and Newton), without the points that lie far off. `None`
/// for a surface without area.
pub(super) fn find_mirror_plane(surface: &Surface, tree: &FaceTree) -> Option<MirrorPlane> {
    let points = spread_over(surface, FINE_POINTS, |_| true);
    if points.len() < 10 {
        return None;
    }
    let normals = SmoothNormals::of(surface);
    let (middle, [along, across, _]) = principal_axes(&points);
    let step = (points.len() / ROUGH_POINTS).max(1);
    let few: Vec<Vec3> = points.iter().step_by(step).copied().collect();
    let search = |on: (&Surface, &FaceTree), points: &[Vec3], mut plane: Plane, steps: usize| {
        for _ in 0..steps {
            if plane.improve(on.0, on.1, &normals, points, &middle) {
                break;
            }
        }
        plane
    };
    let thinned = (surface.faces.len() > ROUGH_FACES).then(|| {
        let thin = thinned(surface, ROUGH_FACES);
        let tree = FaceTree::over(&thin);
        (thin, tree)
    });
    let rough = thinned
        .as_ref()
        .map_or((surface, tree), |(thin, tree)| (thin, tree));
    let third = along.cross(&across);
    let about_axis = (0..TRIED_PLANES).map(|k| {
        let angle = std::f64::consts::PI * f64::from(k) / f64::from(TRIED_PLANES);
        across * angle.cos() + third * angle.sin()
    });
    let sideways = Vec3::y() - along * along.y;
    let tried: Vec<(f64, Plane)> = about_axis
        .chain(sideways.try_normalize(LEAST_SIDEWAYS))
        .map(|normal| {
            let start = Plane {
                normal,
                offset_m: 0.0,
            };
            let plane = search(rough, &few, start, ROUGH_STEPS);
            let misfit = plane.distances(rough.1, &few, &middle);
            (quantile(misfit, 0.7), plane)
        })
        .collect();
    // A box or a log mirrors itself in several planes alike: rounding must not choose.
    let least_m = tried.iter().map(|tried| tried.0).min_by(f64::total_cmp)?;
    let alike_m = ALIKE * least_m + ALIKE_SHARE * surface.diagonal_m();
    let best = tried
        .iter()
        .filter(|tried| tried.0 <= alike_m)
        .max_by(|a, b| a.1.normal.y.abs().total_cmp(&b.1.normal.y.abs()))?
        .1;
    let plane = search((surface, tree), &points, best, FINE_STEPS);
    Some(plane.judged(tree, &points, &middle))
}

/// The surface with at most so many of its faces, picked evenly; each has corners of
/// its own.
pub(super) fn thinned(surface: &Surface, most: usize) -> Surface {
    let step = surface.faces.len().div_ceil(most);
    let faces = (0..surface.faces.len()).step_by(step);
    let vertices: Vec<Vec3> = faces.flat_map(|face| surface.corners(face)).collect();
    Surface {
        faces: (0..id(vertices.len() / 3))
            .map(|face| [3 * face, 3 * face + 1, 3 * face + 2])
            .collect(),
        vertices,
    }
}

/// Judges a given plane.
pub(super) fn judge_plane(
    surface: &Surface,
    tree: &FaceTree,
    normal: Vec3,
    offset_m: f64,
) -> MirrorPlane {
    let points = spread_over(surface, FINE_POINTS, |_| true);
    Plane { normal, offset_m }.judged(tree, &points, &Vec3::zeros())
}

/// By how much the two sides of a surface differ in stretches that are too long for noise, as
/// a root mean square, m: zero where noise explains it. What lies so far off that the plane
/// was found without it, as a dent or a fitting does, takes no part.
pub(super) fn uneven_m(surface: &Surface, tree: &FaceTree, plane: &MirrorPlane) -> f64 {
    let points = spread_over(surface, FINE_POINTS, |_| true);
    let normals = SmoothNormals::of(surface);
    let (middle, _) = principal_axes(&points);
    let stretch_m = STRETCH_SHARE * surface.diagonal_m();
    let off = points.par_iter().filter_map(|p| {
        let image = plane.mirrored(p);
        let near = tree.nearest(&image)?;
        let own = surface.face_normal(near.face as usize);
        let normal = normals.at(&near.point, own);
        // A place and its image lie in one stretch, the same way out.
        let (on_port, way) = if plane.normal.dot(p) > plane.offset_m {
            (*p, 1.0)
        } else {
            (image, -1.0)
        };
        let outward = normal.dot(&(near.point - middle)).signum();
        let higher_m = way * outward * normal.dot(&(image - near.point));
        let far_m = near.distance_squared.sqrt();
        let cell = on_port.map(|x| (x / stretch_m).floor());
        Some((far_m, [cell.x, cell.y, cell.z].map(f64::to_bits), higher_m))
    });
    let off: Vec<(f64, [u64; 3], f64)> = off.collect();
    let limit_m = OUTLIER_MEDIANS * plane.median_m;
    let mut stretches: BTreeMap<[u64; 3], Vec<f64>> = BTreeMap::new();
    for (_, cell, higher_m) in off.into_iter().filter(|(far_m, ..)| *far_m <= limit_m) {
        stretches.entry(cell).or_default().push(higher_m);
    }
    let independent = (stretch_m / NOISE_APART_M).powi(2).max(1.0);
    let (mut squares, mut by_noise, mut count) = (0.0, 0.0, 0.0);
    for heights in stretches
        .values()
        .filter(|heights| heights.len() >= LEAST_IN_STRETCH)
    {
        let all = heights.len() as f64;
        let mean = heights.iter().sum::<f64>() / all;
        let spread = heights.iter().map(|h| (h - mean).powi(2)).sum::<f64>() / all;
        squares += mean * mean * all;
        by_noise += spread / independent.min(all / 2.0) * all;
        count += all;
    }
    let kept = stretches.len().max(1) as f64;
    // Two deviations of a mean of so many squares of normal numbers.
    let by_noise = by_noise * (1.0 + 2.0 * (2.0 / kept).sqrt());
    let square = (squares - by_noise) / f64::max(count, 1.0);
    square.max(0.0).sqrt()
}

/// How well a surface mirrors itself in `normal · x = offset_m`, and the plane near that
/// one in which it does so best, where the first holds worse than `enough_m` at nine
/// places of ten. Large surfaces are judged by some of their faces first.
#[must_use]
pub fn mirror_plane_near(
    surface: &Surface,
    normal: Vec3,
    offset_m: f64,
    enough_m: f64,
) -> Option<(MirrorPlane, Option<MirrorPlane>)> {
    let points = spread_over(surface, FINE_POINTS, |_| true);
    if points.len() < 10 {
        return None;
    }
    let middle = points.iter().sum::<Vec3>() / points.len() as f64;
    let start = Plane {
        normal,
        offset_m: offset_m - normal.dot(&middle),
    };
    if surface.faces.len() > ROUGH_FACES {
        let thin = FaceTree::over(&thinned(surface, ROUGH_FACES));
        let judged = start.judged(&thin, &points, &middle);
        if judged.nine_tenths_m <= enough_m {
            return Some((judged, None));
        }
    }
    let tree = FaceTree::over(surface);
    let judged = start.judged(&tree, &points, &middle);
    if judged.nine_tenths_m <= enough_m {
        return Some((judged, None));
    }
    let normals = SmoothNormals::of(surface);
    let half_way = surface.bounds().map_or(middle, |(lo, hi)| (lo + hi) / 2.0);
    let mut plane = Plane {
        normal,
        offset_m: normal.dot(&(half_way - middle)),
    };
    for _ in 0..FINE_STEPS {
        if plane.improve(surface, &tree, &normals, &points, &middle) {
            break;
        }
    }
    Some((judged, Some(plane.judged(&tree, &points, &middle))))
}

/// `normal · (x − middle) = offset_m`.
#[derive(Debug, Clone, Copy)]
struct Plane {
    normal: Vec3,
    offset_m: f64,
}

impl Plane {
    fn mirrored(&self, p: &Vec3, middle: &Vec3) -> Vec3 {
        p - self.normal * (2.0 * (self.normal.dot(&(p - middle)) - self.offset_m))
    }

    /// One step; tells whether the plane is settled.
    fn improve(
        &mut self,
        surface: &Surface,
        tree: &FaceTree,
        normals: &SmoothNormals,
        points: &[Vec3],
        middle: &Vec3,
    ) -> bool {
        let n = self.normal;
        let t1 = n.cross(&Vec3::ith(n.iamin(), 1.0)).normalize();
        let t2 = n.cross(&t1);
        let pairs: Vec<(Vec3, f64, [f64; 3], f64)> = points
            .par_iter()
            .filter_map(|p| {
                let image = self.mirrored(p, middle);
                let near = tree.nearest(&image)?;
                let own = surface.face_normal(near.face as usize);
                let normal = normals.at(&near.point, own);
                let residual = normal.dot(&(image - near.point));
                let from_middle = p - middle;
                let off = n.dot(&from_middle) - self.offset_m;
                let slope =
                    |t: &Vec3| -2.0 * (t.dot(&from_middle) * normal.dot(&n) + off * normal.dot(t));
                let slopes = [slope(&t1), slope(&t2), 2.0 * normal.dot(&n)];
                Some((image, residual, slopes, near.distance_squared.sqrt()))
            })
            .collect();
        let median = quantile(pairs.iter().map(|p| p.3).collect(), 0.5);
        let limit = OUTLIER_MEDIANS * median;
        let mut matrix = Matrix3::zeros();
        let mut right = Vec3::zeros();
        for (_, residual, slopes, _) in pairs.iter().filter(|p| p.3 <= limit) {
            let row = Vec3::from(*slopes);
            matrix += row * row.transpose();
            right -= row * *residual;
        }
        // A hull that slides along itself in some way leaves that way free: a
        // trifle on the diagonal keeps the step finite there.
        let trifle = 1e-9 * matrix.trace().max(f64::MIN_POSITIVE);
        matrix += Matrix3::identity() * trifle;
        let Some(inverse) = matrix.try_inverse() else {
            return true;
        };
        let step = inverse * right;
        let turn = (t1 * step.x + t2 * step.y).cap_magnitude(0.2);
        self.normal = (n + turn).normalize();
        self.offset_m += step.z;
        let size = surface.diagonal_m().max(f64::MIN_POSITIVE);
        let moved = turn.norm().max(step.z.abs() / size);
        moved < SETTLED.max(SETTLED_SHARE * median / size)
    }

    fn distances(&self, tree: &FaceTree, points: &[Vec3], middle: &Vec3) -> Vec<f64> {
        points
            .par_iter()
            .map(|p| {
                tree.nearest(&self.mirrored(p, middle))
                    .map_or(0.0, |near| near.distance_squared.sqrt())
            })
            .collect()
    }

    fn judged(&self, tree: &FaceTree, points: &[Vec3], middle: &Vec3) -> MirrorPlane {
        let distances = self.distances(tree, points, middle);
        let worst_m = distances.iter().copied().fold(0.0, f64::max);
        // Of several as far off the first: rounding must not choose.
        let worst = distances.iter().position(|d| *d >= worst_m - ROUNDING_M);
        MirrorPlane {
            normal: self.normal,
            offset_m: self.offset_m + self.normal.dot(middle),
            worst_m,
            worst_at: worst.map_or_else(Vec3::zeros, |w| points[w]),
            median_m: quantile(distances.clone(), 0.5),
            nine_tenths_m: quantile(distances, 0.9),
        }
    }
}

/// The value below which a share of all values lies; zero of none.
pub(super) fn quantile(mut values: Vec<f64>, share: f64) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let last = values.len() - 1;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a share of a length is an index"
    )]
    let at = ((last as f64 * share).round() as usize).min(last);
    *values.select_nth_unstable_by(at, f64::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    #[test]
    fn the_centre_plane_of_a_turned_hull_is_found_to_a_thousandth_of_a_degree() {
        let mut hull = solids::wigley(3.4, 0.8, 0.4, 20, 0.2);
        // Not symmetric fore and aft, or two planes would do.
        for v in &mut hull.vertices {
            v.y *= 1.0 - 0.15 * (v.x / 1.7);
        }
        let turn = nalgebra::Rotation3::from_euler_angles(0.7, -1.1, 2.3);
        let shift = Vec3::new(0.3, -2.0, 0.9);
        for v in &mut hull.vertices {
            *v = turn * *v + shift;
        }
        let tree = FaceTree::over(&hull);
        let found = find_mirror_plane(&hull, &tree).unwrap();
        let wanted = turn * Vec3::y();
        let sine = found.normal.cross(&wanted).norm();
        assert!(sine < 2e-5, "{sine}");
        assert!((found.offset_m.abs() - wanted.dot(&shift).abs()).abs() < 2e-5);
        // The diagonals of bent cells run the same way on both sides, so the
        // mesh itself is not quite symmetric.
        assert!(found.median_m < 1e-5 && found.worst_m < 2e-3, "{found:?}");
    }
}
