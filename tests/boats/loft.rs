//! Lofts the meshes of the tests' own boats and writes them beside
//! this file: `hull.stl` (open moulded shell), `foredeck.stl` (closed solid to
//! add) and `well.stl` (closed solid to take away), all in millimetres.
//!
//! ```text
//! cargo run --example loft_test_boats             # write the three files
//! cargo run --example loft_test_boats -- --check  # fail if the files differ
//! ```
//!
//! Frame: x forward from the foot of the transom, y to port, z up from the
//! lowest point of the keel. Only the port half is lofted; starboard is its
//! mirror, so the boat is symmetric to the last bit.
mod lofting;

use std::f64::consts::FRAC_PI_2;
use std::process::ExitCode;

use awash::mesh::Surface;
use awash::numerics::Vec3;
use lofting::{Lofted, even_steps, lerp, model, share, shell, smoothstep};

/// Stations from transom to stem (cells along the hull).
const STATIONS: usize = 92;
/// Cells from keel to sheer on one side of one section.
const GIRTH_CELLS: usize = 58;
/// Cells from the centre line to the side in the transom and in the foredeck
/// (few in the deck, so that none is thinner than half a millimetre at the nose).
const TRANSOM_CELLS: usize = 14;
const DECK_CELLS: usize = 10;
/// Points at which a section's arc length is sampled before even spacing.
const SECTION_SAMPLES: usize = 800;

/// Length over all, transom to stem head, m.
const LENGTH_M: f64 = 3.40;
/// Where the keel ends and the curved stem begins, m.
const KEEL_LENGTH_M: f64 = 2.86;
/// Half breadth at the sheer amidships and at the transom, m.
const HALF_BEAM_M: f64 = 0.40;
const HALF_TRANSOM_M: f64 = 0.25;
/// Share of the length at which the sheer is widest, the keel lowest and the
/// sheer lowest.
const WIDEST: f64 = 0.47;
const KEEL_LOWEST: f64 = 0.45;
const SHEER_LOWEST: f64 = 0.40;
/// Height of the keel at the transom and at the start of the stem, m.
const KEEL_AFT_M: f64 = 0.045;
const KEEL_FORWARD_M: f64 = 0.095;
/// Height of the sheer: stern, lowest point, bow, m.
const SHEER_STERN_M: f64 = 0.36;
const SHEER_MIDDLE_M: f64 = 0.34;
const SHEER_BOW_M: f64 = 0.42;

/// Aft edge of the foredeck, m.
const DECK_AFT_M: f64 = 2.30;
/// How far the deck moulding stands outside the hull's side, m: enough that no
/// surface of one lies on a surface of the other.
const DECK_LAP_M: f64 = 0.010;
/// How far the deck moulding reaches below and above the sheer, m.
const DECK_DIP_M: f64 = 0.030;
const DECK_EDGE_M: f64 = 0.012;
/// Height of the deck's crown over its edge at the aft end, m; forward it
/// falls with the breadth, to nothing at the nose.
const DECK_CROWN_M: f64 = 0.075;

/// The well's cutter: aft and forward wall, half width, corner radius, and the
/// heights between which it stands (below the keel, above every sheer), m.
const WELL_AFT_M: f64 = 0.28;
const WELL_FORWARD_M: f64 = 0.70;
const WELL_HALF_WIDTH_M: f64 = 0.10;
const WELL_CORNER_M: f64 = 0.05;
const WELL_FOOT_M: f64 = -0.06;
const WELL_HEAD_M: f64 = 0.50;

// ---------------------------------------------------------------------------
// The law of the hull

/// How far `u` lies from `lowest` as a share of the way to the hull's end, 0..1,
/// and whether it lies forward.
fn share_from(lowest: f64, u: f64) -> (f64, bool) {
    if u < lowest {
        ((lowest - u) / lowest, false)
    } else {
        ((u - lowest) / (1.0 - lowest), true)
    }
}

/// Half breadth at the sheer, m, at share `u` of the length.
fn half_breadth_m(u: f64) -> f64 {
    let (s, forward) = share_from(WIDEST, u);
    if forward {
        HALF_BEAM_M * (1.0 - s.powf(2.3))
    } else {
        lerp(HALF_BEAM_M, HALF_TRANSOM_M, s.powf(2.2))
    }
}

