//! Where a mended scan puts its origin, and what that does to a tender craft: heel, pitch and
//! freeboards against those of the same boat on the hull that the scan was made from, which
//! is known by construction. That hull is levelled by the code, as it stands on a floor.
use std::path::Path;

use awash::boat::Boat;
use awash::mesh::{Surface, write_stl};
use awash::study::{Answer, FloatResult, float};

use super::decked::{HOLES, decked, rough};
use super::make::Random;
use super::path::levelled;
use super::skins::{mended, smooth_rims};

/// Metacentric height of the craft, m: a person who sits 2 mm aside heels it by 3.5°.
const GM_M: f64 = 0.03;
const PERSON_KG: f64 = 80.0;

fn boat(mesh: &str, hull: &str, person_m: [f64; 3]) -> String {
    let openings = ["cockpit", "well", "hatch"].iter().zip(1..);
    let openings: String = openings
        .map(|(name, number)| format!("[[opening]]\nname = \"{name}\"\nloop = {number}\n"))
        .collect();
    format!(
        "[water]\nkind = \"fresh\"\n[hull]\nmesh = \"{mesh}\"\nunits = \"m\"\nmass = 20\ncentre = [1.7, 0, 0.15]\n{hull}\n{openings}[[item]]\nname = \"person\"\nmass = {PERSON_KG}\nat = {person_m:?}\nperson = true\n"
    )
}

fn floated(folder: &Path, text: &str) -> (Boat, Answer<FloatResult>) {
    let path = folder.join("boat.toml");
    std::fs::write(&path, text).expect("written");
    let boat = Boat::load(&path).expect("a boat");
    let result = float(&boat).expect("it comes to rest");
    (boat, result)
}

/// What is off, and its ±: heel, pitch in degrees, freeboards in mm.
fn off(found: &FloatResult, known: &FloatResult) -> Vec<(f64, f64)> {
    let [got, wanted] = [found, known].map(|result| result.rest.as_ref().expect("it floats"));
    let error = |error: Option<f64>| error.expect("a ±");
    let mut off = vec![
        (
            got.hydrostatics.heel_deg - wanted.hydrostatics.heel_deg,
            error(got.heel_error_deg),
        ),
        (
            got.hydrostatics.pitch_deg - wanted.hydrostatics.pitch_deg,
            error(got.pitch_error_deg),
        ),
    ];
    for (got, wanted) in found.openings.iter().zip(&known.openings) {
        let [high, known] = [got, wanted].map(|opening| opening.freeboard_m.expect("afloat"));
        off.push((1e3 * (high - known), 1e3 * error(got.freeboard_error_m)));
    }
    off
}

/// Scans over seeds at a noise: what is outside of its ±, of how many.
fn table(edge_m: f64, noise_m: f64, seeds: std::ops::Range<u64>) -> (usize, usize) {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    let hull = decked(edge_m, &HOLES).outer;
    let put = |name: &str, surface: &Surface| {
        write_stl(
            std::fs::File::create(folder.join(name)).expect("a file"),
            surface,
        )
        .expect("written");
    };
    put("true.stl", &levelled(hull.clone()));
    let at_rest = |person_m| floated(folder, &boat("true.stl", "", person_m)).1;
    let low = at_rest([1.75, 0.0, 0.2]).result.rest.expect("it floats");
    let raised_m = (low.gm_transverse_m - GM_M) * (PERSON_KG + 20.0) / PERSON_KG;
    let person_m = [1.75, 0.002, 0.2 + raised_m];
    let known = at_rest(person_m);
    let rest = known.rest.as_ref().expect("it floats");
    eprintln!(
        "edges {:.0} mm, noise {:.1} mm: known heel {:+.2}°, pitch {:+.2}°, GM {:.4}",
        1e3 * edge_m,
        1e3 * noise_m,
        rest.hydrostatics.heel_deg,
        rest.hydrostatics.pitch_deg,
        rest.gm_transverse_m
    );
    let (mut outside, mut count) = (0, 0);
    let mut means = [0.0; 5];
    let runs = seeds.clone().count() as f64;
    for seed in seeds {
        let mut random = Random(seed);
        let mut scan = rough(hull.clone(), noise_m, &mut random);
        random.motion().apply(&mut scan);
        put("scan.stl", &scan);
        let mend = "[hull.mend]\nupright = true\nsmooth_rims = true";
        let (_, found) = floated(folder, &boat("scan.stl", mend, person_m));
        let off = off(&found, &known);
        let line: Vec<String> = off
            .iter()
            .map(|(o, e)| format!("{o:+.2} ± {e:.2}"))
            .collect();
        eprintln!("seed {seed}: {}", line.join(", "));
        outside += off.iter().filter(|(off, error)| off.abs() > *error).count();
        count += off.len();
        for (mean, (off, _)) in means.iter_mut().zip(&off) {
            *mean += off / runs;
        }
    }
    eprintln!("outside {outside} of {count}; means {means:+.3?}");
    (outside, count)
}

#[test]
fn a_tender_craft_of_a_rough_scan_leans_as_its_hull_does() {
    for noise_m in [0.0008, 0.002] {
        let (outside, count) = table(0.02, noise_m, 800..802);
        assert_eq!((outside, count), (0, 10), "noise {noise_m}");
    }
}

/// The hull that is known, in the frame found of its scan: its lowest, aftmost and foremost
/// points lie on the base and at the ends of what was written.
#[test]
fn the_base_and_the_ends_are_those_of_the_averaged_skin() {
    let hull = decked(0.02, &HOLES).outer;
    for (noise_m, seed) in [(0.0008, 810), (0.0008, 811), (0.002, 812), (0.002, 813)] {
        let mut random = Random(seed);
        let mut scan = rough(hull.clone(), noise_m, &mut random);
        let made = random.motion();
        made.apply(&mut scan);
        let found = mended(scan, &smooth_rims()).expect("it can be mended");
        let mut known = hull.clone();
        made.then(&found.moved).apply(&mut known);
        let (known_lo, known_hi) = known.bounds().expect("a hull");
        let (lo, hi) = found.surface.bounds().expect("a hull");
        let [along_m, _, up_m] = found.tilt_error.expect("upright").origin_m;
        for (what, off_m, error_m) in [
            ("base", lo.z - known_lo.z, up_m),
            ("stern", lo.x - known_lo.x, along_m),
            ("stem", hi.x - known_hi.x, 3.0 * noise_m),
        ] {
            assert!(
                off_m.abs() < error_m,
                "{what}, noise {noise_m}: {off_m} ± {error_m}"
            );
        }
        // The lowest of a thousand corners would lie three deviations low.
        assert!(up_m < noise_m, "noise {noise_m}: {up_m}");
        assert!(lo.x.abs().max(lo.z.abs()) < 1e-9, "{lo:?}");
    }
}

/// Over seeds that nothing was set on.
#[test]
#[ignore = "minutes: cargo test --release --test scans -- --ignored --nocapture matrix_of_tender"]
fn matrix_of_tender_craft() {
    let mut failed = Vec::new();
    for (edge_m, noise_m) in [(0.02, 0.0008), (0.02, 0.002), (0.01, 0.0008), (0.01, 0.002)] {
        let (outside, count) = table(edge_m, noise_m, 820..840);
        if 20 * outside > count {
            failed.push(format!(
                "edges {edge_m}, noise {noise_m}: {outside} of {count} outside"
            ));
        }
    }
    assert!(failed.is_empty(), "{failed:#?}");
}
