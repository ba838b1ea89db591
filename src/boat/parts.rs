//! Shapes of parts and cutters, and what parts of foam and covers weigh.
use super::envelope::{BooleanError, CUTTER, Envelope, FaceSource, Joinable, Operation};
use super::file::{self, Outline, point_m};
use crate::mesh::{Surface, solids};
use crate::numerics::{Vec3, place_bits};

/// The solid that an outline makes when it is drawn along its axis.
pub(super) fn outline_solid(outline: &Outline) -> Surface {
    // The two other axes in turn, so that the frame stays right-handed.
    let (along, first, second) = match outline.along {
        0 => (0, 1, 2),
        1 => (1, 2, 0),
        _ => (2, 0, 1),
    };
    let ring: Vec<[f64; 2]> = outline
        .points
        .iter()
        .map(|point| [point[first].value, point[second].value])
        .collect();
    let mut solid = solids::prism_along_x(&ring, outline.from_m, outline.to_m);
    for v in &mut solid.vertices {
        let drawn = *v;
        v[along] = drawn.x;
        v[first] = drawn.y;
        v[second] = drawn.z;
    }
    solid
}

/// The rim that a cutter leaves in the skin: the curve in which its surface
/// meets the envelope's, from the faces of the cut. Empty when they do not
/// meet; where the cutter crosses an open edge's cap there is no rim, for
/// there is no skin.
///
/// # Errors
/// [`BooleanError`] when either is no closed solid.
pub(super) fn cutter_rim(whole: &Joinable, cutter: Surface) -> Result<Vec<Vec3>, BooleanError> {
    let cutter = Envelope::of_part(cutter, CUTTER);
    let cut = match whole.combine(&cutter, Operation::Cut) {
        Ok(cut) => cut,
        // It goes round the whole hull: nothing is left to have a rim.
        Err(BooleanError::NothingLeft) => return Ok(Vec::new()),
        Err(error) => return Err(error),
    };
    let cut = cut.envelope();
    let bare: std::collections::HashSet<[u64; 3]> = cut
        .sources
        .iter()
        .zip(&cut.surface.faces)
        .filter(|(source, _)| source.is_bare())
        .flat_map(|(_, face)| face.map(|v| place_bits(&cut.surface.vertices[v as usize])))
        .collect();
    let on_cap = |p: &Vec3| bare.contains(&place_bits(p));
    Ok(cut
        .rim_of(FaceSource::Part(CUTTER))
        .into_iter()
        .filter(|[a, b]| !(on_cap(a) && on_cap(b)))
        .flatten()
        .collect())
}

/// Mass of a cover, kg, and its centre, m, from an even skin: a plate has its
/// area twice, above and below.
pub(super) fn plate_mass(solid: &Surface, skin: &file::Skin) -> (f64, Vec3) {
    let area_m2 = solid.area_m2() / 2.0;
    let mass_kg = area_m2 * skin.thickness.value * skin.density.value;
    (mass_kg, solid.volume_centroid_m())
}

/// Moves a solid.
pub(super) fn moved(mut solid: Surface, at: &file::Point) -> Surface {
    let at = point_m(at);
    for vertex in &mut solid.vertices {
        *vertex += at;
    }
    solid
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Quantity;

    fn outline(along: usize, points: &[[f64; 3]]) -> Outline {
        Outline {
            points: points.iter().map(|p| p.map(Quantity::exact)).collect(),
            along,
            from_m: 0.9,
            to_m: 1.1,
        }
    }

    /// The L of 3 squares of side 0.2.
    const L: [[f64; 2]; 6] = [
        [0.2, 0.2],
        [0.6, 0.2],
        [0.6, 0.4],
        [0.4, 0.4],
        [0.4, 0.6],
        [0.2, 0.6],
    ];

    #[test]
    fn an_outline_drawn_along_any_axis_is_an_outward_solid_in_its_place() {
        for along in 0..3 {
            let (first, second) = ((along + 1) % 3, (along + 2) % 3);
            let points = L.map(|[a, b]| {
                let mut p = [7.0; 3];
                p[first] = a;
                p[second] = b;
                p
            });
            let solid = outline_solid(&outline(along, &points));
            assert!((solid.signed_volume_m3() - 0.12 * 0.2).abs() < 1e-12);
            let (lo, hi) = solid.bounds().unwrap();
            assert!((lo[along] - 0.9).abs() < 1e-12 && (hi[along] - 1.1).abs() < 1e-12);
            assert!((lo[first] - 0.2).abs() < 1e-12 && (hi[second] - 0.6).abs() < 1e-12);
        }
    }

    #[test]
    fn the_rim_of_a_concave_cut_is_its_whole_curve_on_the_skin() {
        let cube = Joinable::new(Envelope::of_part(
            solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0)),
            0,
        ));
        // Through the side y = 1: points are x and z.
        let points = L.map(|[z, x]| [x, 0.0, z]);
        let rim = cutter_rim(&cube, outline_solid(&outline(1, &points))).unwrap();
        assert!(rim.iter().all(|p| (p.y - 1.0).abs() < 1e-12));
        // Every edge twice as two ends: its length round is 1.6 m.
        let length: f64 = rim.chunks(2).map(|edge| (edge[1] - edge[0]).norm()).sum();
        assert!((length - 1.6).abs() < 1e-9, "{length}");
        let lowest = rim.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
        assert!((lowest - 0.2).abs() < 1e-12);
    }

    #[test]
    fn a_cutter_over_an_open_edge_has_a_rim_in_the_skin_only() {
        // A box open at the top: its cap is the face z = 1.
        let mut boxed = Envelope::of_part(solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0)), 0);
        for face in 0..boxed.sources.len() {
            if boxed.surface.corners(face).iter().all(|v| v.z > 0.9) {
                boxed.sources[face] = FaceSource::Cap(0);
            }
        }
        // A notch in the side y = 1 from z = 0.7 up through the cap.
        let notch = solids::cuboid(Vec3::new(0.3, 0.8, 0.7), Vec3::new(0.6, 1.2, 1.5));
        let rim = cutter_rim(&Joinable::new(boxed), notch).unwrap();
        assert!(rim.iter().all(|p| (p.y - 1.0).abs() < 1e-12), "{rim:?}");
        let length: f64 = rim.chunks(2).map(|edge| (edge[1] - edge[0]).norm()).sum();
        // Down, along and up again.
        assert!((length - 0.9).abs() < 1e-9, "{length}");
    }

    #[test]
    fn a_cutter_clear_of_the_hull_has_no_rim() {
        let cube = Joinable::new(Envelope::of_part(
            solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0)),
            0,
        ));
        let beside = solids::cuboid(Vec3::repeat(2.0), Vec3::repeat(3.0));
        assert!(cutter_rim(&cube, beside).unwrap().is_empty());
        let around = solids::cuboid(Vec3::repeat(-1.0), Vec3::repeat(3.0));
        assert!(cutter_rim(&cube, around).unwrap().is_empty());
    }
}
