//! The same scan with its facets in another order, each begun at another corner, as one
//! program or another writes it: every rim is found, and where it was.
use std::collections::HashMap;

use awash::mesh::Surface;
use awash::numerics::Vec3;

use super::decked::{HOLES, Hole, decked, rough_in, two_skins};
use super::make::Random;
use super::skins::{Off, allowed, mended, outer_skin};

/// The facets in another order, each turned to begin at another corner, and the corners
/// numbered as they are met.
fn shuffled(surface: &Surface, random: &mut Random) -> Surface {
    let mut keyed: Vec<(f64, [u32; 3])> = surface
        .faces
        .iter()
        .map(|&[a, b, c]| {
            let share = random.share();
            let turned = [[a, b, c], [b, c, a], [c, a, b]];
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "0, 1 or 2"
            )]
            let which = (3.0 * random.share()) as usize;
            (share, turned[which])
        })
        .collect();
    keyed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut number: HashMap<u32, u32> = HashMap::new();
    let mut vertices: Vec<Vec3> = Vec::new();
    let faces = keyed.into_iter().map(|(_, face)| {
        face.map(|v| {
            *number.entry(v).or_insert_with(|| {
                vertices.push(surface.vertices[v as usize]);
                u32::try_from(vertices.len() - 1).expect("few")
            })
        })
    });
    let faces = faces.collect();
    Surface { vertices, faces }
}

/// The same openings with lips of 50 mm, as coamings are.
fn coamings() -> [Hole; 3] {
    HOLES.map(|hole| Hole { lip: 0.05, ..hole })
}

/// What is wrong with a scan's rims over orders of its facets.
fn wrong(
    holes: &[Hole],
    edge_m: f64,
    thick_m: f64,
    white: f64,
    seed: u64,
    orders: usize,
) -> Vec<String> {
    const NOISE_M: f64 = 0.002;
    let hull = decked(edge_m, holes);
    let mut random = Random(seed);
    let made = random.motion();
    let mut scan = rough_in(two_skins(&hull, thick_m, 9.0), NOISE_M, white, &mut random);
    made.apply(&mut scan);
    let allowed = allowed(NOISE_M);
    let mut failed = Vec::new();
    let mut heights: Vec<(f64, f64)> = Vec::new();
    for order in 0..orders {
        let name = format!("edges {edge_m}, skin {thick_m}, white {white}, seed {seed}, {order}");
        let result = mended(shuffled(&scan, &mut random), &outer_skin()).expect("mended");
        let off = Off::measured(&hull, &result, &made);
        if off.rims.len() != hull.rims.len() {
            failed.push(format!("{name}: {} rims", off.rims.len()));
            continue;
        }
        for (k, (rim_m, error_m)) in off.rims.into_iter().enumerate() {
            let error_m = error_m.unwrap_or(f64::INFINITY);
            let first = *heights.get(k).unwrap_or(&(rim_m, error_m));
            heights.push((rim_m, error_m));
            if rim_m.abs() > allowed.rim_m.min(error_m) || error_m > allowed.band_m {
                failed.push(format!(
                    "{name}: rim {k} {:+.2} ± {:.2} mm",
                    1e3 * rim_m,
                    1e3 * error_m
                ));
            }
            if (rim_m - first.0).abs() > first.1.min(error_m) {
                failed.push(format!(
                    "{name}: rim {k} {:+.2} mm, in the first order {:+.2} mm",
                    1e3 * rim_m,
                    1e3 * first.0
                ));
            }
        }
    }
    failed
}

#[test]
fn a_lip_is_kept_in_whatever_order_the_facets_come() {
    let mut failed = wrong(&HOLES, 0.02, 0.005, 1.0, 801, 2);
    failed.extend(wrong(&coamings(), 0.015, 0.003, 0.5, 802, 2));
    assert!(failed.is_empty(), "{failed:#?}");
}

/// Twenty orders of each scan, of finer ones too.
#[test]
#[ignore = "minutes: cargo test --release --test scans -- --ignored --nocapture matrix_of_orders"]
fn matrix_of_orders() {
    let mut failed = Vec::new();
    for (k, thick_m) in (0..).zip([0.003, 0.004, 0.005, 0.006]) {
        for (j, white) in (0..).zip([1.0, 0.5, 0.0]) {
            let holes = if k % 2 == 0 { HOLES } else { coamings() };
            failed.extend(wrong(&holes, 0.01, thick_m, white, 810 + 3 * k + j, 20));
        }
    }
    assert!(failed.is_empty(), "{failed:#?}");
}
