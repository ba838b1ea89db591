//! Whether a mesh can be a hull or a part at all.
use crate::mesh::{Doubt, DoubtKind, Surface, guess_unit};
use crate::quantity::{Dimension, Piece, UnitSystem, metres, mm, sentence, show};

/// Share of the cube of its longest side that a mesh must enclose to count as
/// a solid: a sheet 3 m long would be under 3 nm thick.
const ENCLOSES_SHARE: f64 = 1e-9;
/// Lengths outside which a hull is doubted, m: a small model, a ship's boat.
/// A wrong unit is wrong by more than twice.
pub const HULL_LENGTH_M: std::ops::RangeInclusive<f64> = 0.3..=20.0;
/// Share of the longest side that single precision may lose: 0.3 mm on 3 m.
const PRECISION_SHARE: f64 = 1e-4;
/// Half a unit in the last place of a number of single precision, as a share
/// of it (IEEE 754: 24 bits).
const SINGLE_ROUNDING: f64 = 1.0 / (1 << 24) as f64;

/// A mesh that is flat, without size, or too large to count.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "the mesh encloses no volume that can be counted ({} in a box {} long): it is flat, its sides cancel out, or its numbers have no sensible size; export it again as a closed surface or one open at the top",
    show(*.volume_m3, Dimension::Volume, UnitSystem::Metric),
    show(*.longest_m, Dimension::Length, UnitSystem::Metric)
)]
pub struct EnclosesNothing {
    /// Volume inside, m³.
    pub volume_m3: f64,
    /// Longest side of its box, m.
    pub longest_m: f64,
}

/// Refuses a prepared mesh that encloses nothing.
///
/// # Errors
/// [`EnclosesNothing`] with the numbers.
pub(super) fn check_encloses(surface: &Surface) -> Result<(), EnclosesNothing> {
    let volume_m3 = surface.signed_volume_m3();
    let longest_m = longest_side_m(surface);
    if volume_m3.is_finite() && volume_m3 > ENCLOSES_SHARE * longest_m.powi(3) {
        Ok(())
    } else {
        Err(EnclosesNothing {
            volume_m3,
            longest_m,
        })
    }
}

/// A hull as long as no small craft is: most often its mesh is in another unit than was
/// said, and which it is likely in is told where that one is known, in metres.
pub(crate) fn doubt_hull_size(surface: &Surface, metres_a_unit: Option<f64>) -> Option<Doubt> {
    let longest_m = longest_side_m(surface);
    (!HULL_LENGTH_M.contains(&longest_m)).then(|| {
        let guess = metres_a_unit.map(|metres| guess_unit(longest_m / metres));
        let likely = guess.filter(|guess| HULL_LENGTH_M.contains(&guess.length_m));
        let text = sentence![
            "the hull is ",
            plain_metres(longest_m),
            " long, which no small craft is: check the unit of its mesh"
        ];
        let text = match likely {
            Some(guess) => text.then(sentence![
                format!(" (in {} it would be ", guess.symbol),
                metres(guess.length_m, 2),
                ")"
            ]),
            None => text,
        };
        Doubt::new(DoubtKind::Unit, text)
    })
}

/// A hull of which both sides of the skin are there.
pub(super) fn doubt_two_sides(thickness_m: f64) -> Doubt {
    Doubt::new(
        DoubtKind::Skin,
        sentence![
            "both sides of the skin are here, about ",
            mm(thickness_m, 1),
            " apart: as it is, it displaces no more than its skin; keep the outer one (awash mend with --outer-skin, or outer_skin = true in [hull.mend])",
        ],
    )
}

/// Mesh files keep single precision, which is coarse far from the origin (mapping
/// coordinates).
pub(super) fn doubt_precision(as_read: &Surface) -> Option<Doubt> {
    let (lo, hi) = as_read.bounds()?;
    let lost = lo.amax().max(hi.amax()) * SINGLE_ROUNDING / (hi - lo).max();
    (lost > PRECISION_SHARE).then(|| {
        Doubt::new(
            DoubtKind::Place,
            format!(
                "the mesh lies so far from its origin that the numbers in the file are rounded by up to {:.2} % of its length: move it to the origin and export it again",
                100.0 * lost
            ),
        )
    })
}

/// Metres as a person writes them, unless that takes dozens of digits.
pub(super) fn plain_metres(length_m: f64) -> Piece {
    if (0.001..1e6).contains(&length_m) {
        metres(length_m, 3)
    } else {
        format!("{length_m:.1e} m").into()
    }
}

fn longest_side_m(surface: &Surface) -> f64 {
    surface.bounds().map_or(0.0, |(lo, hi)| (hi - lo).max())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;
    use crate::numerics::Vec3;

    fn plate(thickness_m: f64) -> Surface {
        solids::cuboid(Vec3::zeros(), Vec3::new(2.0, 1.0, thickness_m))
    }

    #[test]
    fn a_plate_of_a_micrometre_is_a_solid_and_one_of_none_is_not() {
        assert_eq!(check_encloses(&plate(1e-6)), Ok(()));
        assert!(check_encloses(&plate(0.0)).is_err());
        assert!(check_encloses(&Surface::default()).is_err());
    }

    #[test]
    fn lengths_of_small_craft_are_not_doubted() {
        assert_eq!(doubt_hull_size(&plate(0.5), Some(1.0)), None);
        let in_millimetres = solids::cuboid(Vec3::zeros(), Vec3::repeat(3400.0));
        let text = |metres_a_unit| {
            let doubt = doubt_hull_size(&in_millimetres, metres_a_unit);
            doubt.unwrap().to_string()
        };
        let known = text(Some(1.0));
        assert!(known.contains("3400.000 m long"), "{known}");
        assert!(known.ends_with("(in mm it would be 3.40 m)"), "{known}");
        assert!(text(None).ends_with("check the unit of its mesh"));
    }

    #[test]
    fn mapping_coordinates_are_doubted_and_nearby_ones_are_not() {
        let at = |x: f64| Surface {
            vertices: [[x, 0.0, 0.0], [x + 3.0, 0.0, 0.0], [x, 1.0, 0.5]]
                .map(Vec3::from)
                .into(),
            faces: vec![[0, 1, 2]],
        };
        // 5 000 km: half a step of single precision is 0.3 m, a tenth of 3 m.
        let doubt = doubt_precision(&at(5e6)).unwrap();
        assert!(doubt.to_string().contains("9.93 %"), "{doubt}");
        assert_eq!(doubt_precision(&at(1e3)), None);
    }
}
