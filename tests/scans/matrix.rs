//! Scans of the decked hull of every kind, as a table: what is off by how much.
use awash::mesh::{MendRecipe, Surface, examine};
use awash::numerics::Vec3;

use super::decked::{HOLES, decked, rough_in, two_skins};
use super::make::{Random, on_a_floor, with_flipped, with_holes};
use super::skins::{Off, allowed, mended, outer_skin, smooth_rims};

/// Share of the noise's square that is white, by seed: half, all, none.
const WHITE: [(&str, f64); 3] = [("mixed", 0.5), ("white", 1.0), ("waves", 0.0)];
/// Rims of a hundred that hold what is asked of each.
const RIMS_SHARE: f64 = 0.95;

/// One kind of scan and how it is mended.
fn kinds(edge_m: f64) -> Vec<(&'static str, Surface, MendRecipe)> {
    let hull = decked(edge_m, &HOLES);
    let skins = |thickness_m, seen_m| two_skins(&hull, thickness_m, seen_m);
    let on_floor = |recipe: MendRecipe, largest_only| MendRecipe {
        drop_floor: true,
        largest_only,
        ..recipe
    };
    // A patch is filled by its number, which hangs on how ragged its edge is.
    let patch = [(Vec3::new(1.8, 0.0, 0.0), 0.1)];
    let filled = MendRecipe {
        fill: vec![1],
        ..smooth_rims()
    };
    let mut random = Random(499);
    vec![
        ("double 5 mm", skins(0.005, 9.0), outer_skin()),
        ("double 3 mm", skins(0.003, 9.0), outer_skin()),
        ("double 6 mm", skins(0.006, 9.0), outer_skin()),
        ("seen in part", skins(0.004, 0.7), outer_skin()),
        (
            "double, flipped",
            with_flipped(skins(0.005, 9.0), 0.02, &mut random),
            outer_skin(),
        ),
        ("single", hull.outer.clone(), smooth_rims()),
        (
            "single, patch",
            with_holes(hull.outer.clone(), &patch),
            filled,
        ),
        (
            "double on a floor",
            on_a_floor(&skins(0.005, 9.0), 0.004),
            on_floor(outer_skin(), false),
        ),
        (
            "single on a floor",
            on_a_floor(&hull.outer, 0.004),
            on_floor(smooth_rims(), true),
        ),
    ]
}

/// The number of the hole that lies lowest, as `inspect` numbers them.
fn number_of_the_lowest(scan: &Surface) -> usize {
    let mut loops = examine(scan).loops;
    loops.sort_by(|a, b| b.length_m.total_cmp(&a.length_m));
    let height = |k: &usize| loops[*k].centre.z;
    let lowest = (0..loops.len()).min_by(|a, b| height(a).total_cmp(&height(b)));
    1 + lowest.expect("a hole")
}

/// Scans of 126 000 triangles a side, at seeds that nothing was set on.
#[test]
#[ignore = "minutes: cargo test --release --test scans -- --ignored --nocapture matrix_of_scans"]
fn matrix_of_scans() {
    table(0.01);
}

/// Scans of 32 000 triangles a side.
#[test]
#[ignore = "minutes: cargo test --release --test scans -- --ignored --nocapture matrix_of_coarse"]
fn matrix_of_coarse_scans() {
    table(0.02);
}

fn table(edge_m: f64) {
    let hull = decked(edge_m, &HOLES);
    let mut failed = Vec::new();
    for noise_m in [0.0008, 0.002] {
        let allowed = allowed(noise_m);
        eprintln!("noise {:.1} mm, seeds with {WHITE:?}", 1e3 * noise_m);
        eprintln!(
            "{:18} {:>26} {:>22} {:>12} {:>10}",
            "scan", "volume at 0.1, 0.2, 0.3 m", "rims: 95 of 100 in", "in their ±", "± at most"
        );
        for (what, scan, recipe) in kinds(edge_m) {
            let mut worst = [0.0_f64; 3];
            let (mut off, mut inside, mut most, mut wrong) = (Vec::new(), 0, 0.0, 0);
            for seed in 500..503_u64 {
                let mut random = Random(seed);
                let made = random.motion();
                let (_, white) = WHITE[(seed % 3) as usize];
                let mut scan = rough_in(scan.clone(), noise_m, white, &mut random);
                let mut recipe = recipe.clone();
                for number in &mut recipe.fill {
                    *number = number_of_the_lowest(&scan);
                }
                made.apply(&mut scan);
                let Ok(result) = mended(scan, &recipe) else {
                    wrong += 1;
                    continue;
                };
                let found = Off::measured(&hull, &result, &made);
                wrong += usize::from(found.rims.len() != hull.rims.len());
                for (worst, share) in worst.iter_mut().zip(found.volume_share) {
                    if share.abs() > worst.abs() {
                        *worst = share;
                    }
                }
                for (rim, error) in found.rims {
                    off.push(rim.abs());
                    inside += usize::from(error.is_some_and(|error| rim.abs() < error));
                    most = f64::max(most, error.unwrap_or(f64::INFINITY));
                }
            }
            off.sort_by(f64::total_cmp);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a share of a few"
            )]
            let rank = (RIMS_SHARE * off.len() as f64).ceil() as usize;
            let rim = off.get(rank.saturating_sub(1)).copied().unwrap_or(f64::NAN);
            eprintln!(
                "{what:18} {:>26} {:>19.2} mm {:>9}/{} {:>7.1} mm{}",
                worst.map(|w| format!("{:+.2} %", 100.0 * w)).join(" "),
                1e3 * rim,
                inside,
                off.len(),
                1e3 * most,
                if wrong > 0 {
                    format!("  {wrong} WRONG")
                } else {
                    String::new()
                }
            );
            let holds = wrong == 0
                && worst.iter().all(|w| w.abs() < allowed.volume_share)
                && rim < allowed.rim_m
                && inside >= rank
                && most < allowed.band_m;
            if !holds {
                failed.push(format!("{what}, noise {noise_m}"));
            }
        }
    }
    assert!(failed.is_empty(), "{failed:#?}");
}
