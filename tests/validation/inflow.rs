//! Water through openings against handbook weirs and orifices: ISO 1438:2008,
//! "Hydrometry — Open channel flow measurement using thin-plate weirs"; ISO 13550:2002,
//! "Hydrometric determinations — Flow measurements in open channels using structures —
//! Use of vertical underflow gates and radial gates"; W. C. Unwin, "Hydraulics",
//! Encyclopædia Britannica, 11th edition, volume 14, called Unwin below.
use std::f64::consts::{PI, TAU};

use awash::equilibrium::{DISCHARGE_COEFFICIENT, Inlet};
use awash::numerics::Vec3;

use crate::support::{ROUNDING, near, near_share};

/// Standard gravity (3rd CGPM, 1901).
const GRAVITY: f64 = 9.806_65;
/// Drowned opening with a sharp edge: ISO 13550:2002 takes 0.611 for the contraction
/// under one (its figure 6), here rounded.
const ORIFICE: f64 = 0.61;
/// Crest with air above the water: ISO 1438:2008, full-width thin plate, 0.602 where
/// the head is small against the height of the crest (from memory).
const WEIR: f64 = 0.602;
/// No water on the far side.
const DRY: f64 = f64::NEG_INFINITY;

/// The guide, the boat file's reference and the help of `swamp` tell the coefficients that
/// count: the orifice's, and the weir's as a share of it.
#[test]
fn the_docs_tell_the_coefficients_that_count() {
    let told = |text: &str| {
        text.replace("/// ", "")
            .replace('\n', " ")
            .replace("  ", " ")
    };
    let (orifice, weir) = (DISCHARGE_COEFFICIENT, WEIR / DISCHARGE_COEFFICIENT);
    for (text, words) in [
        (
            include_str!("../../src/reference/guide.md"),
            vec![
                format!("{orifice} of area times √(2 g depth) at a sharp edge"),
                format!("a weir's, {weir:.3} of that coefficient"),
            ],
        ),
        (
            include_str!("../../src/boat/file/keys.rs"),
            vec![
                format!("{orifice}, a sharp edge, unless said"),
                format!("{weir:.3} of it"),
            ],
        ),
    ] {
        for words in words {
            assert!(told(text).contains(&words), "`{words}` is not told");
        }
    }
    // What stands in the docs as the weir's is what flows over a crest.
    let rim = Inlet::of_rim(&upright(&[(0.0, 0.0), (1.0, 0.0), (1.0, 9.0), (0.0, 9.0)]));
    let free = rim.facing(&Vec3::z()).flow(0.1, DRY, DISCHARGE_COEFFICIENT);
    let want = weir * DISCHARGE_COEFFICIENT * 2.0 / 3.0 * root_2g() * 0.1_f64.powf(1.5);
    near_share("free weir", free.m3_s, want, ROUNDING);
}

fn root_2g() -> f64 {
    (2.0 * GRAVITY).sqrt()
}

fn upright(points: &[(f64, f64)]) -> Vec<Vec3> {
    let point = |&(y, z): &(f64, f64)| Vec3::new(0.0, y, z);
    points.iter().map(point).collect()
}

/// 0.4 m broad, 0.3 m high, its crest at 0.
fn notch() -> Vec<Vec3> {
    upright(&[(-0.2, 0.0), (0.2, 0.0), (0.2, 0.3), (-0.2, 0.3)])
}

fn ring(middle: Vec3, radius: f64, corners: u32) -> Vec<Vec3> {
    let corner = |k: u32| {
        let (sin, cos) = (TAU * f64::from(k) / f64::from(corners)).sin_cos();
        middle + Vec3::new(radius * cos, radius * sin, 0.0)
    };
    (0..corners).map(corner).collect()
}

fn flow(rim: &[Vec3], up: &Vec3, high: f64, low: f64) -> f64 {
    let facing = Inlet::of_rim(rim).facing(up);
    facing.flow(high, low, DISCHARGE_COEFFICIENT).m3_s
}

/// `⅔ C b √(2g) h^(3/2)`: ISO 1438:2008, rectangular thin-plate weir (Unwin § 41); and
/// `8/15 C √(2g) tan(θ/2) h^(5/2)` of a triangular one (the same standard; Unwin § 43).
#[test]
fn notches_are_the_weirs_of_the_handbook() {
    let want = 2.0 / 3.0 * WEIR * 0.4 * root_2g() * 0.1_f64.powf(1.5);
    near_share("notch", flow(&notch(), &Vec3::z(), 0.1, DRY), want, 1e-12);
    let vee = upright(&[(0.0, 0.0), (0.2, 0.3), (-0.2, 0.3)]);
    let want = 8.0 / 15.0 * WEIR * root_2g() * (0.2 / 0.3) * 0.1_f64.powf(2.5);
    near_share("V-notch", flow(&vee, &Vec3::z(), 0.1, DRY), want, 1e-12);
}

