//! `spread` against closed forms of the wall-sided box, with quantiles of the normal
//! distribution from `statistics.NormalDist` of Python's library. A share of n draws is
//! right to √(p (1 − p)/n), a quantile to that over the density there; four times that is
//! allowed.
use awash::study::{Answer, SpreadResult, spread};

use crate::boats::laden_box;
use crate::support::near;

const DRAWS: u32 = 4000;

/// `Φ(−1)`, `Φ(−2)`, and Φ⁻¹ of .975, .75 and .525: ends of the bands of |x|.
const BELOW_1: f64 = 0.158_655;
const OF_ABS: [f64; 3] = [1.959_964, 0.674_490, 0.062_707];

/// The laden box with 50 kg at the height of its own weight, in the middle ± 0.2 m
/// across, and two holes at its sides.
fn with_a_shift(rim_z: f64, more: &str) -> Answer<SpreadResult> {
    let text = format!(
        "{more}[[item]]\nname = \"crate\"\nmass = 50\nat = [0, \"0 m ± 0.2 m\", 0.2]\n\
         [[opening]]\nname = \"port hole\"\nrim = [[0, 0.5, {rim_z}]]\n\
         [[opening]]\nname = \"starboard hole\"\nrim = [[0, -0.5, {rim_z}]]\n"
    );
    spread(&laden_box(&text), DRAWS, 5).expect("it floats")
}

/// Draught and heel (rad) of that box with the crate `shift_m` to one side:
/// `tan φ (GM + ½ BM tan²φ) = w s/Δ`, exactly while the box is wall-sided.
fn heel_rad(shift_m: f64) -> (f64, f64) {
    let (mass, draught) = (1050.0, 1050.0 / 4000.0);
    let bm = 1.0 / (12.0 * draught);
    let gm = draught / 2.0 + bm - 0.2;
    let wanted = 50.0 * shift_m / mass;
    let mut tangent: f64 = wanted / gm;
    for _ in 0..100 {
        tangent = wanted / (gm + 0.5 * bm * tangent * tangent);
    }
    (draught, tangent.atan())
}

/// What lowers the lowest sill whichever way it goes. The sill falls by
/// `½ tan φ` = .0914 |s| (to the first order), s of .1 m standard deviation: |s| has
/// the variance (1 − 2/π) σ². Lead of 100 ± 20 kg moves it by 10/4000 m. So the
/// shift has 30.3/(30.3 + 6.25) of the variance. Of 4000 draws an explained share
/// is known to about .007; four times that is allowed.
#[test]
fn a_shift_that_lowers_either_sill_is_seen_as_the_cause() {
    let lead = "[[item]]\nname = \"lead\"\nmass = \"100 kg ± 20 kg\"\nat = [0, 0, 0.2]\n";
    let result = with_a_shift(0.5, lead);
    let mass: f64 = 1150.0;
    let draught = mass / 4000.0;
    let gm = draught / 2.0 + 1.0 / (12.0 * draught) - 0.2;
    let slope: f64 = 0.5 * 50.0 / mass / gm;
    let of_shift = (slope * 0.1).powi(2) * (1.0 - 2.0 / std::f64::consts::PI);
    let of_mass = (10.0_f64 / 4000.0).powi(2);
    assert_eq!(result.causes[0].name, "place of crate across");
    let all = of_shift + of_mass;
    near(
        "share of the shift",
        result.causes[0].share,
        of_shift / all,
        0.03,
    );
    near(
        "share of the mass",
        result.causes[1].share,
        of_mass / all,
        0.03,
    );
}

