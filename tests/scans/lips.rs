//! Lips that turn down inside their openings: the sill is their crest, which water must pass
//! over, not the edge that hangs below it.
use std::collections::HashMap;

use awash::mesh::{Moved, Surface};
use awash::numerics::Vec3;

use super::decked::{Decked, HOLES, decked, open_sides, rough};
use super::make::Random;
use super::skins::{Off, allowed, mended, smooth_rims};

/// The hull with a flange inside each opening, so deep under its rim, m: the rim is its crest.
pub(crate) fn turned_down(hull: &Decked, deep_m: f64) -> Surface {
    let mut surface = hull.outer.clone();
    let sides = open_sides(&surface);
    let next: HashMap<u32, u32> = sides.iter().copied().collect();
    let before: HashMap<u32, u32> = sides.iter().map(|(a, b)| (*b, *a)).collect();
    let middles: Vec<Vec3> = hull
        .rims
        .iter()
        .map(|rim| rim.iter().sum::<Vec3>() / rim.len() as f64)
        .collect();
    let mut rows: HashMap<u32, [u32; 2]> = HashMap::new();
    for (v, _) in &sides {
        let place = |v: u32| hull.outer.vertices[v as usize];
        let at = place(*v);
        let along = place(next[v]) - place(before[v]);
        let mut inward = along.cross(&Vec3::z()).normalize();
        let nearest = middles
            .iter()
            .min_by(|a, b| (*a - at).norm().total_cmp(&(*b - at).norm()));
        if inward.dot(&(nearest.expect("rims") - at)) < 0.0 {
            inward = -inward;
        }
        let first = u32::try_from(surface.vertices.len()).expect("few");
        surface.vertices.extend([
            at + inward * 0.008 - Vec3::z() * 0.004,
            at + inward * 0.012 - Vec3::z() * deep_m,
        ]);
        rows.insert(*v, [first, first + 1]);
    }
    for (a, b) in sides {
        let ([a1, a2], [b1, b2]) = (rows[&a], rows[&b]);
        surface
            .faces
            .extend([[b, a, a1], [b, a1, b1], [b1, a1, a2], [b1, a2, b2]]);
    }
    surface
}

#[test]
fn the_sill_of_a_lip_that_turns_down_is_its_crest() {
    let hull = decked(0.02, &HOLES);
    for deep_m in [0.015, 0.03] {
        let lipped = turned_down(&hull, deep_m);
        // As it is drawn, its open edges hang below the crests.
        let drawn = mended(lipped.clone(), &smooth_rims()).expect("it can be mended");
        for (off, _) in Off::measured(&hull, &drawn, &Moved::default()).rims {
            assert!(off.abs() < allowed(0.0).rim_m, "{deep_m}: {off}");
        }
        let mut random = Random(71);
        let made = random.motion();
        let mut scan = rough(lipped, 0.0008, &mut random);
        made.apply(&mut scan);
        let result = mended(scan, &smooth_rims()).expect("it can be mended");
        let off = Off::measured(&hull, &result, &made);
        let allowed = allowed(0.0008);
        assert!(off.worst_volume().abs() < allowed.volume_share, "{deep_m}");
        assert_eq!(off.rims.len(), hull.rims.len(), "{deep_m}");
        for (off, error) in off.rims {
            let error = error.expect("a ±");
            eprintln!(
                "lip {deep_m} deep: {:+.2} ± {:.2} mm",
                1e3 * off,
                1e3 * error
            );
            assert!(
                off.abs() < allowed.rim_m.min(error),
                "{deep_m}: {off} ± {error}"
            );
            // Edges of 20 mm show a crest 8 mm broad as a few corners: its ± is wider than
            // that of a plain rim, but no wider than twice the scan's allowed error.
            assert!(error < 2.0 * allowed.band_m, "{deep_m}: ± {error}");
        }
    }
}

/// A scan may come with every facet turned inward: its rims lie where they lie.
#[test]
fn rims_of_a_scan_wound_inside_out_keep_their_height() {
    let hull = decked(0.02, &HOLES);
    let mut random = Random(73);
    let made = random.motion();
    let mut scan = rough(hull.outer.clone(), 0.0008, &mut random);
    made.apply(&mut scan);
    for face in &mut scan.faces {
        face.swap(1, 2);
    }
    let result = mended(scan, &smooth_rims()).expect("it can be mended");
    let off = Off::measured(&hull, &result, &made);
    assert_eq!(off.rims.len(), hull.rims.len());
    for (off, error) in off.rims {
        let error = error.expect("a ±");
        assert!(
            off.abs() < allowed(0.0008).rim_m.min(error),
            "{off} ± {error}"
        );
    }
}
