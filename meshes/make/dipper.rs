//! The tender: a hard-chined hull with a transom, and the sponson on its port side.
use std::f64::consts::PI;

use awash::mesh::Surface;
use awash::numerics::Vec3;

use super::lofting::{Lofted, even_steps, lerp, share, shell, smoothstep};

/// Cells from transom to stem, from keel to sheer on one side, and from the middle to the
/// side in the transom.
const STATIONS: usize = 96;
const GIRTH_CELLS: usize = 40;
const TRANSOM_CELLS: usize = 16;
/// Points of a section before they are spaced evenly.
const SECTION_SAMPLES: usize = 600;

/// Length over all and where the keel runs out into the stem, m.
const LENGTH_M: f64 = 3.60;
const KEEL_LENGTH_M: f64 = 3.05;
/// How far the top of the transom leans aft of its foot, m.
const TRANSOM_RAKE_M: f64 = 0.09;
/// Share of the length at which the hull is broadest.
const BROADEST: f64 = 0.40;
/// Half breadth of sheer and chine: transom, broadest, m. Both end at the stem.
const SHEER_M: [f64; 2] = [0.58, 0.69];
const CHINE_M: [f64; 2] = [0.43, 0.54];
/// Heights of keel, chine and sheer: transom, broadest, stem, m.
const KEEL_HEIGHT_M: [f64; 3] = [0.08, 0.0, 0.14];
const CHINE_HEIGHT_M: [f64; 3] = [0.145, 0.085, 0.36];
const SHEER_HEIGHT_M: [f64; 3] = [0.47, 0.45, 0.60];
/// The moulding rounds the chine over so much on both sides of the corner, m.
const CHINE_ROUND_M: f64 = 0.03;

/// How far `u` lies from the broadest section as a share of the way to the hull's end, 0..1,
/// and whether it lies forward.
fn from_broadest(u: f64) -> (f64, bool) {
    if u < BROADEST {
        ((BROADEST - u) / BROADEST, false)
    } else {
        ((u - BROADEST) / (1.0 - BROADEST), true)
    }
}

/// Half breadth at share `u` of the length, m; `power` says how late it falls off forward.
fn breadth_m([transom, broadest]: [f64; 2], power: f64, u: f64) -> f64 {
    let (s, forward) = from_broadest(u);
    if forward {
        broadest * (1.0 - s.powf(power))
    } else {
        lerp(broadest, transom, s * s)
    }
}

/// Height at share `u` of the length, m.
fn height_m([transom, broadest, stem]: [f64; 3], power: f64, u: f64) -> f64 {
    let (s, forward) = from_broadest(u);
    if forward {
        lerp(broadest, stem, s.powf(power))
    } else {
        lerp(broadest, transom, s * s)
    }
}

/// Breadth and height of keel, chine and sheer of a section.
fn corners(u: f64) -> [[f64; 2]; 3] {
    [
        [0.0, height_m(KEEL_HEIGHT_M, 3.0, u)],
        [breadth_m(CHINE_M, 2.1, u), height_m(CHINE_HEIGHT_M, 2.2, u)],
        [breadth_m(SHEER_M, 2.6, u), height_m(SHEER_HEIGHT_M, 2.0, u)],
    ]
}

/// Places a point of the section: the transom leans aft, the stem forward.
fn placed(u: f64, [y, z]: [f64; 2]) -> Vec3 {
    let [keel, _, sheer] = corners(u);
    let h = ((z - keel[1]) / (sheer[1] - keel[1])).clamp(0.0, 1.0);
    let rake_m = TRANSOM_RAKE_M * h * (1.0 - smoothstep(0.0, 0.5, u));
    let stem = 0.3 * h + 0.7 * (1.0 - (1.0 - h).powi(3));
    let x = lerp(KEEL_LENGTH_M * u, LENGTH_M * u, lerp(h, stem, u));
    Vec3::new(x - rake_m, y, z)
}