/// Height of the keel, m.
fn keel_m(u: f64) -> f64 {
    let (s, forward) = share_from(KEEL_LOWEST, u);
    if forward {
        KEEL_FORWARD_M * s.powi(3)
    } else {
        KEEL_AFT_M * s.powi(2)
    }
}

/// Height of the sheer, m: hollow from end to end, so that any cap across it
/// lies on or above it and the foredeck's underside stays inside.
fn sheer_m(u: f64) -> f64 {
    let (s, forward) = share_from(SHEER_LOWEST, u);
    let end = if forward { SHEER_BOW_M } else { SHEER_STERN_M };
    lerp(SHEER_MIDDLE_M, end, s * s)
}

/// Share of the rake reached at share `h` of the section's height: easy at the
/// forefoot, leaning forward at the stem head.
fn rake_share(h: f64) -> f64 {
    0.35 * h + 0.65 * (1.0 - (1.0 - h).powf(3.2))
}

/// A point of the port section at share `u` of the length, `theta` from 0 at
/// the keel to π/2 at the sheer: `(y/B)^n + (1 − h)^m = 1`, a squared-off
/// ellipse whose `m` is the fullness of the side and `n` the roundness of the
/// keel.
fn section_point(u: f64, theta: f64) -> Vec3 {
    let forward = smoothstep(0.40, 1.0, u);
    let fullness = lerp(4.6, 1.40, forward) - 0.9 * smoothstep(0.45, 0.0, u);
    let roundness = lerp(1.50, 1.22, forward);
    let h = 1.0 - theta.cos().max(0.0).powf(2.0 / fullness);
    let y = half_breadth_m(u) * theta.sin().powf(2.0 / roundness);
    let x_keel = KEEL_LENGTH_M * u;
    let x_sheer = LENGTH_M * u;
    Vec3::new(
        lerp(x_keel, x_sheer, lerp(h, rake_share(h), u)),
        y,
        lerp(keel_m(u), sheer_m(u), h),
    )
}

/// One port section as points evenly spaced along its girth, keel to sheer.
fn section(u: f64) -> Vec<Vec3> {
    let fine: Vec<Vec3> = (0..=SECTION_SAMPLES)
        .map(|k| section_point(u, FRAC_PI_2 * share(k, SECTION_SAMPLES)))
        .collect();
    let mut girth_m = vec![0.0];
    for pair in fine.windows(2) {
        girth_m.push(girth_m[girth_m.len() - 1] + (pair[1] - pair[0]).norm());
    }
    let places = even_steps(&girth_m, GIRTH_CELLS).into_iter();
    places
        .map(|(at, t)| fine[at].lerp(&fine[at + 1], t))
        .collect()
}

// ---------------------------------------------------------------------------
// The three meshes

/// The open shell.
fn hull() -> Surface {
    let sections = (0..=STATIONS).map(|i| section(share(i, STATIONS)));
    shell(&sections.collect::<Vec<_>>(), TRANSOM_CELLS)
}

/// Outline of the deck moulding to port: the sheer moved outward by the lap,
/// then an arc about the stem head to the centre line. Also the sheer's height.
fn deck_outline() -> Vec<(Vec3, f64)> {
    let plan = |u: f64| Vec3::new(LENGTH_M * u, half_breadth_m(u), 0.0);
    let aft_u = DECK_AFT_M / LENGTH_M;
    let (along, around) = (44, 2);
    let step = 1.0e-4;
    let outward = |u: f64| {
        let way = plan(u.min(1.0)) - plan(u - step);
        Vec3::new(-way.y, way.x, 0.0).normalize()
    };
    let mut outline = Vec::new();
    for i in 0..=along {
        let u = lerp(aft_u, 1.0, share(i, along));
        let mut p = plan(u) + outward(u) * DECK_LAP_M;
        if i == 0 {
            p.x = DECK_AFT_M;
        }
        outline.push((p, sheer_m(u)));
    }
    let last = outward(1.0);
    let from = last.y.atan2(last.x);
    for k in 1..=around {
        let angle = lerp(from, 0.0, share(k, around));
        let p = plan(1.0) + Vec3::new(angle.cos(), angle.sin(), 0.0) * DECK_LAP_M;
        outline.push((p, sheer_m(1.0)));
    }
    outline
}

