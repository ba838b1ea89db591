//! How long the stability studies take, in seconds and in kernel calls:
//! `cargo bench --bench margins`.
#![expect(
    clippy::print_stdout,
    reason = "a benchmark's answer is what it prints"
)]
use std::sync::Arc;
use std::time::Instant;

use awash::boat::{Opening, OpeningState};
use awash::equilibrium::{
    Craft, Displacers, Hold, Lean, Sills, find_rest_from, knock, lean_to, map_sphere, settle,
    tilt_to_flood,
};
use awash::immersion::MomentTree;
use awash::mesh::solids;
use awash::numerics::Vec3;
use rayon::prelude::*;

/// Levels of the Wigley hull: about 20 and 200 thousand triangles (8 n²).
const LEVELS: [usize; 2] = [50, 158];
/// Aims at the largest size on two cores, s.
const AIM_HEEL_S: f64 = 0.25;
const AIM_ROSE_S: f64 = 1.0;
const AIM_MAP_S: f64 = 3.0;
const AIM_DRAWS_S: f64 = 5.0;
/// Monte Carlo draws of a rest.
const DRAWS: u32 = 2000;
/// Half of a heel curve from −180° to 180° in steps of 2°.
const HALF_CURVE: u32 = 90;
const BEARINGS: u32 = 72;

/// Median of three, with the kernel calls of the last.
fn timed(mut work: impl FnMut() -> usize) -> (f64, usize) {
    let mut calls = 0;
    let mut times: Vec<f64> = (0..3)
        .map(|_| {
            let start = Instant::now();
            calls = work();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    (times[1], calls)
}

fn main() {
    if std::env::args().any(|argument| argument == "--test") {
        return;
    }
    println!("Wigley hull 3.4 × 0.8 × 0.4 m with 0.2 m of freeboard, 200 kg, three openings");
    println!(
        "seconds (kernel calls); {} threads",
        rayon::current_num_threads()
    );
    println!(
        "{:>9}  {:>18}  {:>18}  {:>18}  {:>18}  {:>18}",
        "triangles", "heel curve", "rose of 72", "knock", "all attitudes", "2,000 rests"
    );
    let mut last = [0.0; 4];
    for levels in LEVELS {
        let surface = solids::wigley(3.4, 0.8, 0.4, levels, 0.2);
        let triangles = surface.faces.len();
        let craft = Craft {
            displacers: Displacers::envelope(Arc::new(MomentTree::new(&surface, &[]))),
            mass_kg: 200.0,
            centre_of_gravity_m: Vec3::new(-0.05, 0.01, -0.1),
            density_kg_m3: 1000.0,
            liquids: Vec::new(),
        };
        let sills = Sills::of(&openings());
        let settled = settle(&craft).expect("it floats");
        let heel = timed(|| heel_curve(&craft));
        let rose = timed(|| {
            (0..BEARINGS)
                .into_par_iter()
                .map(|number| {
                    let bearing = 360.0 * f64::from(number) / f64::from(BEARINGS);
                    tilt_to_flood(&craft, &sills, &settled.rest, bearing)
                        .expect("it comes to rest")
                        .map_or(0, |tilt| tilt.kernel_calls)
                })
                .sum()
        });
        let whole = map_sphere(&craft, std::slice::from_ref(&settled.rest)).expect("mapped");
        let knocks = timed(|| {
            let found = knock(&craft, &sills, &settled.rest, &whole);
            found.iter().map(|knock| knock.kernel_calls).sum()
        });
        let map = timed(|| {
            map_sphere(&craft, std::slice::from_ref(&settled.rest))
                .expect("mapped")
                .kernel_calls
        });
        let draws = timed(|| {
            (0..DRAWS)
                .into_par_iter()
                .map(|number| {
                    // Spread evenly over some centimetres and kilograms.
                    let share = |times: f64| (f64::from(number) * times).fract() - 0.5;
                    let mut drawn = craft.clone();
                    drawn.mass_kg += 10.0 * share(0.618_033_988_75);
                    drawn.centre_of_gravity_m += Vec3::new(
                        0.05 * share(0.414_213_562_37),
                        0.02 * share(0.732_050_807_57),
                        0.02 * share(0.236_067_977_5),
                    );
                    let plane = settled.rest.plane();
                    let rest = find_rest_from(&drawn, plane, Hold::Nothing).expect("afloat");
                    std::hint::black_box(sills.height_m(rest.plane()));
                    rest.kernel_calls
                })
                .sum()
        });
        let cell = |(seconds, calls): (f64, usize)| format!("{seconds:.3} ({calls})");
        println!(
            "{triangles:>9}  {:>18}  {:>18}  {:>18}  {:>18}  {:>18}",
            cell(heel),
            cell(rose),
            cell(knocks),
            cell(map),
            cell(draws)
        );
        last = [heel.0, rose.0, map.0, draws.0];
    }
    println!("\nAims, at the largest size on two cores:");
    for (what, seconds, aim) in [
        ("a heel curve of 181 points", last[0], AIM_HEEL_S),
        ("a rose of 72 bearings", last[1], AIM_ROSE_S),
        ("a map of all attitudes", last[2], AIM_MAP_S),
        ("2,000 draws of a rest", last[3], AIM_DRAWS_S),
    ] {
        let word = if seconds <= aim { "met   " } else { "MISSED" };
        println!("  {word} {what} in {seconds:.2} s (aim {aim})");
    }
}

/// A cockpit rim of 200 points, a port and a notch.
fn openings() -> Vec<Opening> {
    let cockpit: Vec<Vec3> = (0..200_u8)
        .map(|number| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(number) / 200.0).sin_cos();
            Vec3::new(0.8 * cos, 0.28 * sin, 0.2)
        })
        .collect();
    [
        ("cockpit", cockpit),
        ("port", vec![Vec3::new(0.3, 0.39, 0.12)]),
        ("notch", vec![Vec3::new(-1.6, 0.0, 0.11)]),
    ]
    .into_iter()
    .map(|(name, rim)| Opening {
        floods: None,
        over: Vec::new(),
        discharge: None,
        rim_spread_m: 0.0,
        cap: None,
        name: name.to_owned(),
        state: OpeningState::Open,
        rim,
    })
    .collect()
}

/// Heel through a whole turn, pitch free, both sides at once; kernel calls.
fn heel_curve(craft: &Craft) -> usize {
    let upright = settle(craft).expect("it floats").upright;
    let lean = Lean::heel();
    let start = lean_to(craft, &lean, 0.0, &upright).expect("it comes to rest");
    let side = |sign: f64| {
        let mut here = start.clone();
        let mut calls = 0;
        for number in 1..=HALF_CURVE {
            let lean_rad = (2.0 * sign * f64::from(number)).to_radians();
            here = lean_to(craft, &lean, lean_rad, &here.rest).expect("it comes to rest");
            calls += here.rest.kernel_calls;
        }
        calls
    };
    let (starboard, port) = rayon::join(|| side(1.0), || side(-1.0));
    starboard + port
}
