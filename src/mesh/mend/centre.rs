//! The centre plane of a half by the shape of its skin, where its cut is torn.
use super::super::surface::Surface;
use super::super::symmetry::{principal_axes, quantile};
use crate::numerics::Vec3;

/// Skin this far inside a torn edge is asked, m: from clear of the tears to where
/// a round hull is still nearly a parabola.
const CLEAR_M: f64 = 0.004;
const BROAD_M: f64 = 0.08;
/// Slices along the hull, and how many must answer.
const SLICES: usize = 24;
const LEAST_SLICES: usize = 8;
/// A normal turns by at least this as one goes out, 1/m, or the skin is too flat to
/// tell.
const LEAST_TURN: f64 = 0.3;

/// How much farther out than a plane (unit normal out of the half, offset in m)
/// the normals of the skin stand upright, as they do where a round hull meets its
/// centre plane, and the ± of that, m. A keel with an edge has no such place near:
/// `None`.
pub(super) fn centre_of_turn(
    surface: &Surface,
    normal: &Vec3,
    offset_m: f64,
    torn_m: f64,
) -> Option<(f64, f64)> {
    let middles: Vec<Vec3> = surface
        .faces
        .iter()
        .map(|face| {
            face.iter()
                .map(|v| surface.vertices[*v as usize])
                .sum::<Vec3>()
                / 3.0
        })
        .collect();
    let (_, [long, _, _]) = principal_axes(&middles);
    let along: Vec<f64> = middles.iter().map(|p| p.dot(&long)).collect();
    let least = along.iter().copied().fold(f64::INFINITY, f64::min);
    let most = along.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let high = normal.cross(&long);
    // By slice and side: sums of 1, d, d², s, s·d weighted by area.
    let mut sums = vec![[0.0; 5]; 2 * SLICES];
    for (face, middle) in middles.iter().enumerate() {
        let depth = offset_m - normal.dot(middle);
        if !(torn_m + CLEAR_M..torn_m + BROAD_M).contains(&depth) {
            continue;
        }
        let area_normal = surface.face_normal(face);
        let area = area_normal.norm();
        let share = (along[face] - least) / (most - least).max(f64::MIN_POSITIVE);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of a few slices"
        )]
        let slice = ((share * SLICES as f64) as usize).min(SLICES - 1);
        let side = usize::from(area_normal.dot(&high) > 0.0);
        let turn = -area_normal.dot(normal);
        let sum = &mut sums[2 * slice + side];
        for (total, value) in
            sum.iter_mut()
                .zip([area, area * depth, area * depth * depth, turn, turn * depth])
        {
            *total += value;
        }
    }
    let places: Vec<f64> = sums
        .iter()
        .filter_map(|[n, d, dd, s, sd]| {
            let spread = n * dd - d * d;
            let slope = (n * sd - d * s) / spread;
            let upright = (d - s / slope) / n;
            (slope.abs() > LEAST_TURN && upright.is_finite()).then_some(upright)
        })
        .collect();
    if places.len() < LEAST_SLICES {
        return None;
    }
    let middle = quantile(places.clone(), 0.5);
    let off = places.iter().map(|p| (p - middle).abs()).collect();
    // The median's own deviation is 1.25 of the mean's; the median of absolute
    // values of normal noise 0.6745 of its deviation. Twice for a ±.
    let error = 2.0 * 1.25 * quantile(off, 0.5) / 0.6745 / (places.len() as f64).sqrt();
    // Depth runs inward.
    (middle.abs() < torn_m).then_some((-middle, error))
}

#[cfg(test)]
mod tests {
    use super::super::cut::keep_below;
    use super::*;
    use crate::mesh::solids;

    #[test]
    fn a_round_half_has_its_centre_where_its_normals_stand_upright() {
        let mut hull = solids::icosphere(Vec3::zeros(), 0.5, 5);
        for v in &mut hull.vertices {
            v.x *= 3.0;
        }
        // Cut 8 mm past the centre, as torn by as much.
        keep_below(&mut hull, &Vec3::y(), 0.008);
        let (shift, error) = centre_of_turn(&hull, &Vec3::y(), 0.008, 0.01).unwrap();
        assert!((shift + 0.008).abs() < 5e-4, "{shift}");
        assert!(error < 1e-3, "{error}");
        // A roof with its ridge at the plane has no such place.
        let roof = solids::wedge(Vec3::new(0.0, 0.0, 0.0), Vec3::new(3.0, 0.5, 0.4));
        assert_eq!(centre_of_turn(&roof, &-Vec3::y(), 0.0, 0.01), None);
    }
}
