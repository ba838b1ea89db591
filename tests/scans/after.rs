//! What later studies say of a mended scan: nothing of slivers, and the weight of its skin
//! without the scan's roughness.
use awash::boat::{Boat, read_mesh};
use awash::mesh::{DoubtKind, Level, MendRecipe, Surface, write_stl};

use super::decked::{HOLES, decked, rough, two_skins};
use super::halves::cut_half;
use super::make::{Random, on_a_floor};
use super::skins::{mended, mirrored_at_the_cut, outer_skin, outer_skin_on_a_floor, smooth_rims};

fn written(path: &std::path::Path, surface: &Surface) {
    write_stl(std::fs::File::create(path).expect("a file"), surface).expect("written");
}

/// What reading finds wrong with a mended scan once it is written. Those of other kinds are
/// held to none in `bands.rs`, where they are mended.
pub(crate) fn defects_when_read(surface: &Surface) -> Vec<String> {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("mended.stl");
    written(&path, surface);
    let read = read_mesh(&awash::files::Disk, &path, Some(1.0), false).expect("a mesh");
    let doubts = read.into_hull().expect("a hull").doubts;
    let of_mesh = doubts.iter().filter(|doubt| {
        matches!(
            doubt.kind,
            DoubtKind::Defect
                | DoubtKind::LooseWeld
                | DoubtKind::RemovedFaces
                | DoubtKind::DroppedFacets
        )
    });
    of_mesh.map(ToString::to_string).collect()
}

#[test]
fn a_mended_scan_written_and_read_again_has_no_defect() {
    let hull = decked(0.02, &HOLES);
    let both = two_skins(&hull, 0.005, 9.0);
    let on_floor = outer_skin_on_a_floor();
    let half = mirrored_at_the_cut();
    for (what, scan, recipe) in [
        ("double", both.clone(), outer_skin()),
        ("floor", on_a_floor(&both, 0.004), on_floor),
        ("half", cut_half(&hull.outer), half),
    ] {
        for (seed, noise_m) in [(950, 0.0008), (951, 0.002)] {
            let mut random = Random(seed);
            let mut scan = rough(scan.clone(), noise_m, &mut random);
            random.motion().apply(&mut scan);
            let result = mended(scan, &recipe).expect("it can be mended");
            let defects = defects_when_read(&result.surface);
            assert!(defects.is_empty(), "{what}, noise {noise_m}: {defects:#?}");
        }
    }
}

/// Mended once more, as for a hole that was left, a rim is as unsure as its skin is rough.
#[test]
fn a_mended_mesh_that_is_mended_again_keeps_a_doubt() {
    let hull = decked(0.02, &HOLES);
    let mut scan = rough(hull.outer, 0.0008, &mut Random(955));
    scan = mended(scan, &smooth_rims()).expect("mended").surface;
    for upright in [None, Some(Level::Floor)] {
        let again = MendRecipe {
            upright,
            ..MendRecipe::default()
        };
        let result = mended(scan.clone(), &again).expect("mended again");
        for error in result.rim_errors_m {
            let error_m = error.expect("a ±");
            assert!((0.0008..0.003).contains(&error_m), "{error_m}");
        }
    }
}

/// The hull weighed by its skin: what it weighs smooth, from the recipe in the boat file and
/// from the file that mending writes beside the mesh alike.
#[test]
fn a_rough_skin_weighs_what_it_weighs_smooth() {
    let hull = decked(0.016, &HOLES).outer;
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    let mass_kg = |name: &str, more: &str| {
        let path = folder.join("boat.toml");
        let text = format!(
            "[water]\nkind = \"fresh\"\n[hull]\nmesh = \"{name}\"\nunits = \"m\"\nskin = {{ thickness = \"4 mm\", density = \"1500 kg/m3\" }}\n{more}\n"
        );
        std::fs::write(&path, text).expect("written");
        let boat = Boat::load(&path).expect("a boat");
        boat.masses[0].mass_kg
    };
    written(&folder.join("true.stl"), &hull);
    let known = mass_kg("true.stl", "");
    // Its area times 6 kg/m².
    assert!((known / (6.0 * hull.area_m2()) - 1.0).abs() < 1e-6);
    for (seed, noise_m) in [(960, 0.0008), (961, 0.002)] {
        let scan = rough(hull.clone(), noise_m, &mut Random(seed));
        written(&folder.join("scan.stl"), &scan);
        let by_recipe = mass_kg(
            "scan.stl",
            "[hull.mend]\nupright = true\nsmooth_rims = true",
        );
        let result = mended(scan, &smooth_rims()).expect("it can be mended");
        written(&folder.join("mended.stl"), &result.surface);
        let as_it_is = mass_kg("mended.stl", "");
        let share = result.area_share.expect("rough");
        let by_key = mass_kg("mended.stl", &format!("area_share = {share:.3}"));
        eprintln!(
            "noise {noise_m}: {known:.3} kg known, {as_it_is:.3} by the rough area, {by_recipe:.3} by recipe, {by_key:.3} by key"
        );
        assert!((by_key / by_recipe - 1.0).abs() < 1e-3);
        assert!((by_recipe / known - 1.0).abs() < 0.01, "{by_recipe} kg");
        assert!(as_it_is > by_recipe);
    }
}