/// A crest that the water behind drowns: free part and drowned part (du Buat, from
/// memory), to rounding; and `(1 − (h₂/h₁)^1.5)^0.385` of the free flow (J. R.
/// Villemonte, "Submerged weir discharge studies", Engineering News-Record, 1947), which
/// is a fit to measured flows and lies within 5 % of the sum.
#[test]
fn a_drowned_crest_lets_through_what_handbooks_say() {
    let notch = upright(&[(-0.2, 0.0), (0.2, 0.0), (0.2, 9.0), (-0.2, 9.0)]);
    let free = flow(&notch, &Vec3::z(), 0.1, DRY);
    for share in [0.1, 0.3, 0.5, 0.7, 0.9] {
        let (head, behind) = (0.1, 0.1 * share);
        let got = flow(&notch, &Vec3::z(), head, behind);
        let fall: f64 = head - behind;
        let sum = 2.0 / 3.0 * fall.powf(1.5) + behind * fall.sqrt();
        near_share("sum", got, WEIR * 0.4 * root_2g() * sum, 1e-12);
        let measured = (1.0_f64 - share.powf(1.5)).powf(0.385);
        near_share("measured", got / free, measured, 0.05);
    }
}

/// `C A √(2gΔh)` under both waters, whatever the tilt (Unwin § 38, eq. 5, the fall being
/// the head; USBR, Water Measurement Manual, chapter 9, submerged orifices, equation 9-1,
/// from memory); and a round hole with air behind, of which Unwin § 40 gives the flow
/// over `C A √(2gh)`, h at its middle and ε = r/h, as `2/π ∫ sin²φ √(1 − ε cos φ) dφ`
/// from 0 to π: the root's series integrates to `1 − ε²/32 − 5 ε⁴/1024`, the next term of
/// the order of ε⁶/50 (derived).
#[test]
fn holes_are_the_orifices_of_the_handbook() {
    for tilt in [0.0_f64, 0.3, 1.0, 1.5] {
        let up = Vec3::new(tilt.sin(), 0.0, tilt.cos());
        let want = ORIFICE * 0.12 * (2.0 * GRAVITY * 0.2_f64).sqrt();
        near_share(
            "drowned",
            flow(&notch(), &up, 0.9, 0.7),
            want,
            ROUNDING * 10.0,
        );
    }
    let corners = 512;
    let round: Vec<Vec3> = ring(Vec3::zeros(), 0.03, corners)
        .iter()
        .map(|p| Vec3::new(0.0, p.x, p.y))
        .collect();
    let area = f64::from(corners) / 2.0 * 0.03_f64.powi(2) * (TAU / f64::from(corners)).sin();
    for head in [0.06, 0.1, 0.5] {
        let ratio: f64 = 0.03 / head;
        let series = 1.0 - ratio.powi(2) / 32.0 - 5.0 * ratio.powi(4) / 1024.0;
        let want = ORIFICE * area * (2.0 * GRAVITY * head).sqrt() * series;
        let got = flow(&round, &Vec3::z(), head, DRY);
        near_share("round hole", got, want, 1e-4 + ratio.powi(6) / 50.0);
    }
}

/// A level opening: a weir all round while little water stands over it, an orifice of its
/// area deeper down. FHWA HEC-22, Urban Drainage Design Manual, grate inlets in sag (as
/// Texas DOT, Hydraulic Design Manual, chapter 10, section 6, equations 10-30 and 10-31,
/// has it), gives 1.66 P d^1.5 and 0.67 A √(2gd), the lesser of the
/// two (SI): its coefficients are for bars with gutter flow, within a tenth of those of a
/// sharp edge.
#[test]
fn a_level_opening_is_a_weir_all_round_and_then_an_orifice() {
    let square =
        [(0.0, 0.0), (0.5, 0.0), (0.5, 0.5), (0.0, 0.5)].map(|(x, y)| Vec3::new(x, y, 0.4));
    for depth in [0.002, 0.01, 0.05, 0.1] {
        let got = flow(&square, &Vec3::z(), 0.4 + depth, DRY);
        let weir = 2.0 / 3.0 * WEIR * 2.0 * root_2g() * depth.powf(1.5);
        near_share("weir", got, weir, 1e-9);
        near_share("sag, weir", got, 1.66 * 2.0 * depth.powf(1.5), 0.1);
    }
    // The two meet where ⅔ P d = A, but for their coefficients.
    for depth in [0.2, 0.5, 2.0] {
        let got = flow(&square, &Vec3::z(), 0.4 + depth, DRY);
        let orifice = ORIFICE * 0.25 * root_2g() * depth.sqrt();
        near_share("orifice", got, orifice, 1e-9);
        near_share("sag, orifice", got, 0.67 / ORIFICE * orifice, 0.1);
    }
}

