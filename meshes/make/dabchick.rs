//! The sledge's body: a moulded tray with a turned-up bow, decked over but for one opening,
//! the deck raised aft over the instruments.
use std::f64::consts::PI;

use awash::mesh::Surface;
use awash::numerics::Vec3;

use super::lofting::{Lofted, lerp, share, smoothstep};

/// Cells round one side of the outline, across the bottom, up the side, and from the deck's
/// edge to the opening.
const ROUND_CELLS: usize = 64;
const BOTTOM_CELLS: usize = 12;
const SIDE_CELLS: usize = 8;
const DECK_CELLS: usize = 20;

/// Half of the body's length and breadth at the deck, and how square its outline is.
const HALF_M: [f64; 2] = [0.95, 0.36];
const SQUARE: f64 = 4.0;
/// The opening in the deck: its middle, half of its length and breadth, m.
const OPENING_X_M: f64 = 0.22;
const OPENING_HALF_M: [f64; 2] = [0.34, 0.20];
/// Share of the outline that the bottom has, height of the sides, rise of the bow, m.
const BOTTOM_SHARE: f64 = 0.88;
const SIDE_M: f64 = 0.22;
const BOW_M: f64 = 0.14;
/// The raised deck: how far over the rest, and where its forward face stands, m.
const RAISED_M: f64 = 0.10;
const RAISED_FROM_M: [f64; 2] = [-0.14, -0.26];

/// A rounded oblong in plan, its port half from the bow (0) to the stern (π).
fn oblong([long, broad]: [f64; 2], angle: f64) -> [f64; 2] {
    let round = |v: f64| v.signum() * v.abs().powf(2.0 / SQUARE);
    [long * round(angle.cos()), broad * round(angle.sin())]
}

/// Puts a point of the plan at a height over the bottom; the bow is turned up.
fn placed([x, y]: [f64; 2], over_bottom_m: f64) -> Vec3 {
    let forward = smoothstep(0.35, 1.0, x / HALF_M[0]);
    let lift_m = BOW_M * forward * (1.0 - 0.5 * over_bottom_m / SIDE_M).max(0.4);
    Vec3::new(x + HALF_M[0], y, over_bottom_m + lift_m)
}

/// The body with its one open edge, in metres from the stern's foot.
pub(crate) fn body() -> Surface {
    let column = |i: usize| -> Vec<Vec3> {
        // The ends lie on the middle line to the last bit.
        let angle = PI * share(i, ROUND_CELLS);
        let on_middle = i == 0 || i == ROUND_CELLS;
        let flat = |[x, y]: [f64; 2]| [x, if on_middle { 0.0 } else { y }];
        let edge = flat(oblong(HALF_M, angle));
        let hole = flat(oblong(OPENING_HALF_M, angle));
        let within = |s: f64| edge.map(|c| c * s);
        let bottom =
            (0..BOTTOM_CELLS).map(|k| placed(within(BOTTOM_SHARE * share(k, BOTTOM_CELLS)), 0.0));
        let side = (0..SIDE_CELLS).map(|k| {
            let w = share(k, SIDE_CELLS);
            // Round at the foot, upright above.
            placed(within(lerp(BOTTOM_SHARE, 1.0, w.sqrt())), SIDE_M * w)
        });
        let deck = (0..=DECK_CELLS).map(|k| {
            let w = share(k, DECK_CELLS);
            let p = [
                lerp(edge[0], hole[0] + OPENING_X_M, w),
                lerp(edge[1], hole[1], w),
            ];
            let raised = smoothstep(RAISED_FROM_M[0], RAISED_FROM_M[1], p[0]);
            let inward = smoothstep(0.02, 0.3, w);
            placed(p, SIDE_M + RAISED_M * raised * inward)
        });
        bottom.chain(side).chain(deck).collect()
    };
    let mut half = Lofted::default();
    // From the stern to the bow, so that the faces look outward.
    let columns: Vec<Vec<Vec3>> = (0..=ROUND_CELLS).rev().map(column).collect();
    half.patch(&columns);
    half.surface(true)
}