/// Every 5° a bearing; the box leans straight about its middle line, so a hole at
/// the side is awash at `a − φ` on the side that it heels to, `tan a = h/½`. The least
/// over all bearings is `a − |φ|`, and |s| has its quantiles at [`OF_ABS`]. Towards
/// one side alone half the draws would lie over a.
#[test]
fn the_least_lean_of_a_draw_is_over_all_bearings() {
    let result = with_a_shift(0.4, "");
    let band = result.result.worst_lean.expect("two holes").band;
    let (draught, _) = heel_rad(0.0);
    let reach = ((0.4 - draught) / 0.5).atan();
    let draws = f64::from(DRAWS).sqrt();
    // √(p (1 − p)) over 2 φ(x), the density of |x|: φ(1.96) .0584, φ(.674) .3178,
    // φ(.0627) .3982.
    let known = [0.2179 / 0.1169, 0.5 / 0.6356, 0.2179 / 0.7964];
    for (end, (of_abs, known)) in band.iter().zip(OF_ABS.iter().zip(known)) {
        let lean = |deviations: f64| (reach - heel_rad(0.1 * deviations).1).to_degrees();
        let within = 4.0 * known / draws * (lean(0.0) - lean(0.1)) / 0.1;
        let got = end.expect("all float");
        near("least lean", got, lean(*of_abs), within);
    }
}

/// Each of two holes fails when the box heels to its side by so much that the hole
/// stands 5 cm above the water: never both, so that any does in twice the share.
#[test]
fn any_of_two_opposite_holes_fails_twice_as_often() {
    let result = with_a_shift(0.33, "");
    let (draught, _) = heel_rad(0.0);
    // (z − T) cos φ − ½ sin φ = .05, by halving.
    let (mut low, mut high) = (0.0, 0.3);
    for _ in 0..100 {
        let shift = f64::midpoint(low, high);
        let (_, heel) = heel_rad(shift);
        if (0.33 - draught) * heel.cos() - 0.5 * heel.sin() > 0.05 {
            low = shift;
        } else {
            high = shift;
        }
    }
    // It is at 1.826 standard deviations; Φ(−1.826) = .0339.
    assert!((low - 0.1826).abs() < 1e-4, "{low}");
    let one = 0.0339;
    for opening in &result.openings {
        near("one", opening.chance_of_failing, one, 0.012);
    }
    near("any", result.chance_any_fails, 2.0 * one, 0.016);
}

/// Two rims measured apart, each of 31 ± 2 cm with the water at 25: each fails its 5 cm
/// with Φ(−1), any of them with 1 − (1 − Φ(−1))².
#[test]
fn any_of_two_independent_rims_fails_by_the_rule_of_products() {
    let boat = laden_box(
        "[[opening]]\nname = \"one\"\nrim = [[0, 0, \"31 cm ± 2 cm\"]]\n\
         [[opening]]\nname = \"other\"\nrim = [[1, 0, \"31 cm ± 2 cm\"]]\n",
    );
    let result = spread(&boat, DRAWS, 2).expect("it floats");
    for opening in &result.openings {
        near("one", opening.chance_of_failing, BELOW_1, 0.024);
    }
    let any = 1.0 - (1.0 - BELOW_1).powi(2);
    near("any", result.chance_any_fails, any, 0.03);
}

/// The box holds up 2000 kg, and weighs 1900 ± 200: it sinks beyond one standard
/// deviation, in Φ(−1) of the draws. They are the worst: the lowest twentieth of the
/// draws sinks, the middle is what it is without ±.
#[test]
fn draws_that_sink_stay_in_the_band() {
    let boat = laden_box(
        "[[item]]\nname = \"load\"\nmass = \"900 kg ± 200 kg\"\nat = [0, 0, 0.2]\n\
         [[opening]]\nname = \"coaming\"\nrim = [[0, 0, 0.7]]\n",
    );
    let result = spread(&boat, DRAWS, 3).expect("it floats");
    near("sinks", result.share_sunk, BELOW_1, 0.024);
    let line = &result.openings[0];
    assert_eq!(line.freeboard_m[0], None);
    let within = 4.0 * 1.2533 / f64::from(DRAWS).sqrt() * 100.0 / 4000.0;
    let middle = line.freeboard_m[1].expect("half of them float");
    near("middle", middle, 0.7 - 1900.0 / 4000.0, within);
    assert_eq!(line.chance_of_failing, result.share_sunk);
    assert_eq!(result.least_knock.as_ref().expect("open").band[0], None);
    let mass = result.mass_kg[2].expect("every draw weighs");
    near("mass", mass, 1900.0 + 164.49, 4.0 * 2.11 / 63.2 * 100.0);
}
