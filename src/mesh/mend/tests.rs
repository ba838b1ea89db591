use super::*;
use crate::mesh::DoubtKind;
use crate::mesh::solids;
use crate::numerics::Vec3;

fn plain(surface: Surface, recipe: &MendRecipe) -> Result<Mended, MendError> {
    mend(
        surface,
        &FacetNumbers::default(),
        recipe,
        &Placement::default(),
        &|_| {},
    )
}

/// Two unit cubes of which the second is moved half its side along x: 1.5 m³
/// together.
fn overlapping_cubes() -> Surface {
    let mut cubes = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
    cubes.append(&solids::cuboid(
        Vec3::new(0.5, 0.1, 0.1),
        Vec3::new(1.5, 0.9, 0.9),
    ));
    cubes
}

#[test]
fn overlapping_shells_are_told_and_on_request_made_one() {
    let told = plain(overlapping_cubes(), &MendRecipe::default()).unwrap();
    let overlap = told.doubts.iter().find(|d| d.kind == DoubtKind::Overlap);
    assert!(
        overlap.is_some_and(|d| d.to_string().contains("rebuild")),
        "{:?}",
        told.doubts
    );
    let recipe = MendRecipe {
        rebuild: true,
        ..MendRecipe::default()
    };
    let one = plain(overlapping_cubes(), &recipe).unwrap();
    // 1 + 0.5 · 0.8 · 0.8.
    assert!((one.surface.signed_volume_m3() - 1.32).abs() < 1e-9);
    assert!(
        one.doubts.iter().all(|d| d.kind != DoubtKind::Overlap),
        "{:?}",
        one.doubts
    );
    assert_eq!(one.after.shells, 1);
}

#[test]
fn rebuilding_keeps_an_opening_open() {
    // An open box with a fairing through its side: the top is not skin.
    let mut open = solids::cuboid(Vec3::zeros(), Vec3::new(2.0, 1.0, 0.5));
    let vertices = open.vertices.clone();
    open.faces
        .retain(|f| f.iter().any(|v| vertices[*v as usize].z < 0.4));
    open.append(&solids::cuboid(
        Vec3::new(0.5, 0.8, 0.1),
        Vec3::new(1.5, 1.3, 0.3),
    ));
    let recipe = MendRecipe {
        rebuild: true,
        ..MendRecipe::default()
    };
    let one = plain(open, &recipe).unwrap();
    assert_eq!(one.openings.len(), 1);
    assert!((one.openings[0].length_m - 6.0).abs() < 1e-9);
    // 2 · 1 · 0.5 + 1 · 0.3 · 0.2.
    let volume = one.after.volume_m3.unwrap();
    assert!((volume - 1.06).abs() < 1e-9, "{volume}");
}

#[test]
fn moves_one_after_another_are_one_move() {
    let moves = [0.4, 1.9].map(|a| Moved {
        turn: nalgebra::Rotation3::from_euler_angles(a, 2.0 * a, -a),
        scale: 1.0 + a,
        shift_m: Vec3::new(a, -1.0, 3.0 * a),
    });
    let p = Vec3::new(0.3, -0.7, 1.1);
    let both = moves[0].then(&moves[1]).point(&p);
    let one_by_one = moves[1].point(&moves[0].point(&p));
    assert!((both - one_by_one).norm() < 1e-12);
}

#[test]
fn a_crop_that_takes_everything_is_refused_with_its_step() {
    let crop = Crop {
        least: [Some(5.0), None, None],
        ..Crop::default()
    };
    let recipe = MendRecipe {
        crop,
        ..MendRecipe::default()
    };
    let error = plain(overlapping_cubes(), &recipe).unwrap_err();
    assert_eq!(error, MendError::NothingLeft { step: "crop" });
}

#[test]
fn an_upright_hull_that_is_level_by_rim_heights_that_cannot_be_is_refused() {
    let hull = solids::wigley(3.4, 0.8, 0.4, 10, 0.2);
    let recipe = |level| MendRecipe {
        upright: Some(level),
        ..MendRecipe::default()
    };
    let level = Level::RimHeights {
        bow_m: 0.4,
        stern_m: 0.4,
    };
    let closed = plain(hull.clone(), &recipe(level)).unwrap_err();
    assert_eq!(closed, MendError::Posture(PostureError::NoRim));
    let mut open = hull;
    let top = open.bounds().map_or(0.0, |(_, hi)| hi.z);
    let vertices = open.vertices.clone();
    open.faces
        .retain(|f| f.iter().any(|v| vertices[*v as usize].z < top - 1e-9));
    let level = Level::RimHeights {
        bow_m: 5.0,
        stern_m: 0.0,
    };
    let too_far = plain(open, &recipe(level)).unwrap_err();
    assert!(
        matches!(
            too_far,
            MendError::Posture(PostureError::RimTooShort { .. })
        ),
        "{too_far}"
    );
}
