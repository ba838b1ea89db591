//! The decked craft as a raw scan: both sides of its skin, on the floor that it stood on, in
//! no known unit, turned anyhow, with noise and gaps.
use awash::numerics::Vec3;

use super::decked::{Form, Hole, formed, rough, two_skins};
use super::lofting::{Made, stl_bytes};
use super::make::{Random, on_a_floor, with_holes};

/// A double-ended hull, decked over.
const FORM: Form = Form {
    length: 3.9,
    half_breadth: 0.43,
    down: 0.15,
    over: 0.20,
    rocker: 0.05,
    tumblehome: 0.10,
    blunt: 0.75,
};
/// The cockpit, and a hatch aft of it.
const HOLES: [Hole; 2] = [
    Hole {
        x: 2.0,
        half_long: 0.60,
        half_broad: 0.27,
        lip: 0.025,
    },
    Hole {
        x: 0.85,
        half_long: 0.16,
        half_broad: 0.13,
        lip: 0.015,
    },
];
/// Edges of the scan, thickness of the skin, and how far from an opening's middle its inside
/// was seen, m.
const EDGE_M: f64 = 0.026;
const SKIN_M: f64 = 0.007;
const SEEN_M: f64 = 1.2;
/// Noise, m, and how much of the hull over the floor the scanner did not see.
const NOISE_M: f64 = 0.0012;
const HIDDEN_M: f64 = 0.006;
/// Patches that the scanner missed: middle and radius, m.
const MISSED: [(Vec3, f64); 2] = [
    (Vec3::new(2.75, 0.42, 0.20), 0.07),
    (Vec3::new(1.30, -0.30, 0.34), 0.05),
];
/// The scanner's unit: so many to a metre.
const PER_M: f64 = 43.0;

/// The scan as binary STL.
pub(crate) fn scan(name: &'static str) -> Result<Made, String> {
    let mut random = Random(20);
    let hull = formed(&FORM, EDGE_M, &HOLES);
    let skins = rough(two_skins(&hull, SKIN_M, SEEN_M), NOISE_M, &mut random);
    let mut surface = with_holes(on_a_floor(&skins, HIDDEN_M), &MISSED);
    let motion = random.motion();
    for v in &mut surface.vertices {
        *v = motion.point(v);
    }
    let bytes = stl_bytes(&surface, PER_M)?;
    eprintln!("{name}: {} triangles", surface.faces.len());
    Ok(Made { name, bytes })
}