/// The closed deck moulding: cambered top, underside below the sheer.
fn foredeck() -> Surface {
    let outline = deck_outline();
    let breadth_aft_m = outline[0].0.y;
    let row = |&(edge, sheer): &(Vec3, f64), top: bool| -> Vec<Vec3> {
        let crown_m = DECK_CROWN_M * edge.y / breadth_aft_m;
        (0..=DECK_CELLS)
            .map(|k| {
                let w = share(k, DECK_CELLS);
                let z = if top {
                    sheer + DECK_EDGE_M + crown_m * (1.0 - w.powf(2.4))
                } else {
                    sheer - DECK_DIP_M
                };
                Vec3::new(edge.x, edge.y * w, z)
            })
            .collect()
    };
    let upright = |low: Vec3, high: Vec3| (0..=4).map(|l| low.lerp(&high, share(l, 4))).collect();
    let top: Vec<Vec<Vec3>> = outline.iter().map(|o| row(o, true)).collect();
    let under: Vec<Vec<Vec3>> = outline.iter().map(|o| row(o, false)).collect();
    let side: Vec<Vec<Vec3>> = top
        .iter()
        .zip(&under)
        .map(|(t, u)| upright(u[DECK_CELLS], t[DECK_CELLS]))
        .collect();
    let aft: Vec<Vec<Vec3>> = (0..=DECK_CELLS)
        .map(|k| upright(under[0][k], top[0][k]))
        .collect();
    let mut half = Lofted::default();
    half.patch(&under);
    half.patch(
        &top.iter()
            .map(|r| r.iter().rev().copied().collect())
            .collect::<Vec<_>>(),
    );
    half.patch(&side);
    half.patch(&aft);
    half.surface(true)
}

/// The closed cutter of the well: an upright prism with rounded corners.
fn well() -> Surface {
    let corner = |x: f64, from: f64| {
        (0..=8).map(move |k| {
            let angle = lerp(from, from - FRAC_PI_2, share(k, 8));
            let y = WELL_HALF_WIDTH_M - WELL_CORNER_M;
            Vec3::new(x, y, 0.0) + Vec3::new(angle.cos(), angle.sin(), 0.0) * WELL_CORNER_M
        })
    };
    let mut outline = vec![Vec3::new(WELL_AFT_M, 0.0, 0.0)];
    outline.extend(corner(WELL_AFT_M + WELL_CORNER_M, 2.0 * FRAC_PI_2));
    outline.extend(corner(WELL_FORWARD_M - WELL_CORNER_M, FRAC_PI_2));
    outline.push(Vec3::new(WELL_FORWARD_M, 0.0, 0.0));

    let at = |p: Vec3, z: f64| Vec3::new(p.x, p.y, z);
    let walls: Vec<Vec<Vec3>> = outline
        .iter()
        .map(|p| {
            (0..=20)
                .map(|l| at(*p, lerp(WELL_FOOT_M, WELL_HEAD_M, share(l, 20))))
                .collect()
        })
        .collect();
    let middle = Vec3::new((WELL_AFT_M + WELL_FORWARD_M) / 2.0, 0.0, 0.0);
    let mut half = Lofted::default();
    half.patch(&walls);
    for pair in outline.windows(2) {
        half.triangle([
            at(middle, WELL_HEAD_M),
            at(pair[1], WELL_HEAD_M),
            at(pair[0], WELL_HEAD_M),
        ]);
        half.triangle([
            at(middle, WELL_FOOT_M),
            at(pair[0], WELL_FOOT_M),
            at(pair[1], WELL_FOOT_M),
        ]);
    }
    half.surface(true)
}

fn main() -> ExitCode {
    lofting::run("tests/boats", || {
        Ok(vec![
            model("hull.stl", &hull(), 1)?,
            model("foredeck.stl", &foredeck(), 0)?,
            model("well.stl", &well(), 0)?,
        ])
    })
}