/// A leaning notch has the crest of an upright one, and its sides, that lie under it
/// as they lean, are crests too: `⅔ C √(2g) (b h^(3/2) + 2 ∫ d^(3/2) tan φ dd)`
/// `= ⅔ C √(2g) b h^(3/2) (1 + ⅘ (h/b) tan φ)` (derived), less than comes through its
/// area `b h/cos φ` as long as ⅘ (h/b) sin φ < 1 − cos φ.
#[test]
fn a_leaning_notch_has_the_crest_of_an_upright_one_and_its_sides() {
    let want = 2.0 / 3.0 * WEIR * 0.4 * root_2g() * 0.05_f64.powf(1.5);
    for lean in [-1.2_f64, -0.5, 0.5, 1.2] {
        let up = Vec3::new(lean.sin(), 0.0, lean.cos());
        let sides = 1.0 + 0.8 * 0.05 / 0.4 * lean.abs().tan();
        near_share(
            "leaning",
            flow(&notch(), &up, 0.05, DRY),
            want * sides,
            1e-9,
        );
    }
}

/// A cockpit whose rim has sheer, 14 mm under at its lowest: water comes over the
/// part that is under. Held to the weir formula (ISO 1438, Unwin § 41) summed along the
/// rim by 100 000 steps, each at its own depth.
#[test]
fn a_rim_with_sheer_lets_water_over_the_part_that_is_under() {
    let at = |turn: f64| {
        let (x, y) = (0.7 * turn.cos(), 0.3 * turn.sin());
        Vec3::new(x, y, 0.3 + 0.12 * x * x)
    };
    let rim: Vec<Vec3> = (0..400).map(|k| at(TAU * f64::from(k) / 400.0)).collect();
    let level = 0.314;
    let sum: f64 = (0..100_000)
        .map(|k| {
            let turn = TAU * f64::from(k) / 100_000.0;
            let along = at(turn + TAU / 100_000.0) - at(turn);
            let depth: f64 = (level - at(turn).z).max(0.0);
            2.0 / 3.0 * depth.powf(1.5) * along.xy().norm()
        })
        .sum();
    let want = WEIR * root_2g() * sum;
    let got = flow(&rim, &Vec3::z(), level, DRY);
    near_share("over the sheer", got, want, 1e-3);
    // As much as a flat rim at its mean height lets in: none.
    let mean = rim.iter().map(|p| p.z).sum::<f64>() / 400.0;
    assert!(mean > level, "{mean}");
    // Wholly under by far: its area, that of the ellipse within the film's slope.
    let deep = flow(&rim, &Vec3::z(), 5.0, 4.8);
    let want = ORIFICE * PI * 0.21 * (2.0 * GRAVITY * 0.2_f64).sqrt();
    near_share("deep", deep, want, 0.02);
}

/// No jump as sill, rim and far side go under, at any tilt: a tenth of a millimetre
/// more head never lets in more than the whole rim as a weir would. (Own bound: the
/// slope of `C √(2g) P h^(3/2)` at the depth there.) And more head never lets
/// less through, nor more water behind more.
#[test]
fn the_flow_has_no_jump_and_grows_with_the_head() {
    let hatch = ring(Vec3::new(0.0, 0.0, 0.0), 0.15, 48);
    let sheered: Vec<Vec3> = hatch
        .iter()
        .map(|p| Vec3::new(p.x, p.y, 0.5 * p.x * p.x))
        .collect();
    for rim in [hatch, sheered, notch()] {
        let around: f64 = 2.0;
        for tilt in [0.0_f64, 1e-4, 0.02, 0.4, 1.0, 1.57, 2.2] {
            let up = Vec3::new(0.3 * tilt.sin(), 0.954 * tilt.sin(), tilt.cos()).normalize();
            let sill = rim.iter().map(|p| up.dot(p)).fold(f64::MAX, f64::min);
            for behind in [DRY, sill - 0.01, sill + 0.001, sill + 0.1] {
                let mut last = 0.0;
                for step in 0..6000 {
                    let high = f64::max(sill, behind) + f64::from(step) * 1e-4;
                    let got = flow(&rim, &up, high, behind);
                    let deep = high - sill + 1e-4;
                    let more = if high - behind < 0.02 {
                        // Over water that stands on the other side the head counts
                        // with its root.
                        around * root_2g() * deep.sqrt() * 0.011 * 2.0
                    } else {
                        around * root_2g() * deep.sqrt() * 4e-4
                    };
                    assert!(
                        got >= last * (1.0 - 1e-9),
                        "{tilt} {behind} {high}: {got} < {last}"
                    );
                    assert!(
                        got - last <= more,
                        "{tilt} {behind} {high}: {last} to {got}"
                    );
                    last = got;
                }
            }
        }
    }
}

/// Where only a point or a line of the rim is known water still comes in: over a line as
/// over a thin-plate weir of its length.
#[test]
fn a_rim_of_two_points_is_a_crest_from_one_to_the_other() {
    let line = [Vec3::zeros(), Vec3::new(0.3, 0.0, 0.0)];
    assert!(Inlet::of_rim(&line).area_m2().is_none());
    let want = 2.0 / 3.0 * WEIR * 0.3 * root_2g() * 0.1_f64.powf(1.5);
    near_share("line", flow(&line, &Vec3::z(), 0.1, DRY), want, 1e-12);
    assert!(flow(&line[..1], &Vec3::z(), 0.1, DRY) > 0.0);
    near("dry", flow(&line, &Vec3::z(), -0.1, DRY), 0.0, 0.0);
}