/// Breadth and height at share `t` of the way keel, chine, sheer, its corner rounded.
fn drawn(u: f64, t: f64) -> [f64; 2] {
    let [keel, chine, sheer] = corners(u);
    let far = |a: [f64; 2], b: [f64; 2]| (b[0] - a[0]).hypot(b[1] - a[1]);
    let (bottom_m, side_m) = (far(keel, chine), far(chine, sheer));
    let at = |s: f64| {
        let (a, b, w) = if s < bottom_m {
            (keel, chine, s / bottom_m.max(1e-9))
        } else {
            (chine, sheer, (s - bottom_m) / side_m)
        };
        [lerp(a[0], b[0], w), lerp(a[1], b[1], w)]
    };
    let round_m = CHINE_ROUND_M.min(0.4 * bottom_m).min(0.4 * side_m);
    let s = t * (bottom_m + side_m);
    let off = s - bottom_m;
    if round_m < 1e-6 || off.abs() >= round_m {
        return at(s);
    }
    // A parabola from side to side of the corner.
    let w = (off + round_m) / (2.0 * round_m);
    let (a, b) = (at(bottom_m - round_m), at(bottom_m + round_m));
    [0, 1].map(|k| lerp(lerp(a[k], chine[k], w), lerp(chine[k], b[k], w), w))
}

/// One port section, evenly spaced along its girth, keel to sheer.
fn section(u: f64) -> Vec<Vec3> {
    let fine: Vec<[f64; 2]> = (0..=SECTION_SAMPLES)
        .map(|k| drawn(u, share(k, SECTION_SAMPLES)))
        .collect();
    let mut girth_m = vec![0.0];
    for pair in fine.windows(2) {
        let step = (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]);
        girth_m.push(girth_m[girth_m.len() - 1] + step);
    }
    let places = even_steps(&girth_m, GIRTH_CELLS).into_iter();
    places
        .map(|(at, w)| placed(u, [0, 1].map(|k| lerp(fine[at][k], fine[at + 1][k], w))))
        .collect()
}

/// The open shell.
pub(crate) fn hull() -> Surface {
    let sections = (0..=STATIONS).map(|i| section(share(i, STATIONS)));
    shell(&sections.collect::<Vec<_>>(), TRANSOM_CELLS)
}

/// Where the sponson runs along the hull, as shares of its length, and up its side from the
/// chine (0) to the sheer (1).
const SPONSON_ALONG: [f64; 2] = [0.10, 0.72];
const SPONSON_UP: [f64; 2] = [0.04, 0.54];
/// How far it stands out of the side, and how deep its back lies within it, m: enough that
/// no surface of one lies on a surface of the other.
const SPONSON_OUT_M: f64 = 0.10;
const SPONSON_BACK_M: f64 = 0.012;
const SPONSON_CELLS: [usize; 2] = [64, 16];

/// The closed sponson of the port side, its ends faired into the hull.
pub(crate) fn sponson() -> Surface {
    let [along, up] = SPONSON_CELLS;
    let row = |i: usize, outside: bool| -> Vec<Vec3> {
        let w = share(i, along);
        let u = lerp(SPONSON_ALONG[0], SPONSON_ALONG[1], w);
        let [_, chine, sheer] = corners(u);
        let (dy, dz) = (sheer[0] - chine[0], sheer[1] - chine[1]);
        let long = dy.hypot(dz);
        let most_m = lerp(-0.004, SPONSON_OUT_M, (PI * w).sin().max(0.0).powf(0.6));
        (0..=up)
            .map(|j| {
                let v = share(j, up);
                let t = lerp(SPONSON_UP[0], SPONSON_UP[1], v);
                // Nothing at both edges, to the last bit, where back and outside meet.
                let belly = if j == 0 || j == up {
                    0.0
                } else {
                    (PI * v).sin()
                };
                let out = if outside {
                    lerp(-SPONSON_BACK_M, most_m, belly.sqrt())
                } else {
                    -SPONSON_BACK_M * (1.0 + belly)
                };
                let p = [lerp(chine[0], sheer[0], t), lerp(chine[1], sheer[1], t)];
                placed(u, p) + Vec3::new(0.0, dz, -dy) * (out / long)
            })
            .collect()
    };
    let mut whole = Lofted::default();
    let [outer, inner] =
        [true, false].map(|outside| (0..=along).map(|i| row(i, outside)).collect::<Vec<_>>());
    whole.patch(&outer);
    whole.patch(&inner.iter().rev().cloned().collect::<Vec<_>>());
    whole.patch(&[inner[0].clone(), outer[0].clone()]);
    whole.patch(&[outer[along].clone(), inner[along].clone()]);
    whole.surface(false)
}
